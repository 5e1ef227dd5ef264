// SPDX-License-Identifier: Apache-2.0
// "Picture so many feet of water over the field": the level follows the slider.
import { chooser, make, slider } from "./dom.js";
import { grid } from "./grids.js";
import { GroundMap, legend } from "./map.js";
import { addLines, percent } from "./layers_map.js";
import { paint, pixelTable } from "./paint.js";
import { numberText, valueText } from "./units.js";

export async function stageMap(data, holder) {
    const { layer, most_m, asked_m, ground_low_m, field_low_m } = data.stage;
    const unit = data.units.height;
    const controls = make("div", { class: "controls" });
    holder.append(controls);
    const map = new GroundMap(data, holder, "Map of the water at the level of the slider");
    const key = make("div", { class: "key" });
    const share = make("div", { class: "share", "aria-live": "polite" });
    holder.append(key, share);
    const [ground, fieldNumber] = [await grid(data, "ground"), await grid(data, "field_number")];
    map.fieldGrid = fieldNumber;
    const sources = Object.fromEntries(await Promise.all(data.stage.names.map(async (name) => [name, await grid(data, name)])));
    let name = data.stage.names[0];
    let stage = Math.min(asked_m, most_m);

    /** Depth of water over cell n, m; NaN where the ground stays dry or isn't told of. */
    const depth = (n) => {
        const under = sources[name].value(n);
        if (!(under < stage)) return Number.isNaN(under) ? NaN : 0;
        const low = name === "fill_stage" ? ground_low_m : field_low_m[fieldNumber.value(n)] ?? NaN;
        return low + stage - ground.value(n);
    };
    function show() {
        paint(map.canvas, ground.rows, ground.cols, depth, pixelTable(layer));
        map.canvas.dataset.stage = stage;
        map.canvas.dataset.from = name;
        share.replaceChildren(fieldShares(data, fieldNumber, depth, ground));
        map.setReaders([
            (x, y) => map.fieldAt(x, y) ?? "",
            (x, y) => {
                const d = depth(ground.cell(x, y));
                return d > 0 ? `${valueText(d, unit)} of water` : Number.isNaN(d) ? "outside the fields" : "dry";
            },
            (x, y) => {
                const under = sources[name].at(x, y);
                return Number.isFinite(under) ? `goes under at ${valueText(under, unit)}` : "";
            },
            (x, y) => `ground at ${valueText(ground.at(x, y), unit)}`,
        ]);
    }
    const titles = { field_fill_stage: "each field's own low point", fill_stage: "the lowest ground on the map" };
    if (data.stage.names.length > 1) {
        controls.append(chooser("Water rises from", data.stage.names.map((n) => [n, titles[n]]), (chosen) => {
            name = chosen;
            show();
        }));
    }
    const step = unit.size_si === 1 ? 0.1 : 0.5 * unit.size_si;
    controls.append(
        slider("Water level", { min: 0, max: most_m, step, value: stage }, (m) => `${numberText(m, unit)} ${unit.name}`, (m) => {
            stage = m;
            show();
        }),
        slider("Strength of the colours", { min: 0, max: 1, step: 0.05, value: 0.75 }, percent, (v) => map.setOpacity(v)),
    );
    addLines(data, map, controls);
    key.replaceChildren(legend(layer));
    show();
    return map;
}

/** How much of each field is under, counted on the map's cells. */
function fieldShares(data, fieldNumber, depth, ground) {
    const cells = data.fields.map(() => 0);
    const under = data.fields.map(() => 0);
    for (let n = 0; n < fieldNumber.stored.length; n++) {
        const f = fieldNumber.stored[n];
        if (f >= data.fields.length) continue;
        cells[f]++;
        if (depth(n) > 0) under[f]++;
    }
    const area = ground.cell_x_m * ground.cell_y_m;
    const rows = data.fields.map((field, f) => {
        const text = `${numberText(under[f] * area, data.units.area)} of ${numberText(cells[f] * area, data.units.area)} ${data.units.area.name}`;
        const share = (100 * under[f]) / Math.max(cells[f], 1);
        const bar = make("span", { class: "track", role: "img", "aria-label": `${share.toFixed(0)} % of it` }, make("i", { style: `width:${share}%` }));
        return make("tr", {}, make("th", { scope: "row" }, field.name), make("td", {}, bar), make("td", {}, text));
    });
    return make("table", { class: "shares" }, make("caption", {}, "Under water at this level"), make("tbody", {}, ...rows));
}
