// SPDX-License-Identifier: Apache-2.0
// Values into coloured cells.
import { toPeople } from "./units.js";

/** Class of a shown value among rising limits; values beyond the ends belong to the outermost class. */
export function classOf(value, limits) {
    let n = 0;
    while (n < limits.length - 2 && value >= limits[n + 1]) n++;
    return n;
}

/** Colour as one number for a little-endian pixel, or 0 for nothing. */
const pixel = ([r, g, b]) => ((255 << 24) | (b << 16) | (g << 8) | r) >>> 0;

/** For every stored number of a layer its pixel: quick, however many cells there are. */
export function pixelTable(layer) {
    const pixels = layer.colours.map(pixel);
    if (layer.classes) {
        const byClass = new Map(layer.classes.map((c, n) => [c.value, pixels[n]]));
        return (si) => byClass.get(si) ?? 0;
    }
    return (si) => {
        if (Number.isNaN(si) || (layer.from_zero && !(si > layer.nought))) return 0;
        return pixels[classOf(toPeople(si, layer.unit), layer.limits)];
    };
}

/** Draws `valueOf(n)` for every cell into a canvas of one pixel a cell. */
export function paint(canvas, rows, cols, valueOf, pixelOf) {
    if (canvas.width !== cols || canvas.height !== rows) {
        canvas.width = cols;
        canvas.height = rows;
    }
    const context = canvas.getContext("2d");
    const image = context.createImageData(cols, rows);
    const pixels = new Uint32Array(image.data.buffer);
    for (let n = 0; n < pixels.length; n++) pixels[n] = pixelOf(valueOf(n));
    context.putImageData(image, 0, 0);
}
