// SPDX-License-Identifier: Apache-2.0
// The night through its hours: temperatures and flow on the night's own cells.
import L from "leaflet";
import { make, slider, tick } from "./dom.js";
import { grid, unpack } from "./grids.js";
import { GroundMap, legend, place } from "./map.js";
import { addLines, percent } from "./layers_map.js";
import { paint, pixelTable } from "./paint.js";
import { numberText, valueText } from "./units.js";

const CALM = 0.02; // m/s; below it the air has no direction worth drawing

const decodeHour = async (hour) => ({
    clock: hour.clock,
    temperature: await unpack(hour.temperature),
    along: await unpack(hour.along),
    down: await unpack(hour.down),
});

/** Arrows on every so many cells, some 28 along the longer side; as long as the air is fast, within reason. */
function arrowLines({ along, down }) {
    const every = Math.max(1, Math.ceil(Math.max(along.rows, along.cols) / 28));
    const cell = along.cell_x_m * every;
    const lines = [];
    for (let row = Math.floor(every / 2); row < along.rows; row += every) {
        for (let col = Math.floor(every / 2); col < along.cols; col += every) {
            const n = row * along.cols + col;
            const [u, v] = [along.value(n), down.value(n)];
            const speed = Math.hypot(u, v);
            if (!(speed >= CALM)) continue;
            const length = cell * Math.min(1, 0.35 + speed / 1.5);
            const [dx, dy] = [(u / speed) * length, (v / speed) * length];
            const x = (col + 0.5) * along.cell_x_m - dx / 2;
            const y = (row + 0.5) * along.cell_y_m - dy / 2;
            const [tipX, tipY] = [x + dx, y + dy];
            const barb = (turn) => place(tipX - 0.4 * (dx * Math.cos(turn) - dy * Math.sin(turn)), tipY - 0.4 * (dx * Math.sin(turn) + dy * Math.cos(turn)));
            lines.push([place(x, y), place(tipX, tipY)], [barb(0.5), place(tipX, tipY), barb(-0.5)]);
        }
    }
    return lines;
}

export async function nightMap(data, holder) {
    const { hours, layer } = data.night;
    const controls = make("div", { class: "controls" });
    holder.append(controls);
    const map = new GroundMap(data, holder, "Map of the night, hour by hour");
    const key = make("div", { class: "key" });
    holder.append(key);
    const ground = await grid(data, "ground");
    map.fieldGrid = await grid(data, "field_number");
    const decoded = hours.map(() => null);
    const arrows = L.polyline([], { color: "#111", weight: 1.4, opacity: 0.9, interactive: false }).addTo(map.map);
    let number = hours.length - 1;
    let withArrows = true;

    const { cell_x_m, cell_y_m, cols, rows } = hours[0].temperature;
    map.setBounds([place(0, rows * cell_y_m), place(cols * cell_x_m, 0)]);
    async function show(n) {
        number = n;
        decoded[n] ??= await decodeHour(hours[n]);
        if (number !== n) return; // moved on meanwhile
        const hour = decoded[n];
        paint(map.canvas, rows, cols, (i) => hour.temperature.value(i), pixelTable(layer));
        map.canvas.dataset.hour = hour.clock;
        arrows.setLatLngs(withArrows ? arrowLines(hour) : []);
        map.setReaders([
            (x, y) => map.fieldAt(x, y) ?? "",
            (x, y) => valueText(hour.temperature.at(x, y), layer.unit),
            (x, y) => windText(data, hour.along.at(x, y), hour.down.at(x, y)),
            (x, y) => `ground at ${valueText(ground.at(x, y), data.units.height)}`,
        ]);
    }
    const told = (n) => `${hours[n].clock}, ${hours[n].after_sunset_h.toFixed(hours[n].after_sunset_h % 1 ? 1 : 0)} h after sunset`;
    controls.append(
        slider("Time", { min: 0, max: hours.length - 1, step: 1, value: number }, told, show),
        slider("Strength of the colours", { min: 0, max: 1, step: 0.05, value: 0.75 }, percent, (v) => map.setOpacity(v)),
        tick("Arrows of the cold air", true, (on) => {
            withArrows = on;
            show(number);
        }),
    );
    addLines(data, map, controls);
    key.replaceChildren(legend(layer));
    await show(number);
    return map;
}

const COMPASS = ["north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west"];

function windText(data, u, v) {
    const speed = Math.hypot(u, v);
    if (!Number.isFinite(speed)) return "";
    if (speed < CALM) return "calm";
    const north = data.ground.north_deg; // of the map's north, clockwise from straight up the rows
    const from = (Math.atan2(-u, v) * 180) / Math.PI - north;
    return `air from the ${COMPASS[((Math.round(from / 45) % 8) + 8) % 8]}, ${numberText(speed, data.units.speed)} ${data.units.speed.name}`;
}
