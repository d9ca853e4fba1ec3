// An entry belongs to one photo; and one tab alone is never "another tab".

import assert from "node:assert/strict";
import fs from "node:fs";
import path from "node:path";
import { DESKTOP, after, count, desk, folder, inside, shown, still, test, visit } from "./harness.mjs";

await test("another photo of the same name: nothing is applied, the person chooses, nothing is lost", async () => {
  const home = folder("pine-gate.jpg", "ash-landing.jpg");
  const file = (name) => path.join(home, name);
  fs.renameSync(file("pine-gate.jpg"), file("image.jpg"));
  const at = await desk(home);
  const one = await visit(at, "image.jpg", DESKTOP);
  const rings = await count(one);
  await inside(one, "selection.choose(12)");
  await after(one, () => one.click("#remove"));
  const marked = at.entry("image");
  // The phone names the next photo image.jpg too.
  fs.renameSync(file("ash-landing.jpg"), file("image.jpg"));
  await one.waitForFunction(() => /made for another photo/.test(document.getElementById("notice").textContent));
  assert.ok(await one.isHidden("#stump"), "the old picture is not shown any more");
  assert.deepEqual(at.entry("image"), marked);
  await one.click("#notice >> text=Another tree");
  await shown(one, "image.jpg");
  assert.notEqual(await count(one), rings - 1);
  assert.deepEqual(at.entry("image").marks.rings, []);
  assert.deepEqual(at.entry("image-earlier"), marked);
  assert.deepEqual(one.errors, []);
  await one.context().close();
  await at.kill();
});

await test("with one tab, a slow mark is never said to come from another tab", async () => {
  const at = await desk(folder("pine-gate.jpg"));
  const one = await visit(at, "pine-gate.jpg", DESKTOP);
  await one.evaluate(() => {
    // The desk has made the mark, and its answer takes longer than the tab's two seconds.
    const { fetch } = window;
    window.fetch = async (address, ...more) => {
      const answer = await fetch(address, ...more);
      if (address.endsWith("/edit")) await new Promise((done) => setTimeout(done, 4500));
      if (address.includes("/watch")) window.looks += 1;
      return answer;
    };
    Object.assign(window, { said: [], looks: 0 });
    const message = document.getElementById("message");
    new MutationObserver(() => window.said.push(message.textContent)).observe(message, { childList: true });
  });
  await inside(one, "selection.choose(10)");
  await after(one, () => one.click("#keep"));
  const looks = await one.evaluate(() => window.looks);
  await one.waitForFunction((before) => window.looks > before, looks);
  await still(one);
  assert.deepEqual(await one.evaluate(() => window.said), ["ring 10 kept"]);
  await one.context().close();
  await at.kill();
});

await test("a photo that is taken away is said to be gone", async () => {
  const home = folder("pine-gate.jpg");
  const at = await desk(home);
  const one = await visit(at, "pine-gate.jpg", DESKTOP);
  fs.rmSync(path.join(home, "pine-gate.jpg"));
  await one.waitForFunction(() => /no longer in the folder/.test(document.getElementById("notice").textContent));
  await one.goto(`${one.url().split("#")[0]}#stump=no-such.jpg`);
  await one.waitForFunction(() => /no photo/.test(document.getElementById("notice").textContent));
  assert.ok(await one.isHidden("#figures"), "the figures of the stump before are gone");
  await one.context().close();
  await at.kill();
});
