// The page in a real browser, as a person uses it:
// node run.mjs PROGRAM SAMPLES [SHOTS]. ENGINE=firefox runs it in Firefox instead of
// Chromium; CHROMIUM and FIREFOX name the programs. FILES=photo,phone runs only these files,
// ONLY=words only the tests with these words in their names, and ASSETS=FOLDER takes
// the page from there, so that a change to it needs no building. FIREFOX_FILES=zoom,phone
// runs these files in Firefox too, beside the others; "all" runs all.

import { fork } from "node:child_process";
import { fileURLToPath } from "node:url";

/** The longest first, so that the others fill the time beside it. */
const ALL = ["marking", "by_hand", "photo", "layout", "folder", "identity", "phone", "accessible", "corrections", "zoom", "profile", "turned", "opening", "outputs", "safe", "sheet"];
/** Files at once: much of each is waiting for the browser or the desk. */
const AT_ONCE = 3;

const pictures = Boolean(process.argv[4]);
const asked = process.env.FILES?.split(",") ?? [...ALL, ...(pictures ? ["guide"] : [])];
const beside = process.env.FIREFOX_FILES ?? "";
const twice = beside === "all" ? ALL : beside.split(",").filter(Boolean);
if (asked.length === 1 && !twice.length) {
  await import(`./${asked[0]}.mjs`);
  const { finish } = await import("./harness.mjs");
  await finish();
} else {
  const total = { ran: 0, failed: 0, left: 0 };
  const engine = process.env.ENGINE ?? "chromium";
  const waiting = [...asked.map((name) => [name, engine]), ...twice.map((name) => [name, "firefox"])];
  const work = async () => { for (let next; (next = waiting.shift());) await file(...next, total); };
  await Promise.all(Array.from({ length: AT_ONCE }, work));
  console.log(`\n${total.ran - total.failed} of ${total.ran} passed${total.left ? `, ${total.left} not run in Firefox` : ""}`);
  process.exit(total.failed || !total.ran ? 1 : 0);
}

/** Runs one file in a process of its own; what it says is shown when it has ended. */
function file(name, engine, total) {
  const start = Date.now();
  const { FIREFOX_FILES, ...env } = process.env;
  const child = fork(fileURLToPath(import.meta.url), process.argv.slice(2), { env: { ...env, FILES: name, ENGINE: engine }, silent: true });
  let said = "";
  for (const stream of [child.stdout, child.stderr]) stream.on("data", (text) => { said += text; });
  let result = { ran: 1, failed: 1, left: 0 };
  child.on("message", (sent) => { result = sent; });
  return new Promise((done) => child.on("close", () => {
    console.log(`\n${name} in ${engine}, ${((Date.now() - start) / 1000).toFixed(0)} s\n${said.trimEnd()}`);
    for (const key of Object.keys(total)) total[key] += result[key];
    done();
  }));
}
