// SPDX-License-Identifier: Apache-2.0
// Makes what the program carries: build.mjs OUT writes report.js, report.css and licences.txt there.
// Libraries come from node_modules beside it, as package-lock.json has them.
import { build } from "esbuild";
import { readFileSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

const here = dirname(fileURLToPath(import.meta.url));
const out = process.argv[2];

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
