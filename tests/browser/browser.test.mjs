// SPDX-License-Identifier: GPL-3.0-or-later
// The browser and its driver themselves: what the other tests rely on.
import assert from "node:assert/strict";
import { after, test } from "node:test";
import { Browser, KEYS, closeBrowsers, until } from "./webdriver.mjs";

after(closeBrowsers);

const page = (body) => `data:text/html,<meta charset=utf-8><title>t</title>${encodeURIComponent(body)}`;

test("scripts, keys, drags and the console of a page are seen", async () => {
  const browser = await Browser.start({ width: 800, height: 600 });
  try {
    await browser.open(page(`<script>window.seen = []; for (const kind of ["keydown", "pointerdown", "pointerup"])
      addEventListener(kind, (e) => seen.push(e.key || e.type + " " + Math.round(e.clientX)));</script>`));
    await browser.press(KEYS.home, "a");
    await browser.drag([100, 100], [200, 150]);
    assert.deepEqual(await until(() => browser.run(() => window.seen.length === 4 && window.seen), "events"),
      ["Home", "a", "pointerdown 100", "pointerup 200"]);
    assert.deepEqual(await browser.console(), []);
    await browser.run(() => console.error("on purpose"));
    assert.match((await browser.console()).join(), /SEVERE.*on purpose/);
    assert.equal((await browser.screenshot()).subarray(1, 4).toString(), "PNG");
  } finally {
    await browser.close();
  }
});

test("a content security policy is enforced, and a breach shows in the console", async () => {
  const browser = await Browser.start();
  try {
    await browser.open(page(`<meta http-equiv="Content-Security-Policy" content="default-src 'none'"><script>window.ran = 1</script>`));
    assert.equal(await browser.run(() => window.ran === undefined), true);
    assert.match((await browser.console()).join(), /Content Security Policy/);
  } finally {
    await browser.close();
  }
});
