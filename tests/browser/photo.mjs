// The photo: moving it never moves the pith, rings are set and removed on it,
// the magnifier, the brush, and the bare wood under the lines.

import assert from "node:assert/strict";
import { DESKTOP, PHONE, after, count, desk, drag, fingers, folder, inside, onPhoto, roomy, still, test, visit, whereIs } from "./harness.mjs";

const home = folder("pine-gate.jpg", "ash-landing.jpg");
const at = await desk(home);

await test("dragging the photo beside the pith moves the photo, not the pith, with mouse and finger", async () => {
  const one = await visit(at, "pine-gate.jpg", DESKTOP);
  const rings = await count(one);
  const { pith } = at.entry("pine-gate").reading;
  const place = [pith.x_px, pith.y_px];
  await one.click("#photo-in");
  await one.click("#photo-in");
  const from = await whereIs(one, "photo.spotOf(given)", place);
  await drag(one, [from[0] + 13, from[1]], [from[0] + 43, from[1] + 20]);
  const to = await whereIs(one, "photo.spotOf(given)", place);
  assert.ok(Math.hypot(to[0] - from[0], to[1] - from[1]) > 10, "the photo moved");
  assert.equal(at.entry("pine-gate").marks.pith, null);
  assert.equal(await count(one), rings);
  await one.context().close();

  const phone = await visit(at, "pine-gate.jpg", PHONE);
  await phone.tap("#tab-photo");
  await phone.tap("#photo-in");
  await phone.tap("#photo-in");
  await phone.locator("#photo-canvas").scrollIntoViewIfNeeded();
  const [x, y] = await whereIs(phone, "photo.spotOf(given)", place);
  const touch = await fingers(phone);
  await touch("touchStart", [[x - 24, y]]);
  for (const by of [8, 16, 30, 45]) await touch("touchMove", [[x - 24 + by, y + by / 2]]);
  await touch("touchEnd", []);
  await still(phone);
  assert.equal(at.entry("pine-gate").marks.pith, null);
  assert.equal(await count(phone), rings);
  assert.deepEqual(phone.errors, []);
  await phone.context().close();
});

await test("with the mouse: a ring is added between two lines of the photo, chosen and removed there", async () => {
  const one = await visit(at, "pine-gate.jpg", DESKTOP);
  const rings = await count(one);
  const ring = await roomy(one);
  await one.click("button[data-large=photo]");
  await still(one);
  await inside(one, "selection.choose(given)", ring);
  await one.click("[data-tool=rings]");
  while (await inside(one, "photo.pixelsPerPixel() * (selection.ring(given + 1).radius_px - selection.ring(given).radius_px)", ring) < 14) await one.click("#photo-in");
  await after(one, async () => one.mouse.click(...await onPhoto(one, ring, 0.05, 0.5)));
  assert.equal(await count(one), rings + 1);
  assert.match(await one.textContent("#ring-words"), new RegExp(`Ring ${ring + 1},.*marked by you`));
  await one.mouse.click(...await onPhoto(one, ring + 1, 0.05));
  assert.match(await one.textContent("#ring-words"), new RegExp(`Ring ${ring + 1},`));
  await after(one, () => one.click("#remove"));
  assert.equal(await count(one), rings);
  while (await one.isEnabled("#undo")) await after(one, () => one.click("#undo"));
  assert.deepEqual(one.errors, []);
  await one.context().close();
});

await test("by keyboard: a ring is added on the photo with the cross", async () => {
  const one = await visit(at, "ash-landing.jpg", DESKTOP);
  await one.click("[data-tool=rings]");
  await one.focus("#photo-canvas");
  await one.keyboard.press("Shift+ArrowRight");
  await one.keyboard.press("Enter");
  await one.waitForFunction(() => document.getElementById("pending").hidden === false || /^Ring/.test(document.getElementById("ring-words").textContent));
  if (await one.isVisible("#pending")) {
    await one.keyboard.press("ArrowUp");
    await after(one, () => one.keyboard.press("Enter"));
  } else {
    await one.keyboard.press("a");
    await after(one, () => one.keyboard.press("Enter"));
  }
  // The rings around it are read again, so that the count may stay as it was.
  assert.match(await one.textContent("#message"), /a ring added/);
  const marks = await inside(one, "state.view.stump.marks", {});
  assert.equal(marks.rings.length, 1);
  await after(one, () => one.click("#undo"));
  await one.context().close();
});

await test("with a finger: the tapped place can be nudged, set or given up, under a magnifier", async () => {
  const phone = await visit(at, "pine-gate.jpg", PHONE);
  const rings = await count(phone);
  const ring = await roomy(phone);
  await phone.tap("#tab-photo");
  await phone.tap("[data-tool=rings]");
  await phone.locator("#photo-canvas").scrollIntoViewIfNeeded();
  const corner = () => phone.evaluate(() => {
    const canvas = document.getElementById("photo-canvas");
    const density = canvas.width / canvas.clientWidth;
    const sum = (x) => [...canvas.getContext("2d").getImageData(x * density, 66 * density, 40, 40).data].reduce((a, b) => a + b, 0);
    return [sum(66), sum(canvas.clientWidth - 66)];
  });
  const before = await corner();
  const place = await onPhoto(phone, ring, 0.62, 0.5);
  const touch = await fingers(phone);
  await touch("touchStart", [place]);
  await still(phone);
  const during = await corner();
  assert.ok(before.some((sum, side) => sum !== during[side]), "the magnifier shows in a corner");
  await touch("touchEnd", []);
  await still(phone);
  assert.equal(await count(phone), rings, "a tap alone adds nothing");
  if (!await phone.isVisible("#pending")) { await phone.tap("#add"); }
  await phone.tap("#pending-cancel");
  assert.ok(await phone.isHidden("#pending"));
  await phone.tap("#add");
  await phone.tap("#pending-out");
  await after(phone, () => phone.tap("#pending-set"));
  assert.equal(await count(phone), rings + 1);
  await after(phone, () => phone.tap("#undo"));
  assert.deepEqual(phone.errors, []);
  await phone.context().close();
});

await test("holding a key or the button hides the lines, and shows those before the last change", async () => {
  const one = await visit(at, "pine-gate.jpg", DESKTOP);
  const picture = () => one.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(() => {
    const canvas = document.getElementById("unrolled-canvas");
    const { data } = canvas.getContext("2d").getImageData(80, 40, canvas.width - 160, canvas.height - 120);
    let sum = 0;
    for (let i = 0; i < data.length; i += 4) sum = (sum * 31 + data[i] + 3 * data[i + 1] + 7 * data[i + 2]) % 2147483647;
    done(sum);
  }))));
  await one.mouse.move(5, 5);
  const plain = await picture();
  await one.focus("#unrolled-canvas");
  await one.keyboard.down("h");
  const bare = await picture();
  assert.notEqual(bare, plain);
  await one.keyboard.up("h");
  assert.equal(await picture(), plain);
  const box = await one.locator("#bare").boundingBox();
  await one.mouse.move(box.x + 10, box.y + 10);
  await one.mouse.down();
  assert.equal(await picture(), bare);
  await one.mouse.up();
  assert.equal(await picture(), plain);
  // One ring fewer; before shows the lines as they were.
  await inside(one, "selection.choose(12)");
  await after(one, () => one.click("#remove"));
  await inside(one, "selection.choose(0)");
  await one.mouse.move(5, 5);
  const fewer = await picture();
  assert.notEqual(fewer, plain);
  await one.keyboard.down("b");
  assert.equal(await picture(), plain);
  await one.keyboard.up("b");
  assert.equal(await picture(), fewer);
  await after(one, () => one.click("#undo"));
  await one.context().close();
});

await test("paint has three brushes, and an area within a painted loop stays readable", async () => {
  const one = await visit(at, "pine-gate.jpg", DESKTOP);
  const { pith } = at.entry("pine-gate").reading;
  await one.click("[data-tool=paint]");
  const span = async (name) => {
    await one.click(`#tool-clear >> text="${name}"`);
    const [x, y] = await whereIs(one, "photo.spotOf(given)", [pith.x_px - 150, pith.y_px - 90]);
    await after(one, () => drag(one, [x, y], [x + 6, y]));
    const area = at.entry("pine-gate").marks.unreadable.at(-1);
    await after(one, () => one.click("#undo"));
    return Math.max(...area.map((place) => place[1])) - Math.min(...area.map((place) => place[1]));
  };
  const [small, large] = [await span("Small"), await span("Large")];
  assert.ok(large > 3 * small, `${large} after ${small}`);
  // A loop round a place: the place itself stays readable.
  await one.click('#tool-clear >> text="Small"');
  const [x, y] = await whereIs(one, "photo.spotOf(given)", [pith.x_px - 120, pith.y_px - 120]);
  await after(one, async () => {
    await one.mouse.move(x + 22, y);
    await one.mouse.down();
    for (let step = 1; step <= 24; step++) await one.mouse.move(x + 22 * Math.cos((step / 24) * 2 * Math.PI), y + 22 * Math.sin((step / 24) * 2 * Math.PI));
    await one.mouse.up();
  });
  const area = at.entry("pine-gate").marks.unreadable.at(-1);
  const within = ([px, py]) => area.reduce((odd, [ax, ay], index) => {
    const [bx, by] = area[(index + 1) % area.length];
    return (ay > py) !== (by > py) && px < ax + ((py - ay) / (by - ay)) * (bx - ax) ? !odd : odd;
  }, false);
  const edge = await inside(one, "(() => { const [x, y] = photo.spotOf(given); return 22 / photo.pixelsPerPixel(); })()", [0, 0]);
  assert.equal(within([pith.x_px - 120, pith.y_px - 120]), false, "the middle was not painted");
  assert.equal(within([pith.x_px - 120 + edge, pith.y_px - 120 + 0.3]), true, "the loop was");
  await after(one, () => one.click("#undo"));
  await one.context().close();
});

await at.kill();
