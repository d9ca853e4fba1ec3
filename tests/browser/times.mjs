// How long a person waits at 12 megapixels: from a key to the repaint with the new rings,
// and from choosing a stump to its pictures. `cargo xtask browser --times`.

import assert from "node:assert/strict";
import fs from "node:fs";
import os from "node:os";
import path from "node:path";
import { DESKTOP, after, bare, count, desk, inside, practiceFace, test, visit, whereIs } from "./harness.mjs";

const PIXELS = 12e6;
const MARKS = 15;
const READINGS = 5;

/** A drawn face, enlarged to 12 megapixels in the browser. */
async function enlarged() {
  const { file, made } = practiceFace("--seed", "12", "--wood", "conifer", "--rings", "110");
  const page = await bare();
  const bytes = await page.evaluate(async ([photo, pixels]) => {
    const from = await createImageBitmap(await (await fetch(photo)).blob());
    const by = Math.sqrt(pixels / (from.width * from.height));
    const canvas = new OffscreenCanvas(by * from.width, by * from.height);
    canvas.getContext("2d").drawImage(from, 0, 0, canvas.width, canvas.height);
    const jpeg = new Uint8Array(await (await canvas.convertToBlob({ type: "image/jpeg", quality: 0.9 })).arrayBuffer());
    let text = "";
    for (let at = 0; at < jpeg.length; at += 32768) text += String.fromCharCode(...jpeg.subarray(at, at + 32768));
    return btoa(text);
  }, [`data:image/jpeg;base64,${fs.readFileSync(path.join(made, file)).toString("base64")}`, PIXELS]);
  await page.context().close();
  const home = fs.mkdtempSync(path.join(os.tmpdir(), "stumpbook-times-"));
  fs.writeFileSync(path.join(home, "face.jpg"), Buffer.from(bytes, "base64"));
  return home;
}

function report(what, times) {
  const sorted = times.toSorted((a, b) => a - b);
  const share = (of) => sorted[Math.min(sorted.length - 1, Math.floor(of * sorted.length))].toFixed(0).padStart(6);
  console.log(`${what.padEnd(22)} ${String(times.length).padStart(3)} times   fastest ${share(0)}, median ${share(0.5)}, 95th percentile ${share(0.95)} ms`);
}

const load = () => os.loadavg()[0].toFixed(1);
const home = await enlarged();

await test("12 megapixels, from key to repaint", async () => {
  console.log(`load when begun ${load()}, ${os.cpus().length} cores`);
  let at = await desk(home);
  const one = await visit(at, "face.jpg", DESKTOP);
  const rings = await count(one);
  assert.ok(rings > 60, `${rings} rings`);
  console.log(`${(await inside(one, "state.view.size_px[0] * state.view.size_px[1]")) / 1e6} megapixels, ${rings} rings`);
  // From the last key or click to the frame after the one that draws the new reading.
  await one.evaluate(() => {
    let from = 0;
    for (const type of ["keydown", "pointerup"]) addEventListener(type, () => { from = performance.now(); }, { capture: true });
    window.took = [];
    new MutationObserver(() => requestAnimationFrame(() => setTimeout(() => {
      if (from) window.took.push(performance.now() - from);
      from = 0;
    }))).observe(document.body, { attributeFilter: ["data-revision"] });
  });
  const last = async () => {
    await one.waitForFunction(() => window.took.length > 0);
    return one.evaluate(() => window.took.splice(0).at(-1));
  };
  const undo = async () => { await after(one, () => one.keyboard.press("Control+z")); await last(); };
  for (const [what, ...keys] of [["a ring kept", "k"], ["a ring removed", "x"], ["a ring split", "s"], ["a ring added", "a", "Enter"]]) {
    const times = [];
    for (let nth = 0; nth < MARKS; nth++) {
      // Chosen where both its line and the next are in the photo.
      await inside(one, `(selection.choose(given), state.turn = Array.from({ length: 50 }, (_, step) => (step + 0.5) / 50)
        .find((turn) => [0, 1].every((more) => geometry.at(state.lines[given - 1 + more], turn) > 0)))`, 10 + 3 * nth);
      await one.focus("#unrolled-canvas");
      for (const key of keys.slice(0, -1)) await one.keyboard.press(key);
      await after(one, () => one.keyboard.press(keys.at(-1)));
      times.push(await last());
      await undo();
    }
    report(what, times);
  }
  const { pith } = at.entry("face").reading;
  const times = [];
  for (let nth = 0; nth < READINGS; nth++) {
    await one.click("[data-tool=pith]");
    const place = await whereIs(one, "photo.spotOf(given)", [pith.x_px + 20 + 4 * nth, pith.y_px]);
    await after(one, () => one.mouse.click(...place));
    times.push(await last());
    await undo();
  }
  report("the pith moved", times);
  assert.deepEqual(one.errors, []);
  await one.context().close();
  await at.kill();
  const [opened, marked] = [[], []];
  for (let nth = 0; nth < READINGS; nth++) {
    // A desk that has just been started, so that nothing is in its memory.
    at = await desk(home);
    const page = await visit(at, null, DESKTOP);
    await page.waitForSelector(".stumps a >> text=face");
    await page.evaluate(() => {
      addEventListener("click", () => { window.chosen = performance.now(); }, { capture: true });
      const noted = (what) => requestAnimationFrame(() => setTimeout(() => { window[what] ??= performance.now() - window.chosen; }));
      new MutationObserver(() => {
        // While it is opened nothing is shown at first.
        if (document.body.dataset.shown !== "face.jpg") return;
        noted("opened");
        if (!document.body.hasAttribute("aria-busy")) noted("marked");
      }).observe(document.body, { attributeFilter: ["data-shown", "aria-busy"] });
    });
    await page.click(".stumps a >> text=face");
    await page.waitForFunction(() => window.opened && window.marked);
    opened.push(await page.evaluate(() => window.opened));
    marked.push(await page.evaluate(() => window.marked));
    assert.ok(await inside(page, "state.geometry !== null && state.photo !== null"));
    await page.context().close();
    await at.kill();
  }
  report("a read stump opened", opened);
  report("until it is unrolled", marked);
  console.log(`load when ended ${load()}`);
});
fs.rmSync(home, { recursive: true, force: true });
