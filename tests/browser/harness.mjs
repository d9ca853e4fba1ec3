// What the tests of the page use: a desk started from the built program,
// a browser, and raw requests that no browser would send.

import assert from "node:assert/strict";
import { execFileSync, spawn } from "node:child_process";
import fs from "node:fs";
import http from "node:http";
import net from "node:net";
import os from "node:os";
import path from "node:path";

/** The engine under test; see run.mjs. */
export const FIREFOX = process.env.ENGINE === "firefox";
export const [program, samples, shots] = process.argv.slice(2);
/** Longest wait for anything: on a busy machine a face takes a minute. */
const PATIENCE_MS = 180_000;
const work = fs.mkdtempSync(path.join(os.tmpdir(), "stumpbook-browser-"));
const children = new Set();

/** A fresh folder with some of the samples in it. */
export function folder(...names) {
  const made = path.join(fs.mkdtempSync(path.join(work, "w-")), "cold-hollow");
  fs.mkdirSync(made);
  for (const name of names) fs.copyFileSync(path.join(samples, name), path.join(made, name));
  return made;
}

export const truthOf = (name) => JSON.parse(fs.readFileSync(path.join(samples, name.replace(".jpg", ".truth.json"))));

/** Starts the program; its addresses as they are printed. */
export async function desk(open, ...more) {
  const child = spawn(program, ["desk", open, "--no-open", ...more], { stdio: ["ignore", "pipe", "pipe"] });
  children.add(child);
  const printed = [];
  const talk = [];
  child.stderr.on("data", (bytes) => talk.push(String(bytes)));
  let hear = () => {};
  let rest = "";
  child.stdout.on("data", (bytes) => {
    rest += bytes;
    const lines = rest.split("\n");
    rest = lines.pop();
    printed.push(...lines);
    hear();
  });
  const address = async (nth) => {
    while (printed.length <= nth) await new Promise((done, fail) => { hear = done; child.once("exit", () => fail(new Error(`the desk ended: ${talk.join("")}`))); });
    return printed[nth];
  };
  const first = await address(0);
  return {
    child, talk, printed,
    folder: fs.statSync(open).isDirectory() ? open : path.dirname(open),
    port: Number(new URL(first).port),
    next: () => address(printed.length - 1),
    entry: (stem) => JSON.parse(fs.readFileSync(path.join(open, `${stem}.stump.json`))),
    kill: () => new Promise((done) => { child.once("exit", done); child.kill("SIGKILL"); children.delete(child); }),
  };
}

/** A request as it is written, with the path as it stands. */
export function raw(port, { method = "GET", path: where = "/", headers = {}, body = null }) {
  return new Promise((done, fail) => {
    const request = http.request({ host: "127.0.0.1", port, method, path: where, headers, agent: false }, (answer) => {
      let text = "";
      answer.on("data", (bytes) => { text += bytes; });
      answer.on("end", () => done({ status: answer.statusCode, headers: answer.headers, text }));
    });
    request.on("error", fail);
    if (body) request.write(body);
    request.end();
  });
}

/** A connection that writes a text, and no more. */
export const dawdle = (port, text) => new Promise((done) => {
  const socket = net.connect(port, "127.0.0.1", () => { socket.write(text); done(socket); });
  socket.on("error", () => {});
});

const browser = FIREFOX ? await (await import("./firefox.mjs")).launch() : await (await import("playwright-core")).chromium.launch({
  executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
  // Tests run as root in a container, where Chromium's own sandbox cannot.
  args: ["--no-sandbox", "--disable-background-networking", "--force-color-profile=srgb"],
});

/** A page of its own; its requests and its errors are recorded. */
export async function bare(options = {}) {
  const context = await browser.newContext({ viewport: { width: 1440, height: 900 }, ...options });
  context.setDefaultTimeout(PATIENCE_MS);
  const page = await context.newPage();
  // While working on the page: its files from the source, without building the program.
  if (process.env.ASSETS) {
    await page.route(/:\d+\/([a-z-]+\.(js|css|html))?$/, async (route) => {
      const name = new URL(route.request().url()).pathname.slice(1) || "index.html";
      const response = await route.fetch().catch(() => null);
      if (!response) return route.abort();
      return route.fulfill({ status: 200, headers: response.headers(), contentType: { js: "text/javascript", css: "text/css", html: "text/html" }[name.split(".").pop()], path: path.join(process.env.ASSETS, name) });
    });
  }
  page.errors = [];
  page.asked = [];
  page.on("pageerror", (error) => page.errors.push(String(error.stack)));
  page.on("console", (line) => { if (line.type() === "error" && !/status of 4/.test(line.text())) page.errors.push(line.text()); });
  page.on("request", (request) => page.asked.push(request.url()));
  return page;
}

/** A browser of its own on the desk; `stump` opens at once. */
export async function visit(at, stump, options = {}) {
  const page = await bare(options);
  await page.goto(`${await at.next()}${stump ? `&stump=${encodeURIComponent(stump)}` : ""}`);
  await shown(page, stump ?? "folder");
  return page;
}

/** Waits until a stump, or the folder, is shown and can be marked. */
export const shown = (page, what) => page.waitForFunction((name) => document.body.dataset.shown === name && !document.body.hasAttribute("aria-busy"), what);

/** What the page holds, from its own modules: `state`, `selection`, `unrolled`, `photo`, `geometry`,
 *  `strip`, `marks` (those along the strip). */
export const inside = (page, what, given = null) => page.evaluate(`(async (given) => {
  const [selection, unrolled, photo, geometry, strip, marks] = await Promise.all(["/selection.js", "/unrolled.js", "/photo.js", "/geometry.js", "/strip.js", "/strip-marks.js"].map((name) => import(name)));
  const { state } = selection;
  return (${what});
})(${JSON.stringify(given)})`);

export const count = async (page) => Number(await page.textContent("#count-best"));
export const age = async (page) => Number(await page.textContent("#age-best"));
export const bars = (page) => page.locator("#increments rect.bar").count();
export const revision = (page) => page.evaluate(() => Number(document.body.dataset.revision));

/** Waits until a step has come back, saved. */
export async function after(page, step) {
  const before = await revision(page);
  await step();
  const how = await page.waitForFunction((old) => {
    const message = document.getElementById("message");
    if (message.matches(".error.shown")) return message.textContent;
    return Number(document.body.dataset.revision) > old && !document.body.hasAttribute("aria-busy") && "saved";
  }, before);
  assert.equal(await how.jsonValue(), "saved");
}

/** Waits until nothing on the page moves: no mark is under way, and for some frames
 *  every view has stood where it stands. */
export const still = (page) => page.evaluate(async () => {
  const FRAMES = 4;
  const [{ state }, unrolled, photo, strip] = await Promise.all(["selection", "unrolled", "photo", "strip"].map((name) => import(`/${name}.js`)));
  const canvases = [...document.querySelectorAll("canvas")];
  const where = () => JSON.stringify([
    scrollX, scrollY, document.body.clientHeight, canvases.map((one) => one.getBoundingClientRect()),
    state.geometry ? [unrolled.spotOf(0, 10), unrolled.spotOf(1, 60)] : 0,
    state.photo ? [photo.spotOf([0, 0]), photo.spotOf([100, 100])] : 0,
    state.strip ? [strip.spotOf(0), strip.spotOf(100)] : 0,
  ]);
  // A strip that is shown has its picture.
  const waits = () => document.body.hasAttribute("aria-busy") || (!state.strip && document.getElementById("strip-canvas").checkVisibility());
  let [last, same] = ["", 0];
  for (const until = performance.now() + 30_000; performance.now() < until;) {
    await new Promise(requestAnimationFrame);
    const now = where();
    same = now === last && !waits() ? same + 1 : 0;
    last = now;
    if (same >= FRAMES) return;
  }
  throw new Error(`the page does not come to rest; it is ${waits() ? "" : "not "}waiting for the desk`);
});

/** A place on the screen, by an expression as for `inside`, read when nothing moves. */
export async function whereIs(page, what, given) {
  await still(page);
  return inside(page, what, given);
}

/** Where a place between ring `inner` and the next is on the screen. */
export const between = (page, inner, turn = 0.62) => whereIs(page,
  "unrolled.spotOf(given.turn, 0.5 * (geometry.at(state.lines[given.inner - 1], given.turn) + geometry.at(state.lines[given.inner], given.turn)))", { inner, turn });
export const onLine = (page, ring, turn = 0.62) => whereIs(page, "unrolled.spotOf(given.turn, geometry.at(state.lines[given.ring - 1], given.turn))", { ring, turn });
/** The same on the photo. */
export const onPhoto = (page, ring, turn = 0.62, share = 0) => whereIs(page, `(() => {
  const line = (number) => geometry.at(state.lines[number - 1], given.turn);
  const course = line(given.ring) + given.share * (line(given.ring + 1) - line(given.ring));
  return photo.spotOf(state.geometry.place(given.turn, course));
})()`, { ring, turn, share });
/** A ring with room around it, so that a pointer can hit it and not its neighbors. */
export const roomy = (page) => inside(page, "(() => { const c = state.geometry.info.courses; let best = 2; for (let i = 2; i < c.length - 4; i++) if (c[i + 1] - c[i] > c[best + 1] - c[best]) best = i; return best + 1; })()");

export async function fact(page, name, text) {
  await after(page, async () => {
    await page.fill(`#fact-${name}`, text);
    await page.locator(`#fact-${name}`).blur();
  });
}

export async function drag(page, from, to) {
  await page.mouse.move(...from);
  await page.mouse.down();
  await page.mouse.move((from[0] + to[0]) / 2, (from[1] + to[1]) / 2, { steps: 4 });
  await page.mouse.move(...to, { steps: 4 });
  await page.mouse.up();
}

export const DESKTOP = { viewport: { width: 1280, height: 800 } };
export const PHONE = { viewport: { width: 390, height: 844 }, deviceScaleFactor: 2, hasTouch: true, isMobile: true };

/** Fingers on a page: `touch("touchStart", [[x, y], …])`, an empty list lifts them. */
export async function fingers(page) {
  if (FIREFOX) return page.fingers();
  const session = await page.context().newCDPSession(page);
  return (type, places) => session.send("Input.dispatchTouchEvent", { type, touchPoints: places.map(([x, y], id) => ({ x, y, id })) });
}

/** Draws a practice face into a folder of its own: its file, its folder and what is true of it. */
export function practiceFace(...options) {
  const made = folder();
  execFileSync(program, ["practice", ...options, "--out", made], { stdio: "ignore" });
  const file = fs.readdirSync(made).find((name) => /\.(jpg|png)$/.test(name));
  const truth = JSON.parse(fs.readFileSync(path.join(made, file.replace(/\.\w+$/, ".truth.json"))));
  return { file, made, truth };
}

const results = [];
let left = 0;
/** Runs one test; a failure does not stop the others. `notInFirefox` says why it can't run there. */
export async function test(name, run, { notInFirefox } = {}) {
  const only = process.env.ONLY;
  if (only && !name.includes(only)) return;
  if (FIREFOX && notInFirefox) {
    left += 1;
    console.log(`not run in Firefox: ${name}: ${notInFirefox}`);
    return;
  }
  const start = Date.now();
  const took = () => `${((Date.now() - start) / 1000).toFixed(1).padStart(5)} s`;
  try {
    await run();
    results.push(true);
    console.log(`ok      ${took()}  ${name}`);
  } catch (error) {
    results.push(false);
    console.log(`FAILED  ${took()}  ${name}\n${error.stack ?? error}`);
  }
}

export async function finish() {
  await browser.close();
  for (const child of children) child.kill("SIGKILL");
  fs.rmSync(work, { recursive: true, force: true });
  const failed = results.filter((held) => !held).length;
  // Beside other files the process that started this one adds up.
  if (process.send) await new Promise((done) => process.send({ ran: results.length, failed, left }, done));
  else console.log(failed ? `${failed} of ${results.length} failed` : `all ${results.length} passed`);
  process.exit(failed || !(results.length || process.send) ? 1 : 0);
}

/** A screenshot for docs/desk, when those are asked for, from the top of the page; of a
 *  page that waits for the desk where it is `busy`. */
export async function shot(page, name, { busy = false } = {}) {
  if (!shots) return;
  await page.evaluate(() => { document.getElementById("message").classList.remove("shown"); scrollTo(0, 0); });
  if (!busy && await page.isVisible("#stump")) await still(page);
  fs.mkdirSync(shots, { recursive: true });
  await page.screenshot({ path: path.join(shots, `${name}.jpg`), type: "jpeg", quality: 78, scale: "css" });
}
