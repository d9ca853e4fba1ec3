// Moving about on a canvas: drag, wheel, pinch and keys. What a place means is
// the caller's; here are only shift and stretch. Once a person has zoomed or
// moved, the viewport stays as it is until they change it.

const STEP = 1.25;
/** Narrower than this, in CSS pixels, a canvas is not shown at all. */
const SHOWN_PX = 20;

export class Viewport {
  /** `apart`: x and y stretch on their own (the unrolled stump). `fit()` shows the whole. */
  constructor(canvas, { apart = false, redraw, limits, fit }) {
    Object.assign(this, { canvas, apart, redraw, limits, fit, x: 0, y: 0, sx: 1, sy: 1, fitted: true, gliding: null });
    this.fingers = new Map();
    canvas.addEventListener("wheel", (event) => this.wheel(event), { passive: false });
    // A hidden canvas has no size; it keeps its zoom for when it is shown again.
    new ResizeObserver(() => { if (this.shown) { if (this.fitted) this.fit(); else this.settle(); } }).observe(canvas);
  }

  get shown() { return this.canvas.clientWidth >= SHOWN_PX && this.canvas.clientHeight >= SHOWN_PX; }

  toSheet(px, py) { return [(px - this.x) / this.sx, (py - this.y) / this.sy]; }
  toScreen(sx, sy) { return [sx * this.sx + this.x, sy * this.sy + this.y]; }

  /** Where an event happened, in CSS pixels of the canvas. */
  spot(event) {
    const box = this.canvas.getBoundingClientRect();
    return [event.clientX - box.left, event.clientY - box.top];
  }

  /** Shows a place set by the program; it is not a person's zoom. */
  set(values) {
    Object.assign(this, values, { gliding: null });
    this.settle();
    this.fitted = true;
  }

  wheel(event) {
    event.preventDefault();
    const by = Math.exp(-Math.max(-60, Math.min(60, event.deltaY || event.deltaX)) * 0.006);
    const [px, py] = this.spot(event);
    if (!this.apart) this.zoom(by, by, px, py);
    else if (event.shiftKey) this.zoom(by, 1, px, py);
    else this.zoom(1, by, px, py);
  }

  zoom(bx, by, px = this.canvas.clientWidth / 2, py = this.canvas.clientHeight / 2) {
    this.gliding = null;
    const [sx, sy] = this.toSheet(px, py);
    const { least, most } = this.limits();
    this.sx = Math.min(Math.max(this.sx * bx, least[0]), most[0]);
    this.sy = Math.min(Math.max(this.sy * by, least[1]), most[1]);
    this.x = px - sx * this.sx;
    this.y = py - sy * this.sy;
    this.fitted = false;
    this.settle();
  }

  step(inward) {
    const by = inward ? STEP : 1 / STEP;
    this.zoom(this.apart ? 1 : by, by);
  }

  stepSideways(wider) { this.zoom(wider ? STEP : 1 / STEP, 1); }

  shift(dx, dy) {
    this.gliding = null;
    this.slide(dx, dy);
  }

  slide(dx, dy) {
    this.x += dx;
    this.y += dy;
    this.fitted = false;
    this.settle();
  }

  settle() {
    if (this.shown) this.limits().hold?.(this);
    this.redraw();
  }

  /** Notes a finger; true while two are down, and the sheet is pinched. */
  down(event) {
    this.fingers.set(event.pointerId, this.spot(event));
    return this.fingers.size > 1;
  }

  move(event) {
    if (!this.fingers.has(event.pointerId)) return false;
    const before = [...this.fingers.values()];
    this.fingers.set(event.pointerId, this.spot(event));
    if (this.fingers.size < 2) return false;
    const now = [...this.fingers.values()];
    const middle = ([a, b]) => [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
    const span = ([a, b]) => Math.max(12, Math.hypot(a[0] - b[0], a[1] - b[1]));
    const by = span(now) / span(before);
    const [mx, my] = middle(now);
    const [ox, oy] = middle(before);
    this.x += mx - ox;
    this.y += my - oy;
    const sideways = Math.abs(now[0][0] - now[1][0]) > Math.abs(now[0][1] - now[1][1]);
    if (!this.apart) this.zoom(by, by, mx, my);
    else if (sideways) this.zoom(by, 1, mx, my);
    else this.zoom(1, by, mx, my);
    return true;
  }

  up(event) {
    const pinched = this.fingers.size > 1;
    this.fingers.delete(event.pointerId);
    return pinched;
  }
}

/** Moves a viewport over a moment, or at once where motion is not wanted. What a person
 *  or the program does to it meanwhile ends the motion. */
export function glide(viewport, dx, dy) {
  if (matchMedia("(prefers-reduced-motion: reduce)").matches) { viewport.shift(dx, dy); return; }
  const start = performance.now();
  const mine = {};
  viewport.gliding = mine;
  let [doneX, doneY] = [0, 0];
  const frame = (now) => {
    if (viewport.gliding !== mine) return;
    const share = Math.min(1, Math.max(0, (now - start) / 160));
    const eased = share * (2 - share);
    viewport.slide(dx * eased - doneX, dy * eased - doneY);
    [doneX, doneY] = [dx * eased, dy * eased];
    if (share < 1) requestAnimationFrame(frame);
  };
  requestAnimationFrame(frame);
}
