// Facts that are wrong or contradict each other, notes on years, and the list
// of one's own marks.

import assert from "node:assert/strict";
import { DESKTOP, after, desk, drag, fact, folder, inside, test, visit, whereIs } from "./harness.mjs";

const at = await desk(folder("pine-gate.jpg", "ash-landing.jpg"));

await test("a wrong fact stays in its field with its error while others are set", async () => {
  const one = await visit(at, "pine-gate.jpg", DESKTOP);
  await one.fill("#fact-hollow", "3 parsecs");
  await one.locator("#fact-hollow").blur();
  await one.waitForSelector("#fact-hollow-error:not([hidden])");
  await fact(one, "felled", "2025-11-08");
  assert.equal(await one.inputValue("#fact-hollow"), "3 parsecs");
  assert.ok(await one.isVisible("#fact-hollow-error"));
  await fact(one, "hollow", "1in");
  assert.ok(await one.isHidden("#fact-hollow-error"));
  while (await one.isEnabled("#undo")) await after(one, () => one.click("#undo"));
  await one.context().close();
});

await test("the year of a note: letters and years that are none of the tree's are named", async () => {
  const one = await visit(at, "pine-gate.jpg", DESKTOP);
  await fact(one, "felled", "2025-11-08");
  for (const [typed, said] of [["abc", /"abc" is not a year/], ["2147483647", /is not a year/], ["1500", /1500 is not a year of this tree/]]) {
    await one.evaluate(() => document.getElementById("message").classList.remove("shown", "error"));
    await one.fill("#remember-year", typed);
    await one.fill("#remember-what", "a dry year");
    await one.click("#remember-set");
    await one.waitForSelector("#message.error.shown");
    assert.match(await one.textContent("#message"), said);
  }
  assert.deepEqual(at.entry("pine-gate").facts.remembered, []);
  await one.evaluate(() => document.getElementById("message").classList.remove("shown", "error"));
  await after(one, () => one.click("#undo"));
  await one.context().close();
});

await test("a tape and a width that contradict each other are named with both values", async () => {
  const one = await visit(at, "pine-gate.jpg", DESKTOP);
  await fact(one, "across", "24in");
  const edge = at.entry("pine-gate").reading.bark_edge_px;
  const ends = await whereIs(one, "given.map((place) => photo.spotOf(place))", [edge[60], edge[0]]);
  await one.click("[data-tool=tape]");
  await drag(one, ...ends);
  await one.fill("#tape-length", "3in");
  await after(one, () => one.keyboard.press("Enter"));
  const warning = await one.textContent("#cautions .warning");
  assert.match(warning, /3\.\d in .*24\.0 in .*The tape is used/s);
  await after(one, () => one.click("#undo"));
  assert.equal(await one.locator("#cautions .warning").count(), 0);
  await after(one, () => one.click("#undo"));
  await one.context().close();
});

await test("no ring is begun where its line is not in the photo", async () => {
  const one = await visit(at, "pine-gate.jpg", DESKTOP);
  await inside(one, "selection.choose(12)");
  // As on a face of which the photo shows only a part.
  await inside(one, "state.lines[11].fill(NaN)");
  for (const key of ["a", "m"]) {
    await one.evaluate(() => document.getElementById("message").classList.remove("shown", "error"));
    await one.focus("#unrolled-canvas");
    await one.keyboard.press(key);
    await one.waitForSelector("#message.error.shown");
    assert.match(await one.textContent("#message"), /not in the photo/);
    assert.ok(await one.isHidden("#pending"));
  }
  assert.deepEqual(one.errors, []);
  await one.context().close();
});

await test("marks are listed; one is taken back, all are, and that is undone", async () => {
  const one = await visit(at, "ash-landing.jpg", DESKTOP);
  assert.ok(await one.isVisible("#marks-none"));
  for (const ring of [6, 14]) {
    await inside(one, "selection.choose(given)", ring);
    await after(one, () => one.click("#keep"));
  }
  await inside(one, "selection.choose(20)");
  await after(one, () => one.click("#remove"));
  assert.deepEqual(await one.locator("#marks-list li").evaluateAll((all) => all.map((item) => item.firstChild.textContent)), [
    "Ring boundary at ring 6", "Ring boundary at ring 14", "No ring boundary at ring 20",
  ]);
  await after(one, () => one.click("#marks-list li:nth-child(2) button"));
  assert.equal(at.entry("ash-landing").marks.rings.length, 2);
  await after(one, () => one.click("#start-over"));
  assert.deepEqual(at.entry("ash-landing").marks.rings, []);
  await after(one, () => one.click("#undo"));
  assert.equal(at.entry("ash-landing").marks.rings.length, 2);
  assert.deepEqual(one.errors, []);
  await one.context().close();
});

await at.kill();
