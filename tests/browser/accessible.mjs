// For everyone: what a checker of accessibility finds, and colors that the system sets.

import assert from "node:assert/strict";
import fs from "node:fs";
import { createRequire } from "node:module";
import { desk, folder, shown, test, visit } from "./harness.mjs";

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

await at.kill();
