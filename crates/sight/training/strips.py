"""Strips of straightened rings, changed anew each time they are shown, with their targets; changed on the device.

A strip of a drawn face has every line in every row. A strip of a photo is known
only beside its marked radii: it is shown whole, where courses on which the
radii disagree do not count, or only beside one radius, as a dressed strip of
wood would show it.
"""

import math
import warnings

import numpy as np
import torch
import torch.nn.functional as F

from examples import CHANNELS, ROWS, UNKNOWN

LENGTH = 1024
BESIDE = 9  # rows to each side of a marked radius in which its rings are known
SEEN = 2
CIRCLE = torch.arange(ROWS)


def value(data):
    """Bytes as the values they stand for, about -3 to 3."""
    return (data.float() - 128.0) / 40.0


class Strip:
    """One strip and what is known of it; kept in main memory.

    data uint8 [6, ROWS, courses]; wood uint8 [ROWS, courses], or `bark` float
    [ROWS], the course of the bark edge; lines float [n, ROWS], NaN where unknown;
    level [n]: mean course of each line; known: list of (rows bool [ROWS], courses
    bool [courses]), None for all; courses: bool [courses], where the level lines
    are all that there are; clear: how far rings can be seen at a place, 0 to 255,
    uint8 [ROWS, courses], a number for all places, or None where that is not known;
    unclear: for a photo, list of (rows, courses) where they cannot be;
    window: the row in the middle of what is shown, None for all rows; part: whether
    the rows take a part of the circle, of which only a strip is shown.
    """

    def __init__(self, data, lines, known, courses, kind, wood=None, bark=None, clear=None, unclear=None, window=None, part=False):
        self.data, self.wood, self.bark, self.kind, self.window, self.part = data, wood, bark, kind, window, part
        self.known, self.clear, self.unclear, self.drawn = known, clear, unclear, bark is not None
        finite = torch.isfinite(lines)
        level = torch.where(finite, lines, 0.0).sum(1) / finite.sum(1).clamp(min=1)
        order = torch.argsort(level)
        self.lines, self.level, self.courses = lines[order], level[order], courses
        gaps = self.level.diff()
        self.gap = float(gaps.median()) if len(gaps) else 20.0

    def wood_on(self, device):
        """What is wood, uint8 [ROWS, courses]."""
        if self.wood is not None:
            return self.wood.to(device)
        edge = torch.where(torch.isfinite(self.bark), self.bark, 1e9).to(device)
        return (torch.arange(self.data.shape[2], device=device)[None] < edge[:, None]).to(torch.uint8)

    def clear_on(self, device):
        """How far rings can be seen at each place, 0 to 1, and where that is known; both [ROWS, courses]."""
        shape = self.data.shape[1:]
        if isinstance(self.clear, torch.Tensor):
            clear = self.clear.to(device).float() / 255
            return clear, torch.ones_like(clear)
        known = torch.zeros(shape, device=device)
        if self.clear is not None:
            return torch.full(shape, float(self.clear), device=device), known + 1
        clear = torch.ones(shape, device=device)
        for rows, columns in self.known or []:
            known[rows.to(device)[:, None] & columns.to(device)[None]] = 1
        for rows, columns in self.unclear or []:
            at = rows.to(device)[:, None] & columns.to(device)[None]
            known[at], clear[at] = 1, 0
        return clear, known


def tensor(array):
    """An array as a tensor in main memory, shared where it may be."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return torch.from_numpy(array)


def drawn_strip(data, lines, dressed, kind, rough, part):
    """A strip of a drawn face; None where it shows too few rings."""
    bark, lines = lines[-1], lines[:-1]
    length = data.shape[2]
    inside = (lines >= 0) & (lines < length - 1)
    column = np.where(inside, lines, 0).astype(int)
    in_view = data[SEEN] > 148
    if dressed is not None:
        # Under the saw's marks no ring is known to be shown.
        in_view = in_view & (dressed > 127)
    shown = inside & in_view[np.arange(ROWS)[None], column]
    rows = in_view.sum(0)
    usual = np.median(rows[rows > 0]) if (rows > 0).any() else 0
    keep = shown.sum(1) >= max(1, min(ROWS / 20, 0.3 * usual))
    lines = np.where(shown, lines, np.nan)[keep]
    if len(lines) < 5:
        return None
    courses = np.ones(length, bool)
    clear = None if rough else 1.0
    if dressed is not None:
        # Rings are known to be shown where two rows or more are dressed.
        courses = rows >= 2
        clear = tensor(dressed)
    return Strip(tensor(data), tensor(lines.astype(np.float32)), None, tensor(courses), kind, bark=tensor(bark.astype(np.float32)), clear=clear, part=part)


def known_courses(radius, length):
    """Courses on which all ends of years of a marked radius are known."""
    ends = np.array(radius["ends"])
    first = ends[1] - ends[0] if len(ends) > 1 else 20.0
    last = ends[-1] - ends[-2] if len(ends) > 1 else 20.0
    start = 0.0 if ends[0] < 1.6 * first else ends[0] - 0.5 * first
    end = ends[-1] + (25.0 if radius["to_bark"] else 0.35 * last)
    at = np.arange(length)
    known = (at >= start) & (at <= end)
    for low, high in radius["unknown"]:
        known &= ~((at >= low) & (at <= high))
    return known


def unknown_courses(radius, length):
    """Courses on which a person could see no rings beside a marked radius."""
    at = np.arange(length)
    unknown = np.zeros(length, bool)
    for low, high in radius["unknown"]:
        unknown |= (at > low) & (at < high)
    return unknown


def photo_strips(head, data, wood, kind):
    """The whole strip of a photo, then one for each of its radii where it goes all around."""
    length = data.shape[2]
    data, wood = tensor(data), tensor(wood)
    radii = [r for r in head["radii"] if len(r["ends"]) >= 4 and all(a < b for a, b in zip(r["ends"], r["ends"][1:]))]
    if not radii:
        return []
    part = head["share"] < 1
    off = lambda row: np.abs((np.arange(ROWS) + 0.5 - row + ROWS / 2) % ROWS - ROWS / 2)
    near = np.stack([off(r["row"]) for r in radii])
    beside = (near <= BESIDE / head["share"]) & (near == near.min(0))
    known = [known_courses(r, length) for r in radii]
    masks = [(tensor(rows), tensor(courses)) for rows, courses in zip(beside, known)]
    unclear = [(tensor(rows), tensor(unknown_courses(r, length))) for rows, r in zip(beside, radii)]

    # Rings of several radii are one where their courses lie within 0.4 ring.
    groups = []
    for course, nth in sorted((c, i) for i, r in enumerate(radii) for c in r["ends"]):
        ends = radii[nth]["ends"]
        gap = min(abs(course - other) for other in ends if other != course)
        last = groups[-1] if groups else None
        if last and nth not in last and course - np.mean(list(last.values())) < 0.4 * gap:
            last[nth] = course
        else:
            groups.append({nth: course})
    lines = np.full((len(groups), ROWS), np.nan, np.float32)
    courses = np.any(known, 0)
    for line, group in zip(lines, groups):
        for nth, course in group.items():
            line[beside[nth]] = course
        middle = np.mean(list(group.values()))
        gap = min(np.abs(np.array(radii[nth]["ends"]) - c)[np.array(radii[nth]["ends"]) != c].min() for nth, c in group.items())
        at = int(np.clip(middle, 0, length - 1))
        missed = [i for i in range(len(radii)) if known[i][at] and i not in group]
        if missed:
            courses[max(0, int(middle - 0.6 * gap)) : int(middle + 0.6 * gap) + 1] = False
    out = [Strip(data, tensor(lines), masks, tensor(courses), kind, wood=wood, unclear=unclear, part=part)]
    if part:
        return out
    for radius, mask, courses, hidden in zip(radii, masks, known, unclear):
        ends = torch.tensor(radius["ends"], dtype=torch.float32)
        lines = torch.where(mask[0][None], ends[:, None], float("nan"))
        out.append(Strip(data, lines, [mask], tensor(courses), kind, wood=wood, unclear=[hidden], window=radius["row"]))
    return out


def gaussian(sigma, device):
    reach = int(2.5 * sigma) + 1
    x = torch.arange(-reach, reach + 1, device=device, dtype=torch.float32)
    kernel = torch.exp(-0.5 * (x / sigma) ** 2)
    return kernel / kernel.sum(), reach


def smooth(field, sigma, axis):
    """A field [rows, courses] smoothed along an axis; rows close into a circle."""
    kernel, reach = gaussian(sigma, field.device)
    x = field[None, None]
    if axis == 0:
        x = F.pad(x, (0, 0, reach, reach), mode="circular" if reach < field.shape[0] else "replicate")
        return F.conv2d(x, kernel.reshape(1, 1, -1, 1))[0, 0]
    x = F.pad(x, (reach, reach, 0, 0), mode="replicate")
    return F.conv2d(x, kernel.reshape(1, 1, 1, -1))[0, 0]


def texture(rows, courses, rng, down, across, device):
    """Chance of spread 1, alike over so many rows and courses."""
    fine = max(1, int(down / 3))
    field = torch.randn(max(8, rows // fine), courses, device=device)
    field = smooth(smooth(field, max(0.3, down / fine), 0), across, 1)
    if fine > 1:
        field = F.interpolate(field[None, None], size=(rows, courses), mode="bilinear", align_corners=False)[0, 0]
    return field / (field.std() + 1e-6)


def between(rng, low, high):
    return math.exp(rng.uniform(math.log(low), math.log(high)))


class Warp:
    """Waves and slips laid on a strip: by how many courses a place is taken from farther out."""

    def __init__(self, rng, length, device):
        self.parts = []
        angle = np.arange(ROWS) * 2 * math.pi / ROWS
        for _ in range(rng.integers(1, 4)):
            if rng.random() < 0.5:
                wave = np.cos(rng.integers(1, 13) * angle + rng.uniform(0, 2 * math.pi))
            else:
                # Up within a few rows, and down again somewhere else.
                wave = np.zeros(ROWS)
                for at, sign in zip(rng.uniform(0, 2 * math.pi, 2), (1, -1)):
                    wide = rng.uniform(2, 25) * 2 * math.pi / ROWS
                    turned = (angle - at + math.pi) % (2 * math.pi) - math.pi
                    step = 1 / (1 + np.exp(-np.clip(turned / wide * 4, -30, 30)))
                    wave = wave + sign * (step - turned / (2 * math.pi))
                wave = wave - wave.mean()
            steepest = np.abs(np.diff(wave, append=wave[:1])).max()
            reach = rng.uniform(80, 700)
            most = min(between(rng, 0.4, 14), 0.5 / (steepest + 1e-6), 0.5 * reach)
            wave = torch.from_numpy((most * wave).astype(np.float32)).to(device)
            self.parts.append((wave, rng.uniform(0, length), reach))

    def at(self, courses):
        """For courses [..., ROWS] or [ROWS, n] as `rows_last` shapes allow: the last but one axis is rows."""
        return sum(wave[:, None] * torch.exp(-0.5 * ((courses - middle) / reach) ** 2) for wave, middle, reach in self.parts)


def pooled(view, factor):
    """A view [CHANNELS, ROWS, courses] with so many courses taken together, as crates/sight pools them."""
    length = view.shape[2] // factor * factor
    parts = view[:, :, :length].reshape(view.shape[0], ROWS, -1, factor)
    seen = parts[SEEN : SEEN + 1]
    total = seen.sum(-1)
    out = torch.where(total > 0, (parts * seen).sum(-1) / total.clamp(min=1e-6), 0.0)
    out[SEEN] = total[0] / factor
    return out


def example(strip, rng, train, device, factor=1, grain=None):
    """The view [6, ROWS, n]; for each place: ends of years, where these are known, wood (2: unknown),
    how far rings can be seen, where that is known; for each course: ends, where these are known,
    log2 of the spacing (NaN where not known). `grain` is a strip of a photo whose texture is laid on."""
    view, wood = value(strip.data.to(device)), strip.wood_on(device)
    level, lines, courses = (x.to(device) for x in (strip.level, strip.lines, strip.courses))
    known = torch.ones(wood.shape, dtype=torch.bool, device=device)
    if strip.known is not None:
        known = torch.zeros_like(known)
        for rows, columns in strip.known:
            known |= rows.to(device)[:, None] & columns.to(device)[None]
    clear, clear_known = strip.clear_on(device)
    if train and rng.random() < 0.4:
        factor = int(rng.integers(2, 6))
        while factor > 1 and (strip.gap / factor < 4 or view.shape[2] // factor < 96):
            factor -= 1
    if factor > 1:
        view = pooled(view, factor)
        n = view.shape[2]
        wood, known, courses, clear, clear_known = (
            x[..., factor // 2 :: factor][..., :n] for x in (wood, known, courses, clear, clear_known)
        )
        level, lines = ((x + 0.5) / factor - 0.5 for x in (level, lines))
    length = view.shape[2]
    stretch = math.exp(rng.uniform(-0.45, 0.3) if rng.random() < 0.5 else rng.uniform(0.0, 1.2)) if train else 1.0
    out = LENGTH if train else -(-length // 32) * 32
    room = length - out / stretch
    start = (0.0 if rng.random() < 0.35 else rng.uniform(0, room)) if train and room > 0 else 0.0
    finite = torch.isfinite(lines)
    off = torch.where(finite, lines - level[:, None], 0.0)
    bend = rng.uniform(0, 1.15) if train and strip.drawn and rng.random() < 0.35 else 0.0
    warp = Warp(rng, length, device) if train and rng.random() < (0.5 if strip.drawn else 0.3) else None

    base = torch.arange(out, device=device) / stretch + start
    course = base[None].expand(ROWS, out)
    if bend > 0 and len(level) > 2:
        at = torch.searchsorted(level, base.contiguous()).clamp(1, len(level) - 1)
        part = ((base - level[at - 1]) / (level[at] - level[at - 1] + 1e-3)).clamp(0, 1)
        course = course + bend * (off[at - 1].T * (1 - part) + off[at].T * part)
    if warp:
        course = course + warp.at(base[None].expand(ROWS, out))
    row = torch.arange(ROWS, device=device, dtype=torch.float32)[:, None].expand(ROWS, out)
    grid = torch.stack([(course + 0.5) / length * 2 - 1, (row + 0.5) / ROWS * 2 - 1], -1)[None]
    view = F.grid_sample(view[None], grid, align_corners=False)[0]
    masks = torch.stack([wood.float(), known.float(), clear, clear_known])[None]
    wood, known, clear, clear_known = F.grid_sample(masks, grid, mode="nearest", align_corners=False)[0]

    # Where each line is in the view: the same bending, turned round.
    placed = level[:, None] + (1 - bend) * off
    if warp and len(level):
        wanted = placed
        for _ in range(3):
            placed = wanted - warp.at(placed.T).T
    placed = torch.where(finite, (placed - start) * stretch, float("nan"))
    ends = torch.zeros(ROWS * out, device=device)
    ok = (finite & (placed >= 0) & (placed < out - 1)).float()
    c = placed.nan_to_num(0.0).clamp(0, out - 2)
    low = c.floor().long()
    at = (torch.arange(ROWS, device=device)[None] * out + low).reshape(-1)
    ends.index_add_(0, at, (ok * (1 - (c - low))).reshape(-1))
    ends.index_add_(0, at + 1, (ok * (c - low)).reshape(-1))
    ends = ends.reshape(ROWS, out).clamp(max=1)
    now = torch.where(finite, placed, 0.0).sum(1) / finite.sum(1).clamp(min=1)
    by_course, gaps = of_courses(now, start, out, device)
    at = base.round().long()
    courses = courses[at.clamp(0, length - 1)] & (at >= 0) & (at < length)
    courses = courses & level_enough(placed, finite, now)

    fields = [view, ends[None], known[None], wood[None], clear[None], clear_known[None]]
    if strip.window is not None:
        half = between(rng, 2.5, 40) if train else 12.0
        away = ((CIRCLE.to(device) + 0.5 - strip.window + ROWS / 2) % ROWS - ROWS / 2).abs()
        fields[0] = fields[0] * (away <= half).float()[None, :, None]
    elif train and not strip.part and rng.random() < 0.25:
        # A part of the circle out of sight; for a drawn face at times nearly all of it.
        least = 0.3 if strip.drawn and rng.random() < 0.5 else 0.05
        hidden = int(rng.uniform(least, 0.95 if least > 0.1 else 0.7) * ROWS)
        if strip.drawn:
            fields[0] = fields[0] * (CIRCLE >= hidden).to(device).float()[None, :, None]
    if train:
        turn = int(rng.integers(ROWS))
        fields = [torch.roll(x, turn, 1) for x in fields]
        if rng.random() < 0.5:
            fields = [x.flip(1) for x in fields]
        fields[0], fields[4], fields[5] = recolor(fields[0], fields[4], fields[5], rng, grain)
    view, ends, known, wood, clear, clear_known = fields[0], *(x[0] for x in fields[1:])
    return view, ends, known, wood, clear, clear_known, by_course, courses.float(), gaps


def of_courses(level, start, out, device):
    courses = torch.zeros(out, device=device)
    gaps = torch.full((out,), float("nan"), device=device)
    if not len(level):
        return courses, gaps
    inside = ((level >= 0) & (level < out - 1)).float()
    at = level.clamp(0, out - 2)
    low = at.floor().long()
    courses.index_add_(0, low, inside * (1 - (at - low)))
    courses.index_add_(0, low + 1, inside * (at - low))
    # The ring that a course is in: from the last end before it to the next.
    edges = torch.cat([torch.full((1,), 0.0 if start == 0 else float("nan"), device=device), level])
    course = torch.arange(out, device=device, dtype=torch.float32)
    ring = torch.searchsorted(level.contiguous(), course)
    ring = torch.where(ring < len(level), ring, -1)
    width = edges[(ring + 1).clamp(0)] - edges[ring.clamp(0)]
    return courses.clamp(max=1), torch.where((ring >= 0) & (width > 0.5), width.clamp(min=0.5).log2(), float("nan"))


def level_enough(placed, finite, level):
    """Whether rings run level enough for the whole circle to be read course by course."""
    if len(level) < 3:
        return torch.zeros((), dtype=torch.bool, device=level.device)
    square = torch.where(finite, (placed - level[:, None]) ** 2, 0.0).sum(1) / finite.sum(1).clamp(min=1)
    gap = level.diff(prepend=(level[0] - (level[1] - level[0]).clamp(min=1.0))[None])
    return (square.sqrt() / gap.clamp(min=1)).median() < 0.35


def recolor(view, clear, clear_known, rng, grain):
    """In other light, rougher, with other texture; and how far rings can still be seen, where that is known."""
    seen = view[SEEN : SEEN + 1]
    light, spread = view[0], view[1]
    if rng.random() < 0.12:
        light = -light  # weathered wood may show its rings turned round
    light = light * math.exp(rng.normal(0, 0.25)) + rng.normal(0, 0.05)
    spread = spread * math.exp(rng.normal(0, 0.3))
    if rng.random() < 0.12:
        light, spread, away = undressed(light, spread, rng)
        clear = clear * (1 - away)
    tone = view[3] * math.exp(rng.normal(0, 0.25)) + rng.normal(0, 0.5)
    color = view[4:6] * math.exp(rng.normal(0, 0.5)) + torch.from_numpy(rng.normal(0, 0.35, (2, 1, 1)).astype(np.float32)).to(view.device)
    if rng.random() < 0.3:
        color = color * 0
    if rng.random() < 0.5:
        light, spread = concentric(light, spread, rng)
    if rng.random() < 0.55:
        strength = abs(rng.normal(0, 0.7))
        light, spread = roughened(light, spread, rng, strength)
        if strength > 1:
            clear_known = clear_known * 0
    if grain is not None:
        strength = abs(rng.normal(0, 0.5))
        field = grain_of(grain, light.shape[1], rng, light.device)
        scale = math.sqrt(1 + strength * strength)
        light, spread = (light + strength * field) / scale, (spread + 0.3 * strength * field.abs()) / scale
    if rng.random() < 0.2:
        soft = smooth(light, rng.uniform(0.8, 2), 1)
        light = light + rng.uniform(0.3, 1.5) * (light - soft)
    elif rng.random() < 0.3:
        light = smooth(light, rng.uniform(0.4, 1.5), 1)
    if rng.random() < 0.2:
        light = light.sign() * light.abs() ** rng.uniform(0.6, 1.5)
    fields = torch.cat([light[None].clamp(-2.5, 2.5), spread[None], seen, tone[None], color])
    shown = torch.arange(CHANNELS, device=view.device)[:, None, None] == SEEN
    return torch.where(shown, fields, fields * (seen > 0.3)), clear, clear_known


def grain_of(strip, courses, rng, device):
    """The texture of a photo's strip without its rings, of spread 1: what is left of lightness when
    what runs along the rings is taken away."""
    data = strip.data
    long = int(courses * between(rng, 0.4, 1.6))
    start = int(rng.integers(max(1, data.shape[2] - long)))
    part = value(data[:, :, start : start + long].to(device))
    seen = (part[SEEN] > 0.5).float()
    light = part[0] * seen
    along = smooth(light, 6.0, 0) / (smooth(seen, 6.0, 0) + 1e-3)
    field = (light - along) * seen
    field = F.interpolate(field[None, None], size=(ROWS, courses), mode="bilinear", align_corners=False)[0, 0]
    field = torch.roll(field, int(rng.integers(ROWS)), 0)
    return field / (field.std() + 1e-3)


def undressed(light, spread, rng):
    """All but one strip, or two, of the circle as the saw left it."""
    away = torch.ones(ROWS, device=light.device)
    for _ in range(1 if rng.random() < 0.8 else 2):
        half = between(rng, 4, 35)
        off = ((CIRCLE.to(light.device) - rng.uniform(0, ROWS) + ROWS / 2) % ROWS - ROWS / 2).abs()
        away = away * torch.sigmoid((off - half) * rng.uniform(0.5, 3))
    rough, more = light, spread
    for _ in range(2):
        rough, more = roughened(rough, more, rng, rng.uniform(1, 4))
    rough = rough * rng.uniform(0.5, 1.2)
    part = away[:, None]
    return light * (1 - part) + rough * part, spread * (1 - part) + more * part, part


def concentric(light, spread, rng):
    """Fuzz, thin arcs and stains that run along the rings."""
    rows, courses = light.shape
    total, power = torch.zeros_like(light), 0.0
    for _ in range(rng.integers(1, 4)):
        field = texture(rows, courses, rng, between(rng, 2, 70), between(rng, 0.4, 3.5), light.device)
        kind = rng.random()
        if kind < 0.5:
            sign = -1 if kind < 0.35 else 1
            field = sign * F.relu(field - rng.uniform(0.2, 1.2))
            field = field / (field.std() + 1e-6)
        if rng.random() < 0.5:
            field = field * 1.6 * torch.sigmoid(2 * texture(rows, courses, rng, rng.uniform(8, 50), rng.uniform(8, 60), light.device))
        strength = abs(rng.normal(0, 0.5))
        total, power = total + strength * field, power + strength**2
    if rng.random() < 0.3:
        strength = abs(rng.normal(0, 0.4))
        total = total + strength * texture(rows, courses, rng, rng.uniform(10, 60), rng.uniform(6, 30), light.device)
        power += strength**2
    scale = math.sqrt(1 + power)
    return (light + total) / scale, (spread + 0.3 * total.abs()) / scale


def roughened(light, spread, rng, strength):
    """Torn fiber, fine or coarse, and saw marks across the rings, laid over a strip."""
    rows, courses = light.shape
    noise = torch.randn(rows, courses, device=light.device)
    noise = smooth(smooth(noise, rng.uniform(0.3, 4), 0), rng.uniform(0.3, 2.5), 1)
    noise = noise / (noise.std() + 1e-6)
    if rng.random() < 0.4:
        turn, wave = rng.uniform(0, math.pi), rng.uniform(4, 30)
        y = torch.arange(rows, device=light.device)[:, None] * rng.uniform(1, 6)
        x = torch.arange(courses, device=light.device)[None]
        bands = torch.cos(2 * math.pi / wave * (math.cos(turn) * x + math.sin(turn) * y) + noise)
        noise = noise + bands * rng.uniform(0.3, 1.5)
    if rng.random() < 0.4:
        # Radial streaks: checks and rays.
        streak = smooth(F.relu(torch.randn(rows, 1, device=light.device) - rng.uniform(0.8, 2)), 0.6, 0)
        noise = noise - rng.uniform(0.5, 4) * streak
    total = math.sqrt(1 + strength * strength)
    return (light + strength * noise) / total, (spread + 0.4 * strength * noise.abs()) / total
