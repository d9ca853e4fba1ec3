// Draws the views for docs/desk; run only where pictures are asked for.

import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import fs from "node:fs";
import path from "node:path";
import { PHONE, after, desk, drag, folder, program, shot, shown, still, test, truthOf, visit, whereIs } from "./harness.mjs";

await test("each view is drawn for the guide", async () => {
  const woodlot = folder("ash-landing.jpg", "cherry-wall.jpg", "oak-hollow.jpg", "pine-gate.jpg", "walnut-house.jpg");
  for (const [name, species, felled, height, across] of [
    ["ash-landing", "white ash", "2025-11-08", "30cm", "413mm"], ["cherry-wall", "black cherry", "2025-11-15", "25cm", null],
    ["oak-hollow", "white oak", "2025-12-01", "45cm", "540mm"], ["pine-gate", "eastern white pine", "2025-11-08", "30cm", "378mm"],
  ]) {
    const options = ["--species", species, "--felled", felled, "--cut-height", height, ...(across ? ["--across", across] : [])];
    execFileSync(program, ["count", path.join(woodlot, `${name}.jpg`), ...options], { stdio: "ignore" });
  }
  // One in which some rings are in doubt: in the samples none is.
  const drawn = folder();
  execFileSync(program, ["practice", "--seed", "34", "--out", drawn], { stdio: "ignore" });
  fs.copyFileSync(path.join(drawn, "practice-34.jpg"), path.join(woodlot, "spring-stump.jpg"));
  const lot = await desk(woodlot);
  const one = await visit(lot, "pine-gate.jpg");
  await one.click("#first-visit-done");
  for (const [year, what] of [["1988", "a dry year"], ["2012", "dry again"]]) {
    await one.fill("#remember-year", year);
    await one.fill("#remember-what", what);
    await after(one, () => one.keyboard.press("Enter"));
  }
  await still(one);
  await one.focus("#unrolled-canvas");
  await one.keyboard.press("n");
  await still(one);
  await one.click("#unrolled-fit");
  await still(one);
  await shot(one, "desk");
  const doubted = await visit(lot, "spring-stump.jpg");
  await doubted.click("#first-visit-done");
  await doubted.click("#next-doubt");
  await still(doubted);
  await shot(doubted, "desk-doubt");
  await doubted.click("button[data-large=unrolled]");
  await doubted.click("#intensity-show");
  await doubted.waitForFunction(() => document.getElementById("intensity-canvas").dataset.revision === document.body.dataset.revision);
  await doubted.click("#unrolled-fit");
  await shot(doubted, "desk-profile");
  await doubted.context().close();
  await one.click("[data-tool=tape]");
  const { tape } = truthOf("pine-gate.jpg");
  await one.click("#photo-fit");
  const [from, to] = await whereIs(one, "given.map((place) => photo.spotOf(place))", [tape.from, tape.to]);
  await drag(one, from, to);
  await one.fill("#tape-length", `${tape.length_mm / 10}cm`);
  await shot(one, "desk-tape");
  await one.click("#tape-not");
  await one.click("#open-outputs");
  await one.click("[data-what=sheet-pdf] button");
  await one.waitForSelector("[data-what=sheet-pdf] a");
  await shot(one, "desk-outputs");
  await one.click("#outputs button[type=submit]");
  await one.click("#home");
  await shown(one, "folder");
  await one.waitForFunction(() => document.querySelectorAll(".stumps img").length >= 5);
  await shot(one, "folder");
  assert.deepEqual(one.errors, []);
  await one.context().close();
  const phone = await visit(lot, null, PHONE);
  await phone.waitForFunction(() => document.querySelectorAll(".stumps img").length >= 5);
  await shot(phone, "phone-folder");
  await phone.tap(".stumps a >> text=spring-stump");
  await shown(phone, "spring-stump.jpg");
  await phone.tap("#first-visit-done");
  await phone.tap("#next-doubt");
  await still(phone);
  await shot(phone, "phone-unrolled");
  for (const view of ["photo", "growth", "facts"]) {
    await phone.tap(`#tab-${view}`);
    await still(phone);
    await shot(phone, `phone-${view}`);
  }
  assert.deepEqual(phone.errors, []);
  await phone.context().close();
  await lot.kill();
});
