// SPDX-License-Identifier: GPL-3.0-or-later
// A report on paper and in a window: nothing of its widest tables is cut, on letter and on A4.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { existsSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { Browser, closeBrowsers } from "./webdriver.mjs";

const pushcycle = (...args) => execFileSync(process.env.PUSHCYCLE, args, { encoding: "utf8", maxBuffer: 1 << 28 });
const small = join(import.meta.dirname ?? new URL(".", import.meta.url).pathname, "../cli/small.yaml");
const PAPERS = { letter: [21.59, 27.94], A4: [21, 29.7] }; // cm: ANSI/ASME Y14.1 and ISO 216
const MARGIN_PT = 30; // less than the page rules ask for
let folder;
before(() => (folder = mkdtempSync(join(tmpdir(), "pushcycle-report-"))));
after(() => rmSync(folder, { recursive: true, force: true }));
after(closeBrowsers);

// Pages of a PDF: width, and the right end of the rightmost word.
const pagesOf = (pdf) => execFileSync("pdftotext", ["-bbox", "-", "-"], { input: pdf, encoding: "utf8", maxBuffer: 1 << 28 })
  .split("<page ").slice(1).map((page) => ({
    width: Number(/width="([\d.]+)"/.exec(page)[1]),
    height: Number(/height="([\d.]+)"/.exec(page)[1]),
    right: Math.max(0, ...[...page.matchAll(/xMax="([\d.-]+)"/g)].map((match) => Number(match[1]))),
    text: page,
  }));

const print = async (name, args, paper) => {
  const file = join(folder, `${name}.html`);
  if (!existsSync(file)) // the same for each paper
    pushcycle("report", small, "--quiet", "--replications", "3", "--set", "chance.carry=30 %", "--output", file, ...args);
  const browser = await Browser.start();
  try {
    await browser.open(`file://${file}`);
    const [width, height] = PAPERS[paper];
    return pagesOf(Buffer.from(await browser.post("/print", { page: { width, height }, shrinkToFit: false }), "base64"));
  } finally {
    await browser.close();
  }
};

const WIDEST = ["--layouts", "all", "--boxes", "all", "--depths", "5 cm,10 cm", "--crews", "1..2", "--policies", "keep-pushing,straight-runs",
  "--set", "loaders=[{name: a loader of some size, speeds: {push: 8 km/h, carry: 12 km/h, return: 16 km/h}}, {name: another, speeds: {push: 6 km/h, carry: 9 km/h, return: 12 km/h}}]",
  "--set", "crew=[{loader: another, box: wide}]", "--loaders", "all"];

for (const paper of Object.keys(PAPERS)) {
  test(`the widest table fits on ${paper} paper, on its side`, async () => {
    const pages = await print("widest", WIDEST, paper);
    for (const [i, page] of pages.entries())
      assert.ok(page.right <= page.width - MARGIN_PT, `page ${i + 1}: a word ends at ${page.right} of ${page.width}`);
    const wide = pages.filter((page) => page.text.includes(">efficiency</word>"));
    assert.ok(wide.length > 0, "the table is there");
    for (const page of wide) {
      assert.ok(page.width > page.height, "a page on its side");
      assert.ok(page.text.includes(">limited</word>"), "its last column, too");
    }
    assert.ok(pages[0].text.includes(">answer</word>") && wide[0] === pages[0], "the table follows the answer on its page");
    assert.ok(pages.some((page) => page.width < page.height), "the rest stands upright");
  });

  test(`the usual table fits on ${paper} paper upright`, async () => {
    for (const page of await print("usual", [], paper)) {
      assert.ok(page.width < page.height);
      assert.ok(page.right <= page.width - MARGIN_PT, `a word ends at ${page.right} of ${page.width}`);
    }
  });
}

// The right ends of every table and of what shows it, and whether that can be scrolled to its last column.
const tablesIn = () => {
  const room = document.documentElement.clientWidth;
  return [...document.querySelectorAll("table")].map((table) => {
    const around = table.parentElement, cell = table.rows[0].cells[table.rows[0].cells.length - 1];
    const out = { room, columns: table.rows[0].cells.length, end: cell.getBoundingClientRect().right, shown: around.getBoundingClientRect().right };
    around.scrollLeft = 1e6;
    return { ...out, scrolled: cell.getBoundingClientRect().right, page: document.documentElement.scrollWidth };
  });
};

for (const [width, all] of [[1300, true], [800, false]])
  test(`every column of the demonstration's report can be seen in a window of ${width} pixels`, async () => {
    const file = join(folder, `window-${width}.html`);
    pushcycle("report", "--quiet", "--replications", "2", "--output", file);
    const browser = await Browser.start({ width, height: 900 });
    try {
      await browser.open(`file://${file}`);
      const tables = await browser.run(tablesIn);
      assert.ok(tables.some((table) => table.columns >= 17), "the ranked table is there");
      for (const table of tables) {
        assert.ok(table.shown <= table.room && table.page <= table.room, "the page is no wider than the window");
        assert.ok(table.scrolled <= table.shown + 1, `a column ends at ${table.scrolled} of ${table.shown}`);
        if (all) assert.ok(table.end <= table.shown + 1, `without scrolling a column ends at ${table.end} of ${table.shown}`);
      }
    } finally {
      await browser.close();
    }
  });
