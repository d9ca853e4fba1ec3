// What the tests of the page stand on: a desk started from the built program,
// a browser, and raw requests that no browser would send.

import { spawn } from "node:child_process";
import fs from "node:fs";
import http from "node:http";
import net from "node:net";
import os from "node:os";
import path from "node:path";
import { chromium } from "playwright-core";

export const [program, samples, shots] = process.argv.slice(2);
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

/** A connection that writes what it is told, and no more. */
export const dawdle = (port, text) => new Promise((done) => {
  const socket = net.connect(port, "127.0.0.1", () => { socket.write(text); done(socket); });
  socket.on("error", () => {});
});

const browser = await chromium.launch({
  executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
  // Tests run as root in a container, where Chromium's own sandbox cannot.
  args: ["--no-sandbox", "--disable-background-networking", "--force-color-profile=srgb"],
});

/** A page of its own; what it asks for and what goes wrong in it are noted. */
export async function bare(options = {}) {
  const context = await browser.newContext({ viewport: { width: 1440, height: 900 }, ...options });
  const page = await context.newPage();
  page.faults = [];
  page.asked = [];
  page.on("pageerror", (error) => page.faults.push(String(error.stack)));
  page.on("console", (line) => { if (line.type() === "error" && !/status of 4/.test(line.text())) page.faults.push(line.text()); });
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

export const shown = (page, what) => page.waitForFunction((name) => document.body.dataset.shown === name, what, { timeout: 90_000 });

/** What the page holds, from its own modules. */
export const inside = (page, what, given = null) => page.evaluate(`(async (given) => {
  const [lit, unrolled, photo, straight] = await Promise.all(["/lit.js", "/unrolled.js", "/photo.js", "/straight.js"].map((name) => import(name)));
  return (${what});
})(${JSON.stringify(given)})`);

const results = [];
/** Runs one test; a fault does not stop the others. */
export async function test(name, run) {
  const only = process.env.ONLY;
  if (only && !name.includes(only)) return;
  const start = Date.now();
  try {
    await run();
    results.push(true);
    console.log(`ok      ${((Date.now() - start) / 1000).toFixed(1).padStart(5)} s  ${name}`);
  } catch (fault) {
    results.push(false);
    console.log(`FAILED  ${((Date.now() - start) / 1000).toFixed(1).padStart(5)} s  ${name}\n${fault.stack ?? fault}`);
  }
}

export async function finish() {
  await browser.close();
  for (const child of children) child.kill("SIGKILL");
  fs.rmSync(work, { recursive: true, force: true });
  const failed = results.filter((held) => !held).length;
  console.log(failed ? `${failed} of ${results.length} failed` : `all ${results.length} held`);
  process.exit(failed || !results.length ? 1 : 0);
}

/** A screenshot for docs/desk, when those are asked for. */
export async function shot(page, name) {
  if (!shots) return;
  await page.evaluate(() => document.getElementById("heard").classList.remove("shown"));
  await page.waitForTimeout(200);
  fs.mkdirSync(shots, { recursive: true });
  await page.screenshot({ path: path.join(shots, `${name}.jpg`), type: "jpeg", quality: 78, scale: "css" });
}
