// Around a folder: the way back and onward, sorting, reading what is new.

import assert from "node:assert/strict";
import fs from "node:fs";
import path from "node:path";
import { DESKTOP, count, desk, folder, practiceFace, shown, test, visit } from "./harness.mjs";

const names = (page) => page.locator("#stumps .name").evaluateAll((all) => all.map((one) => one.firstChild.textContent));

await test("names are in natural order, and a stump leads back, to the previous and to the next", async () => {
  const home = folder("pine-gate.jpg");
  const file = (name) => path.join(home, name);
  for (const name of ["s10.jpg", "s2.jpg", "s1.jpg"]) fs.copyFileSync(file("pine-gate.jpg"), file(name));
  fs.rmSync(file("pine-gate.jpg"));
  const at = await desk(home);
  const one = await visit(at, null, DESKTOP);
  assert.deepEqual(await names(one), ["s1", "s2", "s10"]);
  await one.click(".stumps a >> text=s2");
  await shown(one, "s2.jpg");
  assert.equal(await one.textContent("#way-words"), "2 of 3");
  await one.click("#next");
  await shown(one, "s10.jpg");
  assert.ok(await one.isHidden("#next"));
  await one.click("#previous");
  await shown(one, "s2.jpg");
  await one.click("#home");
  await shown(one, "folder");
  assert.deepEqual(one.errors, []);
  await one.context().close();
  await at.kill();
});

await test("all that is new is read with progress, can be stopped, sorted and filtered", async () => {
  const home = folder("pine-gate.jpg", "oak-blurred.jpg", "ash-landing.jpg", "maple-yard.jpg");
  const doubted = practiceFace("--seed", "34");
  fs.copyFileSync(path.join(doubted.made, doubted.file), path.join(home, "spring-stump.jpg"));
  const at = await desk(home);
  const one = await visit(at, null, DESKTOP);
  assert.equal(await one.textContent("#read-new"), "Read all 5 new photos");
  await one.click("#read-new");
  await one.waitForFunction(() => /Reading .*, \d of 5/.test(document.getElementById("reading-new-words").textContent));
  await one.click("#reading-new-stop");
  await one.waitForFunction(() => /Stopped; \d photos? (is|are) not read yet/.test(document.getElementById("reading-new-words").textContent));
  const left = await one.locator("#stumps >> text=not read yet").count();
  assert.ok(left >= 3, `${left} left`);
  await one.click("#read-new");
  await one.waitForFunction(() => !document.getElementById("stumps").textContent.includes("not read yet") && document.getElementById("read-new").hidden);
  await one.selectOption("#sort", "doubts");
  assert.equal((await names(one))[0], "spring-stump");
  await one.selectOption("#filter", "refused");
  assert.deepEqual(await names(one), ["oak-blurred"]);
  await one.selectOption("#filter", "doubtful");
  assert.ok((await names(one)).includes("spring-stump"));
  await one.selectOption("#filter", "unread");
  assert.ok(await one.isVisible("#none-chosen"));
  assert.deepEqual(one.errors, []);
  await one.context().close();
  await at.kill();
});

await test("an uploaded photo is linked and read", async () => {
  const at = await desk(folder());
  const one = await visit(at, null, DESKTOP);
  const outside = folder("pine-gate.jpg");
  await one.setInputFiles("#choose", path.join(outside, "pine-gate.jpg"));
  await one.waitForSelector("#arrivals a");
  await one.waitForFunction(() => /\d+ rings/.test(document.getElementById("stumps").textContent));
  assert.ok(fs.existsSync(path.join(at.folder, "pine-gate.stump.json")));
  await one.click("#arrivals a");
  await shown(one, "pine-gate.jpg");
  assert.deepEqual(one.errors, []);
  await one.context().close();
  await at.kill();
});

await test("a photo is renamed and removed, and each is undone", async () => {
  const at = await desk(folder("pine-gate.jpg", "ash-landing.jpg"));
  const one = await visit(at, "pine-gate.jpg", DESKTOP);
  await one.fill("#rename-to", "The gate pine");
  await one.click("#rename button");
  await shown(one, "The-gate-pine.jpg");
  await one.click("#notice >> text=Undo");
  await shown(one, "pine-gate.jpg");
  await one.click("#remove-photo");
  await shown(one, "folder");
  assert.deepEqual(await names(one), ["ash-landing"]);
  await one.click("#notice >> text=Undo");
  await shown(one, "pine-gate.jpg");
  assert.ok(fs.existsSync(path.join(at.folder, "pine-gate.stump.json")));
  assert.deepEqual(one.errors, []);
  await one.context().close();
  await at.kill();
});

await test("photos come in by choosing and by dropping; a bad one shows its reason", async () => {
  const into = folder();
  const off = await desk(into);
  const one = await visit(off);
  const outside = folder("ash-landing.jpg", "pine-gate.jpg");
  const put = (name, bytes) => { const where = path.join(outside, name); fs.writeFileSync(where, bytes); return where; };
  const good = fs.readFileSync(path.join(outside, "ash-landing.jpg"));
  const huge = path.join(outside, "huge.jpg");
  fs.closeSync(fs.openSync(huge, "w"));
  fs.truncateSync(huge, 1024 ** 3);
  await one.setInputFiles("#choose", [
    path.join(outside, "ash-landing.jpg"), put("notes.jpg", "felled by the brook\n"), put("half.jpg", good.subarray(0, good.length / 2)), huge,
  ]);
  await one.waitForFunction(() => [...document.querySelectorAll("#arrivals li span:last-child")].every((words) => /saved as|To do/.test(words.textContent)));
  const lines = await one.locator("#arrivals li").allTextContents();
  assert.match(lines[0], /saved as ash-landing\.jpg/);
  assert.match(lines[1], /not a photo but a text file/);
  assert.match(lines[2], /cut off/);
  assert.match(lines[3], /1024 MB, more than the 192 MB accepted/);
  await one.evaluate(async (bytes) => {
    const data = new DataTransfer();
    data.items.add(new File([Uint8Array.from(atob(bytes), (letter) => letter.charCodeAt(0))], "pine-gate.jpg", { type: "image/jpeg" }));
    dispatchEvent(new DragEvent("drop", { dataTransfer: data, bubbles: true, cancelable: true }));
  }, fs.readFileSync(path.join(outside, "pine-gate.jpg")).toString("base64"));
  await one.waitForFunction(() => document.querySelectorAll("#stumps li").length === 2);
  assert.deepEqual(fs.readdirSync(into).filter((name) => name.endsWith(".jpg")).sort(), ["ash-landing.jpg", "pine-gate.jpg"]);
  assert.equal(await one.getAttribute("#camera", "capture"), "environment");
  await one.click(".stumps a >> text=pine-gate");
  await shown(one, "pine-gate.jpg");
  assert.ok(await count(one) > 40);
  assert.deepEqual(one.errors, []);
  await one.context().close();
  await off.kill();
});
