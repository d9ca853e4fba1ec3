// Smaller copies of a large picture: a redraw that shrinks all of twelve megapixels takes
// a tenth of a second.

/** A copy no wider than this is not halved again, in pixels. */
const LEAST_WIDE = 500;

const copies = new WeakMap();

/** Makes the smaller copies of a picture, each half as wide as the one before. */
export async function prepare(bitmap) {
  const list = [];
  copies.set(bitmap, list);
  let last = bitmap;
  while (last.width > LEAST_WIDE) {
    const size = { resizeWidth: Math.ceil(last.width / 2), resizeHeight: Math.ceil(last.height / 2), resizeQuality: "high" };
    const made = await createImageBitmap(last, size).catch((error) => { if (copies.get(bitmap) === list) throw error; });
    // The picture was given back meanwhile.
    if (copies.get(bitmap) !== list) { made?.close(); return; }
    list.push(made);
    last = made;
  }
}

/** The smallest copy that still has a pixel for each one that is drawn; `share`: drawn
 *  pixels for one of the picture. */
export function fitting(bitmap, share) {
  let best = bitmap;
  for (const one of copies.get(bitmap) ?? []) {
    if (one.width < bitmap.width * share) break;
    best = one;
  }
  return best;
}

/** Gives a picture and its copies back. */
export function give(bitmap) {
  if (!bitmap) return;
  for (const one of copies.get(bitmap) ?? []) one.close();
  copies.delete(bitmap);
  bitmap.close();
}
