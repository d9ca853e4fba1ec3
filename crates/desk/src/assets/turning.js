// The photo turned by quarters, as a person wants to see it. Only what is shown turns:
// marks and rings stay places of the photo as it is.

import { changed, listen, state } from "./selection.js";

/** The photo turned is known by its content, so that another one of its name is not. */
const stored = () => `stumpbook-turned-${state.view.stump.reading.photo.sha256}`;

/** Where a place of a photo of a size is in the photo turned clockwise by `quarters`. */
export const turned = ([x, y], [wide, high], quarters) => [[x, y], [high - y, x], [wide - x, high - y], [y, wide - x]][quarters];

/** The size of the photo turned. */
export const turnedSize = ([wide, high], quarters) => (quarters % 2 ? [high, wide] : [wide, high]);

/** The place of the photo that is at a place of it turned. */
export const back = (place, size, quarters) => turned(place, turnedSize(size, quarters), (4 - quarters) % 4);

/** The way in the photo of a way in it turned. */
export const wayBack = ([dx, dy], quarters) => [[dx, dy], [dy, -dx], [-dx, -dy], [-dy, dx]][quarters];

/** The photo drawn turned: what `setTransform` and the like take. */
export const matrix = ([wide, high], quarters) => [[1, 0, 0, 1, 0, 0], [0, 1, -1, 0, high, 0], [-1, 0, 0, -1, wide, high], [0, -1, 1, 0, 0, wide]][quarters];

/** Turns the photo that is shown by one more quarter, clockwise. */
export function turnOn() {
  state.quarters = (state.quarters + 1) % 4;
  if (state.quarters) localStorage.setItem(stored(), String(state.quarters)); else localStorage.removeItem(stored());
  changed("turned");
}

listen((what) => {
  if (what !== "stump" || !state.view) return;
  const quarters = Number(localStorage.getItem(stored()));
  state.quarters = [1, 2, 3].includes(quarters) ? quarters : 0;
});
