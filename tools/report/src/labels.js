// SPDX-License-Identifier: Apache-2.0
// Names beside points: each on that side of its dot where it covers least of the other names and dots.
import L from "leaflet";
import { make } from "./dom.js";
import { place } from "./map.js";

const SIDES = [[1, 0], [-1, 0], [0, -1], [0, 1], [1, -1], [-1, -1], [1, 1], [-1, 1]]; // best first; y runs down
const DOT = 7; // px, half of it with its rim
const around = (x, y, half_width, half_height) => ({ x0: x - half_width, x1: x + half_width, y0: y - half_height, y1: y + half_height });

function covered(a, b) {
    const width = Math.min(a.x1, b.x1) - Math.max(a.x0, b.x0);
    const height = Math.min(a.y1, b.y1) - Math.max(a.y0, b.y0);
    return width > 0 && height > 0 ? width * height : 0;
}

/** The side of each dot, of the size the names have on the screen; `boxes`: what is written there already. */
function sides(spots, boxes, within) {
    const taken = [...boxes, ...spots.map((s) => around(s.x, s.y, DOT, DOT))];
    return spots.map(({ x, y, width, height }) => {
        let best;
        for (const side of SIDES) {
            const box = around(x + side[0] * (width / 2 + DOT + 2), y + side[1] * (height / 2 + DOT - 2), width / 2, height / 2);
            const outside = width * height - covered(box, within);
            const cost = 2 * outside + taken.reduce((sum, other) => sum + covered(box, other), 0);
            if (!best || cost < best.cost) best = { cost, side, box };
        }
        taken.push(best.box);
        return best.side;
    });
}

/** Dots with their names as a group that can be laid over the map; the names move aside at each zoom. */
export function namedDots(data, map, points) {
    const dot = { radius: 5, color: "#111", weight: 2, fillColor: "#fff", fillOpacity: 1, interactive: false };
    const names = points.map(({ name }) => make("span", {}, name));
    const group = L.layerGroup();
    points.forEach(({ x_m, y_m }, n) => {
        const icon = L.divIcon({ className: "spot-name", html: names[n], iconSize: null });
        group.addLayer(L.circleMarker(place(x_m, y_m), dot));
        group.addLayer(L.marker(place(x_m, y_m), { icon, interactive: false, keyboard: false }));
    });
    function putAside() {
        const at = (x, y) => map.latLngToLayerPoint(place(x, y));
        const fields = data.fields.map((f) => ({ ...at(...f.middle), half: f.name.length * 3.8 }));
        const spots = points.map(({ x_m, y_m }, n) => ({ ...at(x_m, y_m), width: names[n].offsetWidth, height: 15 }));
        const [first, last] = [at(0, 0), at(data.ground.width_m, data.ground.height_m)];
        const within = { x0: first.x, y0: first.y, x1: last.x, y1: last.y };
        sides(spots, fields.map((f) => around(f.x, f.y, f.half, 8)), within).forEach(([x, y], n) => {
            names[n].style.transform =
                `translate(calc(${50 * (x - 1)}% + ${(DOT + 2) * x}px), calc(${50 * (y - 1)}% + ${(DOT - 2) * y}px))`;
        });
    }
    group.on("add", putAside);
    map.on("zoomend", () => group._map && putAside());
    return group;
}
