"""Learns the two networks from lessons and writes their weights.

    python3 learn.py rings|scene LESSONS OUT [seconds] [workers]

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
import photos
import strips
from feed import Feed
from nets import Rings, Scene

DEVICE = "cuda" if torch.cuda.is_available() else "cpu"


def load(folder):
    def one(path):
        try:
            return lessons.read(path)
        except Exception:
            return None
    with ThreadPoolExecutor(16) as pool:
        found = [x for x in pool.map(one, sorted(Path(folder).glob("*.lesson"))) if x]
    return [x for x in found if x[0]["readable"] and all(c > 64 for c in x[0]["courses"])]


def blurred(field, sigma):
    reach = int(3 * sigma + 1)
    x = torch.arange(-reach, reach + 1, device=field.device, dtype=field.dtype)
    kernel = torch.exp(-0.5 * (x / sigma) ** 2)
    flat = field.reshape(-1, 1, field.shape[-1])
    return F.conv1d(flat, kernel[None, None], padding=reach).reshape(field.shape).clamp(max=1)


def weighed(loss, weight):
    return (loss * weight).sum() / weight.sum().clamp(min=1)


def ring_loss(net, batch):
    view, ends, wood, courses, gaps, counts, kinds = batch
    view, ends, wood = view.float(), ends.float(), wood.float()
    with torch.autocast(DEVICE, torch.bfloat16, enabled=DEVICE == "cuda"):
        places, lines, kind = net(view)
    places, lines, kind = places.float(), lines.float(), kind.float()
    seen = (view[:, 2] > 0.5).float()
    target = blurred(ends, 1.0)
    place = weighed(F.binary_cross_entropy_with_logits(places[:, 0], target, reduction="none"), seen * (1 + 3 * target))
    is_wood = weighed(F.binary_cross_entropy_with_logits(places[:, 1], wood, reduction="none"), seen)
    shown = (seen.mean(1) > 0.03).float() * counts[:, None]
    target = blurred(courses, 1.0)
    course = weighed(F.binary_cross_entropy_with_logits(lines[:, 0], target, reduction="none"), shown * (1 + 3 * target))
    known = torch.isfinite(gaps) & (shown > 0)
    gap = F.smooth_l1_loss(lines[:, 1][known], gaps[known], beta=0.2) if known.any() else lines.sum() * 0
    kind_loss = F.cross_entropy(kind, kinds)
    parts = torch.stack([place, is_wood, course, gap, kind_loss])
    return place + 0.5 * is_wood + 2 * course + 0.3 * gap + 0.05 * kind_loss, parts


def scene_loss(net, batch):
    view, wood, pith, unit, inside = (x.float() for x in batch)
    with torch.autocast(DEVICE, torch.bfloat16, enabled=DEVICE == "cuda"):
        out = net(view)
    out = out.float()
    a = (F.binary_cross_entropy_with_logits(out[:, 0], wood, reduction="none") * inside).mean()
    b = (F.binary_cross_entropy_with_logits(out[:, 1], pith, reduction="none") * inside * (1 + 30 * pith)).mean()
    c = (((out[:, 2:] - unit) ** 2).sum(1) * wood).mean()
    return a + 4 * b + c, torch.stack([a, b, c])


def peaks(logits, least=-1.0):
    x = logits
    top = (x[1:-1] >= x[:-2]) & (x[1:-1] > x[2:]) & (x[1:-1] > least)
    return np.nonzero(top)[0] + 1


def measure_rings(net, held):
    net.eval()
    off, hits, kinds = [], [0, 0, 0], 0
    with torch.no_grad():
        for item in held:
            last = strips.Strip(item[0], *item[2][-1])
            view, *_ = strips.example(last, np.random.default_rng(1), False)
            _, lines, kind = (x[0].float().cpu().numpy() for x in net(torch.from_numpy(view)[None].to(DEVICE)))
            found = peaks(lines[0])
            off.append((item[0]["rough"], last.kind, len(found) - len(last.level)))
            gap = np.diff(np.concatenate([[0], last.level]))
            hits[0] += sum(np.any(abs(found - l) < max(g, 2) / 4) for l, g in zip(last.level, gap))
            hits[1] += len(found)
            hits[2] += len(last.level)
            kinds += int(kind.argmax()) == last.kind
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
            view, wood, _, _, inside = photos.example(item, np.random.default_rng(1), False)
            out = net(torch.from_numpy(view)[None].to(DEVICE))[0].float().cpu().numpy()
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
    workers = int(sys.argv[5]) if len(sys.argv) > 5 else 4
    start = time.time()
    items = load(folder)
    held = [x for x in items if x[0]["seed"] % 10 == 7]
    known = [x for x in items if x[0]["seed"] % 10 != 7]
    print(f"{what}: {len(known)} faces to learn from, {len(held)} held back, read in {time.time() - start:.0f} s", flush=True)
    if what == "rings":
        learn = [[strips.Strip(x[0], *s) for s in x[2]] for x in known]
        learn = [each for each in learn if len(each[-1].level) >= 5]
        field = (lessons.ROWS, strips.LENGTH)
        shapes = [((lessons.CHANNELS, *field), "f2"), (field, "f2"), (field, "f2"), ((strips.LENGTH,), "f4"), ((strips.LENGTH,), "f4"), ((), "f4"), ((), "i8")]
        make = lambda rng: strips.example(learn[rng.integers(len(learn))][int(rng.random() < 0.6)], rng, True)
        net, size, loss_of, measure = Rings(), 12, ring_loss, measure_rings
    else:
        field = (lessons.SMALL, lessons.SMALL)
        shapes = [((3, *field), "f2"), (field, "f2"), (field, "f2"), ((2, *field), "f2"), (field, "f2")]
        make = lambda rng: photos.example(known[rng.integers(len(known))], rng, True)
        net, size, loss_of, measure = Scene(), 32, scene_loss, measure_scene
    feed = Feed(make, shapes, size, workers, int(time.time()))
    torch.backends.cudnn.benchmark = True
    net = net.to(DEVICE, memory_format=torch.channels_last)
    kept = out / f"{what}.pt"
    top = 2e-3
    if kept.exists():
        net.load_state_dict(torch.load(kept, map_location=DEVICE))
        top = 1e-3
        print("goes on from", kept, flush=True)
    steps = torch.optim.AdamW(net.parameters(), lr=top, weight_decay=1e-4)
    step, sums, began = 0, 0, time.time()
    budget = seconds - (began - start) - 25
    net.train()
    for batch in feed.batches(DEVICE):
        gone = (time.time() - began) / budget
        if gone >= 1:
            break
        for group in steps.param_groups:
            group["lr"] = top * min(1, step / 200 + 0.01) * (0.5 + 0.5 * math.cos(math.pi * gone))
        loss, parts = loss_of(net, batch)
        steps.zero_grad()
        loss.backward()
        torch.nn.utils.clip_grad_norm_(net.parameters(), 5.0)
        steps.step()
        sums = sums + parts.detach()
        step += 1
        if step % 500 == 0:
            print(f"{what} step {step} {time.time() - start:.0f} s:", " ".join(f"{v:.4f}" for v in (sums / 500).tolist()), flush=True)
            sums = 0
    feed.stop()
    out.mkdir(parents=True, exist_ok=True)
    torch.save(net.state_dict(), kept)
    save(out / f"{what}.safetensors", folded(net))
    print(f"{what}: {step} steps, {sum(p.numel() for p in net.parameters())} weights")
    torch.backends.cudnn.benchmark = False
    measure(net, held[:120])


if __name__ == "__main__":
    main()
