// Zoom stays until the person changes it; a doubt is shown large enough.

import assert from "node:assert/strict";
import fs from "node:fs";
import path from "node:path";
import { DESKTOP, PHONE, desk, fingers, inside, onLine, practiceFace, still, test, visit, whereIs } from "./harness.mjs";

// A face of many rings, some of which are in doubt.
const { file, made } = practiceFace("--seed", "34");
fs.readdirSync(made).filter((name) => name.endsWith(".truth.json")).forEach((name) => fs.rmSync(path.join(made, name)));
const at = await desk(made);
const scale = (page) => inside(page, "unrolled.pixelsPerCourse()");
const gap = (page) => inside(page, "(() => { const c = state.geometry.info.courses; const n = state.chosen; return (c[n - 1] - (c[n - 2] ?? 0)) * unrolled.pixelsPerCourse(); })()");

await test("the first doubt is as large as the second, in the unrolled stump and in the photo", async () => {
  const one = await visit(at, file, DESKTOP);
  assert.ok(await inside(one, "state.view.doubts.length") >= 2, "a face with doubts");
  await one.keyboard.press("n");
  await still(one);
  const first = await scale(one);
  assert.ok(await gap(one) >= 15, `${await gap(one)} px`);
  const wide = await inside(one, "(selection.ring(state.chosen).radius_px - (selection.ring(state.chosen - 1)?.radius_px ?? 0)) * photo.pixelsPerPixel()");
  assert.ok(wide >= 6, `${wide} px on the photo`);
  const [x, y] = await onLine(one, await inside(one, "state.chosen"), 0.5);
  const box = await one.locator("#unrolled-canvas").boundingBox();
  assert.ok(y > box.y && y < box.y + box.height && x > box.x, "the ring is in view");
  await one.keyboard.press("n");
  await still(one);
  assert.ok(await gap(one) >= 15);
  assert.ok(await scale(one) >= first, "it is not zoomed out again");
  assert.deepEqual(one.errors, []);
  await one.context().close();
});

await test("zoom by the buttons stays when a ring is chosen and when the window changes", async () => {
  const one = await visit(at, file, DESKTOP);
  for (let nth = 0; nth < 3; nth++) await one.click("#unrolled-in");
  const zoomed = await scale(one);
  const ring = await inside(one, "unrolled.ringAt(0.5, state.geometry.info.top_course / 2).number");
  await one.mouse.click(...await onLine(one, ring, 0.5));
  await still(one);
  assert.equal(await inside(one, "state.chosen"), ring);
  assert.equal(await scale(one), zoomed);
  await one.keyboard.press("ArrowUp");
  await still(one);
  assert.equal(await scale(one), zoomed);
  await one.click("#unrolled-fit");
  assert.ok(await scale(one) < zoomed);
  await one.context().close();
});

await test("on a phone the zoom on a doubt is still there after the other tabs", async () => {
  const phone = await visit(at, file, PHONE);
  await phone.tap("#next-doubt");
  await still(phone);
  const zoomed = await scale(phone);
  assert.ok(await gap(phone) >= 15);
  for (const tab of ["photo", "growth", "facts", "unrolled"]) { await phone.tap(`#tab-${tab}`); await still(phone); }
  assert.equal(await scale(phone), zoomed);
  await phone.context().close();
});

await test("the unrolled stump is stretched sideways by fingers, by keys and by a button", async () => {
  const phone = await visit(at, file, PHONE);
  const turn = (page) => whereIs(page, "unrolled.spotOf(0.6, 10)[0] - unrolled.spotOf(0.4, 10)[0]");
  const whole = await turn(phone);
  const box = await phone.locator("#unrolled-canvas").boundingBox();
  const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
  const touch = await fingers(phone);
  await touch("touchStart", [[x - 30, y], [x + 30, y]]);
  for (const apart of [45, 60, 80, 95]) await touch("touchMove", [[x - apart, y], [x + apart, y]]);
  await touch("touchEnd", []);
  assert.ok(await turn(phone) > 2 * whole, `${await turn(phone)} after ${whole}`);
  await phone.context().close();
  const one = await visit(at, file, DESKTOP);
  const before = await turn(one);
  await one.focus("#unrolled-canvas");
  await one.keyboard.press(">");
  const wider = await turn(one);
  assert.ok(wider > 1.2 * before);
  await one.click("#unrolled-wider");
  assert.ok(await turn(one) > 1.2 * wider);
  await one.context().close();
});

await at.kill();
