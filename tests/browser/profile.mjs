// The radial intensity profile beside the unrolled stump.

import assert from "node:assert/strict";
import { DESKTOP, PHONE, after, desk, folder, inside, shown, still, test, visit } from "./harness.mjs";

const at = await desk(folder("pine-gate.jpg", "oak-blurred.jpg"));
const CANVAS = "#intensity-canvas";

/** Waits until the curve of the reading that is shown is drawn. */
async function drawn(page) {
  await page.waitForFunction(() => document.getElementById("intensity-canvas").dataset.revision === document.body.dataset.revision);
  await still(page);
  await page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))));
}

/** Red, green and blue of one pixel of the profile, in CSS pixels of the window. */
const pixel = (page, x, y) => page.evaluate(([px, py]) => {
  const canvas = document.getElementById("intensity-canvas");
  const box = canvas.getBoundingClientRect();
  const by = canvas.width / box.width;
  return [...canvas.getContext("2d").getImageData(Math.floor((px - box.left) * by), Math.floor((py - box.top) * by), 1, 1).data].slice(0, 3);
}, [x, y]);
const brightness = ([r, g, b]) => (r + g + b) / 3;

/** How far right the curve is at each course given, in CSS pixels: the middle of its darkest run. */
const curveAt = (page, courses) => inside(page, `given.map((course) => {
  const canvas = document.getElementById("intensity-canvas");
  const by = canvas.width / canvas.clientWidth;
  const y = unrolled.spotOf(0, course)[1] - canvas.getBoundingClientRect().top;
  const { data } = canvas.getContext("2d").getImageData(10 * by, Math.round(y * by), canvas.width - 20 * by, 1);
  let [sum, weight] = [0, 0];
  for (let i = 0; i < data.length; i += 4) { const dark = Math.max(0, 120 - data[i]); sum += dark * i / 4; weight += dark; }
  return weight ? 10 + sum / weight / by : null;
})`, courses);

await test("the profile is shown beside the unrolled stump, at the same heights, and hidden again", async () => {
  const one = await visit(at, "pine-gate.jpg", DESKTOP);
  const width = async () => (await one.locator("#unrolled-canvas").boundingBox()).width;
  const before = await width();
  assert.ok(await one.isHidden(CANVAS));
  await one.click("#intensity-show");
  await drawn(one);
  const box = await one.locator(CANVAS).boundingBox();
  assert.ok(Math.abs(await width() + box.width - before) < 1, "side by side");
  assert.match(await one.getAttribute(CANVAS, "aria-label"), /how light the wood is.*\d+ ring boundaries/);
  // Each tenth boundary is where its ring is in the unrolled stump, also after zooming.
  for (const zoomed of [false, true]) {
    if (zoomed) { for (let nth = 0; nth < 2; nth++) await one.click("#unrolled-in"); await drawn(one); }
    const tenths = await inside(one, "state.geometry.info.courses.map((course, index) => [index + 1, unrolled.spotOf(0, course)[1]]).filter(([number]) => number % 10 === 0)");
    const within = tenths.filter(([, y]) => y > box.y + 20 && y < box.y + box.height - 40);
    assert.ok(within.length >= 2, `${within.length} tenth rings in view`);
    for (const [number, y] of within) {
      const [on, off] = await Promise.all([pixel(one, box.x + 12, y), pixel(one, box.x + 12, y - 4)]);
      assert.ok(brightness(on) + 60 < brightness(off), `ring ${number}, zoomed ${zoomed}: ${on} beside ${off}`);
    }
  }
  await one.click("#intensity-show");
  assert.ok(await one.isHidden(CANVAS));
  assert.equal(await width(), before);
  assert.deepEqual(one.errors, []);
  await one.context().close();
});

await test("each year of a conifer is light first and dark at its end, in the profile too", async () => {
  const one = await visit(at, "pine-gate.jpg", DESKTOP);
  await one.click("button[data-large=unrolled]");
  await one.click("#intensity-show");
  for (let nth = 0; nth < 6; nth++) await one.click("#unrolled-in");
  await drawn(one);
  // Without the boundaries, only the curve is ink.
  await one.focus("#unrolled-canvas");
  await one.keyboard.down("h");
  await drawn(one);
  const box = await one.locator(CANVAS).boundingBox();
  const rings = await inside(one, "state.geometry.info.courses.map((to, index, all) => [all[index - 1] ?? 0, to]).filter(([from, to]) => unrolled.spotOf(0, to)[1] > given.y + 16 && unrolled.spotOf(0, from)[1] < given.y + given.height - 30)", box);
  assert.ok(rings.length >= 6, `${rings.length} rings in view`);
  const light = await curveAt(one, rings.map(([from, to]) => from + 0.3 * (to - from)));
  const dark = await curveAt(one, rings.map(([from, to]) => from + 0.9 * (to - from)));
  await one.keyboard.up("h");
  const right = rings.filter((_, index) => light[index] > dark[index] + 3).length;
  assert.ok(right >= 0.8 * rings.length, `${right} of ${rings.length}`);
  await one.context().close();
});

await test("it stays through a reload and follows the marks", async () => {
  const one = await visit(at, "pine-gate.jpg", DESKTOP);
  await one.click("#intensity-show");
  await drawn(one);
  await one.reload();
  await shown(one, "pine-gate.jpg");
  await drawn(one);
  assert.ok(await one.isVisible(CANVAS));
  const label = await one.getAttribute(CANVAS, "aria-label");
  await inside(one, "selection.choose(12)");
  await after(one, () => one.click("#remove"));
  await drawn(one);
  assert.notEqual(await one.getAttribute(CANVAS, "aria-label"), label, "one boundary fewer");
  await after(one, () => one.click("#undo"));
  await drawn(one);
  assert.equal(await one.getAttribute(CANVAS, "aria-label"), label);
  // Nothing was read on this one, so there is nothing to show.
  await one.goto(`${one.url().split("#")[0]}#stump=oak-blurred.jpg`);
  await shown(one, "oak-blurred.jpg");
  assert.equal(await one.isEnabled("#intensity-show"), false);
  assert.deepEqual(one.errors, []);
  await one.context().close();
});

await test("on a phone and at 320 px the profile leaves the page without sideways scroll", async () => {
  for (const options of [PHONE, { viewport: { width: 320, height: 700 } }]) {
    const phone = await visit(at, "pine-gate.jpg", options);
    await phone.click("#intensity-show");
    await drawn(phone);
    const { width } = options.viewport;
    const { x, width: wide } = await phone.locator(CANVAS).boundingBox();
    assert.ok(wide >= 60 && x + wide <= width, `${x} and ${wide} of ${width}`);
    assert.ok(await phone.evaluate(() => document.documentElement.scrollWidth) <= width);
    await phone.context().close();
  }
});

for (const colorScheme of ["light", "dark"]) {
  await test(`the profile has the ${colorScheme} colors that the system chooses`, async () => {
    const one = await visit(at, "pine-gate.jpg", { ...DESKTOP, forcedColors: "active", colorScheme });
    await one.click("#intensity-show");
    await drawn(one);
    const { x, y, width } = await one.locator(CANVAS).boundingBox();
    const paper = brightness(await pixel(one, x + 3, y + 3));
    const frame = brightness(await pixel(one, x + width / 2, y + 11.5));
    assert.ok(colorScheme === "dark" ? paper < 60 && frame > 150 : paper > 200 && frame < 150, `${frame} on ${paper}`);
    await one.context().close();
  });
}

await at.kill();
