// SPDX-License-Identifier: Apache-2.0
// A map with a list of layers to choose from.
import L from "leaflet";
import { chooser, make, slider, tick } from "./dom.js";
import { grid } from "./grids.js";
import { GroundMap, layerReader, legend, place } from "./map.js";
import { paint, pixelTable } from "./paint.js";
import { valueText } from "./units.js";

export const percent = (share) => `${Math.round(100 * share)} %`;

export async function layersMap(data, holder, names, title) {
    const controls = make("div", { class: "controls" });
    holder.append(controls);
    const map = new GroundMap(data, holder, title);
    const key = make("div");
    holder.append(key);
    const ground = await grid(data, "ground");
    map.fieldGrid = await grid(data, "field_number");
    async function show(name) {
        const layer = data.layers[name];
        const values = await grid(data, name);
        paint(map.canvas, values.rows, values.cols, (n) => values.value(n), pixelTable(layer));
        map.canvas.dataset.layer = name;
        key.replaceChildren(legend(layer), make("p", { class: "sentence" }, layer.sentence));
        const read = layerReader(layer, values);
        map.setReaders([
            (x, y) => map.fieldAt(x, y) ?? "",
            read,
            (x, y) => `ground at ${valueText(ground.at(x, y), data.units.height)}`,
        ]);
    }
    if (names.length > 1) controls.append(chooser("Show", names.map((n) => [n, data.layers[n].title]), show));
    controls.append(slider("Colours over the relief", { min: 0, max: 1, step: 0.05, value: 0.75 }, percent, (v) => map.setOpacity(v)));
    addLines(data, map, controls);
    await show(names[0]);
    return map;
}

/** Lines and points that can be laid over any map. */
export function addLines(data, map, controls) {
    for (const { title, shapes, colour, dashed } of data.lines) {
        const drawn = L.layerGroup();
        for (const shape of shapes) {
            for (const part of shape.parts) {
                const at = part.map(([x, y]) => place(x, y));
                const look = { color: colour, weight: 2, interactive: false, dashArray: dashed ? "5 4" : null };
                drawn.addLayer(L.polyline(at, { ...look, color: "#fff", weight: 4, opacity: 0.7, dashArray: null }));
                drawn.addLayer(L.polyline(at, look));
            }
        }
        controls.append(tick(title, false, (on) => (on ? drawn.addTo(map.map) : drawn.remove())));
    }
    for (const { title, points } of data.points) {
        const drawn = L.layerGroup(points.flatMap(marked));
        controls.append(tick(title, false, (on) => (on ? drawn.addTo(map.map) : drawn.remove())));
    }
}

/** A dot with its name. */
function marked({ name, x_m, y_m }) {
    const at = place(x_m, y_m);
    const dot = { radius: 5, color: "#111", weight: 2, fillColor: "#fff", fillOpacity: 1, interactive: false };
    const icon = L.divIcon({ className: "spot-name", html: make("span", {}, name).outerHTML, iconSize: null });
    return [L.circleMarker(at, dot), L.marker(at, { icon, interactive: false, keyboard: false })];
}
