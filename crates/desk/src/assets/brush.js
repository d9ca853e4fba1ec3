// Paint: the outlines of what a brush went over.

/** The outlines of everything within `radius` of a stroke: cells of a grid are
 *  filled, and the edges between filled and empty ones chained. What is inside
 *  a painted loop and was not painted stays outside: a slit leads to it. */
export function outlines(places, radius) {
  const cell = radius / 3;
  const filled = fill(places, cell);
  const loops = chain(filled);
  const outer = loops.filter((loop) => area(loop) > 0).map((loop) => ({ loop, size: area(loop) }));
  for (const hole of loops.filter((loop) => area(loop) < 0)) {
    const around = outer.filter(({ loop }) => contains(loop, hole[0])).sort((a, b) => a.size - b.size)[0];
    if (around) around.loop = withHole(around.loop, hole);
  }
  return outer.map(({ loop }) => withoutStraights(loop).map(([x, y]) => [(x - 0.5) * cell, (y - 0.5) * cell].map((value) => Math.round(value * 10) / 10)));
}

/** The cells that the brush goes over, by name. */
function fill(places, cell) {
  const filled = new Set();
  const reach = 3;
  const thick = (x, y) => {
    const [cx, cy] = [Math.round(x / cell), Math.round(y / cell)];
    for (let dx = -reach; dx <= reach; dx++) for (let dy = -reach; dy <= reach; dy++) if (dx * dx + dy * dy <= reach * reach + 1) filled.add(`${cx + dx},${cy + dy}`);
  };
  places.forEach(([x, y], index) => {
    const [px, py] = places[Math.max(0, index - 1)];
    const count = Math.max(1, Math.ceil(Math.hypot(x - px, y - py) / cell));
    for (let nth = 0; nth <= count; nth++) thick(px + ((x - px) * nth) / count, py + ((y - py) * nth) / count);
  });
  return filled;
}

/** The edges of filled cells as closed loops, in cells; those of holes run the other way round. */
function chain(filled) {
  // Directed edges, the filled cell on the right-hand side.
  const next = new Map();
  for (const name of filled) {
    const [x, y] = name.split(",").map(Number);
    const edge = (dx, dy, a, b) => { if (!filled.has(`${x + dx},${y + dy}`)) { const list = next.get(a) ?? []; list.push(b); next.set(a, list); } };
    edge(0, -1, `${x},${y}`, `${x + 1},${y}`);
    edge(1, 0, `${x + 1},${y}`, `${x + 1},${y + 1}`);
    edge(0, 1, `${x + 1},${y + 1}`, `${x},${y + 1}`);
    edge(-1, 0, `${x},${y + 1}`, `${x},${y}`);
  }
  const loops = [];
  while (next.size) {
    const start = next.keys().next().value;
    const loop = [];
    let here = start;
    do {
      loop.push(here.split(",").map(Number));
      const list = next.get(here);
      const to = list.pop();
      if (!list.length) next.delete(here);
      here = to;
    } while (here !== start && next.has(here));
    loops.push(loop);
  }
  return loops;
}

/** Twice the area of a loop, below zero for a hole. */
function area(loop) {
  return loop.reduce((sum, [x, y], index) => {
    const [nx, ny] = loop[(index + 1) % loop.length];
    return sum + x * ny - nx * y;
  }, 0);
}

/** Whether a place is inside a loop: a ray to the right crosses it an odd number of times. */
function contains(loop, [x, y]) {
  let inside = false;
  loop.forEach(([ax, ay], index) => {
    const [bx, by] = loop[(index + 1) % loop.length];
    if ((ay > y + 0.5) !== (by > y + 0.5) && x + 0.5 < ax + ((y + 0.5 - ay) / (by - ay)) * (bx - ax)) inside = !inside;
  });
  return inside;
}

/** One outline round a loop and a hole in it, joined where they are nearest. */
function withHole(loop, hole) {
  let best = [Infinity, 0, 0];
  loop.forEach(([x, y], i) => hole.forEach(([hx, hy], j) => { const off = Math.hypot(x - hx, y - hy); if (off < best[0]) best = [off, i, j]; }));
  const [, i, j] = best;
  return [...loop.slice(0, i + 1), ...hole.slice(j), ...hole.slice(0, j + 1), ...loop.slice(i)];
}

/** A loop without the places in the middle of a straight line. */
function withoutStraights(loop) {
  return loop.filter(([x, y], index) => {
    const [ax, ay] = loop[(index + loop.length - 1) % loop.length];
    const [bx, by] = loop[(index + 1) % loop.length];
    const turns = Math.abs((x - ax) * (by - y) - (y - ay) * (bx - x)) > 1e-6;
    // Where a slit turns back on itself there is no turn, but an end.
    const back = (x - ax) * (bx - x) + (y - ay) * (by - y) < 0;
    return turns || back;
  });
}
