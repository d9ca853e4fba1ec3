// Firefox over WebDriver BiDi, by puppeteer-core, under the same calls that the tests
// make in Chromium. Only what the tests use is here. Every call that acts on an element
// waits, as in Chromium, until it is there, visible, at rest and not covered.

import fs from "node:fs";
import os from "node:os";
import path from "node:path";
import puppeteer from "puppeteer-core";

/** Longest wait for Firefox to start. */
const START_MS = 180_000;
/** Keys that are no letters, as WebDriver writes them. */
const KEYS = {
  Backspace: "\uE003", Tab: "\uE004", Enter: "\uE007", Shift: "\uE008", Control: "\uE009", Escape: "\uE00C", End: "\uE010", Home: "\uE011",
  ArrowLeft: "\uE012", ArrowUp: "\uE013", ArrowRight: "\uE014", ArrowDown: "\uE015", Delete: "\uE017",
};
/** Options of a context that BiDi has no command for: a Firefox of its own is started with these. */
const preferences = ({ forcedColors, colorScheme, reducedMotion }) => ({
  ...(forcedColors ? { "browser.display.document_color_use": 2, "browser.display.use_system_colors": false } : {}),
  ...(colorScheme === "dark" ? { "browser.display.background_color": "#000000", "browser.display.foreground_color": "#ffffff", "ui.systemUsesDarkTheme": 1 } : {}),
  ...(reducedMotion ? { "ui.prefersReducedMotion": 1 } : {}),
});

// ---------------------------------------------------------------- in the page

/** The elements that a selector names: CSS, `text=…`, `text="…"`, `nth=…`, joined by `>>`. */
function all(selector) {
  const tidy = (text) => (text ?? "").replace(/\s+/g, " ").trim();
  return selector.split(" >> ").reduce((roots, part) => {
    if (part.startsWith("nth=")) return roots.slice(Number(part.slice(4))).slice(0, 1);
    if (!part.startsWith("text=")) return [...new Set(roots.flatMap((root) => [...root.querySelectorAll(part)]))];
    const wanted = part.slice(5);
    const holds = wanted.startsWith('"')
      ? (one) => tidy(one.textContent) === wanted.slice(1, -1)
      : (one) => tidy(one.textContent).toLowerCase().includes(wanted.toLowerCase());
    return roots.flatMap((root) => [root, ...root.querySelectorAll("*")]
      .filter((one) => one.nodeType === 1 && !["SCRIPT", "STYLE"].includes(one.nodeName) && holds(one) && ![...one.children].some(holds)));
  }, [document]);
}

function visible(element) {
  if (!element?.checkVisibility({ visibilityProperty: true })) return false;
  const box = element.getBoundingClientRect();
  return box.width > 0 && box.height > 0;
}

/** Waits for an element that can be acted on; its middle, or what is amiss. `point` asks
 *  for one that a pointer reaches. */
async function ready(selector, point, patience) {
  const until = performance.now() + patience;
  const frame = () => new Promise((done) => { requestAnimationFrame(done); setTimeout(done, 100); });
  let amiss = "is not there";
  for (let last = ""; performance.now() < until; await frame()) {
    const [element] = all(selector);
    if (!element) continue;
    amiss = "is not visible";
    if (!visible(element)) continue;
    amiss = "is disabled";
    if (element.matches(":disabled")) continue;
    let box = element.getBoundingClientRect();
    if (point && (box.top < 0 || box.left < 0 || box.bottom > innerHeight || box.right > innerWidth)) {
      element.scrollIntoView({ block: "center", inline: "center", behavior: "instant" });
      box = element.getBoundingClientRect();
    }
    const where = [box.x, box.y, box.width, box.height].join();
    amiss = "does not come to rest";
    if (where !== last) { last = where; continue; }
    if (!point) return { at: [0, 0] };
    const [left, top] = [Math.max(0, box.left), Math.max(0, box.top)];
    const at = [(left + Math.min(innerWidth, box.right)) / 2, (top + Math.min(innerHeight, box.bottom)) / 2];
    const hit = document.elementFromPoint(...at);
    if (hit && (element.contains(hit) || hit.closest("label")?.contains(element))) return { at };
    amiss = `is covered by ${hit?.outerHTML.slice(0, 80)}`;
  }
  return { amiss };
}

/** Puts a text into a field as typing does: one event, and a change when the field is left. */
function put(selector, text) {
  const [field] = all(selector);
  field.focus();
  field.select();
  if (text) document.execCommand("insertText", false, text); else document.execCommand("delete");
}

function choose(selector, value) {
  const [field] = all(selector);
  field.value = value;
  for (const type of ["input", "change"]) field.dispatchEvent(new Event(type, { bubbles: true }));
}

const IN_PAGE = [all, visible, ready, put, choose].join("\n");

// ---------------------------------------------------------------- pointers and keys

/** A mouse; a move's `steps` go out together, so that each is an event of its own. */
class Mouse {
  constructor(page) { Object.assign(this, { page, at: [0, 0] }); }
  act(...actions) { return this.page.perform([{ type: "pointer", id: "mouse", parameters: { pointerType: "mouse" }, actions }]); }
  move(x, y, { steps = 1 } = {}) {
    const [fx, fy] = this.at;
    this.at = [x, y];
    return this.act(...Array.from({ length: steps }, (_, nth) => moveTo(fx + ((x - fx) * (nth + 1)) / steps, fy + ((y - fy) * (nth + 1)) / steps)));
  }
  down() { return this.act(PRESS); }
  up() { return this.act(LIFT); }
  click(x, y) { this.at = [x, y]; return this.act(moveTo(x, y), PRESS, LIFT); }
}

const moveTo = (x, y) => ({ type: "pointerMove", x, y });
const PRESS = { type: "pointerDown", button: 0 };
const LIFT = { type: "pointerUp", button: 0 };

class Keyboard {
  constructor(page) { this.page = page; }
  act(...actions) { return this.page.perform([{ type: "key", id: "keys", actions }]); }
  down(name) { return this.act({ type: "keyDown", value: KEYS[name] ?? name }); }
  up(name) { return this.act({ type: "keyUp", value: KEYS[name] ?? name }); }
  /** "a", "Enter", "Control+z", "+". */
  press(keys) {
    const held = keys.split(/(?<=.)\+(?=.)/).map((name) => KEYS[name] ?? name);
    return this.act(...held.map((value) => ({ type: "keyDown", value })), ...held.reverse().map((value) => ({ type: "keyUp", value })));
  }
  type(text) { return this.act(...[...text].flatMap((value) => [{ type: "keyDown", value }, { type: "keyUp", value }])); }
}

// ---------------------------------------------------------------- a page

class Locator {
  constructor(page, selector) { Object.assign(this, { page, selector }); }
  locator(more) { return new Locator(this.page, `${this.selector} >> ${more}`); }
  count() { return this.evaluateAll((found) => found.length); }
  allTextContents() { return this.evaluateAll((found) => found.map((one) => one.textContent)); }
  evaluateAll(what) { return this.page.inPage(`(${what})(all(${JSON.stringify(this.selector)}))`); }
  /** Found and asked in one go: a page that is just being loaded may lose it between two. */
  async evaluate(what) {
    const asked = await this.page.waitForFunction(`async (given) => { ${IN_PAGE}\nconst [one] = all(given); return one && { value: await (${what})(one) }; }`, this.selector);
    return (await asked.jsonValue()).value;
  }
  boundingBox() {
    return this.evaluate((one) => {
      const { x, y, width, height } = one.getBoundingClientRect();
      return width || height ? { x, y, width, height } : null;
    });
  }
  scrollIntoViewIfNeeded() {
    return this.evaluate((one) => {
      const box = one.getBoundingClientRect();
      if (box.top < 0 || box.bottom > innerHeight) one.scrollIntoView({ block: "center", behavior: "instant" });
    });
  }
  blur() { return this.evaluate((one) => one.blur()); }
  click() { return this.page.click(this.selector); }
  waitFor(how) { return this.page.waitForSelector(this.selector, how); }
}

class Page {
  constructor(tab, context) {
    Object.assign(this, { tab, owner: context, mouse: new Mouse(this), keyboard: new Keyboard(this) });
    this.touchscreen = { tap: async (...at) => { const touch = this.fingers(); await touch("touchStart", [at]); await touch("touchEnd", []); } };
  }

  context() { return this.owner; }
  url() { return this.tab.url(); }
  on(what, then) { this.tab.on(what, then); }
  goto(address) { return this.tab.goto(address); }
  reload() { return this.tab.reload(); }
  close() { return this.tab.close(); }
  bringToFront() { return this.tab.bringToFront(); }
  setViewportSize(size) { return this.tab.setViewport({ ...this.tab.viewport(), ...size }); }
  waitForTimeout(ms) { return new Promise((done) => setTimeout(done, ms)); }
  screenshot({ path: file, type }) { return this.tab.screenshot({ path: file, type }); }
  perform(actions) { return this.tab.mainFrame().browsingContext.performActions(actions); }

  evaluate(what, given) { return this.tab.evaluate(typeof what === "string" ? what : `(${what})(${JSON.stringify(given)})`); }
  /** Evaluates a text that may use the functions above. */
  inPage(text) { return this.tab.evaluate(`(() => { ${IN_PAGE}\nreturn ${text}; })()`); }

  async waitForFunction(what, given) {
    const until = Date.now() + this.owner.patience;
    // A page that is left while it is asked gives no answer; the next one is asked then.
    while (Date.now() < until) {
      const value = await this.evaluate(`(async () => {
        for (const until = performance.now() + 1000; performance.now() < until; await new Promise((done) => setTimeout(done, 16))) {
          const value = await (${what})(${JSON.stringify(given)});
          if (value) return value;
        }
      })()`).catch((error) => { if (!/context|realm|navigat|destroyed|discarded/i.test(error.message)) throw error; });
      if (value) return { jsonValue: async () => value };
    }
    throw new Error(`after ${this.owner.patience / 1000} s still not: ${what}`);
  }

  waitForSelector(selector, { state = "visible" } = {}) {
    const held = { visible: "all(given).some(visible)", hidden: "!all(given).some(visible)", attached: "all(given).length > 0" }[state];
    return this.waitForFunction(`(given) => { ${IN_PAGE}\nreturn ${held}; }`, selector);
  }

  waitForLoadState() { return this.waitForFunction(() => document.readyState === "complete"); }

  async ready(selector, point) {
    const { at, amiss } = await this.inPage(`ready(${JSON.stringify(selector)}, ${point}, ${this.owner.patience})`);
    if (amiss) throw new Error(`${selector} ${amiss}`);
    return at;
  }

  async click(selector) { return this.mouse.click(...await this.ready(selector, true)); }
  async tap(selector) { return this.touchscreen.tap(...await this.ready(selector, true)); }
  async fill(selector, text) { await this.ready(selector, false); return this.inPage(`put(${JSON.stringify(selector)}, ${JSON.stringify(text)})`); }
  async selectOption(selector, value) { await this.ready(selector, false); return this.inPage(`choose(${JSON.stringify(selector)}, ${JSON.stringify(value)})`); }
  focus(selector) { return this.locator(selector).evaluate((one) => one.focus()); }
  locator(selector) { return new Locator(this, selector); }
  textContent(selector) { return this.locator(selector).evaluate((one) => one.textContent); }
  inputValue(selector) { return this.locator(selector).evaluate((one) => one.value); }
  isEnabled(selector) { return this.locator(selector).evaluate((one) => !one.matches(":disabled")); }
  isVisible(selector) { return this.inPage(`visible(all(${JSON.stringify(selector)})[0])`); }
  async isHidden(selector) { return !await this.isVisible(selector); }
  async getAttribute(selector, name) { return this.locator(selector).evaluate(`(one) => one.getAttribute(${JSON.stringify(name)})`); }
  async setInputFiles(selector, files) { return (await this.tab.$(selector)).uploadFile(...[files].flat()); }

  /** Fingers on the page, as `fingers` in harness.mjs has them. */
  fingers() {
    let down = 0;
    const each = (actions) => this.perform(actions.map((own, nth) => ({ type: "pointer", id: `finger${nth}`, parameters: { pointerType: "touch" }, actions: own })));
    return (type, places) => {
      const were = down;
      down = places.length;
      if (type === "touchStart") return each(places.map((at) => [moveTo(...at), PRESS]));
      if (type === "touchMove") return each(places.map((at) => [moveTo(...at)]));
      return each(Array.from({ length: were }, () => [LIFT]));
    };
  }

  /** The next file that is downloaded. */
  async waitForEvent() {
    const { session } = this.owner.held.userContext.browser;
    const ended = await new Promise((done) => session.once("browsingContext.downloadEnd", done));
    return { path: async () => ended.filepath, suggestedFilename: () => path.basename(ended.filepath ?? "") };
  }

  /** Answers requests in the place of the desk; `route` has `fetch`, `fulfill` and `abort`. */
  async route(pattern, answer) {
    await this.tab.setRequestInterception(true);
    this.tab.on("request", (request) => {
      if (!pattern.test(request.url())) return request.continue();
      return answer({
        request: () => request,
        fetch: async () => { const response = await fetch(request.url()); return { headers: () => Object.fromEntries(response.headers) }; },
        fulfill: ({ status, headers, contentType, path: file }) => request.respond({ status, headers, contentType, body: fs.readFileSync(file) }),
        abort: () => request.abort(),
      });
    });
  }
}

// ---------------------------------------------------------------- the browser

class Context {
  constructor(held, options) { Object.assign(this, { held, options, patience: 0 }); }
  setDefaultTimeout(ms) { this.patience = ms; }
  async newPage() {
    // A window of its own: what is behind another tab is hardly drawn.
    const tab = await this.held.newPage({ type: "window" });
    tab.setDefaultTimeout(this.patience);
    await tab.setViewport({ ...this.options.viewport, deviceScaleFactor: this.options.deviceScaleFactor });
    return new Page(tab, this);
  }
  /** The next page that the page opens, once it has left the empty one that a tab starts with. */
  async waitForEvent() {
    const target = await new Promise((done) => this.held.once("targetcreated", done));
    const page = new Page(await target.page(), this);
    await page.waitForFunction(() => location.href !== "about:blank");
    return page;
  }
  close() { return this.held.close(); }
}

/** Firefox as the tests see a browser: contexts with options. */
export async function launch() {
  const downloads = fs.mkdtempSync(path.join(os.tmpdir(), "stumpbook-downloads-"));
  const running = new Map();
  const firefox = (wishes) => {
    const name = JSON.stringify(wishes);
    if (!running.has(name)) running.set(name, puppeteer.launch({
      browser: "firefox",
      executablePath: process.env.FIREFOX ?? "/usr/bin/firefox-esr",
      downloadBehavior: { policy: "allow", downloadPath: downloads },
      defaultViewport: null,
      timeout: START_MS,
      protocolTimeout: 0,
      extraPrefsFirefox: { "pdfjs.disabled": true, "dom.w3c_touch_events.enabled": 1, ...wishes },
    }));
    return running.get(name);
  };
  return {
    newContext: async (options) => {
      const browser = await firefox(preferences(options));
      return new Context(await browser.createBrowserContext(), options);
    },
    close: async () => {
      for (const one of await Promise.allSettled(running.values())) await one.value?.close();
      fs.rmSync(downloads, { recursive: true, force: true });
    },
  };
}
