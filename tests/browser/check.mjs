// Opens report pages in a real browser and looks for what people would complain about.
//
// In: paths of report.html files; SHOTS=folder for screenshots. Out: exit code 1 and a line for every
// complaint: console messages, requests, overflow, dead controls, accessibility faults, slow opening.

import { createRequire } from "node:module";
import { mkdirSync, readFileSync, statSync } from "node:fs";
import { basename, dirname, resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { chromium } from "playwright-core";

const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const WIDTHS = [360, 800, 1400];
// A page of a run of 1,000 x 5,000 orders may have so many bytes and take so long to open.
const MOST_BYTES = 3e6;
const MOST_MS = 2000;
const shots = process.env.SHOTS;
const complaints = [];
let checked = 0;

/** Notes a complaint unless the condition holds. */
function expect(holds, words) {
  checked += 1;
  if (!holds) { complaints.push(words); }
}

/** What a page does by itself: nothing on the console, no request but for itself. */
function listen(page, url, name) {
  page.on("console", (m) => expect(false, `${name}: console says ${m.text()}`));
  page.on("pageerror", (e) => expect(false, `${name}: error ${e.message}`));
  page.on("request", (r) => expect(r.url() === url || r.url().startsWith("data:"), `${name}: asks for ${r.url()}`));
  page.on("dialog", (d) => { expect(false, `${name}: a dialog ${d.message()}`); d.dismiss(); });
}

/** Nothing sticks out of the window; what scrolls does so in its own frame. */
async function overflow(page, name, width) {
  const seen = await page.evaluate(() => {
    const room = document.documentElement.clientWidth;
    const wide = [];
    for (const e of document.querySelectorAll("body *")) {
      if (e.closest("svg") && e.tagName !== "svg") { continue; }
      let frame = e.parentElement;
      while (frame && !["auto", "scroll", "hidden"].includes(getComputedStyle(frame).overflowX)) { frame = frame.parentElement; }
      if (!frame && e.getBoundingClientRect().right > room + 1) { wide.push(`${e.tagName}.${e.className}`); }
    }
    return { room, scroll: document.documentElement.scrollWidth, wide: wide.slice(0, 3) };
  });
  expect(seen.scroll <= seen.room, `${name}: at ${width} px the page is ${seen.scroll} px wide`);
  expect(seen.wide.length === 0, `${name}: at ${width} px ${seen.wide.join(", ")} stick out`);
  // From 800 px on nothing has to be scrolled sideways, not even within its frame.
  if (width >= 800) {
    const frames = await page.evaluate(() => [...document.querySelectorAll(".scroll, figure")]
      .filter((e) => e.scrollWidth > e.clientWidth + 1).map((e) => `${e.getAttribute("aria-label")} by ${e.scrollWidth - e.clientWidth}`));
    expect(frames.length === 0, `${name}: at ${width} px these scroll sideways: ${frames.slice(0, 5).join(" | ")}`);
  }
}

/** Zoom, search and hover of the timeline, where there is one. */
async function timeline(page, name) {
  if (await page.locator("#timeline").count() === 0) { return false; }
  const svg = page.locator("svg.live");
  expect(await svg.count() === 1, `${name}: the timeline did not come alive`);
  const drawn = () => svg.evaluate((e) => e.innerHTML);
  const told = () => page.locator(".told").textContent();
  const before = await drawn();
  await page.getByRole("button", { name: "Zoom in" }).click();
  expect(await drawn() !== before, `${name}: zoom does nothing`);
  const zoomed = await drawn();
  await page.getByRole("button", { name: "Later" }).click();
  expect(await drawn() !== zoomed, `${name}: panning does nothing`);
  await svg.focus();
  const panned = await drawn();
  await page.keyboard.press("ArrowLeft");
  expect(await drawn() !== panned, `${name}: the arrow keys do nothing`);
  await page.keyboard.press("-");
  const hint = await told();
  const bars = svg.locator("g[clip-path] rect");
  const boxes = await bars.evaluateAll((list) => list.map((e) => e.getBoundingClientRect()).map((b) => [b.x, b.y, b.width, b.height]));
  const widest = boxes.sort((a, b) => b[2] - a[2])[0];
  expect(widest !== undefined, `${name}: the timeline is empty`);
  await page.mouse.move(widest[0] + widest[2] / 2, widest[1] + widest[3] / 2);
  expect(await told() !== hint, `${name}: hovering tells nothing`);
  await page.mouse.move(2, 2);
  const order = await page.evaluate(() => JSON.parse(document.getElementById("timeline-data").textContent).rows.find((r) => r[4] >= 0)[4]);
  const field = page.locator(".tools input");
  await field.fill(String(order));
  await field.press("Enter");
  expect((await told()).includes(`Order ${order},`), `${name}: order ${order} is not found: ${await told()}`);
  await field.fill("no such order");
  await field.press("Enter");
  expect(!(await told()).includes(`Order ${order},`), `${name}: a name that is not there finds order ${order}`);
  return true;
}

/** Printed, each chart is whole: no frame cuts it, none is wider than the paper. */
async function printed(page, name) {
  await page.emulateMedia({ media: "print" });
  for (const [paper, width] of [["A4", 680], ["Letter", 700]]) {
    await page.setViewportSize({ width, height: 1000 });
    const cut = await page.evaluate(() => [...document.querySelectorAll("figure")].filter((f) => {
      const svg = f.querySelector("svg");
      if (!svg || getComputedStyle(f).display === "none") { return false; }
      const room = document.documentElement.clientWidth;
      const box = svg.getBoundingClientRect();
      return box.right > room + 1 || f.scrollWidth > f.clientWidth + 1 || box.height > 960;
    }).map((f) => f.textContent.slice(0, 40)));
    expect(cut.length === 0, `${name}: on ${paper} these charts are cut: ${cut.join(" | ")}`);
    const wide = await page.evaluate(() => [...document.querySelectorAll("table, pre")]
      .filter((e) => e.getBoundingClientRect().right > document.documentElement.clientWidth + 1)
      .map((e) => e.textContent.slice(0, 40)));
    expect(wide.length === 0, `${name}: on ${paper} these tables are cut: ${wide.join(" | ")}`);
  }
  const pdf = await page.pdf({ format: "A4" });
  expect(pdf.length > 10000, `${name}: the printed page is empty`);
  if (shots) { await page.pdf({ format: "A4", path: `${shots}/${name}-a4.pdf` }); }
  await page.emulateMedia({ media: "screen" });
}

/** No serious fault for people who do not see, hear or point like others. */
async function accessible(page, name, scheme) {
  await page.evaluate(axe);
  const faults = await page.evaluate(() => axe.run(document, { resultTypes: ["violations"] }).then((r) => r.violations
    .filter((v) => ["serious", "critical"].includes(v.impact))
    .map((v) => `${v.id} (${v.nodes.length}): ${v.nodes[0].html.slice(0, 120)}`)));
  expect(faults.length === 0, `${name} (${scheme}): ${faults.join("; ")}`);
}

async function check(browser, file) {
  const url = pathToFileURL(resolve(file)).href;
  const name = `${basename(dirname(resolve(file)))}`;
  const bytes = statSync(file).size;
  expect(bytes < MOST_BYTES, `${name}: ${bytes} bytes`);
  for (const scheme of ["light", "dark"]) {
    // The page allows no scripts but its own; the accessibility check is one.
    const context = await browser.newContext({ colorScheme: scheme, bypassCSP: true });
    const page = await context.newPage();
    listen(page, url, name);
    // The better of two: the first one of a browser pays for its start.
    let took = Infinity;
    for (let turn = 0; turn < 2; turn += 1) {
      const began = Date.now();
      await page.goto(url, { waitUntil: "load" });
      took = Math.min(took, Date.now() - began);
    }
    expect(took < MOST_MS, `${name}: took ${took} ms to open`);
    for (const width of WIDTHS) {
      await page.setViewportSize({ width, height: 900 });
      await overflow(page, name, width);
      if (shots) { await page.screenshot({ path: `${shots}/${name}-${scheme}-${width}.png`, fullPage: true }); }
    }
    await timeline(page, name);
    await accessible(page, name, scheme);
    if (scheme === "light") { await printed(page, name); }
    console.log(`${name} (${scheme}): ${bytes} bytes, open after ${took} ms`);
    await context.close();
  }
  // Without script all is there but what moves.
  const still = await browser.newContext({ javaScriptEnabled: false });
  const page = await still.newPage();
  listen(page, url, `${name} without script`);
  await page.goto(url);
  const figures = await page.locator("figure").count();
  expect(await page.locator("figure svg").count() === figures, `${name}: a chart is missing without script`);
  await still.close();
}

const files = process.argv.slice(2);
if (files.length === 0) { console.error("usage: node check.mjs REPORT.html ..."); process.exit(2); }
if (shots) { mkdirSync(shots, { recursive: true }); }
let browser;
try {
  browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", args: ["--no-sandbox"] });
} catch (error) {
  console.log(`skipped: the browser does not start: ${error.message.split("\n")[0]}`);
  process.exit(0);
}
for (const file of files) { await check(browser, file); }
await browser.close();
for (const words of complaints) { console.log(`WRONG  ${words}`); }
console.log(`${checked} checks, ${complaints.length} complaints`);
process.exit(complaints.length === 0 ? 0 : 1);
