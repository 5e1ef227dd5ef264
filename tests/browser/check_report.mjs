// SPDX-License-Identifier: Apache-2.0
// Opens a report from file:// with no network, uses it, and prints what it saw as JSON for tests/check_report.py.
// Use: check_report.mjs CHROMIUM REPORT.html FOLDER PLACES.json, where PLACES is [[x_m, y_m] ...].
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { chromium } from "playwright-core";

const [executablePath, report, folder, placesFile] = process.argv.slice(2);
const places = JSON.parse(readFileSync(placesFile, "utf8"));
const quiet = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync"];
const browser = await chromium.launch({ executablePath, args: quiet });

/** Opens the report; `use` gets the page. Any request but the file's own and any complaint is a fault. */
async function open(options, use) {
    const context = await browser.newContext({ offline: true, ...options });
    const page = await context.newPage();
    const faults = [];
    page.on("request", (r) => /^(file|data|blob):/.test(r.url()) || faults.push(`asks for ${r.url()}`));
    page.on("console", (m) => m.type() === "error" && faults.push(m.text()));
    page.on("pageerror", (e) => faults.push(e.message));
    await page.goto(pathToFileURL(report).href);
    const result = await use(page);
    assert.deepEqual(faults, []);
    await context.close();
    return result;
}

const live = (page, kind) => page.locator(`[data-live=${kind}]`).first();

async function ready(page, kind) {
    await live(page, kind).scrollIntoViewIfNeeded();
    await page.locator(`[data-live=${kind}][data-ready=yes]`).first().waitFor({ timeout: 10000 });
    return live(page, kind);
}

/** How many pixels of a map's canvas are drawn, and a sum that tells two pictures apart. */
const drawn = (part, nth = 0) =>
    part.locator("canvas.values").nth(nth).evaluate((canvas) => {
        const { data } = canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height);
        let [count, sum] = [0, 0];
        for (let n = 0; n < data.length; n += 4) {
            if (data[n + 3] > 0) count++;
            sum = (sum * 31 + data[n] + 3 * data[n + 1] + 7 * data[n + 2] + 11 * data[n + 3]) % 2147483647;
        }
        return { count, sum };
    });

/** What the map says of a place when the pointer is there. */
async function pointAt(page, part, data, [x, y]) {
    const canvas = part.locator("canvas.values").first();
    await canvas.scrollIntoViewIfNeeded();
    const box = await canvas.boundingBox();
    await page.mouse.move(box.x + (x / data.width_m) * box.width, box.y + (y / data.height_m) * box.height);
    return part.locator(".under").textContent();
}

const ground = (page) => page.evaluate(() => JSON.parse(document.getElementById("data").textContent).ground);

async function readLayers(page) {
    const part = await ready(page, "layers");
    const select = part.locator("select").first();
    const names = await select.locator("option").evaluateAll((options) => options.map((o) => o.value));
    const seen = {};
    const sums = new Set();
    for (const name of names) {
        await select.selectOption(name);
        await part.locator(`canvas[data-layer="${name}"]`).waitFor();
        sums.add((await drawn(part)).sum);
        seen[name] = [];
        for (const place of places) seen[name].push(await pointAt(page, part, await ground(page), place));
    }
    assert.ok(sums.size > names.length / 2, "layers look alike");
    return seen;
}

async function useOpacity(page) {
    const part = await ready(page, "layers");
    await part.getByLabel("Strength of the colours").fill("0.3");
    const opacity = await part.locator("canvas.values").first().evaluate((c) => getComputedStyle(c).opacity);
    assert.equal(Number(opacity), 0.3);
}

async function useTime(page) {
    const part = await ready(page, "night");
    const slider = part.getByLabel("Time");
    const last = await drawn(part);
    await slider.fill("0");
    await page.waitForFunction(() => document.querySelector("[data-live=night] output").textContent.includes("1 h after"));
    await page.waitForTimeout(200);
    const first = await drawn(part);
    assert.notEqual(first.sum, last.sum, "the time slider changes nothing");
    await slider.focus();
    await page.keyboard.press("ArrowRight");
    assert.equal(await slider.inputValue(), "1");
    const outline = await slider.evaluate((e) => getComputedStyle(e).outlineStyle);
    assert.notEqual(outline, "none", "the focus can't be seen");
}

async function useStage(page) {
    const part = await ready(page, "stage");
    const slider = part.getByLabel("Water level");
    const most = Number(await slider.getAttribute("max"));
    const counts = [];
    for (const share of [0, 0.2, 0.5, 1]) {
        await slider.fill(String(Math.round((share * most) / 0.1524) * 0.1524));
        counts.push((await drawn(part)).count);
    }
    assert.equal(counts[0], 0, "water at level nought");
    assert.ok(counts[1] < counts[2] && counts[2] < counts[3], `water doesn't rise: ${counts}`);
    const inFields = counts[3];
    await part.getByLabel("Water rises from").selectOption("fill_stage");
    assert.notEqual((await drawn(part)).count, inFields);
    const level = Number(await slider.inputValue());
    const told = [];
    for (const place of places) told.push(await pointAt(page, part, await ground(page), place));
    return { level, told, shares: await part.locator(".shares").innerText() };
}

async function useSwipe(page) {
    const part = await ready(page, "swipe");
    const clip = () => part.locator("canvas.values").first().evaluate((c) => getComputedStyle(c).clipPath);
    const before = await clip();
    await part.getByLabel("Left of the line without").fill("0.9");
    assert.notEqual(await clip(), before);
    assert.notEqual((await drawn(part, 0)).sum, (await drawn(part, 1)).sum);
    return pointAt(page, part, await ground(page), places[0]);
}

async function useKeys(page) {
    const part = await ready(page, "layers");
    const map = part.locator(".map");
    await map.focus();
    const middle = await part.locator(".under").textContent();
    await page.keyboard.press("ArrowRight");
    await page.waitForTimeout(500);
    assert.ok(middle.includes("ground at"), `the middle isn't told: ${middle}`);
}

async function chart(page) {
    const part = await ready(page, "spots");
    const colours = await part.locator("canvas").evaluate((canvas) => {
        const { data } = canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height);
        const seen = new Set();
        for (let n = 0; n < data.length; n += 4) if (data[n + 3] === 255) seen.add((data[n] << 16) | (data[n + 1] << 8) | data[n + 2]);
        return seen.size;
    });
    assert.ok(colours > 3, "the chart is empty");
}

async function pictures(page, name) {
    for (const kind of ["layers", "night", "spots", "stage", "swipe"]) await ready(page, kind);
    const wider = await page.evaluate(() => document.scrollingElement.scrollWidth - innerWidth);
    assert.ok(wider <= 0, `${name}: the page is ${wider} px wider than the window`);
    await page.evaluate(() => scrollTo(0, 0));
    await page.screenshot({ path: join(folder, `${name}.png`), fullPage: true });
}

const seen = await open({ viewport: { width: 1280, height: 900 } }, async (page) => {
    const layers = await readLayers(page);
    await useOpacity(page);
    await useKeys(page);
    await useTime(page);
    await chart(page);
    const stage = await useStage(page);
    return { layers, stage, swipe: await useSwipe(page) };
});
await open({ viewport: { width: 1280, height: 900 } }, (page) => pictures(page, "desktop"));
await open({ viewport: { width: 390, height: 844 }, isMobile: true, hasTouch: true }, (page) => pictures(page, "phone"));
seen.dark = await open({ viewport: { width: 1000, height: 800 }, colorScheme: "dark" }, (page) =>
    page.evaluate(() => getComputedStyle(document.body).backgroundColor));
seen.without_script = await open({ viewport: { width: 1000, height: 900 }, javaScriptEnabled: false }, async (page) => ({
    text: await page.locator("main").innerText(),
    tables: await page.locator("table:visible").count(),
    maps: await page.locator("figure.still svg:visible").count(),
    map_height: (await page.locator("figure.still svg").first().boundingBox()).height,
}));
await open({ viewport: { width: 703, height: 900 } }, async (page) => {
    await page.emulateMedia({ media: "print" });
    const wider = await page.evaluate(() => document.scrollingElement.scrollWidth - innerWidth);
    assert.ok(wider <= 0, `print: ${wider} px wider than the paper`);
    await page.pdf({ path: join(folder, "report.pdf"), preferCSSPageSize: true });
});
await browser.close();
console.log(JSON.stringify(seen));
