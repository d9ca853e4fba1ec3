// Who may come in: keys and hosts, slow clients, the local network.

import assert from "node:assert/strict";
import fs from "node:fs";
import os from "node:os";
import path from "node:path";
import jsQR from "jsqr";
import { dawdle, desk, folder, raw, test, visit } from "./harness.mjs";

const home = folder("pine-gate.jpg");
const at = await desk(home);

await test("without a key, under a foreign host, or out of the folder: refused", async () => {
  const host = `127.0.0.1:${at.port}`;
  const key = new URLSearchParams(new URL(await at.next()).hash.slice(1)).get("key");
  const entered = await raw(at.port, { method: "POST", path: "/api/enter", headers: { host, authorization: `Bearer ${key}` } });
  const held = { host, authorization: `Bearer ${JSON.parse(entered.text).key}` };
  assert.equal((await raw(at.port, { path: "/api/folder", headers: held })).status, 200);
  assert.equal((await raw(at.port, { path: "/api/folder", headers: { host } })).status, 401);
  assert.equal((await raw(at.port, { path: "/api/folder", headers: { ...held, host: "stump.example" } })).status, 403);
  assert.equal((await raw(at.port, { path: "/api/folder", headers: { ...held, origin: "http://stump.example" } })).status, 403);
  assert.equal((await raw(at.port, { method: "POST", path: "/api/enter", headers: { host, authorization: `Bearer ${key}` } })).status, 401, "the printed key is spent");
  fs.writeFileSync(path.join(home, "..", "away.jpg"), fs.readFileSync(path.join(home, "pine-gate.jpg")));
  for (const where of ["/api/stumps/../away.jpg", "/api/stumps/..%2faway.jpg/photo", "/api/stumps/..%2f..%2f..%2fetc%2fpasswd/photo", "/../../etc/passwd"]) {
    assert.equal((await raw(at.port, { path: where, headers: held })).status, 404, where);
  }
  const large = await raw(at.port, { method: "POST", path: "/api/photos?name=a.jpg", headers: { ...held, "content-length": String(1024 ** 3) }, body: "x" }).catch((error) => ({ status: error.code }));
  assert.ok(large.status === 413 || large.status === "ECONNRESET", String(large.status));
});

await test("slow and broken clients stall nobody", async () => {
  const host = `127.0.0.1:${at.port}`;
  const slow = [];
  for (let nth = 0; nth < 60; nth++) slow.push(await dawdle(at.port, nth % 2 ? "GET / HT" : `POST /api/photos?name=a.jpg HTTP/1.1\r\nhost: ${host}\r\ncontent-length: 900000\r\n\r\nabc`));
  const start = Date.now();
  for (let nth = 0; nth < 5; nth++) assert.equal((await raw(at.port, { headers: { host } })).status, 200);
  assert.ok(Date.now() - start < 3000, `${Date.now() - start} ms`);
  assert.ok((await raw(at.port, { headers: { host } })).headers["content-security-policy"].includes("default-src 'none'"));
  for (const socket of slow) socket.destroy();
});

await test("on the local network: the code in the terminal opens a phone, once, and says what it means", async () => {
  const ours = Object.values(os.networkInterfaces()).flat().find((one) => one.family === "IPv4" && !one.internal);
  assert.ok(ours, "this machine has no network address to try it on");
  const lan = await desk(folder("pine-gate.jpg"), `--lan=${ours.address}`);
  await lan.next();
  while (!lan.talk.join("").includes(`http://${ours.address}:`)) await new Promise((done) => setTimeout(done, 20));
  const talk = lan.talk.join("");
  assert.match(talk, /whoever has the address below can see the photos/);
  assert.match(talk, /not encrypted/);
  const letters = talk.split("\n").filter((line) => /^[\u2580\u2584\u2588 ]+$/.test(line) && line.length > 20);
  const address = readCode(letters);
  assert.equal(address, talk.match(new RegExp(`http://${ours.address}:\\S+`))[0]);
  const { host, hash } = new URL(address);
  const key = new URLSearchParams(hash.slice(1)).get("key");
  const enter = () => fetch(`http://${host}/api/enter`, { method: "POST", headers: { authorization: `Bearer ${key}` } });
  assert.equal((await enter()).status, 200);
  assert.equal((await enter()).status, 401);
  await lan.kill();
  // Without --lan nothing listens there.
  await assert.rejects(fetch(`http://${ours.address}:${at.port}/`));
});

/** Reads a code drawn in half blocks: two squares a letter, light where inked. */
function readCode(lines) {
  const wide = Math.max(...lines.map((line) => line.length));
  const scale = 4;
  const pixels = new Uint8ClampedArray(wide * scale * lines.length * 2 * scale * 4).fill(255);
  const set = (x, y, light) => {
    for (let dy = 0; dy < scale; dy++) for (let dx = 0; dx < scale; dx++) {
      const at = ((y * scale + dy) * wide * scale + x * scale + dx) * 4;
      pixels.fill(light ? 255 : 0, at, at + 3);
    }
  };
  lines.forEach((line, row) => [...line.padEnd(wide)].forEach((letter, column) => {
    set(column, 2 * row, "\u2580\u2588".includes(letter));
    set(column, 2 * row + 1, "\u2584\u2588".includes(letter));
  }));
  return jsQR(pixels, wide * scale, lines.length * 2 * scale)?.data;
}

await test("a browser without a key is shown how to come in", async () => {
  const one = await visit(at, "pine-gate.jpg");
  await one.evaluate(() => localStorage.clear());
  await one.reload();
  await one.waitForSelector("#closed:not([hidden])");
  assert.match(await one.textContent("#closed"), /newest one from the terminal/);
  await one.context().close();
});

await at.kill();
