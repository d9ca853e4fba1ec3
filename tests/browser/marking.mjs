// Marking a stump, as a person does it: rings, pith, bark, tape, facts; undo,
// two tabs, kill -9; a long reading, and a reading that is a few rings off.

import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import fs from "node:fs";
import path from "node:path";
import { after, age, bars, between, count, desk, drag, fact, folder, inside, onLine, program, roomy, shot, shown, test, truthOf, visit, whereIs } from "./harness.mjs";

// ---------------------------------------------------------------- one stump

const home = folder("ash-landing.jpg");
let at = await desk(home);
const page = await visit(at, "ash-landing.jpg");

await test("a sample opens: its rings in every view, its age, its doubts", async () => {
  const rings = await count(page);
  assert.ok(rings > 60 && rings < 85, `${rings} rings`);
  assert.ok(await age(page) >= rings);
  assert.equal(await bars(page), rings);
  assert.match(await page.textContent("#age-parts"), /Rings counted/);
  assert.equal(at.entry("ash-landing").reading.rings.length, rings);
  assert.ok(!new URL(page.url()).hash.includes("key"), "the key has left the address");
});

await test("the desk opens a stump at the ring that was asked for", async () => {
  const there = await desk(path.join(folder("ash-landing.jpg"), "ash-landing.jpg"), "--ring", "20");
  const one = await visit(there, "ash-landing.jpg");
  assert.equal(await inside(one, "state.chosen"), 20);
  assert.deepEqual(one.errors, []);
  await one.context().close();
  await there.kill();
});

await test("the scale is set on the tape, by dragging along it", async () => {
  const { tape } = truthOf("ash-landing.jpg");
  await page.click("[data-tool=tape]");
  const ends = await whereIs(page, "given.map((place) => photo.spotOf(place))", [tape.from, tape.to]);
  // What is outside the sheet is dragged to after zooming out.
  await page.click("#photo-fit");
  const [from, to] = await whereIs(page, "given.map((place) => photo.spotOf(place))", [tape.from, tape.to]);
  assert.ok(ends.length === 2);
  await drag(page, from, to);
  await page.fill("#tape-length", "12 parsecs");
  await page.keyboard.press("Enter");
  await page.waitForSelector("#message.error.shown");
  assert.match(await page.textContent("#message"), /no unit|not known/);
  await page.evaluate(() => document.getElementById("message").classList.remove("error"));
  await page.fill("#tape-length", `${tape.length_mm}mm`);
  await after(page, () => page.keyboard.press("Enter"));
  const scale = at.entry("ash-landing").reading.scale;
  const { mm_per_px } = truthOf("ash-landing.jpg");
  assert.equal(scale.from, "tape");
  assert.ok(Math.abs(scale.mm_per_px / mm_per_px - 1) < 0.02, `${scale.mm_per_px} for ${mm_per_px}`);
  assert.match(await page.textContent("#increments"), /ring width, inches/);
});

await test("facts are entered, and the age and the years follow at once", async () => {
  await fact(page, "species", "white ash");
  await fact(page, "felled", "2025-11-08");
  await fact(page, "cut-height", "30cm");
  assert.equal(at.entry("ash-landing").facts.felled, "2025-11-08");
  assert.match(await page.textContent("#age-parts"), /Age in 2025/);
  assert.match(await page.textContent("#facts-form"), /has ring-porous wood/);
  await page.fill("#fact-felled", "2031-02-31");
  await page.locator("#fact-felled").blur();
  await page.waitForFunction(() => document.getElementById("fact-felled").getAttribute("aria-invalid") === "true");
  assert.match(await page.textContent("#fact-felled-error"), /2025-11-08/);
  assert.equal(at.entry("ash-landing").facts.felled, "2025-11-08");
  await page.fill("#remember-year", "1988");
  await page.fill("#remember-what", "a dry year");
  await after(page, () => page.keyboard.press("Enter"));
  assert.match(await page.textContent("#increments"), /a dry year/);
});

await test("what is pointed at in one view is highlighted in all", async () => {
  await page.click("#unrolled-fit");
  const ring = await roomy(page);
  await page.mouse.move(...await onLine(page, ring));
  await page.waitForFunction((number) => document.body.dataset.hovered === String(number), ring);
  assert.equal(await page.locator("#increments rect.bar.is-lit").count(), 1);
  const box = await page.locator("#increments .hit").boundingBox();
  await page.mouse.move(box.x + box.width * 0.31, box.y + 20);
  const lit = await page.evaluate(() => Number(document.body.dataset.hovered));
  assert.ok(lit > 10 && lit < 35, `ring ${lit}`);
});

await test("by pointer: a lost ring is added by one click, a false one chosen and removed", async () => {
  const [rings, years, columns] = [await count(page), await age(page), await bars(page)];
  await page.click("#unrolled-fit");
  const ring = await roomy(page);
  await after(page, async () => page.mouse.click(...await between(page, ring)));
  assert.equal(await count(page), rings + 1);
  assert.equal(await age(page), years + 1);
  assert.equal(await bars(page), columns + 1);
  assert.match(await page.textContent("#ring-words"), /marked by you/);
  await page.mouse.click(...await onLine(page, ring + 1));
  assert.match(await page.textContent("#ring-words"), new RegExp(`Ring ${ring + 1},`));
  await after(page, () => page.click("#remove"));
  assert.equal(await count(page), rings);
  assert.equal(at.entry("ash-landing").reading.count.best, rings);
});

await test("by pointer: a line is dragged to where the ring is", async () => {
  await page.click("#unrolled-fit");
  const rings = await count(page);
  const ring = await roomy(page);
  const [x, y] = await onLine(page, ring);
  const before = at.entry("ash-landing").reading.rings[ring - 1].radius_px;
  const [, above] = await onLine(page, ring + 1);
  const up = Math.min(6, Math.max(4.5, 0.45 * (y - above)));
  await after(page, () => drag(page, [x, y], [x, y - up]));
  const now = at.entry("ash-landing").reading.rings;
  assert.equal(now.length, rings);
  assert.ok(now[ring - 1].radius_px > before + 0.5, `${now[ring - 1].radius_px} after ${before}`);
});

await test("by keyboard: walk to a doubt and keep it; add, split, join and remove", async () => {
  await page.click("#unrolled-fit");
  await page.focus("#unrolled-canvas");
  const inDoubt = () => inside(page, "state.view.doubts.length");
  const doubts = await inDoubt();
  if (doubts) {
    await page.keyboard.press("n");
    assert.match(await page.textContent("#ring-words"), /in doubt/);
    const kept = await inside(page, "state.chosen");
    await after(page, () => page.keyboard.press("k"));
    assert.match(await page.textContent("#ring-words"), /marked by you/);
    assert.ok(!await inside(page, "selection.doubtful(given)", kept));
  }
  const rings = await count(page);
  const ring = await roomy(page);
  await page.keyboard.press("Home");
  for (let nth = 1; nth < ring; nth++) await page.keyboard.press("ArrowUp");
  assert.equal(await page.getAttribute("#unrolled-canvas", "aria-valuenow"), String(ring));
  assert.match(await page.getAttribute("#unrolled-canvas", "aria-valuetext"), new RegExp(`Ring ${ring}, \\d{4}, .*wide`));
  await page.keyboard.press("a");
  await after(page, () => page.keyboard.press("Enter"));
  assert.equal(await count(page), rings + 1);
  await after(page, () => page.keyboard.press("x"));
  assert.equal(await count(page), rings);
  await page.keyboard.press("Home");
  for (let nth = 1; nth < ring + 1; nth++) await page.keyboard.press("ArrowUp");
  await after(page, () => page.keyboard.press("s"));
  assert.equal(await count(page), rings + 1);
  await after(page, () => page.keyboard.press("j"));
  assert.equal(await count(page), rings);
  assert.equal(at.entry("ash-landing").marks.joined.length, 1);
});

await test("by pointer: a line and the broken one beside it are joined where each is right", async () => {
  await page.click("#unrolled-fit");
  const rings = await count(page);
  const ring = await roomy(page);
  await page.mouse.click(...await onLine(page, ring, 0.3));
  await page.click("#join");
  await after(page, async () => page.mouse.click(...await onLine(page, ring + 1, 0.8)));
  assert.equal(await count(page), rings - 1);
  assert.equal(at.entry("ash-landing").marks.joined.at(-1).length, 2);
  await after(page, () => page.keyboard.press("Control+z"));
});

await test("by keyboard: the scale is set on the tape, the sheet is moved and zoomed", async () => {
  const before = at.entry("ash-landing").reading.scale.mm_per_px;
  await page.click("#photo-fit");
  await page.focus("[data-tool=look]");
  for (let nth = 0; nth < 4; nth++) await page.keyboard.press("ArrowRight");
  assert.equal(await page.getAttribute("[data-tool=tape]", "aria-checked"), "true");
  await page.focus("#photo-canvas");
  await page.keyboard.press("ArrowLeft");
  await page.keyboard.press("Enter");
  for (let nth = 0; nth < 12; nth++) await page.keyboard.press("ArrowRight");
  await page.keyboard.press("Enter");
  await page.waitForSelector("#tape-form:not([hidden])");
  await page.keyboard.type("3in");
  await after(page, () => page.keyboard.press("Enter"));
  const { tape } = at.entry("ash-landing").marks;
  assert.ok(Math.abs(tape.length_mm - 76.2) < 1e-9);
  assert.ok(tape.to[0] - tape.from[0] > 100 && tape.to[1] === tape.from[1]);
  assert.notEqual(at.entry("ash-landing").reading.scale.mm_per_px, before);
  await after(page, () => page.keyboard.press("Control+z"));
  const stretch = () => whereIs(page, "unrolled.spotOf(0, 10)[1] - unrolled.spotOf(0, 60)[1]");
  await page.focus("#unrolled-canvas");
  const whole = await stretch();
  await page.keyboard.press("+");
  await page.keyboard.press("+");
  assert.ok(await stretch() > 1.4 * whole);
  await page.keyboard.press("0");
  assert.ok(Math.abs(await stretch() - whole) < 1);
});

await test("undo and redo, one by one, to the very beginning and back", async () => {
  const last = at.entry("ash-landing");
  const more = await page.isEnabled("#redo");
  let steps = 0;
  while (await page.isEnabled("#undo")) {
    await after(page, () => page.keyboard.press("Control+z"));
    steps++;
    assert.ok(steps < 60);
  }
  assert.ok(steps >= 9, `${steps} steps`);
  assert.deepEqual(at.entry("ash-landing").marks.rings, []);
  assert.equal(at.entry("ash-landing").facts.felled, null);
  for (let nth = 0; nth < steps; nth++) await after(page, () => page.click("#redo"));
  assert.deepEqual(at.entry("ash-landing"), last);
  assert.equal(await page.isEnabled("#redo"), more);
});

await test("a reload shows the same", async () => {
  const [rings, years] = [await count(page), await age(page)];
  await page.reload();
  await shown(page, "ash-landing.jpg");
  assert.deepEqual([await count(page), await age(page)], [rings, years]);
});

await test("pith, bark edge and paint are marks too, and the reading keeps them", async () => {
  await page.click("#photo-fit");
  const pith = at.entry("ash-landing").reading.pith;
  await page.click("[data-tool=pith]");
  const from = await whereIs(page, "photo.spotOf(given)", [pith.x_px, pith.y_px]);
  await after(page, () => drag(page, from, [from[0] + 5, from[1] + 4]));
  assert.equal(at.entry("ash-landing").reading.pith.from, "given");
  await page.click("[data-tool=paint]");
  const knot = await whereIs(page, "photo.spotOf(given)", [pith.x_px - 160, pith.y_px - 120]);
  await after(page, () => drag(page, knot, [knot[0] + 16, knot[1] - 6]));
  assert.equal(at.entry("ash-landing").marks.unreadable.length, 1);
  assert.ok(at.entry("ash-landing").marks.unreadable[0].length > 8);
  await page.click("[data-tool=bark]");
  const edge = at.entry("ash-landing").reading.bark_edge_px[75];
  await after(page, async () => page.mouse.click(...await whereIs(page, "photo.spotOf(given)", edge)));
  assert.equal(at.entry("ash-landing").marks.bark.length, 1);
  await after(page, () => page.click("text=Clear bark marks"));
  await page.click("[data-tool=look]");
  for (let nth = 0; nth < 4; nth++) await after(page, () => page.click("#undo"));
  assert.equal(at.entry("ash-landing").marks.pith, null);
});

// ------------------------------------------------------- two tabs, and kill -9

await test("two tabs on one stump are noticed, and each sees what the other marks", async () => {
  const second = await page.context().newPage();
  await second.goto(page.url().split("#")[0] + "#stump=ash-landing.jpg");
  await shown(second, "ash-landing.jpg");
  for (const one of [page, second]) {
    await one.bringToFront();
    await one.waitForFunction(() => /another tab/.test(document.getElementById("notice").textContent));
  }
  const rings = await count(second);
  await after(second, async () => second.mouse.click(...await between(second, await roomy(second), 0.4)));
  await page.bringToFront();
  await page.waitForFunction((now) => document.getElementById("count-best").textContent === String(now), rings + 1);
  await after(page, () => page.click("#undo"));
  await second.close();
  await page.waitForFunction(() => document.getElementById("notice").hidden);
});

await test("kill -9 in the middle of marking loses nothing that was shown as saved", async () => {
  await page.click("#unrolled-fit");
  const shownSaved = await page.evaluate(async () => {
    const { act } = await import("/edits.js");
    const { state, choose } = await import("/selection.js");
    window.shownAsSaved = [];
    choose(1);
    // Marks go out one after the other, as fast as the desk takes them.
    window.going = (async () => {
      for (let ring = 2; ring < 60; ring++) {
        if (await act({ do: "keep", ring }) !== true) break;
        window.shownAsSaved.push(state.view.stump.marks.rings.length);
      }
    })();
    while (window.shownAsSaved.length < 12) await new Promise((done) => setTimeout(done, 5));
    return window.shownAsSaved.length;
  });
  await at.kill();
  assert.ok(shownSaved >= 12);
  await page.evaluate(() => window.going);
  const [marks, held] = await inside(page, "[state.view.stump.marks, window.shownAsSaved.length]");
  assert.ok(held < 58, "it was killed while marks were being sent");
  const kept = at.entry("ash-landing").marks;
  assert.deepEqual(kept.rings.slice(0, marks.rings.length), marks.rings);
  assert.ok(!fs.readdirSync(home).some((name) => /\.stump\.json$/.test(name) && fs.statSync(path.join(home, name)).size === 0));
  await page.waitForFunction(() => /does not answer/.test(document.getElementById("notice").textContent));
  await page.close();

  at = await desk(home);
  const again = await visit(at, "ash-landing.jpg");
  const found = await inside(again, "state.view.stump.marks");
  assert.deepEqual(found, kept);
  // Undo goes back beyond the time the desk was killed.
  await after(again, () => again.click("#undo"));
  assert.equal(at.entry("ash-landing").marks.rings.length, kept.rings.length - 1);
  await after(again, () => again.click("#redo"));
  assert.deepEqual(at.entry("ash-landing").marks, kept);
  await again.close();
});

// ------------------------------------------------------------- a long reading

await test("a pith moved on a large photo: it shows its progress, and can be stopped", async () => {
  const large = folder();
  execFileSync(program, ["practice", "--seed", "12", "--rings", "180", "--out", large], { stdio: "ignore" });
  const file = fs.readdirSync(large).find((name) => /\.(jpg|png)$/.test(name));
  const stem = file.replace(/\.[^.]+$/, "");
  const off = await desk(large);
  const one = await visit(off, file);
  const before = off.entry(stem);
  const move = () => inside(one, "(await import('/edits.js')).act({ do: 'pith', at: [given.x_px + 40, given.y_px] })", before.reading.pith);
  const moving = move();
  await one.waitForSelector("#waiting:not([hidden])");
  await one.waitForFunction(() => document.getElementById("waiting-bar").value > 0);
  await shot(one, "desk-waiting", { busy: true });
  await one.click("#waiting-stop");
  await moving;
  await one.waitForSelector("#waiting", { state: "hidden" });
  assert.match(await one.textContent("#message"), /stopped/);
  assert.deepEqual(off.entry(stem), before);
  assert.deepEqual(await inside(one, "state.view.stump.marks"), before.marks);
  // A bark mark there is quick: nothing is followed again.
  const edge = before.reading.bark_edge_px.find(Boolean);
  await after(one, () => inside(one, "(await import('/edits.js')).act({ do: 'bark', at: given })", edge));
  assert.ok(await one.isHidden("#waiting"));
  assert.deepEqual(one.errors, []);
  await one.context().close();
  await off.kill();
});

// ------------------------------------------------------------- a few rings off

await test("a lost ring and two false ones are found on the wood and corrected in at most eight actions", async () => {
  // The reading is made wrong by marks, so that the errors are known.
  const made = folder("pine-gate.jpg");
  const truth = truthOf("pine-gate.jpg");
  const STEP = 75;
  const on = (ring) => truth.outlines[ring - 1][STEP];
  const amid = (ring) => [0, 1].map((axis) => (on(ring)[axis] + on(ring + 1)[axis]) / 2);
  const [lost, ...falseOnes] = [on(20), amid(33), amid(42)];
  const marks = [{ kind: "no-boundary", at: lost }, ...falseOnes.map((place) => ({ kind: "boundary", at: place }))];
  fs.writeFileSync(path.join(made, "wrong.json"), JSON.stringify({ rings: marks }));
  execFileSync(program, ["count", path.join(made, "pine-gate.jpg"), "--marks", path.join(made, "wrong.json")], { stdio: "ignore" });
  const off = await desk(made);
  const one = await visit(off, "pine-gate.jpg");
  assert.equal(await count(one), truth.rings_visible + 1);
  const spot = (place) => whereIs(one, "unrolled.spotOf(...state.geometry.locate(given))", place);
  await one.click("#unrolled-fit");
  let actions = 1;
  for (const place of falseOnes) {
    await one.mouse.click(...await spot(place));
    await after(one, () => one.keyboard.press("x"));
    actions += 2;
  }
  await after(one, async () => one.mouse.click(...await spot(lost)));
  actions += 1;
  assert.ok(actions <= 8, `${actions} actions`);
  const { rings } = off.entry("pine-gate").reading;
  assert.equal(rings.length, truth.rings_visible);
  // Each ring is where it is true, not only their number right.
  const [x, y] = truth.pith;
  const away = (place) => Math.hypot(place[0] - x, place[1] - y);
  for (const ring of [19, 20, 21, 33, 34, 42, 43]) {
    const [read, known] = [rings[ring - 1].outline_px[STEP], on(ring)];
    const gap = away(on(ring + 1)) - away(on(ring));
    assert.ok(Math.abs(away(read) - away(known)) < 0.4 * gap, `ring ${ring} is ${away(read) - away(known)} px off`);
  }
  await one.close();
  await off.kill();
});

await at.kill();
