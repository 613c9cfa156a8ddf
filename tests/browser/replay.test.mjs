// SPDX-License-Identifier: GPL-3.0-or-later
// `pushcycle replay` as a person meets it: it plays, seeks, works by keyboard, and says what `run --json` says.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { Browser, KEYS, closeBrowsers, sleep, until } from "./webdriver.mjs";

const pushcycle = (...args) => execFileSync(process.env.PUSHCYCLE, args, { encoding: "utf8", maxBuffer: 1 << 28 });
const storm = join(import.meta.dirname ?? new URL(".", import.meta.url).pathname, "../cli/night.yaml");
let folder;
before(() => (folder = mkdtempSync(join(tmpdir(), "pushcycle-replay-"))));
after(() => rmSync(folder, { recursive: true, force: true }));
after(closeBrowsers);

const make = (name, ...args) => {
  const file = join(folder, name);
  pushcycle("replay", "--quiet", "--output", file, ...args);
  return file;
};

const open = async (file, options = {}) => {
  const browser = await Browser.start(options);
  await browser.open(`file://${file}`);
  await until(() => browser.run(() => document.documentElement.dataset.ready === "yes"), "the page");
  return browser;
};

const KEYS_OF_TIME = ["fill", "carry", "dump", "return", "turn", "lower_raise", "wait", "clean_up", "idle"];

// The tables of every run, row by row.
const tables = (browser) => browser.run(() => [...document.querySelectorAll(".run")].map((run) => {
  const cells = (name) => [...run.querySelectorAll(`table.${name} tbody tr`)].map((row) => [...row.cells].map((cell) => cell.textContent));
  return { label: run.querySelector("h2").textContent, sums: run.querySelector(".sums").textContent, machines: cells("machines").map((row, m) => [...row, ...cells("times")[m].slice(1)]), zones: cells("zones") };
}));

// Seconds since the start of the demonstration lot, whose work begins at 22:30.
const clock = async (browser) => {
  const [h, m, s] = (await browser.text("#clock")).split(":").map(Number);
  return (3600 * h + 60 * m + s - 81000 + 86400) % 86400;
};

// All that one run shows at its end, as `run --json` has it.
const agree = (shown, json) => {
  json.machines.forEach((machine, m) => {
    const row = shown.machines[m];
    assert.equal(row[1].slice(row[1].indexOf(": ") + 2), `${machine.name}, ${machine.box}`);
    assert.equal(row[2], "done");
    assert.equal(row[3], String(machine.cycles));
    assert.ok(Math.abs(parseFloat(row[4]) - machine.placed_kg / 1000) <= 0.051, `${row[4]} against ${machine.placed_kg} kg`);
    KEYS_OF_TIME.forEach((key, k) => // shown to a tenth of a minute, kept to a thousandth of a second a leg
      assert.ok(Math.abs(row[5 + k] - machine.time_s[key] / 60) <= 0.055, `${machine.name} ${key}: ${row[5 + k]} against ${machine.time_s[key] / 60}`));
  });
  json.zones.forEach((zone, z) => {
    const row = shown.zones[z];
    assert.deepEqual([row[1], row[2]], [zone.name, String(zone.loads)]);
    assert.ok(Math.abs(parseFloat(row[3]) - zone.snow_kg / 1000) <= 0.051);
    assert.equal(row[6].trim(), zone.capacity_m3 === null ? "" : `${Math.round((100 * zone.volume_m3) / zone.capacity_m3)} %`);
  });
  assert.ok(shown.sums.startsWith(`Done after ${(json.total_time_s.mean / 60).toFixed(1)} min; ${json.cycles.mean} loads, `), shown.sums);
};

// A grid of colours of the first map, to compare pictures.
const picture = (browser) => browser.run(() => {
  const canvas = document.querySelector(".map canvas"), seen = [];
  const copy = Object.assign(document.createElement("canvas"), { width: canvas.width, height: canvas.height });
  const c = copy.getContext("2d", { willReadFrequently: true });
  c.drawImage(canvas, 0, 0);
  const { data } = c.getImageData(0, 0, copy.width, copy.height);
  for (let y = 5; y < copy.height; y += 7)
    for (let x = 5; x < copy.width; x += 7) seen.push(data.slice(4 * (y * copy.width + x), 4 * (y * copy.width + x) + 3).join());
  return seen;
});
const whites = (seen) => seen.filter((colour) => colour === "250,250,250").length;

test("a box is drawn beside what it passes, as far off its lane's middle as it takes", async () => {
  const browser = await open(make("aside.html", "--layout", "three piles"));
  const by = (at, facing, half) => browser.run((...args) => {
    const things = [
      { outline: [[0, 20], [48, 20], [48, 25], [0, 25]], bounds: [0, 20, 48, 25] }, { outline: [[0, 30], [48, 30], [48, 35], [0, 35]], bounds: [0, 30, 48, 35] },
      { at: [20, 10], radius_m: 0.5, bounds: [19.5, 9.5, 20.5, 10.5] },
    ];
    return Lot.aside(things, ...args);
  }, at, facing, half);
  const near = (found, expected) => assert.ok(Math.abs(found - expected) < 1e-9, `${found} against ${expected}`);
  near(await by([30, 19.3], 0, 2.44), -1.7); // its left end at 21.74: to 20.05 in steps of 0.1, less 0.05 that may graze
  near(await by([30, 19.3], Math.PI, 2.44), 1.7);
  near(await by([30, 17], 0, 2.44), 0);
  near(await by([20, 9], 0, 2.44), -1.9); // the pole's near side is at 9.5
  near(await by([20, 10.7], 0, 2.44), 2.2); // and its far one at 10.5
  near(await by([30, 27.5], 0, 2.44), 0); // 5 m between two rows
  near(await by([30, 27.5], 0, 2.6), 0); // no room on either side: where it is simulated
  near(await by([60, 22], 0, 2.44), 0);
  await browser.close();
});

// Where by hand: the zones reach 6 m beyond a lot of 40 m by 20 m on either side, so [20, 10] is the middle. Orange: Okabe & Ito (2008).
test("the fuel point is on the map, and no other is", async () => {
  const small = new URL("../cli/small.yaml", import.meta.url).pathname;
  for (const set of [["--set", "fuel_point=[20, 10]"], []]) {
    const browser = await open(make("fuel.html", small, "--layout", "two piles", ...set));
    try {
      const seen = await browser.run(() => {
        const canvas = document.querySelector(".map canvas"), copy = Object.assign(document.createElement("canvas"), { width: canvas.width, height: canvas.height });
        const c = copy.getContext("2d"), bar = 20 * (window.devicePixelRatio || 1);
        c.drawImage(canvas, 0, 0);
        return [...c.getImageData(canvas.width / 2, (canvas.height - bar) / 2, 1, 1).data.slice(0, 3)].join();
      });
      assert.equal(seen === "230,159,0", set.length > 0, seen);
      assert.deepEqual(await browser.console(), []);
    } finally {
      await browser.close();
    }
  }
});

test("two runs of the demonstration lot end with the totals of run --json, and need no network", async () => {
  const file = make("two.html", "--policies", "straight-runs,keep-pushing", "--layout", "three piles");
  assert.ok(statSync(file).size < 3e6, `${statSync(file).size} bytes`);
  const html = readFileSync(file, "utf8");
  assert.ok(!/\b(src|href)=/.test(html.replace(/<script type="application\/json".*?<\/script>/s, "")), "nothing is fetched");
  const browser = await open(file);
  try {
    await browser.press(KEYS.end);
    const shown = await tables(browser);
    assert.deepEqual(shown.map((run) => run.label), ["straight-runs", "keep-pushing"]);
    for (const run of shown)
      agree(run, JSON.parse(pushcycle("run", "--quiet", "--json", "--replications", "1", "--layout", "three piles", "--policy", run.label)));
    assert.equal(await browser.run(() => performance.getEntriesByType("resource").length), 0);
    assert.deepEqual(await browser.console(), []);
  } finally {
    await browser.close();
  }
});

test("snow goes while it plays, and comes back when the clock goes back", async () => {
  const browser = await open(make("one.html", "--layout", "three piles"));
  try {
    const first = await picture(browser);
    assert.ok(whites(first) > 1000, "the lot lies under snow at first");
    await browser.click("#play");
    await until(async () => (await clock(browser)) > 60, "the clock to run");
    await browser.press(KEYS.space); // the focus is on the button: once, not twice
    const paused = await clock(browser);
    assert.equal(await browser.text("#play"), "Play");
    await sleep(300);
    assert.equal(await clock(browser), paused);
    await browser.press(KEYS.end);
    assert.ok(whites(await picture(browser)) < 0.05 * whites(first), "hardly any is left at the end");
    for (const share of [0.7, 0.2, 0.5])
      await browser.run((s) => {
        const seek = document.getElementById("seek");
        seek.value = String(Math.round(s * seek.max));
        seek.dispatchEvent(new Event("input"));
      }, share);
    const half = await picture(browser);
    assert.ok(whites(half) > 0.1 * whites(first) && whites(half) < 0.8 * whites(first), `${whites(half)} of ${whites(first)}`);
    await browser.press(KEYS.home);
    assert.deepEqual(await picture(browser), first);
    assert.deepEqual(await browser.console(), []);
  } finally {
    await browser.close();
  }
});

test("the clock shows clock times where the scenario says when the work starts", async () => {
  for (const [start, first, later, last] of [["22:30", "22:30:00", "22:40:00", "22:40, 10 min of "], ["11:55 pm", "11:55:00 pm", "12:05:00 am", "12:05 am, 10 min of "]]) {
    const browser = await open(make("clock.html", storm, "--set", `starts_at=${start}`));
    try {
      assert.equal(await browser.text("#clock"), first);
      assert.equal(await browser.run(() => document.getElementById("clock").getAttribute("aria-label")), "Time of day");
      for (let minute = 0; minute < 10; minute++) await browser.press(KEYS.right);
      assert.equal(await browser.text("#clock"), later);
      assert.ok((await browser.run(() => document.getElementById("seek").getAttribute("aria-valuetext"))).startsWith(last));
      assert.ok((await browser.text("#status")).startsWith(last));
      assert.deepEqual(await browser.console(), []);
    } finally {
      await browser.close();
    }
  }
});

test("all of it works by keyboard, with a focus that shows, and the clock keeps quiet", async () => {
  const browser = await open(make("keys.html", "--layout", "one pile"));
  try {
    const focused = () => browser.run(() => {
      const at = document.activeElement;
      return [at.id || at.className, getComputedStyle(at).outlineStyle, at.matches(":focus-visible")];
    });
    const order = [];
    for (let i = 0; i < 4; i++) {
      await browser.press(KEYS.tab);
      order.push(await focused());
    }
    assert.deepEqual(order.map(([name]) => name), ["play", "seek", "speed", "tables"]);
    for (const [, outline, visible] of order) assert.deepEqual([outline, visible], ["solid", true]);
    await browser.press(KEYS.right);
    assert.equal(await clock(browser), 60);
    await browser.press([KEYS.shift, KEYS.right]);
    assert.equal(await clock(browser), 660);
    await browser.press(KEYS.left);
    assert.equal(await clock(browser), 600);
    const speed = () => browser.run(() => Number(document.getElementById("speed").value));
    const before = await speed();
    await browser.press(KEYS.up);
    assert.equal(await speed(), before + 1);
    await browser.press(KEYS.down, KEYS.down);
    assert.equal(await speed(), before - 1);
    await browser.press(KEYS.space);
    assert.equal(await browser.text("#play"), "Pause");
    await until(async () => (await clock(browser)) > 605, "the clock to run");
    await browser.press(KEYS.space);
    assert.equal(await browser.text("#play"), "Play");
    assert.deepEqual(await browser.run(() => [document.getElementById("clock").getAttribute("aria-live"), document.getElementById("status").getAttribute("aria-live"),
      [...document.querySelectorAll("input")].every((input) => input.labels.length === 1), document.querySelector(".map canvas").getAttribute("aria-label") !== null]),
    ["off", "polite", true, true]);
  } finally {
    await browser.close();
  }
});

test("where less motion is asked for, it plays as one still picture a second", async () => {
  const browser = await open(make("still.html"), { flags: ["--force-prefers-reduced-motion"] });
  try {
    await browser.press(KEYS.space);
    const seen = new Set();
    for (const end = Date.now() + 2600; Date.now() < end; await sleep(25)) seen.add(await clock(browser));
    assert.ok(seen.size >= 2 && seen.size <= 4, `${seen.size} pictures in 2.6 s`);
  } finally {
    await browser.close();
  }
});

test("names from the scenario are text, whatever they hold", async () => {
  const evil = `<script>hacked=1</script>`, image = `<img src=x onerror=hacked=1>`;
  const file = join(folder, "evil.yaml");
  writeFileSync(file, readFileSync(storm, "utf8").replace("name: Night", `name: "${evil}"`).replaceAll("east", `"${image}"`)
    .replace("name: loader,", `name: "</script>${evil}",`).replace("loader: loader", `loader: "</script>${evil}"`).replace("name: wide", `name: '<!--'`).replace("box: wide", `box: '<!--'`));
  const browser = await open(make("evil.html", file));
  try {
    assert.equal(await browser.text("#title"), evil);
    await browser.press(KEYS.end);
    const [shown] = await tables(browser);
    assert.equal(shown.machines[0][1], `A: </script>${evil} 1, <!--`);
    assert.equal(shown.zones[0][1], image);
    assert.equal(await browser.run(() => typeof window.hacked), "undefined");
    assert.deepEqual(await browser.console(), []);
  } finally {
    await browser.close();
  }
});

test("snow falls while a storm is played, and the totals are those of the run", async () => {
  const browser = await open(make("storm.html", storm));
  try {
    assert.ok((await tables(browser))[0].sums.endsWith("0.0 cm fell so far"));
    const light = (seen) => seen.reduce((sum, colour) => sum + Number(colour.split(",")[0]), 0);
    const first = light(await picture(browser));
    for (let i = 0; i < 4; i++) await browser.press([KEYS.shift, KEYS.right]);
    await browser.press(KEYS.end);
    agree((await tables(browser))[0], JSON.parse(pushcycle("run", "--quiet", "--json", "--replications", "1", storm)));
    assert.match((await tables(browser))[0].sums, /6\.0 cm fell so far$/);
    await browser.press(KEYS.home);
    assert.equal(light(await picture(browser)), first);
    assert.deepEqual(await browser.console(), []);
  } finally {
    await browser.close();
  }
});

test("the letter of a machine is nothing else on the lot", async () => {
  // four machines, A to D, and a drain, a hydrant, an entrance and a sight triangle
  const browser = await open(make("signs.html", "--layout", "three piles"));
  const drawn = await browser.run(() => {
    const texts = [], fill = CanvasRenderingContext2D.prototype.fillText;
    CanvasRenderingContext2D.prototype.fillText = function (text, x, y) {
      if (this.canvas.isConnected) texts.push(`${text} ${Math.round(x)} ${Math.round(y)}`);
      return fill.apply(this, arguments);
    };
    window.dispatchEvent(new Event("resize"));
    return new Promise((done) => setTimeout(() => done([...new Set(texts)]), 500));
  });
  const count = (text) => drawn.filter((place) => place.startsWith(`${text} `)).length;
  assert.deepEqual(["A", "B", "C", "D"].map(count), [1, 1, 1, 1], drawn.join("; "));
  assert.ok(count("drain") === 1 && count("hydrant") > 0, drawn.join("; "));
});
