// Moving about on a sheet: drag, wheel, pinch and keys. What a place on the
// sheet means is the caller's; here are only shift and stretch.

const STEP = 1.25;

export class Pan {
  /** `apart`: x and y stretch on their own (the unrolled stump). */
  constructor(canvas, { apart = false, redraw, limits }) {
    Object.assign(this, { canvas, apart, redraw, limits, x: 0, y: 0, sx: 1, sy: 1, free: true });
    this.fingers = new Map();
    canvas.addEventListener("wheel", (event) => this.wheel(event), { passive: false });
  }

  toSheet(px, py) { return [(px - this.x) / this.sx, (py - this.y) / this.sy]; }
  toScreen(sx, sy) { return [sx * this.sx + this.x, sy * this.sy + this.y]; }

  /** Where an event happened, in CSS pixels of the canvas. */
  spot(event) {
    const box = this.canvas.getBoundingClientRect();
    return [event.clientX - box.left, event.clientY - box.top];
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
    const [sx, sy] = this.toSheet(px, py);
    const { least, most } = this.limits();
    this.sx = Math.min(Math.max(this.sx * bx, least[0]), most[0]);
    this.sy = Math.min(Math.max(this.sy * by, least[1]), most[1]);
    this.x = px - sx * this.sx;
    this.y = py - sy * this.sy;
    this.settle();
  }

  step(inward) {
    const by = inward ? STEP : 1 / STEP;
    this.zoom(this.apart ? 1 : by, by);
  }

  shift(dx, dy) {
    this.x += dx;
    this.y += dy;
    this.settle();
  }

  settle() {
    const { hold } = this.limits();
    hold?.(this);
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
    const middle = (two) => [(two[0][0] + two[1][0]) / 2, (two[0][1] + two[1][1]) / 2];
    const span = (two) => Math.max(12, Math.hypot(two[0][0] - two[1][0], two[0][1] - two[1][1]));
    const by = span(now) / span(before);
    const [mx, my] = middle(now);
    const [ox, oy] = middle(before);
    this.x += mx - ox;
    this.y += my - oy;
    this.zoom(this.apart ? 1 : by, by, mx, my);
    return true;
  }

  up(event) {
    const pinched = this.fingers.size > 1;
    this.fingers.delete(event.pointerId);
    return pinched;
  }
}

/** A canvas as sharp as the screen; its context in CSS pixels. */
export function sharp(canvas) {
  const dense = Math.min(window.devicePixelRatio || 1, 2.5);
  const [wide, high] = [canvas.clientWidth, canvas.clientHeight];
  if (canvas.width !== Math.round(wide * dense) || canvas.height !== Math.round(high * dense)) {
    canvas.width = Math.round(wide * dense);
    canvas.height = Math.round(high * dense);
  }
  const pen = canvas.getContext("2d");
  pen.setTransform(dense, 0, 0, dense, 0, 0);
  return [pen, wide, high];
}

/** One redraw a frame, however often it is asked for. */
export function framed(draw) {
  let waiting = false;
  return () => {
    if (waiting) return;
    waiting = true;
    requestAnimationFrame(() => { waiting = false; draw(); });
  };
}

export const INK = "#2b2118";
export const PAPER = "#faf5e9";
export const SOFT = "#64574a";
export const DOUBT = "#a33b12";
export const LIT = "#0a5a9c";
