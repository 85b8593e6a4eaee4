// The page on paper: nothing cut off, no drawing torn, light, without what only a screen can do.
// What stands on each sheet is told by poppler, which shares nothing with the browser.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { join } from "node:path";

const POINTS = { A4: [595.3, 841.9], Letter: [612, 792] };
const MARGIN_MM = 12, POINTS_A_MM = 72 / 25.4;
// A page of a4 holds some 3000 characters of this size; the demo has 20 000, and 20 drawings.
const MOST_SHEETS = 16;

// Words with their places, sheet by sheet.
const sheetsOf = (file) => {
  const text = execFileSync("pdftotext", ["-bbox", file, "-"], { encoding: "utf8", maxBuffer: 1 << 26 });
  return text.split("<page ").slice(1).map((sheet) => [...sheet.matchAll(
    /<word xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)">([^<]*)<\/word>/g,
  )].map(([, left, top, right, low, word]) => ({ left: +left, top: +top, right: +right, low: +low, word })));
};

// Share of a sheet's picture elements darker than half, from a grey picture.
const dark = (file, sheet) => {
  const bytes = execFileSync("pdftoppm", ["-gray", "-r", "30", "-f", sheet, "-l", sheet, file], { maxBuffer: 1 << 26 });
  const [head, wide, high] = bytes.toString("latin1").match(/^P5\s+(\d+)\s+(\d+)\s+255\s/);
  const grey = bytes.subarray(head.length);
  assert.equal(grey.length, wide * high);
  return grey.reduce((count, value) => count + (value < 128 ? 1 : 0), 0) / grey.length;
};

export const checkPaper = async (open, made) => {
  const { page, faults } = await open("page.html", { width: 1366, height: 900 });
  // A mark at both ends of each drawing: they must come out on one sheet, upper mark above.
  const names = await page.$$eval("svg.figure", (all) => all.map((svg) => {
    const [, , wide, high] = svg.getAttribute("viewBox").split(" ").map(Number);
    for (const [end, y] of [["top", 2], ["end", high - 1]]) {
      const mark = document.createElementNS("http://www.w3.org/2000/svg", "text");
      mark.textContent = `${svg.id}:${end}`;
      mark.setAttribute("style", `font-size: 2px; text-anchor: middle`);
      mark.setAttribute("x", wide / 2);
      mark.setAttribute("y", y);
      svg.append(mark);
    }
    return svg.id;
  }));
  const titles = await page.$$eval("h2", (all) => all.map((h2) => h2.textContent));
  assert.ok(names.length > 15 && titles.length > 8);

  // Both at once: set one after the other, the second forgets the first.
  const session = await page.createCDPSession();
  await session.send("Emulation.setEmulatedMedia", { media: "print", features: [{ name: "prefers-color-scheme", value: "dark" }] });
  const hidden = await page.$$eval("#live, .units, .probe, .probe-dot", (all) => all.filter((e) => getComputedStyle(e).display !== "none").length);
  assert.equal(hidden, 0, "controls on paper");
  const [ink, ...paper] = await page.evaluate(() => [getComputedStyle(document.body).color,
    ...["body", "svg.figure"].map((of) => getComputedStyle(document.querySelector(of)).backgroundColor)]);
  assert.ok(Math.max(...ink.match(/\d+/g).map(Number)) < 100, `ink ${ink} on paper`);
  assert.deepEqual(paper, ["rgba(0, 0, 0, 0)", "rgb(255, 255, 255)"], "paper is white");
  for (const [format, [wide, high]] of Object.entries(POINTS)) {
    const room = Math.floor((wide - 2 * MARGIN_MM * POINTS_A_MM) / 0.75);
    await page.setViewport({ width: room, height: 1000 });
    const beyond = await page.$$eval("body *", (all, most) => all.filter((e) => e.getBoundingClientRect().right > most + 0.5)
      .map((e) => e.outerHTML.slice(0, 90)), room);
    assert.deepEqual(beyond, [], `${format}: wider than the sheet`);

    const file = join(made, `page-${format}.pdf`), margin = `${MARGIN_MM}mm`;
    await page.pdf({ path: file, format, printBackground: true, margin: { top: margin, right: margin, bottom: margin, left: margin } });
    const info = execFileSync("pdfinfo", [file], { encoding: "utf8" });
    const size = info.match(/Page size:\s+([\d.]+) x ([\d.]+)/).slice(1).map(Number);
    assert.ok(Math.abs(size[0] - wide) < 1 && Math.abs(size[1] - high) < 1, `${format}: ${size}`);
    const sheets = sheetsOf(file);
    assert.equal(sheets.length, Number(info.match(/Pages:\s+(\d+)/)[1]));
    assert.ok(sheets.length >= 3 && sheets.length <= MOST_SHEETS, `${format}: ${sheets.length} sheets`);

    const edge = MARGIN_MM * POINTS_A_MM - 1;
    for (const [i, words] of sheets.entries()) {
      const at = `${format}, sheet ${i + 1}`;
      assert.ok(words.length > 5, `${at} is empty`);
      const cut = words.filter((w) => w.left < edge || w.right > wide - edge || w.top < edge || w.low > high - edge);
      assert.deepEqual(cut, [], `${at}: over the margin`);
      assert.ok(dark(file, `${i + 1}`) < 0.25, `${at} prints dark`);
    }
    const find = (mark) => sheets.flatMap((words, i) => words.filter((w) => w.word === mark).map((w) => [i, w.top]));
    for (const name of names) {
      const [top, end] = [find(`${name}:top`), find(`${name}:end`)];
      assert.ok(top.length === 1 && end.length === 1, `${format}: ${name} is there ${top.length} and ${end.length} times`);
      assert.ok(top[0][0] === end[0][0] && top[0][1] < end[0][1], `${format}: ${name} is torn`);
    }
    const text = sheets.map((words) => words.map((w) => w.word).join(" ")).join(" ").replaceAll("&amp;", "&");
    let from = 0;
    for (const title of titles) {
      const found = text.indexOf(title.replaceAll(/\s+/g, " "), from);
      assert.ok(found >= 0, `${format}: "${title}" is missing or out of order`);
      from = found;
    }
    assert.ok(text.includes("Not a medical device"), `${format}: without its caution`);
    assert.ok(!/ in above the floor| 1\/2 in\b/.test(text), `${format}: both units on paper`);
  }
  assert.deepEqual(faults, []);
  await page.close();
};
