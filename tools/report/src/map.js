// SPDX-License-Identifier: Apache-2.0
// A map of the ground: relief, one layer of values over it, outlines, scale, north, what lies under the pointer.
// Positions are metres along the raster's rows (x) and down them (y); Leaflet has latitude upwards, so -y.
import L from "leaflet";
import { make } from "./dom.js";
import { valueText } from "./units.js";

export const place = (x, y) => [-y, x];

const North = L.Control.extend({
    options: { position: "topright", degrees: 0 },
    onAdd() {
        const box = make("div", { class: "north", role: "img", "aria-label": "North" });
        box.innerHTML =
            `<svg viewBox="-12 -22 24 34" width="26" height="37" style="transform:rotate(${this.options.degrees}deg)">` +
            `<path d="M0-9 6 10 0 6-6 10Z"/><text y="-11" text-anchor="middle">N</text></svg>`;
        return box;
    },
});

export class GroundMap {
    /** `holder`: where the map goes; `told`: the element that says what lies under the pointer. */
    constructor(data, holder, title) {
        this.data = data;
        this.told = make("p", { class: "under", "aria-live": "polite" }, "Point at the map to read it.");
        this.holder = make("div", { class: "map", "aria-label": title });
        holder.append(this.holder, this.told);
        this.holder.style.aspectRatio = `${data.ground.width_m} / ${data.ground.height_m}`;
        const { width_m, height_m } = data.ground;
        this.bounds = [place(0, height_m), place(width_m, 0)];
        this.map = L.map(this.holder, {
            crs: L.CRS.Simple,
            attributionControl: false,
            zoomSnap: 0.25,
            zoomDelta: 0.5,
            minZoom: -8,
            maxZoom: 4,
            maxBounds: L.latLngBounds(this.bounds).pad(0.3),
            preferCanvas: true,
            scrollWheelZoom: false,
        });
        this.holder.addEventListener("click", () => this.map.scrollWheelZoom.enable());
        this.holder.addEventListener("pointerleave", () => this.map.scrollWheelZoom.disable());
        L.imageOverlay(data.relief, this.bounds, { className: "relief", alt: "Shaded relief of the ground" }).addTo(this.map);
        this.canvas = make("canvas", { class: "values" });
        this.overlay = L.svgOverlay(this.canvas, this.bounds, { opacity: 0.75 }).addTo(this.map);
        L.control.scale({ imperial: data.units.system === "us", metric: data.units.system !== "us", maxWidth: 140 }).addTo(this.map);
        new North({ degrees: data.ground.north_deg }).addTo(this.map);
        this.addFields();
        this.map.fitBounds(this.bounds, { animate: false });
        this.readers = [];
        this.map.on("mousemove", (e) => this.tell(e.latlng.lng, -e.latlng.lat));
        this.map.on("click", (e) => this.tell(e.latlng.lng, -e.latlng.lat));
        this.map.on("moveend", () => this.tellMiddle());
        this.holder.addEventListener("focus", () => this.tellMiddle());
        new ResizeObserver(() => this.map.invalidateSize({ animate: false })).observe(this.holder);
    }

    addFields() {
        for (const field of this.data.fields) {
            for (const line of [{ color: "#fff", weight: 4, opacity: 0.85 }, { color: "#111", weight: 1.6 }]) {
                L.polygon(field.parts.map((ring) => ring.map(([x, y]) => place(x, y))), { ...line, fill: false, interactive: false })
                    .addTo(this.map);
            }
            L.marker(place(...field.middle), {
                icon: L.divIcon({ className: "field-name", html: make("span", {}, field.name).outerHTML, iconSize: null }),
                interactive: false,
                keyboard: false,
            }).addTo(this.map);
        }
    }

    setBounds(bounds) {
        this.overlay.setBounds(bounds);
    }

    setOpacity(share) {
        this.overlay.setOpacity(share);
    }

    /** `reader(x, y)` gives one text for a place, or "". */
    setReaders(readers) {
        this.readers = readers;
    }

    tell(x, y) {
        const { width_m, height_m } = this.data.ground;
        if (x < 0 || y < 0 || x > width_m || y > height_m) return;
        const texts = this.readers.map((reader) => reader(x, y)).filter(Boolean);
        this.told.textContent = texts.join("; ") || "No value here.";
    }

    /** Without a pointer, the keys move the map and its middle is told. */
    tellMiddle() {
        if (!this.holder.matches(":focus")) return;
        const { lat, lng } = this.map.getCenter();
        this.tell(lng, -lat);
    }

    fieldAt(x, y) {
        const n = this.fieldGrid?.at(x, y);
        return Number.isFinite(n) ? this.data.fields[n]?.name : undefined;
    }
}

/** Swatches with their meaning. */
export function legend(layer) {
    const list = make("ul", { class: "swatches" });
    layer.colours.forEach((colour, n) => {
        const swatch = make("i", { style: `background:rgb(${colour.join(",")})` });
        list.append(make("li", {}, swatch, layer.legend[n]));
    });
    if (layer.blank) list.append(make("li", {}, `grey: ${layer.blank}`));
    return make("div", { class: "legend" }, make("b", {}, layer.label + (layer.unit?.name ? `, ${layer.unit.name}` : "")), list);
}

/** What a layer says of a place. */
export function layerReader(layer, grid) {
    if (layer.classes) {
        const names = new Map(layer.classes.map((c) => [c.value, c.name]));
        return (x, y) => names.get(grid.at(x, y)) ?? "no value";
    }
    return (x, y) => valueText(grid.at(x, y), layer.unit);
}
