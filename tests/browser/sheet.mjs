// The sheet's HTML page in a real browser and under a validator, with the
// page of the desk itself.

import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import fs from "node:fs";
import path from "node:path";
import { pathToFileURL } from "node:url";
import { HtmlValidate } from "html-validate";
import { bare, folder, program, test } from "./harness.mjs";

const validator = new HtmlValidate({
  extends: ["html-validate:standard", "html-validate:a11y"],
  // Tools of the photo view are buttons in a group of which one is chosen.
  rules: { "prefer-native-element": "off" },
});

async function valid(name, text) {
  const { results } = await validator.validateString(text);
  assert.deepEqual(results.flatMap((one) => one.messages).map((problem) => `${name} ${problem.line}:${problem.column} ${problem.ruleId}: ${problem.message}`), []);
}

await test("the pages are valid HTML; the sheet's links work and it asks for nothing", async () => {
  await valid("desk", fs.readFileSync(new URL("../../crates/desk/src/assets/index.html", import.meta.url), "utf8"));
  const lot = folder("maple-yard.jpg", "oak-blurred.jpg");
  for (const [stem, options] of [["maple-yard", ["--species", "sugar maple", "--felled", "2025-11-08", "--across", "20in"]], ["oak-blurred", []]]) {
    const photo = path.join(lot, `${stem}.jpg`);
    try { execFileSync(program, ["count", photo, ...options], { stdio: "ignore" }); } catch (error) { assert.equal(error.status, 3, stem); }
    const entry = path.join(lot, `${stem}.stump.json`);
    if (!fs.existsSync(entry)) continue;
    execFileSync(program, ["sheet", entry], { stdio: "ignore" });
    await valid(stem, fs.readFileSync(path.join(lot, `${stem}-sheet.html`), "utf8"));
  }
  const page = await bare({ viewport: { width: 390, height: 844 } });
  const address = pathToFileURL(path.join(lot, "maple-yard-sheet.html")).href;
  await page.goto(address);
  const links = await page.locator("a").evaluateAll((all) => all.map((one) => one.getAttribute("href")));
  assert.ok(links.length >= 4);
  for (const link of links) {
    assert.match(link, /^#/);
    await page.click(`a[href="${link}"]`);
    const top = await page.evaluate((id) => document.querySelector(id).getBoundingClientRect().top, link);
    assert.ok(Math.abs(top) < 60 || await page.evaluate(() => innerHeight + scrollY >= document.documentElement.scrollHeight - 2), `${link} stands at ${top}`);
  }
  assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth), "it is no wider than a phone");
  assert.deepEqual(page.asked.filter((one) => !one.startsWith(address) && !one.startsWith("data:")), []);
  assert.deepEqual(page.errors, []);
  await page.context().close();
});
