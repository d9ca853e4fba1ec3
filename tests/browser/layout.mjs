// Nothing moves under the pointer; one view can be made large; no sideways
// scroll; messages cover no count; the page can be printed.

import assert from "node:assert/strict";
import { DESKTOP, PHONE, after, count, desk, fact, folder, inside, onLine, roomy, still, test, visit, whereIs } from "./harness.mjs";

const home = folder("pine-gate.jpg", "oak-blurred.jpg");
const at = await desk(home);

const boxes = (page) => page.evaluate(() => ["unrolled-canvas", "photo-canvas", "growth", "ring-bar", "facts"].map((id) => {
  const { x, y, width, height } = document.getElementById(id).getBoundingClientRect();
  return [id, x, y, width, height].join(" ");
}));

await test("hovering rings, choosing tools and marking the bark leave every view where it is", async () => {
  const one = await visit(at, "pine-gate.jpg", DESKTOP);
  await one.click("#first-visit-done");
  await fact(one, "felled", "2025-11-08");
  await fact(one, "across", "378mm");
  const before = await boxes(one);
  await one.mouse.move(...await onLine(one, await roomy(one)));
  await one.waitForFunction(() => /Ring \d+, \d{4}, .* wide/.test(document.getElementById("growth-hint").textContent));
  assert.deepEqual(await boxes(one), before, "a ring is hovered");
  await one.mouse.click(...await onLine(one, await roomy(one)));
  assert.deepEqual(await boxes(one), before, "a ring is chosen");
  for (const tool of ["rings", "pith", "tape", "strip", "paint", "bark"]) {
    await one.click(`[data-tool=${tool}]`);
    assert.deepEqual(await boxes(one), before, tool);
    assert.ok(await one.evaluate(() => { const words = document.getElementById("tool-words"); return words.scrollHeight <= words.clientHeight + 1; }), `all words of ${tool} are seen`);
  }
  // Four clicks around the face: the second finds everything where it was.
  const edge = at.entry("pine-gate").reading.bark_edge_px;
  for (const step of [3, 33, 63, 93]) {
    const place = await whereIs(one, "photo.spotOf(given)", edge[step]);
    await after(one, () => one.mouse.click(...place));
    assert.deepEqual(await boxes(one), before, `bark click at ${step}`);
  }
  await one.keyboard.press("a");
  assert.deepEqual(await boxes(one), before, "a ring is begun");
  await one.keyboard.press("Escape");
  assert.equal(await one.evaluate(() => document.documentElement.scrollHeight - innerHeight), 0, "the page fits the window");
  while (await one.isEnabled("#undo")) await after(one, () => one.click("#undo"));
  await one.context().close();
});

await test("a view is made large and small again", async () => {
  const one = await visit(at, "pine-gate.jpg", DESKTOP);
  const size = async (id) => { const box = await one.locator(id).boundingBox(); return box ? box.width * box.height : 0; };
  const before = await size("#unrolled-canvas");
  await one.click("button[data-large=unrolled]");
  assert.ok(await size("#unrolled-canvas") > 2.5 * before);
  assert.ok(await one.isHidden("#photo"));
  await one.keyboard.press("f");
  assert.equal(await size("#unrolled-canvas"), before);
  await one.focus("#photo-canvas");
  await one.keyboard.press("f");
  assert.ok(await one.isHidden("#unrolled"));
  await one.context().close();
});

await test("a message covers neither the count nor the buttons", async () => {
  for (const [view, options] of [["desktop", DESKTOP], ["phone", PHONE]]) {
    const one = await visit(at, "pine-gate.jpg", options);
    await inside(one, "(await import('/message.js')).say('ring 12 removed; the rings around it were read again, 61 in all. To do: look at the lines beside it.', true)");
    const overlaps = await one.evaluate(() => {
      const a = document.getElementById("message").getBoundingClientRect();
      return [...document.querySelectorAll("#figures, #ring-bar button, #photo button, #unrolled button")].filter((one) => one.offsetParent).filter((one) => {
        const b = one.getBoundingClientRect();
        return a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
      }).map((one) => one.id || one.textContent);
    });
    assert.deepEqual(overlaps, [], view);
    await one.context().close();
  }
});

await test("no sideways scroll at 320 px, at 200 % and between", async () => {
  for (const width of [320, 390, 640, 780, 1024, 1280, 1920]) {
    const one = await visit(at, "pine-gate.jpg", { viewport: { width, height: 800 } });
    for (const tab of ["unrolled", "photo", "growth", "facts"]) {
      if (width <= 760) await one.click(`#tab-${tab}`);
      const wide = await one.evaluate(() => document.documentElement.scrollWidth);
      assert.ok(wide <= width, `${tab}: ${wide} at ${width}`);
    }
    await one.context().close();
  }
});

await test("printing the page prints no example as a fact, and the photo in its proportions", async () => {
  const one = await visit(at, "pine-gate.jpg", DESKTOP);
  await fact(one, "species", "eastern white pine");
  await one.emulateMedia({ media: "print" });
  await still(one);
  for (const name of ["felled", "cut-height", "hollow", "note"]) assert.ok(await one.isHidden(`#fact-${name}`), name);
  assert.ok(await one.isVisible("#fact-species"));
  for (const id of ["remember", "notice", "ring-bar", "steps"]) assert.ok(await one.isHidden(`#${id}`), id);
  const color = await one.evaluate(() => getComputedStyle(document.getElementById("remember-what"), "::placeholder").color);
  assert.match(color, /rgba\(0, 0, 0, 0\)/);
  for (const id of ["photo-canvas", "unrolled-canvas"]) {
    const [shown, drawn] = await one.evaluate((name) => {
      const canvas = document.getElementById(name);
      const box = canvas.getBoundingClientRect();
      return [box.width / box.height, canvas.width / canvas.height];
    }, id);
    assert.ok(Math.abs(shown / drawn - 1) < 0.02, `${id}: ${shown} for ${drawn}`);
  }
  assert.equal(await one.evaluate(() => getComputedStyle(document.querySelector(".age-part")).breakInside), "avoid");
  await one.emulateMedia({ media: "screen" });
  await after(one, () => one.click("#undo"));
  await one.context().close();
}, { notInFirefox: "WebDriver BiDi cannot show a page as it is printed" });

await test("a photo without rings says so, and nothing on the page says all is well", async () => {
  const one = await visit(at, "oak-blurred.jpg", DESKTOP);
  assert.match(await one.textContent("#ring-words"), /No rings were read/);
  assert.doesNotMatch(await one.textContent("#refused"), /drag the pith/i);
  assert.notEqual(await one.textContent("#next-words"), "No doubt left");
  assert.equal(await one.textContent("#saved"), "", "nothing was saved on opening");
  await one.context().close();
});

await test("the introduction is shown until it is dismissed, and can be shown again", async () => {
  const one = await visit(at, "pine-gate.jpg", DESKTOP);
  assert.match(await one.textContent("#first-visit"), /outer edge of one ring/);
  await one.click("#first-visit-done");
  await one.reload();
  await one.waitForFunction(() => document.body.dataset.shown === "pine-gate.jpg");
  assert.ok(await one.isHidden("#first-visit"));
  await one.click("#open-help");
  await one.click("#first-visit-again");
  assert.ok(await one.isVisible("#first-visit"));
  await one.context().close();
});

await test("lines are thicker in the sun, and what is chosen is visible with forced colors", async () => {
  const one = await visit(at, "pine-gate.jpg", { ...DESKTOP, forcedColors: "active" });
  const backgrounds = await one.evaluate(() => ["[data-tool=look]", "[data-tool=pith]"].map((one) => getComputedStyle(document.querySelector(one)).borderTopWidth));
  assert.notEqual(backgrounds[0], backgrounds[1]);
  const width = () => inside(one, "(await import('/drawing.js')).thick(0.7)");
  const thin = await width();
  await one.selectOption("#fact-sun", "yes");
  assert.ok(await width() >= 2 && thin < 1);
  assert.ok(await count(one) > 20);
  await one.context().close();
});

await test("a face that cannot be read says why and what to do", async () => {
  const one = await visit(at, "oak-blurred.jpg");
  assert.match(await one.textContent("#refused"), /No rings were read.*Two ways on.*Photograph it again.*Count by hand/s);
  assert.equal(await one.textContent("#count-words"), "no rings read");
  assert.match(await one.textContent("#age-none"), /no age/);
  assert.deepEqual(one.errors, []);
  await one.context().close();
});

await at.kill();
