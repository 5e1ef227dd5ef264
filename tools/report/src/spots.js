// SPDX-License-Identifier: Apache-2.0
// The night at the named spots as curves.
import uPlot from "uplot";
import { make } from "./dom.js";
import { toPeople } from "./units.js";

// Dark2 of ColorBrewer: told apart by every eye; dashes tell them apart without colour.
const COLOURS = ["#1b9e77", "#d95f02", "#7570b3", "#e7298a", "#66a61e", "#a6761d"];
const DASHES = [[], [8, 4], [2, 3], [10, 3, 2, 3], [5, 2], [1, 2]];

function clockOf(sunset) {
    const [h, m] = sunset.split(":").map(Number);
    return (hours) => {
        const minutes = Math.round(h * 60 + m + hours * 60) % 1440;
        return `${String(Math.floor(minutes / 60)).padStart(2, "0")}:${String(minutes % 60).padStart(2, "0")}`;
    };
}

export function spotChart(data, holder) {
    const { spots, sunset, layer } = data.night;
    const unit = layer.unit;
    const clock = clockOf(sunset);
    const ink = getComputedStyle(document.body).color;
    const x = spots[0].after_sunset_h;
    const values = spots.map((s) => s.temperature_c.map((c) => toPeople(c, unit)));
    const axis = { stroke: ink, grid: { stroke: "#8883", width: 1 }, ticks: { stroke: "#8886" }, font: "13px system-ui, sans-serif", labelFont: "13px system-ui, sans-serif" };
    const place = make("div", { class: "chart", role: "img", "aria-label": `Curves of the air temperature through the night at ${spots.map((s) => s.name).join(", ")}` });
    holder.append(place);
    const width = () => Math.max(280, place.clientWidth);
    const chart = new uPlot(
        {
            width: width(),
            height: 280,
            scales: { x: { time: false } },
            series: [
                { label: "Time", value: (_, v) => (v == null ? "–" : clock(v)) },
                ...spots.map((s, n) => ({
                    label: s.name,
                    stroke: COLOURS[n % COLOURS.length],
                    width: 2.2,
                    dash: DASHES[n % DASHES.length],
                    points: { show: false },
                    value: (_, v) => (v == null ? "–" : `${v.toFixed(1)} ${unit.name}`),
                })),
            ],
            axes: [
                { ...axis, values: (_, ticks) => ticks.map(clock), space: 70 },
                { ...axis, label: `Air temperature, ${unit.name}`, size: 52, labelSize: 22 },
            ],
        },
        [x, ...values],
        place,
    );
    new ResizeObserver(() => chart.setSize({ width: width(), height: 280 })).observe(place);
    return chart;
}
