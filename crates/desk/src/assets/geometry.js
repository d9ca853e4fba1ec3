// Between the photo and the unrolled stump: a place in the photo is a share of
// the turn (clockwise from the right) and a course (0 at the pith, growing
// outward so that each ring is level).

const TAU = 2 * Math.PI;

export class Geometry {
  constructor(info, numbers, pith) {
    this.info = info;
    this.radii = new Float32Array(numbers);
    this.pith = pith;
  }

  /** Distance from the pith, in photo pixels. */
  radius(turn, course) {
    const { steps, stations, top_course: top } = this.info;
    const at = (((turn % 1) + 1) % 1) * steps;
    const low = Math.floor(at) % steps;
    const part = at - Math.floor(at);
    const along = Math.min(Math.max(course / top, 0), 1) * (stations - 1);
    const station = Math.min(Math.floor(along), stations - 2);
    const rest = along - station;
    const one = (step) => {
      const from = step * stations + station;
      return this.radii[from] * (1 - rest) + this.radii[from + 1] * rest;
    };
    return one(low) * (1 - part) + one((low + 1) % steps) * part;
  }

  place(turn, course) {
    const radius = this.radius(turn, course);
    const angle = turn * TAU;
    return [this.pith[0] + radius * Math.cos(angle), this.pith[1] + radius * Math.sin(angle)];
  }

  /** Turn and course of a place in the photo. */
  locate([x, y]) {
    const dx = x - this.pith[0];
    const dy = y - this.pith[1];
    const turn = (Math.atan2(dy, dx) / TAU + 1) % 1;
    return [turn, this.course(turn, Math.hypot(dx, dy))];
  }

  course(turn, radius) {
    let low = 0;
    let high = this.info.top_course;
    if (radius >= this.radius(turn, high)) return high;
    for (let i = 0; i < 18; i++) {
      const middle = (low + high) / 2;
      if (this.radius(turn, middle) <= radius) low = middle; else high = middle;
    }
    return (low + high) / 2;
  }

  /** The course at a distance along one step of the numbers. */
  courseAtStep(step, radius) {
    const { stations, top_course: top } = this.info;
    const first = step * stations;
    if (radius < this.radii[first]) return 0;
    if (radius >= this.radii[first + stations - 1]) return top;
    let low = 0;
    let high = stations - 1;
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (this.radii[first + middle] <= radius) low = middle; else high = middle;
    }
    const [from, to] = [this.radii[first + low], this.radii[first + high]];
    return (top * (low + (radius - from) / (to - from))) / (stations - 1);
  }

  /** The courses of an outline, one a step and the first again at the end. */
  line(outline) {
    const same = outline.length === this.info.steps;
    const courses = outline.map((place, step) => {
      if (place === null) return NaN;
      const radius = Math.hypot(place[0] - this.pith[0], place[1] - this.pith[1]);
      return same ? this.courseAtStep(step, radius) : this.course(step / outline.length, radius);
    });
    courses.push(courses[0]);
    return Float32Array.from(courses);
  }
}

/** The course of a line at a share of the turn; NaN where it is not seen. */
export function at(line, turn) {
  const along = (((turn % 1) + 1) % 1) * (line.length - 1);
  const low = Math.floor(along);
  const part = along - low;
  const [a, b] = [line[low], line[Math.min(low + 1, line.length - 1)]];
  return Number.isNaN(a) ? b : Number.isNaN(b) ? a : a * (1 - part) + b * part;
}
