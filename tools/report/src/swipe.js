// SPDX-License-Identifier: Apache-2.0
// One layer without and with a remedy on the same map, parted by a line that a slider moves.
import L from "leaflet";
import { chooser, make, slider } from "./dom.js";
import { grid } from "./grids.js";
import { GroundMap, legend, place } from "./map.js";
import { paint, pixelTable } from "./paint.js";
import { percent } from "./layers_map.js";
import { valueText } from "./units.js";

export async function swipeMap(data, holder) {
    const { pairs } = data.remedies; // [{remedy, layer, before, after}]: names of grids
    const controls = make("div", { class: "controls" });
    holder.append(controls);
    const map = new GroundMap(data, holder, "Map without and with a remedy, side by side");
    const key = make("div", { class: "key" });
    holder.append(key);
    map.fieldGrid = await grid(data, "field_number");
    const after = make("canvas", { class: "values" });
    const lines = [];
    const words = []; // on either side of the line
    const over = L.svgOverlay(after, map.bounds, { opacity: 0.75 }).addTo(map.map);
    map.canvas.after(after); // below the outlines
    for (const [color, weight] of [["#fff", 5], ["#111", 2.5]])
        lines.push(L.polyline([], { color, weight, interactive: false }).addTo(map.map));
    for (const word of ["without", "with"]) {
        const icon = L.divIcon({ className: `side-name ${word}`, html: make("span", {}, word).outerHTML, iconSize: null });
        words.push(L.marker(place(0, 0), { icon, interactive: false, keyboard: false }).addTo(map.map));
    }
    let share = 0.5;
    const { width_m, height_m } = data.ground;
    function part() {
        for (const [canvas, clip] of [[map.canvas, `inset(0 ${100 * (1 - share)}% 0 0)`], [after, `inset(0 0 0 ${100 * share}%)`]])
            canvas.style.clipPath = clip;
        for (const line of lines) line.setLatLngs([place(share * width_m, 0), place(share * width_m, height_m)]);
        for (const word of words) word.setLatLng(place(share * width_m, 0.97 * height_m));
    }
    async function show(text) {
        const pair = pairs[Number(text)];
        const layer = data.layers[pair.layer];
        const [left, right] = await Promise.all([grid(data, pair.before), grid(data, pair.after)]);
        const pixelOf = pixelTable(layer);
        paint(map.canvas, left.rows, left.cols, (n) => left.value(n), pixelOf);
        paint(after, right.rows, right.cols, (n) => right.value(n), pixelOf);
        after.dataset.pair = text;
        key.replaceChildren(legend(layer));
        map.setReaders([
            (x, y) => map.fieldAt(x, y) ?? "",
            (x, y) => `without: ${valueText(left.at(x, y), layer.unit)}, with: ${valueText(right.at(x, y), layer.unit)}`,
        ]);
    }
    controls.append(
        chooser("Compare", pairs.map((p, n) => [n, `${p.remedy}: ${data.layers[p.layer].title}`]), show),
        slider("Left of the line without, right of it with", { min: 0, max: 1, step: 0.01, value: share }, percent, (s) => {
            share = s;
            part();
        }),
        slider("Strength of the colours", { min: 0, max: 1, step: 0.05, value: 0.75 }, percent, (v) => {
            map.setOpacity(v);
            over.setOpacity(v);
        }),
    );
    part();
    await show("0");
    return map;
}
