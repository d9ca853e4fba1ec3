// Paint: the outlines of what a brush went over.

/** The outer outlines of everything within `radius` of a stroke: cells of a
 *  grid are filled, and the edges between filled and empty ones chained. */
export function outlines(places, radius) {
  const cell = radius / 3;
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
      const [x, y] = here.split(",").map(Number);
      loop.push([(x - 0.5) * cell, (y - 0.5) * cell]);
      const list = next.get(here);
      const to = list.pop();
      if (!list.length) next.delete(here);
      here = to;
    } while (here !== start && next.has(here));
    const area = loop.reduce((sum, [x, y], index) => { const [nx, ny] = loop[(index + 1) % loop.length]; return sum + x * ny - nx * y; }, 0);
    // Loops the other way round are holes: what is inside them is not painted.
    if (area > 0) loops.push(withoutStraights(loop));
  }
  return loops;
}

/** A loop without the places that lie on a straight line. */
function withoutStraights(loop) {
  return loop.filter(([x, y], index) => {
    const [ax, ay] = loop[(index + loop.length - 1) % loop.length];
    const [bx, by] = loop[(index + 1) % loop.length];
    return Math.abs((x - ax) * (by - y) - (y - ay) * (bx - x)) > 1e-6;
  }).map(([x, y]) => [Math.round(x * 10) / 10, Math.round(y * 10) / 10]);
}
