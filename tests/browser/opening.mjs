// A stump that was read before: shown at once, unrolled after that. And the guide.

import assert from "node:assert/strict";
import { DESKTOP, after, count, desk, folder, inside, raw, shown, still, test, visit } from "./harness.mjs";

const home = folder("pine-gate.jpg");
const first = await desk(home);
const rings = await (async () => {
  const one = await visit(first, "pine-gate.jpg", DESKTOP);
  const found = await count(one);
  await one.context().close();
  return found;
})();
await first.kill();
// Nothing is in the memory of this one.
const at = await desk(home);

await test("what was saved is shown before the stump is unrolled, and a mark made meanwhile is kept", async () => {
  const one = await visit(at, null, DESKTOP);
  await one.waitForSelector(".stumps a >> text=pine-gate");
  await one.evaluate(() => {
    new MutationObserver(() => {
      if (document.body.dataset.shown !== "pine-gate.jpg" || window.then) return;
      window.then = { count: document.getElementById("count-best").textContent, busy: document.body.hasAttribute("aria-busy"), bars: document.querySelectorAll("#increments rect.bar").length, words: document.getElementById("ring-words").textContent };
    }).observe(document.body, { attributeFilter: ["data-shown"] });
  });
  await one.click(".stumps a >> text=pine-gate");
  await one.waitForFunction(() => window.then);
  await inside(one, "(selection.choose(9), (await import('/edits.js')).judge('remove'))");
  const then = await one.evaluate(() => window.then);
  assert.equal(then.count, String(rings));
  assert.ok(then.busy, "it is being unrolled");
  assert.match(then.words, /being unrolled/);
  await shown(one, "pine-gate.jpg");
  await still(one);
  assert.equal(await count(one), rings - 1);
  assert.ok(await inside(one, "state.geometry !== null && state.lines.length === state.view.stump.reading.rings.length"));
  await after(one, () => one.click("#undo"));
  assert.equal(await count(one), rings);
  assert.deepEqual(one.errors, []);
  await one.context().close();
});

await test("the help leads to the guide, or to a page that says where to get it", async () => {
  const one = await visit(at, "pine-gate.jpg", DESKTOP);
  await one.click("#open-help");
  assert.match(await one.textContent('#help a[href="/help/"]'), /whole guide/);
  await one.context().close();
  const answer = await raw(at.port, { path: "/help/", headers: { Host: `127.0.0.1:${at.port}` } });
  assert.match(answer.text, answer.status === 200 ? /book\.css/ : /not installed with this program.*docs-book/s);
  assert.match(answer.headers["content-security-policy"], /default-src 'none'/);
});

await at.kill();
