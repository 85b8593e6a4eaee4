// Opens a page as a reader does, on a phone, at a desk and on paper, holds what it says of a moved
// level against the program, and has its model validated.
import assert from "node:assert/strict";
import { readFileSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import puppeteer from "puppeteer-core";
import validator from "gltf-validator";
import { checkMoves } from "./moves.mjs";
import { checkPaper } from "./paper.mjs";

const [made, program, data] = process.argv.slice(2);
const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

// The Khronos validator: no error.
const { issues } = await validator.validateBytes(new Uint8Array(readFileSync(join(made, "body.glb"))));
assert.equal(issues.numErrors, 0, JSON.stringify(issues.messages, null, 1));

// What the page must say, from the curve it holds; reckoned here anew.
const html = readFileSync(join(made, "page.html"), "utf8");
const holder = /(<script type="application\/json" id="data">)(.*?)(<\/script>)/s;
const curve = JSON.parse(html.match(holder)[2]);
const girthAt = (at) => {
  const i = curve.heights_mm.findIndex((h) => h > at);
  const [h0, h1] = [curve.heights_mm[i - 1], curve.heights_mm[i]];
  return (curve.taut_mm[i - 1] * (h1 - at) + curve.taut_mm[i] * (at - h0)) / (h1 - h0);
};
// The same page with 80 mm of skin missing around the first level.
const hole = curve.levels[0].height_mm;
const kept = curve.heights_mm.flatMap((h, i) => (Math.abs(h - hole) > 40 ? [i] : []));
const upper = kept.findIndex((i) => curve.heights_mm[i] > hole);
const holed = { ...curve, heights_mm: kept.map((i) => curve.heights_mm[i]),
  taut_mm: kept.map((i) => curve.taut_mm[i]), stretches: [[0, upper - 1], [upper, kept.length - 1]] };
writeFileSync(join(made, "holed.html"), html.replace(holder, (_, open, __, close) => open + JSON.stringify(holed) + close));

const args = process.getuid() === 0 ? ["--no-sandbox"] : [];
const browser = await puppeteer.launch({ executablePath: process.env.CHROMIUM, args });
const open = async (name, viewport) => {
  const page = await browser.newPage();
  const faults = [];
  page.on("console", (message) => { if (["error", "warn"].includes(message.type())) faults.push(message.text()); });
  page.on("pageerror", (error) => faults.push(String(error)));
  page.on("request", (request) => { if (!/^(file|data):/.test(request.url())) faults.push(request.url()); });
  await page.setViewport(viewport);
  await page.goto(pathToFileURL(join(made, name)).href);
  return { page, faults };
};
const said = (page) => page.$eval("#live-said", (output) => output.textContent);

try {
  for (const viewport of [{ width: 360, height: 740, isMobile: true, hasTouch: true },
    { width: 390, height: 844, isMobile: true, hasTouch: true }, { width: 1366, height: 900 }]) {
    const at = `${viewport.width} px`;
    const { page, faults } = await open("page.html", viewport);

    const [wide, room] = await page.evaluate(() => [document.documentElement.scrollWidth, innerWidth]);
    assert.ok(wide <= viewport.width && room <= viewport.width, `${at}: ${wide} wide`);
    const flat = await page.$$eval("svg.figure", (all) => all.filter((svg) => !(svg.clientWidth > 100 && svg.clientHeight > 50)).map((svg) => svg.id));
    assert.deepEqual(flat, [], `${at}: figures without a size`);
    if (viewport.hasTouch) {
      const low = await page.$$eval(".units label, select, input[type=range], summary",
        (all) => all.filter((e) => e.getBoundingClientRect().height < 44).map((e) => e.outerHTML.slice(0, 80)));
      assert.deepEqual(low, [], `${at}: too low to touch`);
    }
    await page.evaluate(axe);
    const violations = await page.evaluate(async () => (await axe.run()).violations.map(({ id, nodes }) =>
      `${id}: ${nodes.slice(0, 3).map((node) => node.html.slice(0, 120)).join(" | ")}`));
    assert.deepEqual(violations, [], at);

    // By keyboard alone: every control is reached, an arrow moves the level by its step.
    const reached = new Set();
    await page.evaluate(() => document.activeElement.blur());
    for (let i = 0; i < 40; i += 1) {
      await page.keyboard.press("Tab");
      const id = await page.evaluate(() => document.activeElement.id);
      reached.add(id);
      if (id === "live-height") break;
    }
    for (const id of ["show-cm", "live-level", "live-height"]) assert.ok(reached.has(id), `${at}: ${id} by keyboard`);
    const value = () => page.$eval("#live-height", (range) => Number(range.value));
    const before = await value();
    for (let i = 0; i < 7; i += 1) await page.keyboard.press("ArrowRight");
    const height = await value();
    assert.equal(height, before + 7, at);
    const girth = girthAt(height);
    const told = (await said(page)).match(/girth is ([\d.]+) cm/);
    assert.ok(told && Math.abs(Number(told[1]) * 10 - girth) <= 0.51, `${at}: ${await said(page)}, not ${girth}`);
    const [y, due] = await page.$eval("#girth-curve .probe", (line) => [Number(line.getAttribute("y1")),
      [line.dataset.floor, line.dataset.scale].map(Number)]);
    assert.ok(Math.abs(y - (due[0] - height * due[1])) < 1e-6, `${at}: probe at ${y}`);

    // The other unit, kept when the page is opened again.
    await page.click("label[for=show-in]");
    assert.match(await said(page), /girth is [\d /]+ in,/, at);
    assert.equal(await page.$eval(".cm", (e) => getComputedStyle(e).display), "none", at);
    await page.reload();
    assert.ok(await page.$eval("#show-in", (radio) => radio.checked), `${at}: unit forgotten`);
    await page.click("label[for=show-cm]");
    assert.deepEqual(faults, [], at);
    await page.close();
  }

  const { page, faults } = await open("holed.html", { width: 1000, height: 800 });
  assert.match(await said(page), /not measured here/);
  assert.doesNotMatch(await said(page), /Width at|Length between|--pin/);
  assert.equal(await page.$eval(".probe-dot", (dot) => dot.getAttribute("visibility")), "hidden");
  assert.deepEqual(faults, []);
  await checkMoves(open, said, program, data, made);
  await checkPaper(open, made);
  process.stdout.write("page and model: well\n");
} finally {
  await browser.close();
}
