// Drawing the strip on the photo: two clicks or taps, first at the pith, then at the
// bark, or one drag between them; later its ends and its side are dragged.

import { act } from "./edits.js";
import { say } from "./message.js";
import { state } from "./selection.js";
import { locate, place, strip } from "./strip-marks.js";
import { use, whenWidened } from "./tools.js";

/** How near a pointer must be to a handle, in CSS pixels. */
const NEAR = { mouse: 9, touch: 24 };
/** The width of a strip whose width is not given, as a share of its length, as the desk has it. */
const USUAL_SHARE = 0.12;
/** A strip of this share of the way by one press of Wider. */
const WIDER = 1.25;
let handDraws = false;

/** The next strip that is drawn is counted by hand. */
export function drawForHand() {
  handDraws = true;
  use("strip");
}

export const lengthOf = ({ from, to }) => Math.hypot(to[0] - from[0], to[1] - from[1]);
export const widthOf = (one) => one.width_px ?? Math.max(8, USUAL_SHARE * lengthOf(one));

/** Whether a strip is marked. */
export const drawn = () => strip() !== null;

/** The end of the strip that is nearer to a place. */
export function nearerEnd(to) {
  const off = (end) => Math.hypot(strip()[end][0] - to[0], strip()[end][1] - to[1]);
  return off("from") < off("to") ? "from" : "to";
}

/** The places by which a strip is moved. */
export const handles = (one) => ({ from: one.from, to: one.to, side: place(lengthOf(one) / 2, widthOf(one) / 2, one) });

/** The handle under a spot of the screen. */
export function handleAt(view, [x, y], kind) {
  if (!strip()) return null;
  const near = Object.entries(handles(strip())).map(([name, at]) => {
    const [hx, hy] = view.toScreen(...at);
    return [Math.hypot(hx - x, hy - y), name];
  }).sort((a, b) => a[0] - b[0])[0];
  return near[0] <= (NEAR[kind] ?? NEAR.mouse) ? near[1] : null;
}

/** The strip with one handle elsewhere. */
export function moved(handle, to) {
  const one = { ...strip() };
  if (handle === "side") one.width_px = Math.min(lengthOf(one), Math.max(8, 2 * Math.abs(locate(to, one)[1])));
  else one[handle] = to;
  return one;
}

/** The pith where it is close to a place, else the place. */
function atPith(at, view) {
  const { marks, reading } = state.view.stump;
  const pith = marks.pith ?? (reading.pith && [reading.pith.x_px, reading.pith.y_px]);
  return pith && Math.hypot(pith[0] - at[0], pith[1] - at[1]) * view.sx < NEAR.mouse ? pith : at;
}

/** Sends a strip as it was drawn or moved. */
export async function send({ from, to, width_px: width = null }) {
  const hand = handDraws || (!strip() && !state.geometry);
  const done = await act({ do: "strip", from, to, width, "by-hand": strip() ? null : hand });
  if (done !== true) return;
  if (handDraws || state.view.strip) use("look");
  handDraws = false;
}

whenWidened((wider) => act({ do: "strip", from: strip().from, to: strip().to, width: Math.min(lengthOf(strip()), Math.max(8, widthOf(strip()) * (wider ? WIDER : 1 / WIDER))), "by-hand": null }));

/** While a finger or the mouse is down: what is drawn by hand. `handle`: the one that
 *  is dragged; `from`: where the drag began. */
export function draw(hand, view, to, { handle, from }) {
  if (handle) hand.strip = moved(handle, to);
  else if (!drawn()) hand.strip = { from: hand.strip?.from ?? atPith(from, view), to };
}

/** A click or a drag has ended, or Enter was pressed at the cross. */
export async function set(hand, view, at, { handle = null, moved: dragged = false } = {}) {
  const begun = hand.strip;
  if (drawn() && !handle) say("drag an end or the side of the strip, or clear it to draw another");
  else if (drawn() && !dragged) return;
  else if (!begun?.from) {
    hand.strip = { from: atPith(at, view), to: null };
    say("one end set: now the other, at the bark edge");
  } else {
    await send({ ...begun, to: handle ? begun.to : at });
    hand.strip = null;
  }
}
