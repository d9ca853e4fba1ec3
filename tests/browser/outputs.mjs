// The sheet and the files, from the page: made, seen, downloaded.

import assert from "node:assert/strict";
import fs from "node:fs";
import { DESKTOP, PHONE, desk, folder, test, visit } from "./harness.mjs";

const at = await desk(folder("pine-gate.jpg"));

await test("the sheet and every file are made, opened and downloaded", async () => {
  const one = await visit(at, "pine-gate.jpg", { ...DESKTOP, acceptDownloads: true });
  await one.click("#open-outputs");
  await one.fill("#outputs-title", "The gate pine");
  const starts = { "sheet-pdf": "%PDF-", "sheet-html": "<!", csv: "", json: "{", "ring-map": "\x89PNG", unrolled: "\x89PNG", growth: "\x89PNG", decades: "\x89PNG" };
  for (const [what, start] of Object.entries(starts)) {
    const item = one.locator(`[data-what=${what}]`);
    await item.locator("button").click();
    await item.locator("a >> text=Download").waitFor();
    const [download] = await Promise.all([one.waitForEvent("download"), item.locator("a >> text=Download").click()]);
    const bytes = fs.readFileSync(await download.path());
    assert.match(download.suggestedFilename(), /^pine-gate-/);
    assert.ok(bytes.length > 200 && bytes.toString("latin1").startsWith(start), `${what}: ${bytes.subarray(0, 8).toString("latin1")}`);
  }
  const [sheet] = await Promise.all([one.context().waitForEvent("page"), one.locator("[data-what=sheet-html] >> text=Open").click()]);
  await sheet.waitForLoadState();
  assert.match(await sheet.textContent("body"), /The gate pine/);
  const styled = await sheet.evaluate(() => getComputedStyle(document.body).fontFamily);
  assert.notEqual(styled, "", "its styles apply");
  assert.ok(await sheet.evaluate(() => [...document.images].every((image) => image.complete && image.naturalWidth > 0)), "its pictures show");
  assert.deepEqual(one.errors, []);
  await one.context().close();
});

await test("on a phone the list of files fits and its buttons are large enough", async () => {
  const phone = await visit(at, "pine-gate.jpg", PHONE);
  await phone.tap("#open-outputs");
  await phone.tap("[data-what=csv] button");
  await phone.locator("[data-what=csv] a >> nth=0").waitFor();
  const small = await phone.evaluate(() => [...document.querySelectorAll("#outputs button, #outputs a, #outputs input, #outputs select")].map((one) => one.getBoundingClientRect()).filter((box) => box.height < 43.5 || box.width < 43.5).length);
  assert.equal(small, 0);
  assert.ok(await phone.evaluate(() => document.documentElement.scrollWidth) <= 390);
  await phone.context().close();
});

await at.kill();
