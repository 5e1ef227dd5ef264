// SPDX-License-Identifier: Apache-2.0
// A map with a list of layers to choose from.
import L from "leaflet";
import { chooser, make, slider, tick } from "./dom.js";
import { grid } from "./grids.js";
import { namedDots } from "./labels.js";
import { GroundMap, layerReader, legend, place } from "./map.js";
import { paint, pixelTable } from "./paint.js";
import { valueText } from "./units.js";

export const percent = (share) => `${Math.round(100 * share)} %`;

const HEADINGS = { siting: "Where to plant", night: "The night", springs: "Springs lost", stage: "Water rising", water: "The storm and the ways of water", soil: "The soil", sure: "How sure" };

/** Layers of `groups` on one map, `first` shown first. */
export async function layersMap(data, holder) {
    const { first, title } = holder.dataset;
    const groups = holder.dataset.groups.split(" ");
    const ofGroup = (g) => Object.keys(data.layers).filter((n) => data.layers[n].group.split(" ").find((own) => groups.includes(own)) === g);
    const names = groups.flatMap(ofGroup);
    if (names.length === 0) return;
    const headings = groups.length > 1 ? HEADINGS : {};
    const controls = make("div", { class: "controls" });
    holder.append(controls);
    const map = new GroundMap(data, holder, title);
    const key = make("div", { class: "key" });
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
    const chosen = names.length > 1 && chooser("Show", names.map((n) => [n, data.layers[n].title, headings[data.layers[n].group.split(" ").find((g) => groups.includes(g))]]), show);
    if (chosen) controls.append(chosen);
    controls.append(slider("Strength of the colours", { min: 0, max: 1, step: 0.05, value: 0.75 }, percent, (v) => map.setOpacity(v)));
    addLines(data, map, controls, holder.dataset.over);
    const start = names.includes(first) ? first : names[0];
    if (chosen) chosen.querySelector("select").value = start;
    await show(start);
    return map;
}

/** Lines and points that can be laid over any map; those titled `shown` lie over it from the start. */
export function addLines(data, map, controls, shown) {
    if (data.lines.length + data.points.length === 0) return;
    const list = make("details", { class: "over", open: matchMedia("(min-width: 60rem)").matches }, make("summary", {}, "Lay over the map"));
    controls.append(list);
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
        list.append(tick(title, false, (on) => (on ? drawn.addTo(map.map) : drawn.remove())));
    }
    for (const { title, points } of data.points) {
        const drawn = namedDots(data, map.map, points);
        if (title === shown) drawn.addTo(map.map);
        list.append(tick(title, title === shown, (on) => (on ? drawn.addTo(map.map) : drawn.remove())));
    }
}
