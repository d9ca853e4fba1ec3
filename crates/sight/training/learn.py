"""Learns the two networks and writes their weights.

    python3 learn.py rings|scene EXAMPLES OUT [--seconds S] [--fold K --folds N] [--from WEIGHTS] [--real SHARE]

EXAMPLES is a folder written by `cargo xtask training-set`. With --fold, the
photos of that fold are not learned from, and the figures printed are of them;
without, all photos are learned from. Drawn faces whose seed ends in 7 are held
back always. --from goes on from released weights, whose normalization stays as
it was folded. Needs PyTorch and a GPU.
"""

import argparse
import copy
import json
import math
import os
import queue
import struct
import time
from pathlib import Path

# Asks the driver's library and not the driver, which could not be forked afterwards.
os.environ.setdefault("PYTORCH_NVML_BASED_CUDA_CHECK", "1")

import numpy as np
import torch
import torch.multiprocessing as mp
import torch.nn.functional as F

import examples
import scenes
import strips
from nets import Rings, Scene

DEVICE = "cuda" if torch.cuda.is_available() else "cpu"
GIVEN = 0.4  # share of examples of which the wood class is given
GRAIN = 0.3  # share of drawn strips on which the texture of a photo is laid
MARKED = 0.3  # share of the photos' strips that are shown as a person marks one
POOL = 1536  # examples that are kept
FEWEST = 512  # examples with which learning begins
SMOOTHED = 0.999  # how much of the mean of the weights each step keeps


def blurred(field, sigma):
    kernel, reach = strips.gaussian(sigma, field.device)
    kernel = kernel / kernel.max()
    flat = field.reshape(-1, 1, field.shape[-1])
    return F.conv1d(flat, kernel[None, None], padding=reach).reshape(field.shape).clamp(max=1)


def weighed(loss, weight):
    return (loss * weight).sum() / weight.sum().clamp(min=1)


def ring_loss(net, batch):
    view, ends, known, wood, clear, clear_known, courses, course_known, gaps, given, kinds = batch
    with torch.autocast(DEVICE, torch.bfloat16, enabled=DEVICE == "cuda"):
        places, lines, kind = net(view, given)
    places, lines, kind = places.float(), lines.float(), kind.float()
    seen = (view[:, 2] > 0.5).float()
    entropy = F.binary_cross_entropy_with_logits
    target = blurred(ends, 1.0)
    place = weighed(entropy(places[:, 0], target, reduction="none"), seen * known * (1 + 3 * target))
    is_wood = weighed(entropy(places[:, 1], (wood == examples.WOOD).float(), reduction="none"), seen * (wood != examples.UNKNOWN))
    relied = weighed(entropy(places[:, 2], clear, reduction="none"), seen * clear_known * (wood == examples.WOOD))
    shown = (seen.mean(1) > 0.006).float() * course_known
    target = blurred(courses, 1.0)
    course = weighed(entropy(lines[:, 0], target, reduction="none"), shown * (1 + 3 * target))
    sized = torch.isfinite(gaps) & (shown > 0)
    gap = weighed(F.smooth_l1_loss(lines[:, 1], gaps.nan_to_num(0.0), beta=0.2, reduction="none"), sized.float())
    kind_loss = F.cross_entropy(kind, kinds, ignore_index=-1)
    parts = torch.stack([place, is_wood, relied, course, gap, kind_loss])
    return place + 0.5 * is_wood + 0.3 * relied + 2 * course + 0.3 * gap + 0.05 * kind_loss, parts


def scene_loss(net, batch):
    view, wood, pith, unit, known, sighted, way = batch
    with torch.autocast(DEVICE, torch.bfloat16, enabled=DEVICE == "cuda"):
        out = net(view)
    out = out.float()
    entropy = F.binary_cross_entropy_with_logits
    a = (entropy(out[:, 0], wood, reduction="none") * known).mean()
    b = (entropy(out[:, 1], pith, reduction="none") * sighted * (1 + 30 * pith)).mean()
    c = (((out[:, 2:] - unit) ** 2).sum(1) * way).mean()
    return a + 4 * b + c, torch.stack([a, b, c])


class RingExamples:
    """Strips to learn from: drawn ones, and those of photos. Each in pairs, the first
    look and that after it was straightened again."""

    def __init__(self, found, seen_photo, share):
        self.drawn, self.photos, self.share = [], {}, share
        self.held = []
        for head, _, kept in found:
            kind = -1 if head["class"] is None else head["class"]
            heads = head["strips"]
            if head["photo"] is None:
                rough = head["rough"] and not head["dressed"]
                looks = [strips.drawn_strip(*strip, kind, rough, h["share"] < 1) for h, strip in zip(heads, kept)]
                pairs = [looks[i : i + 2] for i in range(0, len(looks), 2) if all(looks[i : i + 2])]
                if pairs and head["seed"] % 10 == 7:
                    self.held.append((head["dressed"], pairs))
                elif pairs:
                    self.drawn.append(pairs)
            else:
                looks = [strips.photo_strips(h, data, wood, kind) for h, (data, _, wood) in zip(heads, kept)]
                pairs = [looks[i : i + 2] for i in range(0, len(looks), 2) if all(looks[i : i + 2])]
                if pairs and not pairs[0][0][0].part:
                    self.photos.setdefault(head["photo"], []).append((head["seed"], pairs))
        self.test = {k: v for k, v in self.photos.items() if not seen_photo(k)}
        self.photos = {k: v for k, v in self.photos.items() if seen_photo(k)}
        self.names = sorted(self.photos)

    def photo(self, rng):
        """The pairs of looks at a copy of a photo: in each look the whole strip, then its radii."""
        copies = self.photos[self.names[rng.integers(len(self.names))]]
        return copies[rng.integers(len(copies))][1]

    def one(self, rng):
        if self.names and rng.random() < self.share:
            pairs = self.photo(rng)
            pair = pairs[-1] if rng.random() < MARKED else pairs[0]
            look = pair[int(rng.random() < 0.6)]
            whole = len(look) == 1 or rng.random() < 0.55
            return look[0] if whole else look[1 + rng.integers(len(look) - 1)]
        pairs = self.drawn[rng.integers(len(self.drawn))]
        return pairs[rng.integers(len(pairs))][int(rng.random() < 0.6)]

    def batch(self, rng, size):
        """So many new examples, in few bytes, and the class of each."""
        chosen = [self.one(rng) for _ in range(size)]
        grain = [self.photo(rng)[0][0][0] if strip.drawn and self.names and rng.random() < GRAIN else None for strip in chosen]
        with torch.no_grad():
            made = (strips.example(strip, rng, True, "cpu", grain=field) for strip, field in zip(chosen, grain))
            fields = [torch.stack(x).to(kind) for x, kind in zip(zip(*made), KEPT_AS)]
        return fields, torch.tensor([strip.kind for strip in chosen])


# The fields of an example as they are kept: view, ends, known, wood, clear, where that is
# known, courses, where these are known, gaps.
KEPT_AS = [torch.float16, torch.float16, torch.uint8, torch.uint8, torch.float16, torch.uint8, torch.float16, torch.uint8, torch.float32]
BY_ROW = 6  # so many of them have rows


class Pool:
    """The latest examples, on the device: each is shown some times, turned and in other light."""

    def __init__(self, size):
        self.size, self.fields, self.kinds = size, None, None
        self.taken = 0  # examples ever put in

    @property
    def filled(self):
        return min(self.size, self.taken)

    def put(self, fields, kinds):
        if self.fields is None:
            self.fields = [torch.empty((self.size, *x.shape[1:]), dtype=x.dtype, device=DEVICE) for x in fields]
            self.kinds = torch.empty(self.size, dtype=torch.long, device=DEVICE)
        at = (self.taken + torch.arange(len(kinds))) % self.size
        for kept, new in zip([*self.fields, self.kinds], [*fields, kinds]):
            kept[at.to(DEVICE)] = new.to(DEVICE)
        self.taken += len(kinds)

    def batch(self, rng, size):
        at = torch.from_numpy(rng.integers(self.filled, size=size)).to(DEVICE)
        fields = [field[at] for field in self.fields]
        turned = np.arange(strips.ROWS)[None] + rng.integers(strips.ROWS, size=(size, 1))
        turned = np.where(rng.random((size, 1)) < 0.5, turned, -turned) % strips.ROWS
        turned = torch.from_numpy(turned).to(DEVICE)
        nth = torch.arange(size, device=DEVICE)[:, None]
        fields[0] = fields[0].transpose(1, 2)[nth, turned].transpose(1, 2)
        for i in range(1, BY_ROW):
            fields[i] = fields[i][nth, turned]
        fields = [field.float() for field in fields]
        view = fields[0]
        light = torch.exp(0.1 * torch.randn(size, 1, 1, device=DEVICE))
        grain = 0.15 * torch.rand(size, 1, 1, device=DEVICE) * torch.randn_like(view[:, 0])
        view[:, 0] = (light * view[:, 0] + grain) * (view[:, strips.SEEN] > 0.3)
        kinds = self.kinds[at]
        given = F.one_hot(kinds.clamp(min=0), Rings.CLASSES).float()
        given = given * ((kinds >= 0) & (torch.rand(size, device=DEVICE) < GIVEN))[:, None]
        if (kinds < 0).all():
            kinds[0] = 0
        return [*fields, given, kinds]


def makes_batches(data, seed, size, made, wanted):
    """A process that makes examples while another learns."""
    torch.set_num_threads(1)
    torch.manual_seed(seed)
    rng = np.random.default_rng(seed)
    while wanted.is_set():
        batch = data.batch(rng, size)
        while wanted.is_set():
            try:
                made.put(batch, timeout=1)
                break
            except queue.Full:
                pass
    # What another process still reads must outlive it.
    time.sleep(5)
    os._exit(0)


def peaks(logits, least=-1.0):
    x = logits
    top = (x[1:-1] >= x[:-2]) & (x[1:-1] > x[2:]) & (x[1:-1] > least)
    return np.nonzero(top)[0] + 1


def lines_of(net, strip, factor, given=None):
    view, *_ = strips.example(strip, np.random.default_rng(1), False, DEVICE, factor)
    shown = torch.zeros(1, Rings.CLASSES, device=DEVICE)
    if given is not None:
        shown[0, given] = 1
    _, lines, kind = net(view[None], shown)
    seen = (view[2] > 0.5).float().mean(0) > 0.03
    return lines[0].float().cpu().numpy(), seen.cpu().numpy(), kind[0].float().cpu().numpy()


def found_in(net, strip, factor):
    """Courses of the ends of years that are found in a strip, where it is known, and of the true ones."""
    lines, seen, _ = lines_of(net, strip, factor)
    at = [(x + 0.5) * factor - 0.5 for x in peaks(lines[0]) if seen[x]]
    known = strip.courses.cpu().numpy()
    there = lambda c: 0 <= c < len(known) and known[int(c)]
    spacing = float(np.median(2.0 ** lines[1][seen])) * factor if seen.any() else 20.0
    return [c for c in at if there(c)], [c for c in strip.level.tolist() if there(c)], spacing


def f1(found, true):
    gap = np.diff(np.concatenate([[0.0], true]))
    used, hits = set(), 0
    for a, g in zip(true, np.minimum(gap, np.append(gap[1:], gap[-1:]))):
        near = sorted((abs(x - a), j) for j, x in enumerate(found) if j not in used and abs(x - a) <= max(3, g * 0.3))
        if near:
            used.add(near[0][1])
            hits += 1
    return 2 * hits / max(1, len(found) + len(true))


def measure_photos(net, what, photos):
    """F1 of each photo's unchanged copy: in single courses, pooled by the spacing seen, and by the best of four."""
    net.eval()
    total = []
    with torch.no_grad():
        for name in sorted(photos):
            strip = min(photos[name], key=lambda x: x[0])[1][0][-1][0]
            tried = {k: found_in(net, strip, k) for k in (1, 2, 3, 4)}
            score = {k: f1(*tried[k][:2]) for k in tried}
            chosen = min(4, max(1, int(tried[1][2] / 9)))
            best = max(score, key=score.get)
            total.append((score[1], score[chosen], score[best]))
            print(f"   {what} {name[:26]:26s} single {score[1]:.2f} chosen {chosen} {score[chosen]:.2f} best {best} {score[best]:.2f} "
                  f"({len(tried[chosen][0])} of {len(tried[chosen][1])})", flush=True)
    if total:
        print("  %s: mean F1 single %.3f chosen %.3f best %.3f" % (what, *np.mean(total, 0)), flush=True)


def measure_rings(net, held, given):
    net.eval()
    rows, dressed = [], []
    with torch.no_grad():
        for strips_only, pairs in held:
            for nth, (_, last) in enumerate(pairs):
                lines, seen, kind = lines_of(net, last, 1, last.kind if given else None)
                known = last.courses.numpy()
                there = lambda c: c < len(known) and known[int(c)]
                found = [x for x in peaks(lines[0]) if seen[x] and there(x)]
                true = [x for x in last.level.tolist() if there(x)]
                row = (last.kind, len(found) - len(true), f1(found, true), int(kind.argmax()) == last.kind, nth)
                (dressed if strips_only else rows).append(row)
    said = " given" if given else ""
    for k in range(4):
        d = np.array([r[1] for r in rows if r[0] == k])
        if len(d):
            print(f"  drawn, class {k}{said}: {len(d)} exact {np.mean(d == 0):.3f} within one {np.mean(abs(d) <= 1):.3f} mean off {d.mean():.2f}")
    for nth, what in enumerate(["strip", "marked strip"]):
        d = np.array([r[1] for r in dressed if r[4] == nth])
        if len(d):
            score = np.mean([r[2] for r in dressed if r[4] == nth])
            print(f"  {what}{said}: {len(d)} exact {np.mean(d == 0):.3f} within one {np.mean(abs(d) <= 1):.3f} mean off {d.mean():.2f} F1 {score:.3f}")
    print(f"  drawn: F1 {np.mean([r[2] for r in rows]):.3f} class {np.mean([r[3] for r in rows]):.3f}", flush=True)


def measure_scene(net, known, what):
    net.eval()
    off, agree = [], []
    with torch.no_grad():
        for at in range(0, len(known), 16):
            chosen = list(range(at, min(at + 16, len(known))))
            view, wood, *_, counted, _, _ = scenes.batch(known, chosen, np.random.default_rng(1), False)
            out = net(view).float()
            for nth, i in enumerate(chosen):
                (px, py), size, has, _, radius = known.heads[i]
                if has and 0 <= px < size[0] and 0 <= py < size[1]:
                    y, x = divmod(int(out[nth, 1].argmax()), examples.SMALL)
                    off.append(100 * math.hypot(x + 0.5 - px, y + 0.5 - py) / radius)
                guess = (out[nth, 0] > 0) & (counted[nth] > 0)
                true = wood[nth] > 0
                agree.append(float((guess & true).sum() / ((guess | true).sum() + 1)) if true.any() else 1 - float(guess.float().mean()))
    p = np.array(off or [0.0])
    print(f"  {what}: pith, percent of the radius: median {np.median(p):.2f}, nine in ten {np.quantile(p, 0.9):.2f}, over 3: {np.mean(p > 3):.3f}; "
          f"wood shared: median {np.median(agree):.3f}, worst tenth {np.quantile(agree, 0.1):.3f}", flush=True)


def folded(net):
    """Weights by name, each normalization folded into its convolution."""
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
    path.write_bytes(struct.pack("<Q", len(text)) + text + body)


def weights_in(path):
    """The weights of a file, by name."""
    raw = Path(path).read_bytes()
    length = struct.unpack("<Q", raw[:8])[0]
    kept = {}
    for name, entry in json.loads(raw[8 : 8 + length]).items():
        if name != "__metadata__":
            low, high = entry["data_offsets"]
            values = np.frombuffer(raw[8 + length + low : 8 + length + high], np.float16).astype(np.float32)
            kept[name] = torch.from_numpy(values.reshape(entry["shape"]).copy())
    return kept


def released(net, path):
    """Sets a network to released weights; what they do not have starts at nothing."""
    kept = weights_in(path)
    state = net.state_dict()
    for name in list(state):
        before = name.removesuffix(".conv.weight")
        if before != name and f"{before}.norm.weight" in state:
            state[name] = kept[f"{before}.weight"]
            state[f"{before}.norm.weight"] = torch.ones_like(state[f"{before}.norm.weight"])
            state[f"{before}.norm.bias"] = kept[f"{before}.bias"]
            state[f"{before}.norm.running_mean"] = torch.zeros_like(state[f"{before}.norm.running_mean"])
            state[f"{before}.norm.running_var"] = torch.full_like(state[f"{before}.norm.running_var"], 1 - 1e-5)
        elif name in kept:
            value = kept[name]
            if value.shape != state[name].shape:
                # All places are relied on at first.
                more = torch.full_like(state[name], 3.0 if name == "places.bias" else 0.0)
                more[tuple(slice(0, n) for n in value.shape)] = value
                value = more
            state[name] = value
    net.load_state_dict(state)


def learning(net, fixed):
    """Sets a network to learn; normalization that was folded once stays as it is."""
    net.train()
    if fixed:
        for module in net.modules():
            if isinstance(module, torch.nn.BatchNorm2d):
                module.eval()


def main():
    args = argparse.ArgumentParser()
    args.add_argument("what", choices=["rings", "scene"])
    args.add_argument("examples")
    args.add_argument("out", type=Path)
    args.add_argument("--seconds", type=float, default=600)
    args.add_argument("--fold", type=int)
    args.add_argument("--folds", type=int, default=4)
    args.add_argument("--from", dest="start")
    args.add_argument("--real", type=float, default=0.5)
    args.add_argument("--rate", type=float, default=1e-3)
    args.add_argument("--seed", type=int, default=1)
    args.add_argument("--makers", type=int, default=6, help="processes that make examples of strips, one at least")
    args = args.parse_args()
    start = time.time()
    torch.set_num_threads(1)
    torch.manual_seed(args.seed)
    rng = np.random.default_rng(args.seed)
    found = examples.load(args.examples)
    seen_photo = lambda name: args.fold is None or examples.fold_of(name, args.folds) != args.fold
    is_held = lambda head: head["photo"] is None and head["seed"] % 10 == 7
    makers, pool = [], None
    if args.what == "rings":
        data = RingExamples(found, seen_photo, args.real)
        net, size, loss_of = Rings(), 16, ring_loss
        print(f"rings: {len(data.drawn)} drawn, photos {data.names}, not seen {sorted(data.test)}", flush=True)
        made, wanted = mp.Queue(2 * args.makers), mp.Event()
        wanted.set()
        for nth in range(args.makers):
            maker = mp.Process(target=makes_batches, args=(data, 1000 * args.seed + nth, size // 2, made, wanted), daemon=True)
            maker.start()
            makers.append(maker)
        pool = Pool(POOL)

        def draw():
            while pool.filled < FEWEST:
                pool.put(*made.get(timeout=120))
            for _ in range(2):
                try:
                    pool.put(*made.get(timeout=0.0005))
                except queue.Empty:
                    break
            return pool.batch(rng, size)
    else:
        learn = [x for x in found if not is_held(x[0]) and (x[0]["photo"] is None or seen_photo(x[0]["photo"]))]
        known = scenes.Scenes(learn, DEVICE)
        real = [i for i, x in enumerate(y for y in (h for x in learn if x[0]["photo"] not in scenes.LEFT_OUT for h in [x[0]["photo"]] * len(x[1]))) if x]
        drawn = sorted(set(range(len(known))) - set(real))
        net, size, loss_of = Scene(), 32, scene_loss
        pick = lambda: real[rng.integers(len(real))] if real and rng.random() < args.real else drawn[rng.integers(len(drawn))]
        draw = lambda: scenes.batch(known, [pick() for _ in range(size)], rng, True)
        print(f"scene: {len(drawn)} views of drawn faces, {len(real)} of photos", flush=True)
    if args.start:
        released(net, args.start)
    torch.backends.cudnn.benchmark = True
    net = net.to(DEVICE, memory_format=torch.channels_last)
    smoothed = copy.deepcopy(net).eval()

    def measure():
        if args.what == "rings":
            measure_photos(smoothed, "not seen", data.test)
            measure_rings(smoothed, data.held[:80], False)
            measure_rings(smoothed, data.held[:80], True)
        else:
            held = [x for x in found if is_held(x[0])]
            for what, dressed in (("drawn", False), ("drawn, dressed strips", True)):
                these = [x for x in held if x[0]["dressed"] == dressed][:60]
                if these:
                    measure_scene(smoothed, scenes.Scenes(these, DEVICE), what)
            photos = [x for x in found if x[0]["photo"] and not seen_photo(x[0]["photo"]) and x[0]["seed"] < 4]
            if photos:
                measure_scene(smoothed, scenes.Scenes(photos, DEVICE), "photos not seen")

    name = args.what if args.fold is None else f"{args.what}-{args.fold}"

    def keep_weights():
        args.out.mkdir(parents=True, exist_ok=True)
        save(args.out / f"{name}.safetensors", folded(smoothed))

    print(f"ready after {time.time() - start:.0f} s", flush=True)
    measure()
    steps = torch.optim.AdamW(net.parameters(), lr=args.rate, weight_decay=1e-3)
    if args.what == "rings":
        draw()
    step, sums, began = 0, 0, time.time()
    budget = args.seconds - (began - start) - 25
    learning(net, bool(args.start))
    while (gone := (time.time() - began) / budget) < 1:
        for group in steps.param_groups:
            group["lr"] = args.rate * min(1, step / 200 + 0.01) * (0.5 + 0.5 * math.cos(math.pi * gone))
        loss, parts = loss_of(net, draw())
        steps.zero_grad()
        loss.backward()
        torch.nn.utils.clip_grad_norm_(net.parameters(), 5.0)
        steps.step()
        with torch.no_grad():
            keep = min(SMOOTHED, step / (step + 10))
            for mean, now in zip(smoothed.state_dict().values(), net.state_dict().values()):
                mean.lerp_(now, 1 - keep) if mean.is_floating_point() else mean.copy_(now)
        sums = sums + parts.detach()
        step += 1
        if step % 500 == 0:
            made_so_far = f", {pool.taken} examples" if pool else ""
            print(f"{args.what} step {step} {time.time() - start:.0f} s{made_so_far}:", " ".join(f"{v:.4f}" for v in (sums / 500).tolist()), flush=True)
            sums = 0
        if step % 3000 == 0:
            keep_weights()
            if args.what == "rings":
                measure_photos(smoothed, "not seen", data.test)
    if makers:
        wanted.clear()
    keep_weights()
    print(f"{name}: {step} steps, {sum(p.numel() for p in net.parameters())} weights")
    torch.backends.cudnn.benchmark = False
    measure()


if __name__ == "__main__":
    main()
