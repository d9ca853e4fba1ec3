// Counting by hand along a strip: on a photo that is refused, with mouse, finger and
// keyboard, and accepting what the program proposes on a face that it can read.

import assert from "node:assert/strict";
import fs from "node:fs";
import { createRequire } from "node:module";
import path from "node:path";
import { DESKTOP, PHONE, after, count, desk, drag, fact, folder, inside, samples, shot, still, test, visit, whereIs } from "./harness.mjs";

const axe = fs.readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const REFUSED = "oak-blurred.jpg";
const at = await desk(folder(REFUSED, "pine-gate.jpg"));
const entry = (stem) => at.entry(stem);
const set = (stem) => entry(stem).marks.strip?.rings.length ?? 0;

/** Nothing that axe finds. */
async function clean(page) {
  await page.evaluate(axe);
  const found = await page.evaluate(async () => (await window.axe.run(document, { resultTypes: ["violations"] })).violations
    .map((one) => `${one.id}: ${one.nodes.map((node) => node.target).join(" ")}`));
  assert.deepEqual(found, []);
}

/** The way a person takes to a strip that is counted by hand, from a refused photo or from
 * a face that is read: two clicks or taps. */
async function drawStrip(page, from, to, touch) {
  const press = (spot) => (touch ? page.touchscreen.tap(...spot) : page.mouse.click(...spot));
  const push = (what) => (touch ? page.tap(what) : page.click(what));
  const refused = await page.isVisible("#count-by-hand");
  if (!refused && touch) await push("#tab-photo");
  await push(refused ? "#count-by-hand" : "[data-tool=strip]");
  await page.locator("#photo-canvas").scrollIntoViewIfNeeded();
  await press(await whereIs(page, "photo.spotOf(given)", from));
  await after(page, async () => press(await whereIs(page, "photo.spotOf(given)", to)));
  if (!refused && touch) await push("#tab-strip");
  if (!refused) await after(page, () => push("[data-counts=hand]"));
  await page.waitForFunction(() => document.body.dataset.counting === "hand");
  if (touch) await page.locator("#strip-canvas").evaluate((canvas) => canvas.scrollIntoView({ block: "center" }));
}

/** Sets a ring by pointing at a place so far along the strip. */
async function setAt(page, along, touch) {
  await inside(page, "marks.moveCursor(given)", along);
  await inside(page, "strip.fine(true)");
  const spot = await whereIs(page, "strip.spotOf(given)", along);
  await after(page, () => (touch ? page.touchscreen.tap(...spot) : page.mouse.click(...spot)));
}

async function makeSheet(page, touch) {
  const press = (what) => (touch ? page.tap(what) : page.click(what));
  await press("#open-outputs");
  await press("[data-what=sheet-html] button");
  const address = await page.getAttribute("[data-what=sheet-html] a >> nth=0", "href");
  const sheet = await page.evaluate(async (path) => (await fetch(path)).text(), address);
  await press("#outputs form button");
  return sheet;
}

for (const [size, options, touch] of [["desktop", DESKTOP, false], ["phone", PHONE, true]]) {
  await test(`a refused photo is counted by hand, ${size}: strip, 30 rings, felling date, sheet`, async () => {
    const one = await visit(at, REFUSED, options);
    if (touch) await one.tap("#first-visit-done");
    assert.match(await one.textContent("#refused"), /Two ways on/);
    if (!touch) await shot(one, "refused");
    await clean(one);
    const [wide, high] = await inside(one, "state.view.size_px");
    await drawStrip(one, [wide / 2, high / 2], [0.93 * wide, high / 2], touch);
    const length = await inside(one, "marks.info().length_px");
    assert.match(await one.textContent("#ring-words"), /No ring is set yet/);
    await inside(one, "(state.snap = false)");
    const began = Date.now();
    for (let ring = 1; ring <= 30; ring++) await setAt(one, (length * ring) / 31, touch);
    console.log(`          ${size}: 30 rings set in ${((Date.now() - began) / 1000).toFixed(1)} s`);
    assert.equal(set("oak-blurred"), 30);
    assert.equal(await count(one), 30);
    if (touch) await one.tap("#tab-facts");
    await fact(one, "felled", "2025-11-08");
    if (touch) await one.tap("#tab-strip");
    assert.match(await one.textContent("#ring-words"), /30 rings \(29 to 31\).*counted by hand along one strip/);
    assert.match(await one.textContent("#count-how"), /counted by hand along one strip/);
    await still(one);
    await clean(one);
    const sheet = await makeSheet(one, touch);
    assert.match(sheet, /counted by hand along one strip/);
    // Closed and opened again: nothing is lost, and each step can be undone.
    await one.reload();
    await one.waitForFunction((name) => document.body.dataset.shown === name, REFUSED);
    assert.equal(await count(one), 30);
    await after(one, () => one.click("#undo"));
    await after(one, () => one.click("#undo"));
    assert.equal(await count(one), 29);
    await after(one, () => one.click("#redo"));
    assert.equal(set("oak-blurred"), 30);
    assert.deepEqual(one.errors, []);
    while (await one.isEnabled("#undo")) await after(one, () => one.click("#undo"));
    assert.equal(entry("oak-blurred").marks.strip ?? null, null);
    await one.context().close();
  });
}

await test("by keyboard alone: the strip is drawn, rings are set, moved away and accepted", async () => {
  const one = await visit(at, REFUSED, DESKTOP);
  await one.focus("#count-by-hand");
  await one.keyboard.press("Enter");
  await one.keyboard.press("Enter");
  for (let nth = 0; nth < 6; nth++) await one.keyboard.press("Shift+ArrowRight");
  await after(one, () => one.keyboard.press("Enter"));
  await one.focus("#strip-canvas");
  for (let ring = 1; ring <= 5; ring++) {
    for (let nth = 0; nth < 3; nth++) await one.keyboard.press("Shift+ArrowRight");
    await after(one, () => one.keyboard.press("Shift+Enter"));
  }
  assert.equal(await count(one), 5);
  await after(one, () => one.keyboard.press("Backspace"));
  assert.equal(await count(one), 4);
  await after(one, () => one.keyboard.press("Control+z"));
  assert.equal(await count(one), 5);
  await after(one, () => one.focus("#strip-clear").then(() => one.keyboard.press("Enter")));
  assert.equal(entry("oak-blurred").marks.strip ?? null, null);
  assert.ok(await one.isVisible("#refused"));
  assert.deepEqual(one.errors, []);
  while (await one.isEnabled("#undo")) await after(one, () => one.click("#undo"));
  await one.context().close();
});

await test("on a face that is read: counted along the strip, then by hand, accepted in a few seconds", async () => {
  const one = await visit(at, "pine-gate.jpg", DESKTOP);
  const whole = await count(one);
  const { pith, bark_edge_px: edge } = entry("pine-gate").reading;
  await one.click("[data-tool=strip]");
  await one.mouse.click(...await whereIs(one, "photo.spotOf(given)", [pith.x_px, pith.y_px]));
  await after(one, async () => one.mouse.click(...await whereIs(one, "photo.spotOf(given)", edge[0])));
  assert.ok(Math.abs(await count(one) - whole) <= 1, `${await count(one)} along the strip, ${whole} on the face`);
  assert.match(await one.textContent("#count-how"), /counted along one strip/);
  const began = Date.now();
  await after(one, () => one.click("[data-counts=hand]"));
  await one.focus("#strip-canvas");
  await one.keyboard.press("End");
  await after(one, () => one.keyboard.press("a"));
  await one.keyboard.press("Home");
  const took = (Date.now() - began) / 1000;
  assert.ok(Math.abs(await count(one) - whole) <= 1, `${await count(one)} accepted of ${whole}`);
  assert.ok(took < 20, `${took} s`);
  console.log(`          ${await count(one)} rings accepted in ${took.toFixed(1)} s`);
  // A ring that is set a little off goes to the end of latewood; with Shift it does not.
  await after(one, () => one.click("#undo"));
  await inside(one, "strip.begin()");
  await still(one);
  const scale = await inside(one, "strip.pixelsPerPixel()");
  const sure = (await inside(one, "marks.info().proposed")).find((each) => each.confidence > 0.9 && each.along_px > 40);
  const near = sure.along_px + 4 / scale;
  const setRing = async (modifier) => {
    const place = await whereIs(one, "strip.spotOf(given)", near);
    if (modifier) await one.keyboard.down(modifier);
    await after(one, () => one.mouse.click(...place));
    if (modifier) await one.keyboard.up(modifier);
    const along = await inside(one, "marks.rings()[0].along");
    await after(one, () => one.click("#undo"));
    return along;
  };
  assert.ok(Math.abs(await setRing() - sure.along_px) < 1, "it snaps");
  assert.ok(Math.abs(await setRing("Shift") - near) < 0.5, "it does not snap");
  await one.focus("#strip-canvas");
  await one.keyboard.press("End");
  await after(one, () => one.keyboard.press("a"));
  // One is taken away, one is dragged elsewhere, the ends are said.
  const rings = await inside(one, "marks.rings()");
  await inside(one, "marks.moveCursor(given)", rings[9].along);
  await after(one, () => one.keyboard.press("x"));
  assert.equal(await count(one), rings.length - 1);
  await after(one, () => one.click("#undo"));
  await inside(one, "strip.onward(false)");
  const [from, to] = [await whereIs(one, "strip.spotOf(given)", rings[9].along), await whereIs(one, "strip.spotOf(given)", rings[9].along + 0.4 * (rings[10].along - rings[9].along))];
  await one.keyboard.down("Shift");
  await after(one, () => drag(one, from, to));
  await one.keyboard.up("Shift");
  const shifted = (await inside(one, "marks.rings()"))[9].along;
  assert.ok(shifted > rings[9].along + 1, `${shifted} after ${rings[9].along}`);
  await after(one, () => one.click("#undo"));
  await after(one, () => one.click("#strip-bark"));
  assert.equal(await one.getAttribute("#strip-bark", "aria-pressed"), "true");
  assert.deepEqual(one.errors, []);
  while (await one.isEnabled("#undo")) await after(one, () => one.click("#undo"));
  assert.equal(await count(one), whole);
  await one.context().close();
});

for (const [size, options, touch] of [["desktop", DESKTOP, false], ["phone", PHONE, true]]) {
  await test(`a dressed strip on a rough face is accepted by hand, ${size}`, async () => {
    const made = folder();
    fs.copyFileSync(path.join(samples, "../docs/img/guide-strip.jpg"), path.join(made, "guide-strip.jpg"));
    const off = await desk(made);
    const one = await visit(off, "guide-strip.jpg", options);
    if (touch) await one.tap("#first-visit-done"); else await one.click("#first-visit-done");
    await drawStrip(one, [779, 583], [1272, 385], touch);
    await inside(one, "marks.moveCursor(marks.info().length_px)");
    await after(one, () => (touch ? one.tap("#strip-accept") : one.keyboard.press("a")));
    // Drawn with 58 rings; the person looks at the rest.
    assert.ok(Math.abs(await count(one) - 58) <= 3, `${await count(one)} rings`);
    await inside(one, "marks.moveCursor(marks.rings()[13].along)");
    if (touch) await one.locator("#strip-canvas").evaluate((canvas) => canvas.scrollIntoView({ block: "center" }));
    await still(one);
    await shot(one, touch ? "phone-by-hand" : "by-hand");
    assert.deepEqual(one.errors, []);
    await one.context().close();
    await off.kill();
  });
}

await test("the strip's ends and side are dragged on the photo, and nothing jumps or overflows", async () => {
  const one = await visit(at, REFUSED, DESKTOP);
  const [wide, high] = await inside(one, "state.view.size_px");
  await drawStrip(one, [wide / 2, high / 2], [0.8 * wide, high / 2], false);
  await one.click("[data-tool=strip]");
  const from = await whereIs(one, "photo.spotOf(state.view.stump.marks.strip.to)");
  await after(one, async () => {
    await one.mouse.move(...from);
    await one.mouse.down();
    await one.mouse.move(from[0] + 20, from[1] + 10, { steps: 4 });
    await one.mouse.up();
  });
  const { to, width_px: width } = entry("oak-blurred").marks.strip;
  assert.ok(to[0] > 0.8 * wide + 5 && to[1] > high / 2 + 2);
  assert.equal(width ?? null, null);
  await one.click("[data-tool=strip]");
  await after(one, () => one.click("text=Wider"));
  assert.ok(entry("oak-blurred").marks.strip.width_px > 0);
  for (const size of [{ width: 320, height: 700 }, { width: 640, height: 400 }]) {
    await one.setViewportSize(size);
    await still(one);
    assert.ok(await one.evaluate(() => document.documentElement.scrollWidth <= innerWidth), `${size.width} px: sideways`);
  }
  assert.deepEqual(one.errors, []);
  await one.context().close();
});

await at.kill();
