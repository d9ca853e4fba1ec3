// A phone: a ring that is begun can be set, nudged and given up by thumb.

import assert from "node:assert/strict";
import { PHONE, after, between, count, desk, fingers, folder, inside, onLine, roomy, shot, shown, still, test, visit, whereIs } from "./harness.mjs";

const at = await desk(folder("pine-gate.jpg"));
const course = (page) => inside(page, "state.pending.course");

await test("Add: the new ring is nudged, given up, and set, with buttons at the bottom", async () => {
  const phone = await visit(at, "pine-gate.jpg", PHONE);
  await phone.tap("#first-visit-done");
  const rings = await count(phone);
  const ring = await roomy(phone);
  await inside(phone, "unrolled.show(given)", ring);
  await phone.tap("#add");
  await still(phone);
  const covered = await phone.evaluate(() => {
    const bar = document.getElementById("pending").getBoundingClientRect();
    return ["pending-out", "pending-in", "pending-set", "pending-cancel"].map((id) => {
      const box = document.getElementById(id).getBoundingClientRect();
      const top = document.elementFromPoint(box.left + box.width / 2, box.top + box.height / 2);
      return { id, high: box.height, free: top?.id === id, bottom: bar.bottom };
    });
  });
  for (const { id, high, free, bottom } of covered) {
    assert.ok(free, `${id} is covered`);
    assert.ok(high >= 44, `${id} is ${high} high`);
    assert.ok(Math.abs(bottom - 844) < 0.5, `the buttons end at ${bottom}`);
  }
  const begun = await course(phone);
  await phone.tap("#pending-out");
  assert.ok(await course(phone) > begun);
  await phone.tap("#pending-in");
  await phone.tap("#pending-in");
  assert.ok(await course(phone) < begun);
  await shot(phone, "phone-add");
  await phone.tap("#pending-cancel");
  assert.ok(await phone.isHidden("#pending"));
  assert.equal(await count(phone), rings);
  await phone.tap("#add");
  await after(phone, () => phone.tap("#pending-set"));
  assert.equal(await count(phone), rings + 1);
  await after(phone, () => phone.tap("#undo"));
  assert.deepEqual(phone.errors, []);
  await phone.context().close();
});

await test("Move and Join: nudged and set, or given up, by thumb", async () => {
  const phone = await visit(at, "pine-gate.jpg", PHONE);
  await phone.tap("#first-visit-done");
  const rings = await count(phone);
  const ring = await roomy(phone);
  await inside(phone, "unrolled.show(given)", ring);
  await still(phone);
  const radius = () => inside(phone, "selection.ring(given).radius_px", ring);
  const before = await radius();
  await phone.tap("#move");
  for (let nth = 0; nth < 4; nth++) await phone.tap("#pending-out");
  await after(phone, () => phone.tap("#pending-set"));
  assert.ok(await radius() > before);
  await after(phone, () => phone.tap("#undo"));
  await phone.tap("#join");
  assert.match(await phone.textContent("#pending-words"), new RegExp(`ring ${ring}`));
  await phone.tap("#pending-cancel");
  // Given up: the next tap between two lines begins a ring and joins nothing.
  await phone.locator("#unrolled-canvas").scrollIntoViewIfNeeded();
  await phone.touchscreen.tap(...await between(phone, ring));
  assert.equal(await phone.textContent("#pending-set"), "Add here");
  await phone.tap("#pending-cancel");
  await inside(phone, "selection.choose(given)", ring);
  await phone.tap("#join");
  await after(phone, async () => phone.touchscreen.tap(...await onLine(phone, ring + 1, 0.62)));
  assert.equal(await count(phone), rings - 1);
  await after(phone, () => phone.tap("#undo"));
  assert.deepEqual(phone.errors, []);
  await phone.context().close();
});

await test("the gestures are explained on the phone, and a stump opened leads back and onward", async () => {
  const phone = await visit(at, "pine-gate.jpg", PHONE);
  await phone.tap("#open-help");
  assert.match(await phone.textContent("#help"), /Two fingers/);
  await phone.tap("#help button[type=submit]");
  await phone.tap("#home");
  await phone.waitForFunction(() => document.body.dataset.shown === "folder");
  await phone.context().close();
});

await test("on a phone, with touch: tabs, a ring added where it is tapped, targets large enough", async () => {
  const phone = await visit(at, "pine-gate.jpg", PHONE);
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

await at.kill();
