// SPDX-License-Identifier: GPL-3.0-or-later
// `pushcycle board` as a person meets it, and as one who means harm does.
import assert from "node:assert/strict";
import { execFileSync, spawn } from "node:child_process";
import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { request } from "node:http";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { after, before, test } from "node:test";
import { fileURLToPath } from "node:url";
import { Browser, KEYS, closeBrowsers, sleep, until } from "./webdriver.mjs";

const here = dirname(fileURLToPath(import.meta.url)), small = join(here, "../cli/small.yaml"), feet = join(here, "../cli/feet.yaml");
let folder;
before(() => (folder = mkdtempSync(join(tmpdir(), "pushcycle-board-"))));
after(() => rmSync(folder, { recursive: true, force: true }));
after(closeBrowsers);
const children = new Set();
after(() => children.forEach((child) => child.kill()));

// A board; `end` sends a signal and gives the exit status.
const start = async (...args) => {
  const child = spawn(process.env.PUSHCYCLE, ["board", "--quiet", ...args], { stdio: ["ignore", "pipe", "pipe"] });
  children.add(child);
  let said = "", complained = "";
  child.stdout.on("data", (part) => (said += part));
  child.stderr.on("data", (part) => (complained += part));
  const ended = new Promise((resolve) => child.on("exit", (code, signal) => resolve(code ?? signal)));
  await until(() => said.includes("\n") || child.exitCode !== null, "the address");
  assert.match(said, /^http:\/\/127\.0\.0\.1:\d+\/\?token=[0-9a-f]{32}\n$/, complained);
  const url = new URL(said.trim());
  const end = async (signal = "SIGINT") => {
    children.delete(child);
    child.kill(signal);
    return ended;
  };
  return { url: said.trim(), port: Number(url.port), token: url.searchParams.get("token"), end };
};

const ready = (browser) => until(() => browser.run(() => document.documentElement.dataset.answered !== undefined), "the first answer");
const open = async (board, options = {}) => {
  const browser = await Browser.start({ width: 1300, height: 1000, ...options });
  await browser.open(board.url);
  await ready(browser);
  return browser;
};

const answered = (browser) => browser.run(() => document.documentElement.dataset.answered);
// What is shown once all that was asked for has been answered.
const settled = async (browser) => {
  let last = "";
  await until(async () => {
    const now = (await answered(browser)) + (await browser.text("#state"));
    const same = now === last && !now.includes("simulating");
    last = now;
    await sleep(450);
    return same;
  }, "the answers");
  return browser.text("#total");
};
const minutes = (total) => parseFloat(total);

// Where a place of the lot is seen: small.yaml is 40 m x 20 m with zones of 6 m on both sides; the page does not tell
// its scale, so that it is taken from two corners of the map's own drawing (12 zones px).
const spot = (browser, x, y) => browser.run((wx, wy) => {
  const canvas = document.getElementById("map"), box = canvas.getBoundingClientRect();
  const [x0, y0, x1, y1] = [-6, 0, 46, 20], spare = 0.03 * 52, margin = 14, bar = 20;
  const wide = canvas.clientWidth, across = x1 - x0 + 2 * spare, up = y1 - y0 + 2 * spare;
  const scale = Math.min((wide - 2 * margin) / across, (640 - 2 * margin - bar) / up), left = (wide - across * scale) / 2;
  return [box.left + canvas.clientLeft + left + (wx - x0 + spare) * scale, box.top + canvas.clientTop + margin + (y1 + spare - wy) * scale];
}, x, y);

// A request as any program may send it.
const raw = (board, { method = "POST", path = "/answer", body = "", headers = {} } = {}) => new Promise((resolve, reject) => {
  const usual = { Host: `127.0.0.1:${board.port}`, Origin: `http://127.0.0.1:${board.port}`, "X-Pushcycle-Token": board.token, "Content-Type": "application/json" };
  const all = { ...(method === "POST" ? usual : { Host: usual.Host }), ...headers };
  for (const key of Object.keys(all)) if (all[key] === null) delete all[key];
  const sent = request({ host: "127.0.0.1", port: board.port, method, path, headers: all }, (response) => {
    let text = "";
    response.on("data", (part) => (text += part));
    response.on("end", () => resolve({ status: response.statusCode, headers: response.headers, text }));
  });
  sent.on("error", reject);
  sent.end(body);
});

const zones = { east: { name: "east", from: "east", outline: [[40, 0], [46, 0], [46, 20], [40, 20]] }, west: { name: "west", from: "west", outline: [[-6, 0], [0, 0], [0, 20], [-6, 20]] } };
const ask = (more = {}) => JSON.stringify({ zones: [zones.east], full: true, ...more });

test("the total tells the clock time where the scenario says when the work starts", async () => {
  const board = await start(small, "--set", "starts_at=10:30 pm"), browser = await open(board);
  try {
    const total = await settled(browser), end = 22.5 * 60 + Math.round(minutes(total));
    assert.ok(end < 24 * 60 && minutes(total) > 0, total);
    assert.ok(total.endsWith(`, clear at ${Math.floor(end / 60) - 12}:${String(end % 60).padStart(2, "0")} pm`), total);
  } finally {
    await browser.close();
    await board.end();
  }
});

test("a scenario that is written into another folder leads to the same files, one that is downloaded is as it was", async () => {
  mkdirSync(join(folder, "lots"));
  writeFileSync(join(folder, "lots", "storm.csv"), "time,rate\n0,1\n1,0\n");
  writeFileSync(join(folder, "lots", "small.yaml"), readFileSync(small, "utf8") + "storm_file: storm.csv\n");
  const board = await start(join(folder, "lots", "small.yaml"), "--output", join(folder, "elsewhere.yaml"));
  try {
    const body = ask({ layout: "another" });
    assert.match((await raw(board, { path: "/scenario", body })).text, /^storm_file: storm\.csv$/m);
    assert.equal((await raw(board, { path: "/save", body })).status, 200);
    assert.match(readFileSync(join(folder, "elsewhere.yaml"), "utf8"), /^storm_file: 'lots\/storm\.csv'$/m);
  } finally {
    await board.end();
  }
});

test("the answer is that of run, and a layout that is written gives the same time", async () => {
  const board = await start(small, "--output", join(folder, "saved.yaml"));
  try {
    const answer = JSON.parse((await raw(board, { body: ask() })).text);
    const run = JSON.parse(execFileSync(process.env.PUSHCYCLE, ["run", "--quiet", "--json", "--layout", "one pile", small], { encoding: "utf8" }));
    assert.equal(answer.result.total_time_s.mean, run.total_time_s.mean);
    assert.deepEqual(answer.result.time_s, run.time_s);
    assert.deepEqual(answer.result.siting.map((finding) => finding.message), run.siting.map((finding) => finding.message));
    const shifted = { name: "east", from: "east", outline: [[40, -1], [46, -1], [46, 19], [40, 19]] };
    const third = { name: "new 1", from: null, outline: [[10, 20], [20, 20], [20, 26], [10, 26]] };
    const body = ask({ zones: [shifted, zones.west, third], layout: "three of them" });
    const moved = JSON.parse((await raw(board, { body })).text);
    assert.deepEqual(moved.faults, []);
    assert.equal((await raw(board, { path: "/save", body })).status, 200);
    const again = JSON.parse(execFileSync(process.env.PUSHCYCLE, ["run", "--quiet", "--json", "--layout", "three of them", join(folder, "saved.yaml")], { encoding: "utf8" }));
    assert.ok(Math.abs(again.total_time_s.mean / moved.result.total_time_s.mean - 1) < 1e-9);
    assert.deepEqual(again.zones.map((zone) => zone.name), ["east (2)", "west", "new 1"]);
    assert.match(readFileSync(join(folder, "saved.yaml"), "utf8"), /# A lot so small/);
    const twice = await raw(board, { path: "/save", body });
    assert.equal(twice.status, 409);
    assert.match(twice.text, /exists already/);
    const taken = await raw(board, { path: "/scenario", body: ask({ layout: "one pile" }) });
    assert.equal(taken.status, 400);
    assert.match(taken.text, /a layout of this name already/);
  } finally {
    assert.equal(await board.end(), 0);
  }
});

test("a zone is dragged with the mouse, and the time follows; undo takes it back", async () => {
  const board = await start(small, "--layout", "one pile", "--set", "chance.fill=5 %", "--replications", "4");
  const browser = await open(board);
  try {
    const first = await settled(browser);
    const [from, to] = [await spot(browser, 43, 10), await spot(browser, 43, 4)];
    await browser.drag(from, to);
    const lower = await settled(browser);
    assert.notEqual(lower, first);
    assert.match(await browser.text("#against"), /longer than at the start|shorter than at the start|as long as at the start/);
    assert.match(await browser.text("#state"), /mean of 4 simulated nights/);
    const shown = await browser.run(() => fetch("/answer", { method: "POST", headers: { "Content-Type": "application/json", "X-Pushcycle-Token": new URLSearchParams(location.search).get("token") },
      body: JSON.stringify({ zones: [{ name: "east", from: "east", outline: [[40, -6], [46, -6], [46, 14], [40, 14]] }], full: true }) }).then((r) => r.json()).then((a) => a.result.total_time_s.mean / 60));
    assert.ok(Math.abs(minutes(lower) - shown) < 0.3, `${lower} against ${shown}: dragged by 6 m`);
    assert.match(await browser.run(() => document.getElementById("news").textContent), /min; .* the start$/, "those who hear the page are told");
    await browser.click("#undo");
    assert.equal(await settled(browser), first);
    assert.equal(await browser.text("#against"), "as long as at the start");
    assert.deepEqual(await browser.console(), []);
  } finally {
    await browser.close();
    await board.end();
  }
});

test("a layout that is changed at once is still held against the start", async () => {
  const board = await start(small, "--set", "chance.fill=5 %", "--replications", "4");
  const browser = await Browser.start({ width: 1300, height: 1000 });
  try {
    await browser.open(board.url);
    await browser.run(() => document.getElementById("map").focus());
    await browser.press([KEYS.shift, KEYS.down]);
    await settled(browser);
    assert.match(await browser.text("#state"), /mean of 4/);
    assert.match(await browser.text("#against"), /(er|as long as) .* the start|at the start$/);
  } finally {
    await browser.close();
    await board.end();
  }
});

test("a place that is not possible is told in words instead of a time", async () => {
  const file = join(folder, "hall.yaml");
  writeFileSync(file, readFileSync(small, "utf8").replace("boxes:\n", "  obstacles:\n    - {name: hall, kind: building, outline: [[15, 8], [25, 8], [25, 12], [15, 12]]}\nboxes:\n"));
  const board = await start(file, "--layout", "two piles");
  const browser = await open(board);
  try {
    await settled(browser);
    await browser.drag(await spot(browser, 43, 10), await spot(browser, 20, 10));
    assert.equal(await settled(browser), "Not possible");
    assert.match(await browser.text("#faults"), /zone "east" lies on building "hall", by 24 m2/);
    await browser.click("#undo");
    assert.ok(minutes(await settled(browser)) > 1);
    assert.equal(await browser.text("#faults"), "");
    await browser.drag(await spot(browser, 43, 10), await spot(browser, -2, 10));
    assert.equal(await settled(browser), "Not possible");
    assert.match(await browser.text("#faults"), /overlap by/);
    await browser.click("#undo");
    for (let i = 0; i < 3; i++) {
      await browser.run(() => document.getElementById("map").focus());
      await browser.press("1", [KEYS.shift, KEYS.right]);
    }
    assert.equal(await settled(browser), "Not possible");
    assert.match(await browser.text("#faults"), /no machine of the crew can get from the areas to zone "east"/);
  } finally {
    await browser.close();
    await board.end();
  }
});

// 1 ft is 0.3048 m, exactly (NIST SP 811, appendix B).
for (const [lot, unit, words] of [[small, 1, "one metre"], [feet, 0.3048, "one foot"]])
  test(`keys move a zone by ${words}`, async () => {
    const board = await start(lot, "--layout", "two piles", "--output", join(folder, `steps ${words}.yaml`));
    const browser = await open(board);
    try {
      await settled(browser);
      assert.match(await browser.text("#keys"), new RegExp(`arrow keys move it by ${words} \\(with Shift ten\\)`));
      await browser.run(() => document.getElementById("map").focus());
      await browser.press("1", KEYS.right, KEYS.right, [KEYS.shift, KEYS.up]);
      await settled(browser);
      await browser.click("#save");
      await until(async () => (await browser.text("#saved")).includes("was written"), "the file");
      const zone = /name: 'east \(2\)', outline: (\[\[.*?\]\])/.exec(readFileSync(join(folder, `steps ${words}.yaml`), "utf8"));
      const was = unit === 1 ? [[40, 0], [46, 0], [46, 20], [40, 20]] : [[130, 0], [150, 0], [150, 65], [130, 65]];
      assert.deepEqual(JSON.parse(zone[1]), was.map(([x, y]) => [x + 2, y + 10])); // in the units of the file
    } finally {
      await browser.close();
      await board.end();
    }
  });

test("all of it works by keyboard: choose, move, turn, take away, undo", async () => {
  const board = await start(small, "--layout", "two piles");
  const browser = await open(board);
  try {
    const first = await settled(browser);
    const asked = () => browser.run(() => [...document.querySelectorAll("#zones .pick")].map((pick) => [pick.textContent, pick.getAttribute("aria-pressed")]));
    for (let i = 0; i < 4; i++) await browser.press(KEYS.tab); // three lists, then the map
    assert.deepEqual(await browser.run(() => [document.activeElement.id, document.activeElement.matches(":focus-visible"), getComputedStyle(document.activeElement).outlineStyle]), ["map", true, "solid"]);
    await browser.press("2");
    assert.deepEqual(await asked(), [["east", "false"], ["west", "true"]]);
    await browser.press("n");
    assert.deepEqual(await asked(), [["east", "true"], ["west", "false"]]);
    await browser.press([KEYS.shift, KEYS.down]);
    const moved = await settled(browser);
    assert.notEqual(moved, first);
    await browser.press("]", "[");
    assert.equal(await settled(browser), moved); // turned there and back
    await browser.press(KEYS.delete);
    await settled(browser);
    assert.deepEqual(await asked(), [["west", "true"]]);
    assert.match(await browser.text("#against"), /longer than at the start/);
    await browser.press([KEYS.control, "z"]);
    assert.equal((await asked()).length, 2);
    for (let i = 0; i < 3; i++) await browser.press([KEYS.control, "z"]);
    assert.equal(await settled(browser), first);
    assert.deepEqual(await browser.console(), []);
  } finally {
    await browser.close();
    await board.end();
  }
});

test("zones are dragged with a finger, added and taken away; boxes and layouts are chosen", async () => {
  const board = await start(small, "--layout", "one pile");
  const browser = await open(board, { flags: ["--touch-events=enabled"] });
  try {
    const first = await settled(browser);
    await browser.drag(await spot(browser, 43, 10), await spot(browser, 43, 3), { pointerType: "touch" });
    assert.notEqual(await settled(browser), first);
    await browser.click("#add");
    await settled(browser);
    assert.deepEqual(await browser.run(() => [...document.querySelectorAll("#zones .pick")].map((pick) => pick.textContent)), ["east", "new 1"]);
    await browser.click("#remove");
    const pick = (id, value) => browser.run((i, v) => {
      const list = document.getElementById(i);
      list.value = v;
      list.dispatchEvent(new Event("change"));
    }, id, value);
    await pick("layout", "two piles");
    await settled(browser);
    assert.equal(await browser.run(() => document.querySelectorAll("#zones .pick").length), 2);
    const wide = await settled(browser);
    await pick("box", "narrow");
    assert.ok(minutes(await settled(browser)) > minutes(wide), "a narrower box takes longer");
    await browser.click("#remove");
    await browser.click("#remove");
    assert.equal(await settled(browser), "Not possible");
    assert.match(await browser.text("#faults"), /at least one zone/);
  } finally {
    await browser.close();
    await board.end();
  }
});

test("a scenario without zones begins with none; the first one is added, simulated and written", async () => {
  const file = join(folder, "none.yaml"), kept = join(folder, "first.yaml");
  writeFileSync(file, readFileSync(small, "utf8").replace(/^(zones|layouts):\n( .*\n)+/gm, "").replace("compare:", "place: {length: 10 m, width: 6 m}\ncompare:"));
  const board = await start(file, "--output", kept, "--set", "site.areas[0].heading=auto");
  const browser = await Browser.start({ width: 1300, height: 1000 });
  try {
    await browser.open(board.url);
    await until(() => browser.run(() => document.documentElement.dataset.ready !== undefined), "the page");
    assert.equal(await browser.text("#total"), "Not possible");
    assert.match(await browser.text("#faults"), /at least one zone/);
    await browser.click("#add");
    await ready(browser);
    assert.ok(minutes(await settled(browser)) > 0);
    await browser.click("#save");
    await until(() => existsSync(kept), "the saved file");
    const written = readFileSync(kept, "utf8");
    assert.match(written, /\nzones:\n {2}- \{name: 'new 1', outline: /);
    assert.match(written, /\nlayouts:\n {2}- \{name: 'board', zones: \['new 1'\]\}\n$/);
    execFileSync(process.env.PUSHCYCLE, ["run", kept, "--quiet"]);
    assert.deepEqual(await browser.console(), []);
  } finally {
    await browser.close();
    await board.end();
  }
});

test("the layout comes as a file of its own", async () => {
  const board = await start(small, "--output", join(folder, "kept.yaml"));
  const browser = await open(board);
  try {
    await settled(browser);
    await browser.press([KEYS.shift, KEYS.tab]);
    await browser.run(() => (document.getElementById("name").value = "the night of the ferry"));
    await browser.click("#download");
    const file = join(browser.downloads, "the-night-of-the-ferry.yaml");
    await until(() => existsSync(file), "the file");
    assert.match(readFileSync(file, "utf8"), /name: 'the night of the ferry', zones: \['east'\]/);
    await browser.click("#save");
    await until(() => existsSync(join(folder, "kept.yaml")), "the saved file");
    await until(async () => (await browser.text("#saved")).includes("was written"), "the news");
    await browser.click("#save");
    await until(async () => (await browser.text("#saved")).includes("exists already"), "the refusal");
  } finally {
    await browser.close();
    await board.end();
  }
});

test("names from the scenario are text on the board, whatever they hold", async () => {
  const file = join(folder, "evil.yaml"), evil = `</script><script>hacked=1</script>`, image = `<img src=x onerror=hacked=1>`;
  writeFileSync(file, readFileSync(small, "utf8").replace("name: Small lot", `name: "${evil}"`).replaceAll("east", `"${image}"`));
  const board = await start(file);
  const browser = await open(board);
  try {
    await settled(browser);
    assert.equal(await browser.text("#title"), `Planning board: ${evil}`);
    assert.equal(await browser.text("#zones .pick"), image);
    assert.equal(await browser.run(() => typeof window.hacked), "undefined");
    assert.deepEqual(await browser.console(), []);
  } finally {
    await browser.close();
    await board.end();
  }
});

test("only the page itself may ask", async () => {
  const board = await start(small);
  const wrong = "0".repeat(32), own = `http://127.0.0.1:${board.port}`;
  const status = async (options) => (await raw(board, options)).status;
  try {
    assert.equal(await status({ body: ask() }), 200);
    // the token: none, wrong, too short, in the wrong place
    for (const token of [null, wrong, board.token.slice(1), `${board.token}0`])
      assert.equal(await status({ body: ask(), headers: { "X-Pushcycle-Token": token } }), 403);
    assert.equal(await status({ path: `/answer?token=${board.token}`, body: ask(), headers: { "X-Pushcycle-Token": null } }), 403);
    for (const path of ["/", "/?token=", `/?token=${wrong}`]) assert.equal(await status({ method: "GET", path }), 403);
    assert.equal(await status({ method: "GET", path: `/?token=${board.token}` }), 200);
    // pages from elsewhere: another origin, none at all, one that only begins alike
    for (const origin of ["https://example.org", "null", null, `http://127.0.0.1:${board.port + 1}`, `${own}.example.org`, `https://127.0.0.1:${board.port}`])
      assert.equal(await status({ body: ask(), headers: { Origin: origin } }), 403, String(origin));
    assert.equal(await status({ method: "GET", path: `/?token=${board.token}`, headers: { Origin: "https://example.org" } }), 403);
    // DNS rebinding: a name that leads here is still another name
    for (const host of [`example.org:${board.port}`, "127.0.0.1", `127.0.0.1:${board.port}.example.org`, `0.0.0.0:${board.port}`])
      assert.equal(await status({ body: ask(), headers: { Host: host, Origin: `http://${host}` } }), 403, host);
    assert.equal(await status({ body: ask(), headers: { Host: `localhost:${board.port}`, Origin: `http://localhost:${board.port}` } }), 200);
    // forms can not send JSON as such
    for (const type of ["text/plain", "application/x-www-form-urlencoded", null])
      assert.equal(await status({ body: ask(), headers: { "Content-Type": type } }), 415);
  } finally {
    assert.equal(await board.end("SIGTERM"), 0);
  }
});

test("nothing else is served, and nothing that is asked for breaks it", async () => {
  const board = await start(small);
  const status = async (options) => (await raw(board, options)).status;
  try {
    for (const path of ["/../../../etc/passwd", "/..%2f..%2f..%2fetc%2fpasswd", "/%2e%2e/small.yaml", "/small.yaml", "/index.html", "//etc/passwd", "/?token/../x"])
      assert.ok([403, 404].includes(await status({ method: "GET", path })), path);
    assert.equal(await status({ path: "/save", body: ask() }), 404, "nothing may be saved without --output");
    for (const method of ["PUT", "DELETE", "OPTIONS", "PATCH"]) assert.ok([403, 405].includes(await status({ method })), method);
    for (const path of ["/answer", "/scenario", "/save"]) assert.equal(await status({ method: "GET", path: `${path}?token=${board.token}` }), 404);
    const bad = ["", "{", "[]", "null", "1e999", "\u0000", "{}", `{"zones": []}`, `{"zones": [1]}`, `{"zones": [{"name": "a"}]}`, "[".repeat(5000),
      ask({ zones: [{ ...zones.east, outline: [[1, 2], [3, 4]] }] }), ask({ zones: [{ ...zones.east, outline: [[1, 2], [3, 4], [5, "6"]] }] }),
      ask({ zones: [{ ...zones.east, outline: [[1, 2], [3, 4], [1e300, 6]] }] }), ask({ zones: [{ ...zones.east, name: "" }] }), ask({ zones: [{ ...zones.east, name: "x".repeat(64) }] }),
      ask({ zones: [{ ...zones.east, from: "nowhere" }] }), ask({ zones: [{ ...zones.east, at: [1, 2] }] }), ask({ zones: Array(41).fill(zones.east) }),
      ask({ box: "no such box" }), ask({ policy: "no such policy" }), ask({ box: 7 }), ask({ against_s: ["a"] }), `{"zones": 1, "zones": 2}`];
    for (const body of bad) {
      const { status: found, text } = await raw(board, { body });
      assert.equal(found, 400, `${body.slice(0, 60)} gave ${found}`);
      assert.ok(JSON.parse(text).error.length > 5);
    }
    // outlines that no pile can have are faults of the layout, not of the request
    for (const outline of [[[40, 0], [46, 20], [46, 0], [40, 20]], [[40, 0], [40, 0], [40, 0]]]) {
      const { status: found, text } = await raw(board, { body: ask({ zones: [{ ...zones.east, outline }] }) });
      assert.equal(found, 200);
      assert.ok(JSON.parse(text).faults.length > 0 && JSON.parse(text).result === undefined);
    }
    const twice = JSON.parse((await raw(board, { body: ask({ zones: [zones.east, zones.east] }) })).text);
    assert.ok(twice.faults.length > 0);
    assert.equal(await status({ body: " ".repeat(140000) }), 413);
    await assert.rejects(raw(board, { body: " ".repeat(140000), headers: { "Transfer-Encoding": "chunked", "Content-Length": null } }));
    const { headers } = await raw(board, { method: "GET", path: `/?token=${board.token}` });
    assert.match(headers["content-security-policy"], /^default-src 'none'; script-src 'sha256-.*connect-src 'self'.*frame-ancestors 'none'$/);
    assert.deepEqual([headers["x-content-type-options"], headers["referrer-policy"], headers["cache-control"]], ["nosniff", "no-referrer", "no-store"]);
    assert.equal(await status({ body: ask() }), 200, "it still answers");
  } finally {
    assert.equal(await board.end(), 0);
  }
});

test("a flood is turned away, and it answers again afterwards", async () => {
  const board = await start(small);
  try {
    const all = await Promise.all([...Array(300)].map(() => raw(board, { method: "GET", path: "/nothing" }).then((r) => r.status, () => 0)));
    assert.ok(all.filter((status) => status === 429).length > 100, `${all.filter((status) => status === 429).length} of 300`);
    await sleep(1500);
    assert.equal((await raw(board, { body: ask() })).status, 200);
  } finally {
    assert.equal(await board.end(), 0);
  }
});

test("it listens on this machine alone", async () => {
  const board = await start(small);
  try {
    const port = board.port.toString(16).toUpperCase().padStart(4, "0");
    const listening = readFileSync("/proc/net/tcp", "utf8").split("\n").filter((line) => new RegExp(`^ *\\d+: [0-9A-F]{8}:${port} 00000000:0000 0A`).test(line));
    assert.equal(listening.length, 1);
    assert.match(listening[0], / 0100007F:/); // 127.0.0.1, low byte first
    const v6 = existsSync("/proc/net/tcp6") ? readFileSync("/proc/net/tcp6", "utf8") : "";
    assert.ok(!new RegExp(`:${port} 0{32}:0000 0A`).test(v6));
  } finally {
    await board.end();
  }
});
