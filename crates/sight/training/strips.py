"""Stretches of strips, bent, stretched and recoloured anew each time, with their targets."""

import math

import numpy as np
import torch
import torch.nn.functional as F

import lessons

LENGTH = 1024
ROWS = lessons.ROWS


class Strip:
    """One strip with its lines and their level courses."""

    def __init__(self, head, data, lines):
        self.data = data
        self.kind = head["class"]
        lines = lines[:-1]
        seen = data[2] > 128 + 20
        inside = (lines >= 0) & (lines < data.shape[2] - 1)
        column = np.where(inside, lines, 0).astype(int)
        shown = inside & seen[np.arange(ROWS)[None], column]
        # As the picture shows it: lines seen on at least a twentieth of the circle.
        keep = shown.sum(1) >= ROWS / 20
        self.lines = np.where(shown, lines, np.nan)[keep]
        self.shown = shown[keep]
        # Wood ends at the last ring; where that is out of the picture all is wood.
        self.barked = np.isfinite(np.where(shown[-1], lines[-1], np.nan)) if len(lines) else np.zeros(ROWS, bool)
        level = np.where(self.shown, self.lines, 0).sum(1) / self.shown.sum(1) if len(self.lines) else np.zeros(0)
        order = np.argsort(level)
        self.level, self.lines, self.shown = level[order], self.lines[order], self.shown[order]


class Warp:
    """Waves and slips laid on a strip: by how many courses a place is taken from farther out."""

    def __init__(self, rng, length):
        self.parts = []
        angle = np.arange(ROWS) * 2 * math.pi / ROWS
        for _ in range(rng.integers(1, 4)):
            if rng.random() < 0.5:
                round_ = np.cos(rng.integers(1, 13) * angle + rng.uniform(0, 2 * math.pi))
            else:
                # Up within a few rows, and down again somewhere else.
                up, down = rng.uniform(0, 2 * math.pi, 2)
                round_ = np.zeros(ROWS)
                for at, sign in ((up, 1), (down, -1)):
                    wide = rng.uniform(2, 25) * 2 * math.pi / ROWS
                    turned = (angle - at + math.pi) % (2 * math.pi) - math.pi
                    step = 1 / (1 + np.exp(-np.clip(turned / wide * 4, -30, 30)))
                    round_ = round_ + sign * (step - turned / (2 * math.pi))
                round_ = round_ - round_.mean()
            steepest = np.abs(np.diff(round_, append=round_[:1])).max()
            reach = rng.uniform(80, 700)
            middle = rng.uniform(0, length)
            most = min(math.exp(rng.uniform(math.log(0.4), math.log(14))), 0.5 / (steepest + 1e-6), 0.5 * reach)
            self.parts.append((most * round_, middle, reach))

    def at(self, rows, courses):
        return sum(
            round_[rows] * np.exp(-0.5 * ((courses - middle) / reach) ** 2) for round_, middle, reach in self.parts
        )


def example(strip, rng, train):
    """The view, and for each place: ends of years, wood; for each course: ends, log spacing
    (NaN where not known); whether rings run level enough for courses to count, and the wood class."""
    length = strip.data.shape[2]
    stretch = math.exp(rng.choice([rng.uniform(-0.45, 0.3), rng.uniform(0.0, 1.2)])) if train else 1.0
    bend = rng.choice([0.0, rng.uniform(0, 1.15)]) if train and rng.random() < 0.7 else 0.0
    out = LENGTH if train else -(-length // 32) * 32
    room = length - out / stretch
    start = (0.0 if rng.random() < 0.35 else rng.uniform(0, room)) if train and room > 0 else 0.0
    level, lines = strip.level, strip.lines
    known = np.isfinite(lines)
    off = np.where(known, lines - level[:, None], 0.0)
    warp = Warp(rng, length) if train and rng.random() < 0.5 else None

    base = np.arange(out) / stretch + start
    rows = np.arange(ROWS)[:, None]
    course = np.broadcast_to(base[None], (ROWS, out))
    if bend > 0 and len(level) > 2:
        at = np.clip(np.searchsorted(level, base), 1, len(level) - 1)
        part = np.clip((base - level[at - 1]) / (level[at] - level[at - 1] + 1e-3), 0, 1)
        course = course + bend * (off[at - 1].T * (1 - part) + off[at].T * part)
    if warp:
        course = course + warp.at(rows, base[None])
    view = sampled(strip.data, course, length)

    # Where each line lies in the view: the same bending, turned round.
    placed = level[:, None] + (1 - bend) * off
    if warp and len(level):
        wanted = placed
        for _ in range(3):
            placed = wanted - warp.at(rows.T, placed)
    placed = np.where(known, (placed - start) * stretch, np.nan)
    ends = np.zeros((ROWS, out), np.float32)
    k, r = np.nonzero(known)
    c = placed[k, r]
    ok = (c >= 0) & (c < out - 1)
    r, c = r[ok], c[ok]
    low = np.floor(c).astype(int)
    np.add.at(ends, (r, low), 1 - (c - low))
    np.add.at(ends, (r, low + 1), c - low)
    count = known.sum(1)
    now = np.where(known, placed, 0).sum(1) / np.maximum(count, 1)
    courses, gaps = by_course(now, start, out)
    counts = np.float32(level_enough(placed, known, now))
    # Wood ends with the last ring, which bends with the others.
    bark = np.where(strip.barked, placed[-1], 1e9) if len(level) else np.full(ROWS, 1e9)
    wood = np.arange(out)[None] < np.where(np.isfinite(bark), bark, 1e9)[:, None]
    fields = [view, ends, wood.astype(np.float32)]
    if train:
        turn = int(rng.integers(ROWS))
        fields = [np.roll(x, turn, -2) for x in fields]
        if rng.random() < 0.5:
            fields = [np.flip(x, -2) for x in fields]
        fields[0] = recolour(torch.from_numpy(np.ascontiguousarray(fields[0])), rng).numpy()
    return (*fields, courses, gaps, counts, strip.kind)


def sampled(data, course, length):
    """The strip read between courses; nothing beyond its ends."""
    row = np.broadcast_to(np.arange(ROWS)[:, None], course.shape)
    places = np.stack([(course + 0.5) / length * 2 - 1, (row + 0.5) / ROWS * 2 - 1], -1)
    strip = torch.from_numpy(lessons.value(data))
    return F.grid_sample(strip[None], torch.from_numpy(places).float()[None], align_corners=False)[0].numpy()


def by_course(level, start, out):
    courses = np.zeros(out, np.float32)
    gaps = np.full(out, np.nan, np.float32)
    inner = np.concatenate([[0.0 if start == 0 else np.nan], level[:-1]]) if len(level) else []
    for a, b in zip(inner, level):
        if 0 <= b < out - 1:
            i = int(b)
            courses[i] += 1 - (b - i)
            courses[i + 1] += b - i
        if np.isfinite(a) and b > a + 0.5:
            gaps[max(0, int(a)) : max(0, min(out, int(b) + 1))] = math.log2(b - a)
    return courses, gaps


def level_enough(placed, known, level):
    """Whether rings run level enough for the whole circle to be read course by course."""
    if len(level) < 3:
        return False
    spread = np.sqrt(np.where(known, (placed - level[:, None]) ** 2, 0).sum(1) / np.maximum(known.sum(1), 1))
    gap = np.diff(level, prepend=level[0] - max(1.0, level[1] - level[0]))
    return np.median(spread / np.maximum(gap, 1)) < 0.35


def recolour(view, rng):
    seen = view[2:3]
    if rng.random() < 0.25:
        # A part of the circle out of sight.
        a, b = sorted(rng.integers(0, ROWS, 2))
        if b - a < 200:
            view[:, a:b] = 0
    view[0] = view[0] * math.exp(rng.normal(0, 0.2)) + rng.normal(0, 0.05)
    view[1] = view[1] * math.exp(rng.normal(0, 0.3))
    view[3] = view[3] * math.exp(rng.normal(0, 0.2)) + rng.normal(0, 0.4)
    for k in (4, 5):
        view[k] = view[k] * math.exp(rng.normal(0, 0.4)) + rng.normal(0, 0.3)
    if rng.random() < 0.25:
        view[4:6] = 0
    if rng.random() < 0.6:
        view[0], view[1] = roughened(view[0], view[1], rng)
    if rng.random() < 0.2:
        w = rng.uniform(0.1, 0.45)
        view[0] = view[0] * (1 - 2 * w) + w * (torch.roll(view[0], 1, -1) + torch.roll(view[0], -1, -1))
    return torch.cat([view[:2] * (seen > 0.3), view[2:3], view[3:] * (seen > 0.3)])


def roughened(light, spread, rng):
    """Fuzz of the wood, fine or coarse, and saw marks across the rings, laid over a strip."""
    strength = abs(rng.normal(0, 0.8))
    rows, courses = light.shape
    noise = torch.from_numpy(rng.standard_normal((1, 1, rows, courses), np.float32))
    for axis, sigma in ((2, rng.uniform(0.3, 4)), (3, rng.uniform(0.3, 2.5))):
        reach = int(2.5 * sigma) + 1
        x = torch.arange(-reach, reach + 1, dtype=torch.float32)
        kernel = torch.exp(-0.5 * (x / sigma) ** 2)
        shape = (1, 1, -1, 1) if axis == 2 else (1, 1, 1, -1)
        noise = F.conv2d(noise, kernel.reshape(shape), padding=(reach, 0) if axis == 2 else (0, reach))
    noise = noise[0, 0] / (noise.std() + 1e-6)
    if rng.random() < 0.4:
        turn, wave = rng.uniform(0, math.pi), rng.uniform(4, 30)
        y = torch.arange(rows)[:, None] * rng.uniform(1, 6)
        x = torch.arange(courses)[None]
        bands = torch.cos(2 * math.pi / wave * (math.cos(turn) * x + math.sin(turn) * y) + noise)
        noise = noise + bands * rng.uniform(0.3, 1.5)
    total = math.sqrt(1 + strength * strength)
    return ((light + strength * noise) / total).clamp(-2.5, 2.5), (spread + 0.4 * strength * noise.abs()) / total
