// The photo turned by quarters: only what is shown turns, and every tool still marks the
// place of the photo that is under the pointer.

import assert from "node:assert/strict";
import { DESKTOP, PHONE, after, count, desk, drag, fingers, folder, inside, onPhoto, roomy, shown, still, test, visit, whereIs } from "./harness.mjs";

const at = await desk(folder("pine-gate.jpg", "ash-landing.jpg"));
const spot = (page, place) => whereIs(page, "photo.spotOf(given)", place);
const scale = (page) => inside(page, "photo.pixelsPerPixel()");
const near = (place, wanted, most, words) => assert.ok(Math.hypot(place[0] - wanted[0], place[1] - wanted[1]) <= most, `${words}: ${place} for ${wanted}`);

/** Where a way in the photo leads on the screen after so many quarters, written out once more. */
const onScreen = ([dx, dy], quarters) => [[dx, dy], [-dy, dx], [-dx, -dy], [dy, -dx]][quarters];

async function turn(page, quarters, by = "click") {
  for (let nth = 0; nth < quarters; nth++) {
    const before = await inside(page, "state.quarters");
    await page[by]("#photo-turn");
    await page.waitForFunction(async (old) => (await import("/selection.js")).state.quarters === (old + 1) % 4, before);
  }
  await still(page);
}

/** Mean color of a small square: of the canvas around a spot of the window, and of the photo
 *  itself around a place. */
const colors = (page, where, place, { half = 3, larger = 1 } = {}) => inside(page, `(() => {
  const mean = ({ data }) => [0, 1, 2].map((band) => { let sum = 0; for (let i = band; i < data.length; i += 4) sum += data[i]; return sum / (data.length / 4); });
  const canvas = document.getElementById("photo-canvas");
  const box = canvas.getBoundingClientRect();
  const by = canvas.width / box.width;
  const [x, y] = [(given.where[0] - box.left) * by, (given.where[1] - box.top) * by];
  const side = given.half * by;
  const seen = mean(canvas.getContext("2d").getImageData(x - side, y - side, 2 * side, 2 * side));
  const own = Object.assign(document.createElement("canvas"), { width: 16, height: 16 });
  const pen = own.getContext("2d", { willReadFrequently: true });
  // At first a large photo is there as a small copy.
  const share = state.photo.width / state.view.size_px[0];
  const reach = given.half / given.larger / photo.pixelsPerPixel();
  pen.drawImage(state.photo, (given.place[0] - reach) * share, (given.place[1] - reach) * share, 2 * reach * share, 2 * reach * share, 0, 0, 16, 16);
  return [seen, mean(pen.getImageData(0, 0, 16, 16))];
})()`, { where, place, half, larger });
const alike = ([one, other], words) => assert.ok(one.every((value, band) => Math.abs(value - other[band]) < 26), `${words}: ${one.map(Math.round)} for ${other.map(Math.round)}`);

await test("the button and the key turn the photo, and each place is where the picture shows it", async () => {
  const one = await visit(at, "pine-gate.jpg", DESKTOP);
  const [wide, high] = await inside(one, "state.view.size_px");
  await inside(one, "(state.hidden = true)");
  for (const quarters of [1, 2, 3, 0]) {
    if (quarters === 2) { await one.focus("#photo-canvas"); await one.keyboard.press("t"); } else await one.click("#photo-turn");
    await one.click("#photo-fit");
    await still(one);
    const box = await one.locator("#photo-canvas").boundingBox();
    const zero = await spot(one, [0, 0]);
    for (const share of [[0.2, 0.15], [0.85, 0.3], [0.35, 0.6], [0.6, 0.9]]) {
      const place = [share[0] * wide, share[1] * high];
      const where = await spot(one, place);
      assert.ok(where[0] > box.x && where[0] < box.x + box.width && where[1] > box.y && where[1] < box.y + box.height, "the whole photo is shown");
      const by = await scale(one);
      near([where[0] - zero[0], where[1] - zero[1]], onScreen(place, quarters).map((way) => way * by), 1, `${quarters} quarters`);
      alike(await colors(one, where, place), `${quarters} quarters, at ${share}`);
    }
  }
  assert.match(await one.getAttribute("#photo-canvas", "aria-label"), /^The photo with its \d+ rings$/);
  await one.click("#photo-turn");
  assert.match(await one.getAttribute("#photo-canvas", "aria-label"), /turned a quarter clockwise/);
  assert.deepEqual(one.errors, []);
  await one.context().close();
});

await test("pith, bark, tape, paint and strip are marked where the pointer is on the turned photo", async () => {
  const one = await visit(at, "pine-gate.jpg", DESKTOP);
  const { pith, bark_edge_px: edge } = at.entry("pine-gate").reading;
  const middle = [pith.x_px, pith.y_px];
  const marks = () => at.entry("pine-gate").marks;
  // Written out from the pith on the screen, not by the page's own way back to the photo.
  const beside = async (way, quarters) => {
    const [[x, y], by] = [await spot(one, middle), await scale(one)];
    const [dx, dy] = onScreen(way, quarters);
    return [x + dx * by, y + dy * by];
  };
  const plus = ([dx, dy]) => [middle[0] + dx, middle[1] + dy];
  const most = 2 / await scale(one);

  await turn(one, 1);
  await one.click("[data-tool=pith]");
  await after(one, async () => one.mouse.click(...await beside([24, 9], 1)));
  near(marks().pith, plus([24, 9]), most, "the pith");
  await after(one, () => one.click("#undo"));
  await one.click("[data-tool=bark]");
  const onEdge = edge[20].map((value, axis) => value - middle[axis]);
  await after(one, async () => one.mouse.click(...await beside(onEdge, 1)));
  near(marks().bark.at(-1), edge[20], most, "the bark");
  await after(one, () => one.click("#undo"));

  await turn(one, 1);
  await one.click("[data-tool=tape]");
  await drag(one, await beside([-150, -60], 2), await beside([130, 40], 2));
  await one.fill("#tape-length", "20cm");
  await after(one, () => one.keyboard.press("Enter"));
  near(marks().tape.from, plus([-150, -60]), most, "the tape's one end");
  near(marks().tape.to, plus([130, 40]), most, "the tape's other end");
  await after(one, () => one.click("#undo"));
  await one.click("[data-tool=paint]");
  await one.click('#tool-clear >> text="Small"');
  await after(one, async () => drag(one, await beside([100, 30], 2), await beside([110, 30], 2)));
  const area = marks().unreadable.at(-1);
  near([0, 1].map((axis) => area.reduce((sum, place) => sum + place[axis], 0) / area.length), plus([105, 30]), 6 * most, "the paint");
  await after(one, () => one.click("#undo"));

  await turn(one, 1);
  await one.click("[data-tool=strip]");
  const end = edge[15].map((value, axis) => value - middle[axis]);
  await one.mouse.click(...await beside([0, 0], 3));
  await after(one, async () => one.mouse.click(...await beside(end, 3)));
  near(marks().strip.from, middle, 2 * most, "the strip's inner end");
  near(marks().strip.to, edge[15], most, "the strip's outer end");
  // Its end is dragged where it is seen.
  await one.click("[data-tool=strip]");
  await after(one, async () => drag(one, await beside(end, 3), await beside([0.9 * end[0], 0.8 * end[1]], 3)));
  near(marks().strip.to, plus([0.9 * end[0], 0.8 * end[1]]), most, "the strip's end dragged");
  while (await one.isEnabled("#undo")) await after(one, () => one.click("#undo"));
  assert.deepEqual(one.errors, []);
  await one.context().close();
});

await test("on the turned photo rings are added and chosen, and arrow keys move the cross as they point", async () => {
  const one = await visit(at, "pine-gate.jpg", DESKTOP);
  const rings = await count(one);
  const ring = await roomy(one);
  await turn(one, 3);
  await one.click("button[data-large=photo]");
  await one.click("[data-tool=rings]");
  await inside(one, "selection.choose(given)", ring);
  while (await inside(one, "photo.pixelsPerPixel() * (selection.ring(given + 1).radius_px - selection.ring(given).radius_px)", ring) < 14) await one.click("#photo-in");
  // Once zoomed in, the pith is moved into view by dragging with the tool Look.
  await one.click("[data-tool=look]");
  const box = await one.locator("#photo-canvas").boundingBox();
  const middle = [box.x + box.width / 2, box.y + box.height / 2];
  const pith = () => spot(one, [at.entry("pine-gate").reading.pith.x_px, at.entry("pine-gate").reading.pith.y_px]);
  const before = await pith();
  await drag(one, middle, [middle[0] + 40, middle[1] - 25]);
  const moved = await pith();
  near([moved[0] - before[0], moved[1] - before[1]], [40, -25], 2, "the photo follows the pointer");
  await one.mouse.move(...middle);
  const place = await inside(one, "(await import('/photo-view.js')).map.toPhoto(...given)", [box.width / 2, box.height / 2]);
  await inside(one, "document.getElementById('photo-canvas').dispatchEvent(new WheelEvent('wheel', { deltaY: -40, clientX: given[0], clientY: given[1], cancelable: true, bubbles: true }))", middle);
  near(await spot(one, place), middle, 1.5, "what is under the pointer stays when the wheel zooms");
  await one.click("#photo-fit");
  await one.click("[data-tool=rings]");
  while (await inside(one, "photo.pixelsPerPixel() * (selection.ring(given + 1).radius_px - selection.ring(given).radius_px)", ring) < 14) await one.click("#photo-in");
  const turnOf = await inside(one, `[...Array(50).keys()].map((step) => step / 50).find((turn) => {
    const [x, y] = photo.spotOf(state.geometry.place(turn, geometry.at(state.lines[given.ring - 1], turn)));
    return x > given.box.x + 60 && x < given.box.x + given.box.width - 60 && y > given.box.y + 60 && y < given.box.y + given.box.height - 60;
  }) ?? null`, { ring, box });
  assert.notEqual(turnOf, null, "the ring is in view");
  await after(one, async () => one.mouse.click(...await onPhoto(one, ring, turnOf, 0.5)));
  assert.equal(await count(one), rings + 1);
  assert.match(await one.textContent("#ring-words"), new RegExp(`Ring ${ring + 1},.*marked by you`));
  await after(one, () => one.click("#undo"));
  // The cross goes to the right of the screen, whichever way that is in the photo.
  await one.click("[data-tool=pith]");
  await one.focus("#photo-canvas");
  const cross = async () => spot(one, await inside(one, "(await import('/photo-view.js')).hand.cross"));
  await one.keyboard.press("ArrowLeft");
  const start = await cross();
  await one.keyboard.press("Shift+ArrowRight");
  const right = await cross();
  near([right[0] - start[0], right[1] - start[1]], [40, 0], 0.5, "right");
  await one.keyboard.press("Shift+ArrowUp");
  const up = await cross();
  near([up[0] - right[0], up[1] - right[1]], [0, -40], 0.5, "up");
  assert.deepEqual(one.errors, []);
  await one.context().close();
});

await test("under a finger on the turned photo the magnifier shows that place, turned too", async () => {
  const phone = await visit(at, "pine-gate.jpg", PHONE);
  const { pith } = at.entry("pine-gate").reading;
  await phone.tap("#tab-photo");
  await inside(phone, "(state.hidden = true)");
  await turn(phone, 1, "tap");
  await phone.tap("[data-tool=bark]");
  await phone.locator("#photo-canvas").scrollIntoViewIfNeeded();
  const finger = await spot(phone, [pith.x_px + 60, pith.y_px - 90]);
  const touch = await fingers(phone);
  await touch("touchStart", [finger]);
  await still(phone);
  const box = await phone.locator("#photo-canvas").boundingBox();
  const by = await scale(phone);
  const center = [finger[0] < box.x + box.width / 2 ? box.x + box.width - 66 : box.x + 66, box.y + 66];
  for (const [dx, dy] of [[0, 30], [-33, -9], [27, -27]]) {
    // Three times as large, and turned a quarter clockwise: back in the photo it is this way.
    const way = [dy / 3 / by, -dx / 3 / by];
    const place = [pith.x_px + 60 + way[0], pith.y_px - 90 + way[1]];
    alike(await colors(phone, [center[0] + dx, center[1] + dy], place, { half: 4, larger: 3 }), `${dx}, ${dy} in the magnifier`);
  }
  await after(phone, () => touch("touchEnd", []));
  while (await phone.isEnabled("#undo")) await after(phone, () => phone.tap("#undo"));
  await phone.context().close();
});

await test("the turn stays through a reload, for this stump only, until it is turned back", async () => {
  const one = await visit(at, "pine-gate.jpg", DESKTOP);
  await turn(one, 1);
  await one.reload();
  await shown(one, "pine-gate.jpg");
  assert.equal(await inside(one, "state.quarters"), 1);
  await still(one);
  const [origin, along] = [await spot(one, [0, 0]), await spot(one, [100, 0])];
  assert.ok(Math.abs(along[0] - origin[0]) < 1 && along[1] > origin[1], "to the right in the photo is down on the screen");
  await one.goto(`${one.url().split("#")[0]}#stump=ash-landing.jpg`);
  await shown(one, "ash-landing.jpg");
  assert.equal(await inside(one, "state.quarters"), 0);
  await one.goto(`${one.url().split("#")[0]}#stump=pine-gate.jpg`);
  await shown(one, "pine-gate.jpg");
  assert.equal(await inside(one, "state.quarters"), 1);
  await turn(one, 3);
  await one.reload();
  await shown(one, "pine-gate.jpg");
  assert.equal(await inside(one, "state.quarters"), 0);
  assert.deepEqual(one.errors, []);
  await one.context().close();
});

await at.kill();
