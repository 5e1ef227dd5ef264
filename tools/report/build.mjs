// SPDX-License-Identifier: Apache-2.0
// Makes what the program carries: build.mjs OUT writes report.js, report.css, ramps.json and licences.txt there.
// Libraries come from node_modules beside it, as package-lock.json has them.
import { lab } from "d3-color";
import { interpolateCividis, interpolatePlasma, interpolateViridis, interpolateYlGnBu } from "d3-scale-chromatic";
import { build } from "esbuild";
import { readFileSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

const here = dirname(fileURLToPath(import.meta.url));
const out = process.argv[2];

/** 256 colours from `scale`'s share `from` to `to`, spaced so that their lightness (CIE L*) falls or rises evenly. */
function evenRamp(scale, from, to) {
    const fine = Array.from({ length: 2001 }, (_, n) => scale(from + ((to - from) * n) / 2000));
    const lightness = fine.map((colour) => lab(colour).l);
    const [first, last] = [lightness[0], lightness[2000]];
    let at = 0;
    return Array.from({ length: 256 }, (_, n) => {
        const wanted = first + ((last - first) * n) / 255;
        while (at < 2000 && (wanted - lightness[at]) * (last - first) > 0) at++;
        const { r, g, b } = lab(fine[at]).rgb();
        return [r, g, b].map((c) => Math.max(0, Math.min(255, Math.round(c))));
    });
}

const ramps = {
    cold: evenRamp(interpolateCividis, 0, 1), // dark is cold
    plain: evenRamp(interpolateViridis, 0, 1),
    deep: evenRamp(interpolateYlGnBu, 0.12, 1), // dark is deep
    warn: evenRamp(interpolatePlasma, 1, 0), // dark is much
    rare: evenRamp(interpolatePlasma, 0, 1), // dark is often
};
writeFileSync(join(out, "ramps.json"), JSON.stringify(ramps));

await build({
    absWorkingDir: here,
    entryPoints: { report: "src/main.js" },
    outdir: out,
    bundle: true,
    minify: true,
    charset: "utf8",
    format: "iife",
    target: ["chrome90", "firefox113", "safari16.4"],
    loader: { ".png": "empty", ".gif": "empty" }, // of controls that aren't used
    legalComments: "none",
    logLevel: "warning",
});

const licences = ["leaflet", "uplot"].map((name) => {
    const folder = join(here, "node_modules", name);
    const { version } = JSON.parse(readFileSync(join(folder, "package.json"), "utf8"));
    return `${name} ${version}\n\n${readFileSync(join(folder, "LICENSE"), "utf8").trim()}\n`;
});
writeFileSync(join(out, "licences.txt"), licences.join("\n\n"));
