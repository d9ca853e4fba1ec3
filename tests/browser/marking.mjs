// Marking a stump, as a person does it: rings, pith, bark, tape, facts; undo,
// two tabs, kill -9; uploads; keys and hosts; pictures for the guide.

import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import fs from "node:fs";
import { createRequire } from "node:module";
import os from "node:os";
import path from "node:path";
import jsQR from "jsqr";
import { after, age, bars, between, count, dawdle, desk, drag, fact, fingers, folder, inside, onLine, program, raw, roomy, shot, shown, still, test, truthOf, visit, whereIs } from "./harness.mjs";

const axe = fs.readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

// ---------------------------------------------------------------- one stump

const home = folder("ash-landing.jpg", "pine-gate.jpg", "oak-hollow.jpg", "oak-blurred.jpg", "maple-yard.jpg");
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
  // What lies outside the sheet is dragged to after zooming out.
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
    await one.waitForFunction(() => /another tab/.test(document.getElementById("notice").textContent), null, { timeout: 15_000 });
  }
  const rings = await count(second);
  await after(second, async () => second.mouse.click(...await between(second, await roomy(second), 0.4)));
  await page.bringToFront();
  await page.waitForFunction((now) => document.getElementById("count-best").textContent === String(now), rings + 1, { timeout: 15_000 });
  await after(page, () => page.click("#undo"));
  await second.close();
  await page.waitForFunction(() => document.getElementById("notice").hidden, null, { timeout: 20_000 });
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
  await page.waitForFunction(() => /does not answer/.test(document.getElementById("notice").textContent), null, { timeout: 10_000 });
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
  execFileSync(program, ["practice", "--seed", "12", "--rings", "60", "--out", large], { stdio: "ignore" });
  const file = fs.readdirSync(large).find((name) => /\.(jpg|png)$/.test(name));
  const stem = file.replace(/\.[^.]+$/, "");
  const off = await desk(large);
  const one = await visit(off, file);
  const before = off.entry(stem);
  const move = () => inside(one, "(await import('/edits.js')).act({ do: 'pith', at: [given.x_px + 40, given.y_px] })", before.reading.pith);
  const moving = move();
  await one.waitForSelector("#waiting:not([hidden])");
  await one.waitForFunction(() => document.getElementById("waiting-bar").value > 0);
  await shot(one, "desk-waiting");
  await one.click("#waiting-stop");
  await moving;
  await one.waitForSelector("#waiting", { state: "hidden" });
  assert.match(await one.textContent("#message"), /stopped/);
  assert.deepEqual(off.entry(stem), before);
  assert.deepEqual(await inside(one, "state.view.stump.marks"), before.marks);
  // A bark mark there is quick: nothing is followed anew.
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

// ------------------------------------------------------------- a phone

await test("on a phone, with touch: tabs, a ring added where it is tapped, targets large enough", async () => {
  const phone = await visit(at, "pine-gate.jpg", { viewport: { width: 390, height: 844 }, deviceScaleFactor: 2, hasTouch: true, isMobile: true });
  const rings = await count(phone);
  // Two fingers apart: the courses are stretched, and nothing is marked by it.
  const stretch = () => whereIs(phone, "unrolled.spotOf(0, 10)[1] - unrolled.spotOf(0, 60)[1]");
  const whole = await stretch();
  const box = await phone.locator("#unrolled-canvas").boundingBox();
  const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
  const touch = await fingers(phone);
  await touch("touchStart", [[x, y - 30], [x, y + 30]]);
  for (const apart of [45, 60, 75, 90]) await touch("touchMove", [[x, y - apart], [x, y + apart]]);
  await touch("touchEnd", []);
  assert.ok(await stretch() > 2 * whole, `${await stretch()} after ${whole}`);
  assert.equal(await count(phone), rings);
  await phone.tap("#unrolled-fit");
  const ring = await roomy(phone);
  await phone.locator("#unrolled-canvas").scrollIntoViewIfNeeded();
  await phone.touchscreen.tap(...await between(phone, ring));
  await phone.waitForSelector("#pending:not([hidden])");
  assert.equal(await count(phone), rings, "a tap alone adds nothing");
  await after(phone, () => phone.tap("#pending-set"));
  assert.equal(await count(phone), rings + 1);
  await after(phone, () => phone.tap("#undo"));
  for (const view of ["photo", "growth", "facts"]) {
    await phone.tap(`#tab-${view}`);
    assert.ok(await phone.isVisible(`#${view}`));
    assert.ok(!await phone.isVisible("#unrolled"));
    const small = await phone.evaluate(() => [...document.querySelectorAll("button, a, input, select, textarea, label.button")]
      .filter((one) => one.offsetParent && !one.closest("label.button input") && getComputedStyle(one).opacity !== "0")
      .map((one) => [one.id || one.textContent, one.getBoundingClientRect()])
      .filter(([, box]) => box.width > 0 && (box.width < 43.5 || box.height < 43.5)).map(([name, box]) => `${name} ${box.width}x${box.height}`));
    assert.deepEqual(small, []);
    const wide = await phone.evaluate(() => document.documentElement.scrollWidth);
    assert.ok(wide <= 390, `${view} is ${wide} wide`);
  }
  await phone.goto(phone.url().split("#")[0]);
  await shown(phone, "folder");
  assert.deepEqual(phone.errors, []);
  await phone.context().close();
});

// ------------------------------------------------------------- photos come in

await test("photos come in by choosing and by dropping; a bad one shows its reason", async () => {
  const into = folder();
  const off = await desk(into);
  const one = await visit(off);
  const outside = folder("ash-landing.jpg", "pine-gate.jpg");
  const put = (name, bytes) => { const where = path.join(outside, name); fs.writeFileSync(where, bytes); return where; };
  const good = fs.readFileSync(path.join(outside, "ash-landing.jpg"));
  const huge = path.join(outside, "huge.jpg");
  fs.closeSync(fs.openSync(huge, "w"));
  fs.truncateSync(huge, 1024 ** 3);
  await one.setInputFiles("#choose", [
    path.join(outside, "ash-landing.jpg"), put("notes.jpg", "felled by the brook\n"), put("half.jpg", good.subarray(0, good.length / 2)), huge,
  ]);
  await one.waitForFunction(() => [...document.querySelectorAll("#arrivals li span:last-child")].every((words) => /saved as|To do/.test(words.textContent)), null, { timeout: 60_000 });
  const lines = await one.locator("#arrivals li").allTextContents();
  assert.match(lines[0], /saved as ash-landing\.jpg/);
  assert.match(lines[1], /not a photo but a text file/);
  assert.match(lines[2], /cut off/);
  assert.match(lines[3], /1024 MB, more than the 192 MB accepted/);
  await one.evaluate(async (bytes) => {
    const data = new DataTransfer();
    data.items.add(new File([Uint8Array.from(atob(bytes), (letter) => letter.charCodeAt(0))], "pine-gate.jpg", { type: "image/jpeg" }));
    dispatchEvent(new DragEvent("drop", { dataTransfer: data, bubbles: true, cancelable: true }));
  }, fs.readFileSync(path.join(outside, "pine-gate.jpg")).toString("base64"));
  await one.waitForFunction(() => document.querySelectorAll("#stumps li").length === 2, null, { timeout: 60_000 });
  assert.deepEqual(fs.readdirSync(into).filter((name) => name.endsWith(".jpg")).sort(), ["ash-landing.jpg", "pine-gate.jpg"]);
  assert.equal(await one.getAttribute("#camera", "capture"), "environment");
  await one.click(".stumps a >> text=pine-gate");
  await shown(one, "pine-gate.jpg");
  assert.ok(await count(one) > 40);
  assert.deepEqual(one.errors, []);
  await one.context().close();
  await off.kill();
});

await test("a face that cannot be read says why and what to do", async () => {
  const one = await visit(at, "oak-blurred.jpg");
  assert.match(await one.textContent("#refused"), /No rings were read.*Two ways on.*Photograph it again.*Count by hand/s);
  assert.equal(await one.textContent("#count-words"), "no rings read");
  assert.match(await one.textContent("#age-none"), /no age/);
  assert.deepEqual(one.errors, []);
  await one.context().close();
});

// ------------------------------------------------------------- safe

await test("without a key, under a foreign host, or out of the folder: refused", async () => {
  const host = `127.0.0.1:${at.port}`;
  const key = new URLSearchParams(new URL(await at.next()).hash.slice(1)).get("key");
  const entered = await raw(at.port, { method: "POST", path: "/api/enter", headers: { host, authorization: `Bearer ${key}` } });
  const held = { host, authorization: `Bearer ${JSON.parse(entered.text).key}` };
  assert.equal((await raw(at.port, { path: "/api/folder", headers: held })).status, 200);
  assert.equal((await raw(at.port, { path: "/api/folder", headers: { host } })).status, 401);
  assert.equal((await raw(at.port, { path: "/api/folder", headers: { ...held, host: "stump.example" } })).status, 403);
  assert.equal((await raw(at.port, { path: "/api/folder", headers: { ...held, origin: "http://stump.example" } })).status, 403);
  assert.equal((await raw(at.port, { method: "POST", path: "/api/enter", headers: { host, authorization: `Bearer ${key}` } })).status, 401, "the printed key is spent");
  fs.writeFileSync(path.join(home, "..", "away.jpg"), fs.readFileSync(path.join(home, "pine-gate.jpg")));
  for (const where of ["/api/stumps/../away.jpg", "/api/stumps/..%2faway.jpg/photo", "/api/stumps/..%2f..%2f..%2fetc%2fpasswd/photo", "/../../etc/passwd"]) {
    assert.equal((await raw(at.port, { path: where, headers: held })).status, 404, where);
  }
  const large = await raw(at.port, { method: "POST", path: "/api/photos?name=a.jpg", headers: { ...held, "content-length": String(1024 ** 3) }, body: "x" }).catch((error) => ({ status: error.code }));
  assert.ok(large.status === 413 || large.status === "ECONNRESET", String(large.status));
});

await test("slow and broken clients stall nobody", async () => {
  const host = `127.0.0.1:${at.port}`;
  const slow = [];
  for (let nth = 0; nth < 60; nth++) slow.push(await dawdle(at.port, nth % 2 ? "GET / HT" : `POST /api/photos?name=a.jpg HTTP/1.1\r\nhost: ${host}\r\ncontent-length: 900000\r\n\r\nabc`));
  const start = Date.now();
  for (let nth = 0; nth < 5; nth++) assert.equal((await raw(at.port, { headers: { host } })).status, 200);
  assert.ok(Date.now() - start < 3000, `${Date.now() - start} ms`);
  assert.ok((await raw(at.port, { headers: { host } })).headers["content-security-policy"].includes("default-src 'none'"));
  for (const socket of slow) socket.destroy();
});

await test("on the local network: the code in the terminal opens a phone, once, and says what it means", async () => {
  const ours = Object.values(os.networkInterfaces()).flat().find((one) => one.family === "IPv4" && !one.internal);
  assert.ok(ours, "this machine has no network address to try it on");
  const lan = await desk(folder("pine-gate.jpg"), `--lan=${ours.address}`);
  await lan.next();
  while (!lan.talk.join("").includes(`http://${ours.address}:`)) await new Promise((done) => setTimeout(done, 20));
  const talk = lan.talk.join("");
  assert.match(talk, /whoever has the address below can see the photos/);
  assert.match(talk, /not encrypted/);
  const letters = talk.split("\n").filter((line) => /^[\u2580\u2584\u2588 ]+$/.test(line) && line.length > 20);
  const address = readCode(letters);
  assert.equal(address, talk.match(new RegExp(`http://${ours.address}:\\S+`))[0]);
  const { host, hash } = new URL(address);
  const key = new URLSearchParams(hash.slice(1)).get("key");
  const enter = () => fetch(`http://${host}/api/enter`, { method: "POST", headers: { authorization: `Bearer ${key}` } });
  assert.equal((await enter()).status, 200);
  assert.equal((await enter()).status, 401);
  await lan.kill();
  // Without --lan nothing listens there.
  await assert.rejects(fetch(`http://${ours.address}:${at.port}/`));
});

/** Reads a code drawn in half blocks: two squares a letter, light where inked. */
function readCode(lines) {
  const wide = Math.max(...lines.map((line) => line.length));
  const scale = 4;
  const pixels = new Uint8ClampedArray(wide * scale * lines.length * 2 * scale * 4).fill(255);
  const set = (x, y, light) => {
    for (let dy = 0; dy < scale; dy++) for (let dx = 0; dx < scale; dx++) {
      const at = ((y * scale + dy) * wide * scale + x * scale + dx) * 4;
      pixels.fill(light ? 255 : 0, at, at + 3);
    }
  };
  lines.forEach((line, row) => [...line.padEnd(wide)].forEach((letter, column) => {
    set(column, 2 * row, "\u2580\u2588".includes(letter));
    set(column, 2 * row + 1, "\u2584\u2588".includes(letter));
  }));
  return jsQR(pixels, wide * scale, lines.length * 2 * scale)?.data;
}

// ------------------------------------------------------------- for everyone

await test("an accessibility checker finds no serious fault, and nothing is asked of anyone else", async () => {
  const one = await visit(at, "maple-yard.jpg", { reducedMotion: "reduce" });
  const check = async (name) => {
    await one.evaluate(axe);
    const found = await one.evaluate(async () => (await window.axe.run(document, { resultTypes: ["violations"] })).violations
      .filter((fault) => ["serious", "critical"].includes(fault.impact)).map((fault) => `${fault.id}: ${fault.nodes.map((node) => node.html.slice(0, 120)).join(" | ")}`));
    assert.deepEqual(found, [], name);
  };
  await check("a stump");
  await one.click("[data-tool=tape]");
  await one.click("#open-help");
  await check("the help");
  await one.keyboard.press("Escape");
  await one.click("#home");
  await shown(one, "folder");
  await check("the folder");
  for (const width of [390, 900]) {
    await one.setViewportSize({ width, height: 844 });
    await one.goto(`${one.url().split("#")[0]}#stump=maple-yard.jpg`);
    await shown(one, "maple-yard.jpg");
    await check(`a stump, ${width} wide`);
  }
  const foreign = one.asked.filter((address) => !address.startsWith(`http://127.0.0.1:${at.port}/`) && !address.startsWith("blob:"));
  assert.deepEqual(foreign, []);
  assert.deepEqual(one.errors, []);
  await one.context().close();
});

await test("a browser without a key is shown how to come in", async () => {
  const one = await visit(at, "maple-yard.jpg");
  await one.evaluate(() => localStorage.clear());
  await one.reload();
  await one.waitForSelector("#closed:not([hidden])");
  assert.match(await one.textContent("#closed"), /newest one from the terminal/);
  await one.context().close();
});

await test("each view is drawn for the guide", async () => {
  const woodlot = folder("ash-landing.jpg", "cherry-wall.jpg", "oak-hollow.jpg", "pine-gate.jpg", "walnut-house.jpg");
  for (const [name, species, felled, height, across] of [
    ["ash-landing", "white ash", "2025-11-08", "30cm", "413mm"], ["cherry-wall", "black cherry", "2025-11-15", "25cm", null],
    ["oak-hollow", "white oak", "2025-12-01", "45cm", "540mm"], ["pine-gate", "eastern white pine", "2025-11-08", "30cm", "378mm"],
  ]) {
    const options = ["--species", species, "--felled", felled, "--cut-height", height, ...(across ? ["--across", across] : [])];
    execFileSync(program, ["count", path.join(woodlot, `${name}.jpg`), ...options], { stdio: "ignore" });
  }
  // One in which some rings are in doubt: in the samples none is.
  const drawn = folder();
  execFileSync(program, ["practice", "--seed", "34", "--out", drawn], { stdio: "ignore" });
  fs.copyFileSync(path.join(drawn, "practice-34.jpg"), path.join(woodlot, "spring-stump.jpg"));
  const lot = await desk(woodlot);
  const one = await visit(lot, "pine-gate.jpg");
  await one.click("#first-visit-done");
  for (const [year, what] of [["1988", "a dry year"], ["2012", "dry again"]]) {
    await one.fill("#remember-year", year);
    await one.fill("#remember-what", what);
    await after(one, () => one.keyboard.press("Enter"));
  }
  await still(one);
  await one.focus("#unrolled-canvas");
  await one.keyboard.press("n");
  await still(one);
  await one.click("#unrolled-fit");
  await still(one);
  await shot(one, "desk");
  const doubted = await visit(lot, "spring-stump.jpg");
  await doubted.click("#next-doubt");
  await still(doubted);
  await shot(doubted, "desk-doubt");
  await doubted.context().close();
  await one.click("[data-tool=tape]");
  const { tape } = truthOf("pine-gate.jpg");
  await one.click("#photo-fit");
  const [from, to] = await whereIs(one, "given.map((place) => photo.spotOf(place))", [tape.from, tape.to]);
  await drag(one, from, to);
  await one.fill("#tape-length", `${tape.length_mm / 10}cm`);
  await shot(one, "desk-tape");
  await one.click("#tape-not");
  await one.click("#open-outputs");
  await one.click("[data-what=sheet-pdf] button");
  await one.waitForSelector("[data-what=sheet-pdf] a", { timeout: 60_000 });
  await shot(one, "desk-outputs");
  await one.click("#outputs button[type=submit]");
  await one.click("#home");
  await shown(one, "folder");
  await one.waitForFunction(() => document.querySelectorAll(".stumps img").length >= 5, null, { timeout: 60_000 });
  await shot(one, "folder");
  assert.deepEqual(one.errors, []);
  await one.context().close();
  const phone = await visit(lot, null, { viewport: { width: 390, height: 844 }, deviceScaleFactor: 2, hasTouch: true, isMobile: true });
  await phone.waitForFunction(() => document.querySelectorAll(".stumps img").length >= 5, null, { timeout: 60_000 });
  await shot(phone, "phone-folder");
  await phone.tap(".stumps a >> text=spring-stump");
  await shown(phone, "spring-stump.jpg");
  await phone.tap("#next-doubt");
  await still(phone);
  await shot(phone, "phone-unrolled");
  for (const view of ["photo", "growth", "facts"]) {
    await phone.tap(`#tab-${view}`);
    await still(phone);
    await shot(phone, `phone-${view}`);
  }
  assert.deepEqual(phone.errors, []);
  await phone.context().close();
  await lot.kill();
});
