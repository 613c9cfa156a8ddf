// SPDX-License-Identifier: GPL-3.0-or-later
// A headless Chromium, driven by the W3C WebDriver protocol (https://www.w3.org/TR/webdriver2/) over plain
// fetch: no packages are needed beside Debian's chromium and chromium-driver.
import { spawn } from "node:child_process";
import { mkdtempSync, readdirSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";

const ELEMENT = "element-6066-11e4-a52e-4f735466cecf"; // the protocol's key of a reference to an element

// Keys by their code points in the protocol.
export const KEYS = {
  tab: "\uE004", enter: "\uE007", space: " ", end: "\uE010", home: "\uE011", left: "\uE012", up: "\uE013",
  right: "\uE014", down: "\uE015", shift: "\uE008", control: "\uE009", delete: "\uE017",
};

export const sleep = (ms) => new Promise((resolve) => setTimeout(resolve, ms));

// Waits until `check` gives something true, and returns that.
export async function until(check, what, ms = 15000) {
  const end = Date.now() + ms;
  for (;;) {
    const found = await check();
    if (found) return found;
    if (Date.now() > end) throw new Error(`waited ${ms} ms in vain for ${what}`);
    await sleep(20);
  }
}

function startDriver() {
  const driver = spawn("chromedriver", ["--port=0"], { stdio: ["ignore", "pipe", "pipe"] });
  return new Promise((resolve, reject) => {
    let said = "";
    const read = (part) => {
      said += part;
      const port = /started successfully on port (\d+)/.exec(said);
      if (port) resolve({ driver, base: `http://127.0.0.1:${port[1]}` });
    };
    driver.stdout.on("data", read);
    driver.stderr.on("data", read);
    driver.on("error", reject);
    driver.on("exit", (code) => reject(new Error(`chromedriver ended with ${code}: ${said}`)));
  });
}

const running = new Set(); // in use
const idle = new Map(); // by their flags: a browser takes seconds to start, so the next test may have it, with a new window

// For the end of every file of tests: one that failed half way may have left its browser open.
export const closeBrowsers = () => Promise.all([...running, ...idle.values()].map((browser) => browser.end()));

export class Browser {
  // A browser with one empty window of a size. `flags`: more of Chromium's own, as "--force-prefers-reduced-motion".
  static async start({ width = 1280, height = 900, flags = [] } = {}) {
    const kind = flags.join(" "), kept = idle.get(kind);
    idle.delete(kind);
    const browser = kept ?? (await Browser.launch(flags));
    browser.kind = kind;
    running.add(browser);
    await browser.post("/window/rect", { x: 0, y: 0, width, height });
    return browser;
  }

  static async launch(flags) {
    const { driver, base } = await startDriver();
    const browser = new Browser();
    browser.driver = driver;
    running.add(browser);
    browser.profile = mkdtempSync(join(tmpdir(), "pushcycle-browser-"));
    browser.downloads = mkdtempSync(join(browser.profile, "downloads-"));
    browser.base = base;
    const args = ["--headless=new", "--disable-gpu", "--disable-dev-shm-usage", "--no-first-run",
      `--user-data-dir=${browser.profile}`, ...flags];
    if (process.getuid && process.getuid() === 0) args.push("--no-sandbox"); // Chromium's sandbox refuses root
    try {
      const made = await browser.call("POST", `${base}/session`, {
        capabilities: {
          alwaysMatch: {
            browserName: "chrome",
            "goog:chromeOptions": { args, prefs: { "download.default_directory": browser.downloads } },
            "goog:loggingPrefs": { browser: "ALL" },
          },
        },
      });
      browser.base = `${base}/session/${made.sessionId}`;
    } catch (error) {
      await browser.end();
      throw error;
    }
    return browser;
  }

  async call(method, url, body) {
    const answer = await fetch(url, {
      method,
      headers: { "Content-Type": "application/json" },
      body: body === undefined ? undefined : JSON.stringify(body),
    });
    const { value } = await answer.json();
    if (value && value.error) throw new Error(`${value.error}: ${value.message}`);
    return value;
  }

  post(path, body = {}) {
    return this.call("POST", `${this.base}${path}`, body);
  }

  get(path) {
    return this.call("GET", `${this.base}${path}`);
  }

  open(url) {
    return this.post("/url", { url });
  }

  // Runs a function in the page and returns what it gives.
  run(body, ...args) {
    return this.post("/execute/sync", { script: `return (${body}).apply(null, arguments)`, args });
  }

  async find(selector) {
    return (await this.post("/element", { using: "css selector", value: selector }))[ELEMENT];
  }

  async text(selector) {
    return this.get(`/element/${await this.find(selector)}/text`);
  }

  async click(selector) {
    await this.post(`/element/${await this.find(selector)}/click`);
  }

  // Presses keys one after the other; those in one array are held together.
  async press(...keys) {
    const actions = [];
    for (const key of keys) {
      const chord = Array.isArray(key) ? key : [key];
      for (const value of chord) actions.push({ type: "keyDown", value });
      for (const value of [...chord].reverse()) actions.push({ type: "keyUp", value });
    }
    await this.post("/actions", { actions: [{ type: "key", id: "keyboard", actions }] });
  }

  // Drags from one place of the window to another, as a hand would: with stops on the way.
  async drag(from, to, { pointerType = "mouse", steps = 8 } = {}) {
    const move = ([x, y], duration) => ({ type: "pointerMove", duration, x: Math.round(x), y: Math.round(y), origin: "viewport" });
    const actions = [move(from, 0), { type: "pointerDown", button: 0 }];
    for (let i = 1; i <= steps; i++) {
      const at = [0, 1].map((k) => from[k] + ((to[k] - from[k]) * i) / steps);
      actions.push(move(at, 15));
    }
    actions.push({ type: "pointerUp", button: 0 });
    await this.post("/actions", {
      actions: [{ type: "pointer", id: pointerType, parameters: { pointerType }, actions }],
    });
  }

  // What the page wrote to the console, errors of the browser about it included; each is told once.
  async console() {
    return (await this.post("/se/log", { type: "browser" })).map((entry) => `${entry.level}: ${entry.message}`);
  }

  async screenshot() {
    return Buffer.from(await this.get("/screenshot"), "base64");
  }

  // Keeps it for the next test: with a new window instead of the old one, no key held, no cookie, nothing in the
  // console and no file among the downloads. What can't be brought so far ends.
  async close() {
    try {
      await this.call("DELETE", `${this.base}/actions`);
      const old = await this.get("/window"), { handle } = await this.post("/window/new", { type: "window" });
      await this.call("DELETE", `${this.base}/cookie`);
      await this.call("DELETE", `${this.base}/window`);
      await this.post("/window", { handle });
      if ((await this.get("/window/handles")).includes(old)) throw new Error("the old window stays");
      await this.console();
      for (const file of readdirSync(this.downloads)) rmSync(join(this.downloads, file));
      if (idle.has(this.kind)) throw new Error("one is enough");
      idle.set(this.kind, this);
      running.delete(this);
    } catch {
      await this.end();
    }
  }

  async end() {
    running.delete(this);
    if (idle.get(this.kind) === this) idle.delete(this.kind);
    try {
      if (this.base.includes("/session/")) await this.call("DELETE", this.base);
    } catch {
      // it is gone already
    }
    this.driver.removeAllListeners("exit");
    this.driver.kill();
    rmSync(this.profile, { recursive: true, force: true, maxRetries: 5, retryDelay: 100 });
  }
}
