// SPDX-License-Identifier: Apache-2.0
// SI figures in the units people read, by the page's own table (io/people_units.cpp).

/** `unit`: {name, size_si, zero_si, decimals}. */
export const toPeople = (si, unit) => (si - unit.zero_si) / unit.size_si;

export function numberText(si, unit) {
    if (!Number.isFinite(si)) return "–";
    const text = toPeople(si, unit).toFixed(unit.decimals);
    return Number(text) === 0 ? text.replace("-", "") : text.replace("-", "−");
}

export const valueText = (si, unit) =>
    Number.isFinite(si) ? `${numberText(si, unit)}${unit.name ? `\u00a0${unit.name}` : ""}` : "no value";
