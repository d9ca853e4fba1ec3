// For everyone: what a checker of accessibility finds, and colors that the system chooses.

import assert from "node:assert/strict";
import fs from "node:fs";
import { createRequire } from "node:module";
import { DESKTOP, after, desk, folder, shown, still, test, visit, whereIs } from "./harness.mjs";

const axe = fs.readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const at = await desk(folder("maple-yard.jpg"));

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

/** How much lighter one CSS color is than another, from 1 to 21 (WCAG 2.2, contrast ratio). */
const contrast = (one, other) => {
  const lightness = (color) => {
    const [r, g, b] = color.match(/[\d.]+/g).map((part) => { const c = part / 255; return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4; });
    return 0.2126 * r + 0.7152 * g + 0.0722 * b + 0.05;
  };
  const [low, high] = [lightness(one), lightness(other)].sort((a, b) => a - b);
  return high / low;
};

for (const colorScheme of ["light", "dark"]) {
  await test(`a strip can be counted by hand in ${colorScheme} colors that the system chooses`, async () => {
    const one = await visit(at, "maple-yard.jpg", { ...DESKTOP, forcedColors: "active", colorScheme });
    const { pith, bark_edge_px: edge } = at.entry("maple-yard").reading;
    await one.click("[data-tool=strip]");
    await one.mouse.click(...await whereIs(one, "photo.spotOf(given)", [pith.x_px, pith.y_px]));
    await after(one, async () => one.mouse.click(...await whereIs(one, "photo.spotOf(given)", edge.find(Boolean))));
    // The pointer stays on the button.
    await after(one, () => one.click("[data-counts=hand]"));
    await one.focus("#strip-canvas");
    await one.keyboard.press("End");
    await after(one, () => one.keyboard.press("a"));
    await still(one);
    const look = (selector, what) => one.evaluate(([name, property]) => getComputedStyle(document.querySelector(name))[property], [selector, what]);
    const chosen = await look("[data-counts=hand]", "backgroundColor");
    assert.equal(chosen, await look("[data-tool=look]", "backgroundColor"), "all that is chosen looks alike");
    const system = (name) => one.evaluate((color) => {
      const probe = document.body.appendChild(document.createElement("i"));
      Object.assign(probe.style, { forcedColorAdjust: "none", color });
      const found = getComputedStyle(probe).color;
      probe.remove();
      return found;
    }, name);
    assert.equal(chosen, await system("Highlight"));
    assert.equal(await look("[data-counts=hand]", "color"), await system("HighlightText"));
    assert.notEqual(chosen, await look("[data-counts=program]", "backgroundColor"), "the way of counting that is chosen stands out");
    const paper = await look("html", "backgroundColor");
    assert.equal(contrast(paper, "rgb(0, 0, 0)") < 2, colorScheme === "dark", paper);
    for (const words of ["#increments text", "#increments text.soft", "#ring-words", "#strip-take"]) {
      const color = await look(words, words.includes("text") ? "fill" : "color");
      assert.ok(contrast(color, paper) >= 4.5, `${words} is ${color} on ${paper}`);
    }
    assert.notEqual(await look("#message", "borderTopStyle"), "none");
    while (await one.isEnabled("#undo")) await after(one, () => one.click("#undo"));
    assert.deepEqual(one.errors, []);
    await one.context().close();
  });
}

await at.kill();
