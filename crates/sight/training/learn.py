"""Learns the two networks from lessons and writes their weights.

    python3 learn.py rings|scene LESSONS OUT [seconds]

LESSONS is a folder written by `cargo xtask lessons`; faces whose seed ends in
7 are held back for the figures printed at the end. Needs PyTorch; a GPU helps.
"""

import json
import math
import struct
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
import torch
import torch.nn.functional as F

import lessons
from nets import Rings, Scene

DEVICE = "cuda" if torch.cuda.is_available() else "cpu"
LENGTH = int(1024)
rng = np.random.default_rng(1)


def load(folder):
    def one(path):
        try:
            return lessons.read(path)
        except Exception:
            return None
    with ThreadPoolExecutor(16) as pool:
        found = [x for x in pool.map(one, sorted(Path(folder).glob("*.lesson"))) if x]
    return [x for x in found if x[0]["readable"] and all(c > 64 for c in x[0]["courses"])]


class Strip:
    """One strip on the device, with its lines and their level courses."""

    def __init__(self, head, data, lines):
        self.data = torch.from_numpy(data.copy()).to(DEVICE)
        self.kind = head["class"]
        self.rings = head["rings"]
        lines = lines[:-1]
        seen = data[2] > 128 + 20
        inside = (lines >= 0) & (lines < data.shape[2] - 1)
        column = np.where(inside, lines, 0).astype(int)
        shown = inside & seen[np.arange(lessons.ROWS)[None], column]
        lines = np.where(shown, lines, np.nan)
        # As the picture shows it: lines seen on at least a twentieth of the circle.
        keep = shown.sum(1) >= lessons.ROWS / 20
        self.lines = lines[keep]
        self.shown = shown[keep]
        self.level = np.where(self.shown, self.lines, 0).sum(1) / self.shown.sum(1) if len(self.lines) else np.zeros(0)
        bark = np.where(np.isfinite(lines[-1]), lines[-1], np.nan) if len(lines) else np.full(lessons.ROWS, np.nan)
        # Wood ends at the last ring; where that is out of the picture all is wood.
        self.bark = bark


def example(strip, train):
    """A stretch of a strip, bent, stretched and recoloured, with its targets."""
    length = strip.data.shape[2]
    stretch = math.exp(rng.choice([rng.uniform(-0.45, 0.3), rng.uniform(0.0, 1.2)])) if train else 1.0
    bend = rng.choice([0.0, rng.uniform(0, 1.15)]) if train else 0.0
    out = LENGTH if train else -(-length // 16) * 16
    room = length - out / stretch
    start = (0.0 if rng.random() < 0.35 else rng.uniform(0, room)) if train and room > 0 else 0.0
    order = np.argsort(strip.level)
    level, lines = strip.level[order], strip.lines[order]
    off = np.where(np.isfinite(lines), lines - level[:, None], 0.0)
    turn = int(rng.integers(lessons.ROWS)) if train else 0
    flip = train and rng.random() < 0.5

    base = torch.arange(out, device=DEVICE, dtype=torch.float32) / stretch + start
    if bend > 0 and len(level) > 2:
        lv = torch.from_numpy(level).float().to(DEVICE)
        of = torch.from_numpy(off).float().to(DEVICE)
        at = torch.searchsorted(lv, base).clamp(1, len(level) - 1)
        part = ((base - lv[at - 1]) / (lv[at] - lv[at - 1] + 1e-3)).clamp(0, 1)
        course = base[None] + bend * (of[at - 1].T * (1 - part) + of[at].T * part)
    else:
        course = base[None].expand(lessons.ROWS, -1)
    gx = (course + 0.5) / length * 2 - 1
    gy = ((torch.arange(lessons.ROWS, device=DEVICE) + 0.5) / lessons.ROWS * 2 - 1)[:, None].expand_as(gx)
    data = (strip.data.float() - 128) / 40
    view = F.grid_sample(data[None], torch.stack([gx, gy], -1)[None], align_corners=False, padding_mode="zeros")[0]

    ends = torch.zeros(lessons.ROWS, out, device=DEVICE)
    level_out = (level - start) * stretch
    placed = (level[:, None] + (1 - bend) * off - start) * stretch
    k, r = np.nonzero(np.isfinite(lines))
    c = placed[k, r]
    ok = (c >= 0) & (c < out - 1)
    k, r, c = k[ok], r[ok], c[ok]
    low = np.floor(c).astype(int)
    rt, lt = torch.from_numpy(r).to(DEVICE), torch.from_numpy(low).to(DEVICE)
    part = torch.from_numpy((c - low).astype(np.float32)).to(DEVICE)
    ends.index_put_((rt, lt), 1 - part, accumulate=True)
    ends.index_put_((rt, lt + 1), part, accumulate=True)
    courses = np.zeros(out, np.float32)
    gaps = np.full(out, np.nan, np.float32)
    inner = np.concatenate([[0.0 if start == 0 else np.nan], level_out[:-1]]) if len(level_out) else []
    for a, b in zip(inner, level_out):
        if 0 <= b < out - 1:
            i = int(b)
            courses[i] += 1 - (b - i)
            courses[i + 1] += b - i
        if np.isfinite(a) and b > a + 0.5:
            gaps[max(0, int(a)) : max(0, min(out, int(b) + 1))] = math.log2(b - a)
    courses, gaps = torch.from_numpy(courses).to(DEVICE), torch.from_numpy(gaps).to(DEVICE)
    # Wood ends with the last ring, which bends with the others.
    bark = np.where(np.isfinite(strip.bark), placed[-1], 1e9) if len(level) else np.full(lessons.ROWS, 1e9)
    bark = torch.from_numpy(bark).float().to(DEVICE)
    wood = (torch.arange(out, device=DEVICE)[None] < bark[:, None]).float()
    if train:
        view, ends, wood = (torch.roll(x, turn, -2) for x in (view, ends, wood))
        if flip:
            view, ends, wood = (torch.flip(x, [-2]) for x in (view, ends, wood))
        view = recolour(view)
    return view, ends, wood, courses, gaps


def recolour(view):
    view = view.clone()
    seen = view[2:3]
    if rng.random() < 0.25:
        # A part of the circle out of sight.
        a, b = sorted(rng.integers(0, lessons.ROWS, 2))
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
        view[0], view[1] = roughened(view[0], view[1])
    if rng.random() < 0.2:
        w = rng.uniform(0.1, 0.45)
        view[0] = view[0] * (1 - 2 * w) + w * (torch.roll(view[0], 1, -1) + torch.roll(view[0], -1, -1))
    return torch.cat([view[:2] * (seen > 0.3), view[2:3], view[3:] * (seen > 0.3)])


def roughened(light, spread):
    """Fuzz of the wood, fine or coarse, and saw marks across the rings, laid over a strip."""
    strength = abs(rng.normal(0, 0.8))
    rows, courses = light.shape
    noise = torch.randn(1, 1, rows, courses, device=light.device)
    for axis, sigma in ((2, rng.uniform(0.3, 4)), (3, rng.uniform(0.3, 2.5))):
        reach = int(2.5 * sigma) + 1
        x = torch.arange(-reach, reach + 1, device=light.device, dtype=torch.float32)
        kernel = torch.exp(-0.5 * (x / sigma) ** 2)
        shape = (1, 1, -1, 1) if axis == 2 else (1, 1, 1, -1)
        noise = F.conv2d(noise, kernel.reshape(shape), padding=(reach, 0) if axis == 2 else (0, reach))
    noise = noise[0, 0] / (noise.std() + 1e-6)
    if rng.random() < 0.4:
        turn, wave = rng.uniform(0, math.pi), rng.uniform(4, 30)
        y = torch.arange(rows, device=light.device)[:, None] * rng.uniform(1, 6)
        x = torch.arange(courses, device=light.device)[None]
        bands = torch.cos(2 * math.pi / wave * (math.cos(turn) * x + math.sin(turn) * y) + noise)
        noise = noise + bands * rng.uniform(0.3, 1.5)
    total = math.sqrt(1 + strength * strength)
    return ((light + strength * noise) / total).clamp(-2.5, 2.5), (spread + 0.4 * strength * noise.abs()) / total


def blurred(field, sigma):
    reach = int(3 * sigma + 1)
    x = torch.arange(-reach, reach + 1, device=field.device, dtype=field.dtype)
    kernel = torch.exp(-0.5 * (x / sigma) ** 2)
    flat = field.reshape(-1, 1, field.shape[-1])
    return F.conv1d(flat, kernel[None, None], padding=reach).reshape(field.shape).clamp(max=1)


def ring_loss(net, batch, kinds):
    view, ends, wood, courses, gaps = (torch.stack(x) for x in zip(*batch))
    with torch.autocast(DEVICE, torch.bfloat16, enabled=DEVICE == "cuda"):
        places, lines, kind = net(view)
    places, lines, kind = places.float(), lines.float(), kind.float()
    seen = (view[:, 2] > 0.5).float()
    target = blurred(ends, 1.0)
    weight = seen * (1 + 3 * target)
    place = (F.binary_cross_entropy_with_logits(places[:, 0], target, reduction="none") * weight).sum() / weight.sum().clamp(min=1)
    is_wood = (F.binary_cross_entropy_with_logits(places[:, 1], wood, reduction="none") * seen).sum() / seen.sum().clamp(min=1)
    shown = (seen.mean(1) > 0.03).float()
    target = blurred(courses, 1.0)
    weight = shown * (1 + 3 * target)
    course = (F.binary_cross_entropy_with_logits(lines[:, 0], target, reduction="none") * weight).sum() / weight.sum().clamp(min=1)
    known = torch.isfinite(gaps) & (shown > 0)
    gap = F.smooth_l1_loss(lines[:, 1][known], gaps[known], beta=0.2) if known.any() else lines.sum() * 0
    kind_loss = F.cross_entropy(kind, torch.tensor(kinds, device=DEVICE))
    return place + 0.5 * is_wood + 2 * course + 0.3 * gap + 0.05 * kind_loss, (place.item(), is_wood.item(), course.item(), gap.item(), kind_loss.item())


def scene_example(item, train):
    head, small, _ = item
    picture = (torch.from_numpy(small.copy()).to(DEVICE).float() - 128) / 40
    n = lessons.SMALL
    zoom = math.exp(rng.uniform(-0.5, 0.35)) if train else 1.0
    turn = rng.uniform(-math.pi, math.pi) if train and rng.random() < 0.7 else 0.0
    flip = -1.0 if train and rng.random() < 0.5 else 1.0
    centre = np.array(head["size"]) / 2
    shift = rng.normal(0, 20, 2) if train else np.zeros(2)
    yy, xx = torch.meshgrid(torch.arange(n, device=DEVICE) + 0.5, torch.arange(n, device=DEVICE) + 0.5, indexing="ij")
    u, v = (xx - n / 2) / zoom * flip, (yy - n / 2) / zoom
    c, s = math.cos(turn), math.sin(turn)
    if train:
        x, y = c * u - s * v + centre[0] + shift[0], s * u + c * v + centre[1] + shift[1]
    else:
        x, y = xx, yy
    grid = torch.stack([x / n * 2 - 1, y / n * 2 - 1], -1)
    view = F.grid_sample(picture[None], grid[None], align_corners=False)[0]
    inside = (x >= 0) & (y >= 0) & (x < head["size"][0]) & (y < head["size"][1])
    px, py = head["pith"]
    dx, dy = px - x, py - y
    far = torch.sqrt(dx * dx + dy * dy)
    bark = np.array(head["bark"])
    bark = torch.from_numpy(np.where(bark < 0, 1e6, bark)).float().to(DEVICE)
    angle = (torch.atan2(-dy, -dx) / (2 * math.pi) * len(bark)) % len(bark)
    low = angle.floor().long() % len(bark)
    part = angle - angle.floor()
    wood = (far < bark[low] * (1 - part) + bark[(low + 1) % len(bark)] * part).float() * inside
    # In the turned and mirrored view the way to the pith turns too.
    if train:
        ux, uy = (c * dx + s * dy) * flip, -s * dx + c * dy
        far_view = far * zoom
    else:
        ux, uy, far_view = dx, dy, far
    unit = torch.stack([ux, uy]) / (far + 1e-3)
    pith = torch.exp(-0.5 * (far_view / 2.5) ** 2) * inside
    if train:
        view = view.clone()
        view[0] = view[0] * math.exp(rng.normal(0, 0.2)) + rng.normal(0, 0.4)
        for k in (1, 2):
            view[k] = view[k] * math.exp(rng.normal(0, 0.4)) + rng.normal(0, 0.3)
        if rng.random() < 0.2:
            view[1:] = 0
        view = view + torch.randn_like(view) * rng.uniform(0, 0.15)
        view = view * inside
    return view, wood, pith, unit, inside.float()


def scene_loss(net, batch):
    view, wood, pith, unit, inside = (torch.stack(x) for x in zip(*batch))
    with torch.autocast(DEVICE, torch.bfloat16, enabled=DEVICE == "cuda"):
        out = net(view)
    out = out.float()
    a = (F.binary_cross_entropy_with_logits(out[:, 0], wood, reduction="none") * inside).mean()
    b = (F.binary_cross_entropy_with_logits(out[:, 1], pith, reduction="none") * inside * (1 + 30 * pith)).mean()
    c = (((out[:, 2:] - unit) ** 2).sum(1) * wood).mean()
    return a + 4 * b + c, (a.item(), b.item(), c.item())


def peaks(logits, least=-1.0):
    x = logits
    top = (x[1:-1] >= x[:-2]) & (x[1:-1] > x[2:]) & (x[1:-1] > least)
    return np.nonzero(top)[0] + 1


def measure_rings(net, held):
    net.eval()
    off, hits, kinds = [], [0, 0, 0], 0
    with torch.no_grad():
        for item in held:
            strip = Strip(item[0], *item[2][1])
            view, ends, wood, courses, gaps = example(strip, False)
            places, lines, kind = net(view[None])
            found = peaks(lines[0, 0].float().cpu().numpy())
            off.append((item[0]["rough"], strip.kind, len(found) - len(strip.level)))
            gap = np.diff(np.concatenate([[0], strip.level]))
            hits[0] += sum(np.any(abs(found - l) < max(g, 2) / 4) for l, g in zip(strip.level, gap))
            hits[1] += len(found)
            hits[2] += len(strip.level)
            kinds += int(kind.argmax()) == strip.kind
    net.train()
    for name, chosen in [("rough", lambda o: o[0])] + [(f"suite, class {k}", lambda o, k=k: not o[0] and o[1] == k) for k in range(4)]:
        d = np.array([o[2] for o in off if chosen(o)])
        if len(d):
            print(f"  {name}: faces {len(d)} exact {np.mean(d == 0):.3f} within 1 {np.mean(abs(d) <= 1):.3f} mean off {d.mean():.2f} median {np.median(d):.0f}")
    print(f"  f1 {2 * hits[0] / max(1, hits[1] + hits[2]):.3f} class {kinds / len(held):.3f}", flush=True)


def measure_scene(net, held):
    net.eval()
    pith_off, agree = [], []
    with torch.no_grad():
        for item in held:
            head = item[0]
            view, wood, pith, unit, inside = scene_example(item, False)
            out = net(view[None])[0].float()
            if 0 <= head["pith"][0] < head["size"][0] and 0 <= head["pith"][1] < head["size"][1] and head["hollow"] == 0:
                y, x = divmod(int(out[1].argmax()), lessons.SMALL)
                pith_off.append(100 * math.hypot(x + 0.5 - head["pith"][0], y + 0.5 - head["pith"][1]) / head["radius"])
            guess = (out[0] > 0) & (inside > 0)
            agree.append(float((guess & (wood > 0)).sum() / ((guess | (wood > 0)).sum() + 1)))
    net.train()
    p = np.array(pith_off) if pith_off else np.zeros(1)
    print(f"  pith, percent of the radius: median {np.median(p):.2f}, ninth tenth {np.quantile(p, 0.9):.2f}, over 3: {np.mean(p > 3):.3f}; wood shared: median {np.median(agree):.3f}, worst tenth {np.quantile(agree, 0.1):.3f}", flush=True)


def folded(net):
    """Weights by name, each normalisation folded into its convolution."""
    state = {k: v.detach().float().cpu() for k, v in net.state_dict().items()}
    out = {}
    for name, value in state.items():
        if ".norm." in name or name.endswith("num_batches_tracked"):
            continue
        before = name.removesuffix(".conv.weight")
        if before != name and f"{before}.norm.weight" in state:
            scale = state[f"{before}.norm.weight"] / torch.sqrt(state[f"{before}.norm.running_var"] + 1e-5)
            out[f"{before}.weight"] = value * scale[:, None, None, None]
            out[f"{before}.bias"] = state[f"{before}.norm.bias"] - state[f"{before}.norm.running_mean"] * scale
        else:
            out[name] = value
    return out


def save(path, tensors):
    """Weights in the safetensors layout, as 16 bit floats."""
    head, body = {}, b""
    for name in sorted(tensors):
        data = tensors[name].half().numpy().tobytes()
        head[name] = {"dtype": "F16", "shape": list(tensors[name].shape), "data_offsets": [len(body), len(body) + len(data)]}
        body += data
    text = json.dumps(head, separators=(",", ":")).encode()
    text += b" " * (-len(text) % 8)
    Path(path).write_bytes(struct.pack("<Q", len(text)) + text + body)


def main():
    what, folder, out = sys.argv[1], sys.argv[2], Path(sys.argv[3])
    seconds = float(sys.argv[4]) if len(sys.argv) > 4 else 600
    start = time.time()
    torch.backends.cudnn.benchmark = True
    items = load(folder)
    held = [x for x in items if x[0]["seed"] % 10 == 7]
    known = [x for x in items if x[0]["seed"] % 10 != 7]
    print(f"{what}: {len(known)} faces to learn from, {len(held)} held back, read in {time.time() - start:.0f} s", flush=True)
    if what == "rings":
        net = Rings().to(DEVICE)
        strips = [[Strip(x[0], *s) for s in x[2]] for x in known]
        strips = [pair for pair in strips if len(pair[0].level) >= 5]
        size = 8 if DEVICE == "cuda" else 2

        def loss_of_batch():
            chosen = [strips[i][int(rng.random() < 0.6)] for i in rng.integers(len(strips), size=size)]
            return ring_loss(net, [example(s, True) for s in chosen], [s.kind for s in chosen])

        measure = lambda few: measure_rings(net, held[:few])
    else:
        net = Scene().to(DEVICE)
        size = 32 if DEVICE == "cuda" else 4

        def loss_of_batch():
            return scene_loss(net, [scene_example(known[i], True) for i in rng.integers(len(known), size=size)])

        measure = lambda few: measure_scene(net, held[:few])
    print(f"on the device after {time.time() - start:.0f} s", flush=True)
    kept = out / f"{what}.pt"
    top = 2e-3
    if kept.exists():
        net.load_state_dict(torch.load(kept, map_location=DEVICE))
        top = 1e-3
        print("goes on from", kept, flush=True)
    steps = torch.optim.AdamW(net.parameters(), lr=top, weight_decay=1e-4)
    step, sums, began = 0, 0, time.time()
    budget = seconds - (began - start) - 20
    net.train()
    while (gone := (time.time() - began) / budget) < 1:
        for group in steps.param_groups:
            group["lr"] = top * min(1, step / 200 + 0.01) * (0.5 + 0.5 * math.cos(math.pi * gone))
        loss, parts = loss_of_batch()
        steps.zero_grad()
        loss.backward()
        torch.nn.utils.clip_grad_norm_(net.parameters(), 5.0)
        steps.step()
        sums = sums + np.array(parts)
        step += 1
        if step % 500 == 0:
            print(f"{what} step {step} {time.time() - start:.0f} s:", " ".join(f"{v:.4f}" for v in sums / 500), flush=True)
            sums = 0
    out.mkdir(parents=True, exist_ok=True)
    torch.save(net.state_dict(), kept)
    save(out / f"{what}.safetensors", folded(net))
    print(f"{what}: {step} steps, {sum(p.numel() for p in net.parameters())} weights")
    torch.backends.cudnn.benchmark = False
    measure(120)


main()
