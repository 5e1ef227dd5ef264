// SPDX-License-Identifier: Apache-2.0
// Grids as the page carries them (io/page_bytes.hpp) back into numbers.

/** Unpacks one grid: number n is stored[n] * step + zero, in SI; `missing` where there is none. */
export async function unpack(grid) {
    const packed = Uint8Array.from(atob(grid.bytes), (c) => c.charCodeAt(0));
    const stream = new Blob([packed]).stream().pipeThrough(new DecompressionStream("deflate"));
    const bytes = new Uint8Array(await new Response(stream).arrayBuffer());
    const count = grid.rows * grid.cols;
    const stored = grid.kind === "uint8" ? new Uint8Array(count) : new Int16Array(count);
    let before = 0;
    for (let n = 0; n < count; n++) {
        before += grid.kind === "uint8" ? bytes[n] : bytes[n] | (bytes[count + n] << 8);
        stored[n] = before; // wraps round like the array's numbers
    }
    return new Grid(grid, stored);
}

export class Grid {
    constructor({ rows, cols, cell_x_m, cell_y_m, step, zero, missing, factors }, stored) {
        Object.assign(this, { rows, cols, cell_x_m, cell_y_m, step, zero, missing, factors, stored });
    }

    /** SI value of cell n; NaN where there is none. */
    value(n) {
        const s = this.stored[n];
        if (s === this.missing) return NaN;
        const v = s * this.step + this.zero;
        return this.factors ? 10 ** v : v;
    }

    /** Number of the cell at metres along the rows and down them; -1 outside. */
    cell(x, y) {
        const col = Math.floor(x / this.cell_x_m);
        const row = Math.floor(y / this.cell_y_m);
        return col >= 0 && row >= 0 && col < this.cols && row < this.rows ? row * this.cols + col : -1;
    }

    at(x, y) {
        const n = this.cell(x, y);
        return n < 0 ? NaN : this.value(n);
    }
}

const kept = new Map();

/** Unpacked once, on first use. */
export function grid(data, name) {
    if (!kept.has(name)) kept.set(name, unpack(data.grids[name]));
    return kept.get(name);
}
