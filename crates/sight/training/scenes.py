"""Photos seen small, turned, zoomed and recolored anew each time, with their targets. Whole batches, on the device."""

import math

import numpy as np
import torch
import torch.nn.functional as F

from examples import SMALL, UNKNOWN, WOOD
from strips import value

# A heap of logs and a slab have faces that are not marked; no pith is marked in
# these, but they have one.
LEFT_OUT = {"refuse-woodpile", "refuse-clock"}
PITH_UNKNOWN = {"refuse-gridcut", "refuse-log-sawn"}


class Scenes:
    """Small pictures with what is known of them."""

    def __init__(self, found, device):
        pictures, woods, self.heads = [], [], []
        for head, scenes, _ in found:
            if head["photo"] in LEFT_OUT:
                continue
            drawn_blank = head["photo"] is None and not head["strips"]
            for view, (picture, wood) in zip(head["scenes"], scenes):
                pictures.append(picture)
                woods.append(wood)
                blind = view["pith"] is None and (drawn_blank or head["photo"] is None or head["photo"] in PITH_UNKNOWN)
                self.heads.append((view["pith"] or (-1e6, -1e6), view["size"], view["pith"] is not None, blind, view["radius"]))
        self.pictures = torch.from_numpy(np.stack(pictures)).to(device)
        self.woods = torch.from_numpy(np.stack(woods)).to(device)

    def __len__(self):
        return len(self.heads)


def batch(scenes, chosen, rng, train):
    """view [n, 3, S, S]; wood, pith, the way to the pith [n, 2, S, S], what counts for each of the three."""
    device = scenes.pictures.device
    heads = [scenes.heads[i] for i in chosen]
    per = lambda values: torch.tensor(np.array(values), dtype=torch.float32, device=device)[:, None, None]
    count, n = len(chosen), SMALL
    draw = lambda make: [make() if train else 0.0 for _ in range(count)]
    zoom = per(np.exp(draw(lambda: rng.uniform(-0.5, 0.4))))
    turn = draw(lambda: rng.uniform(-math.pi, math.pi) if rng.random() < 0.7 else 0.0)
    c, s = per(np.cos(turn)), per(np.sin(turn))
    flip = per([-1.0 if train and rng.random() < 0.5 else 1.0 for _ in range(count)])
    # Seen from the side, a face is flatter.
    squash = per([math.exp(rng.uniform(-0.4, 0.4)) if train and rng.random() < 0.4 else 1.0 for _ in range(count)])
    wide, high = per([h[1][0] for h in heads]), per([h[1][1] for h in heads])
    px, py = per([h[0][0] for h in heads]), per([h[0][1] for h in heads])
    has = per([float(h[2]) for h in heads])
    sighted = per([float(not h[3]) for h in heads])
    yy, xx = torch.meshgrid(torch.arange(n, device=device) + 0.5, torch.arange(n, device=device) + 0.5, indexing="ij")
    if train:
        u, v = (xx - n / 2) / zoom * flip, (yy - n / 2) / (zoom * squash)
        x = c * u - s * v + wide / 2 + per(draw(lambda: rng.normal(0, 25)))
        y = s * u + c * v + high / 2 + per(draw(lambda: rng.normal(0, 25)))
    else:
        x, y = xx.expand(count, n, n), yy.expand(count, n, n)
    grid = torch.stack([x / n * 2 - 1, y / n * 2 - 1], -1)
    index = torch.tensor(chosen, device=device)
    view = F.grid_sample(value(scenes.pictures[index]), grid, align_corners=False)
    wood = F.grid_sample(scenes.woods[index].float()[:, None], grid, mode="nearest", align_corners=False)[:, 0]
    inside = ((x >= 0) & (y >= 0) & (x < wide) & (y < high)).float()
    dx, dy = px - x, py - y
    if train:
        ux, uy = (c * dx + s * dy) * flip * zoom, (-s * dx + c * dy) * zoom * squash
    else:
        ux, uy = dx, dy
    far_view = torch.sqrt(ux * ux + uy * uy)
    unit = torch.stack([ux, uy], 1) / (far_view[:, None] + 1e-3)
    pith = torch.exp(-0.5 * (far_view / 2.5) ** 2) * inside * has
    if train:
        view = recolored(view, rng) * inside[:, None]
    known = inside * (wood != UNKNOWN)
    wood = (wood == WOOD).float() * inside
    return view, wood, pith, unit, known, inside * sighted, wood * has


def recolored(view, rng):
    count, device = view.shape[0], view.device
    per = lambda values: torch.tensor(np.array(values), dtype=torch.float32, device=device)[:, None, None]
    light = view[:, 0]
    middle = light.mean((1, 2), keepdim=True)
    contrast = per([math.exp(rng.normal(0, 0.3)) * (-1 if rng.random() < 0.08 else 1) for _ in range(count)])
    light = (light - middle) * contrast + middle + per(rng.normal(0, 0.5, count))
    color = [0.0 if rng.random() < 0.25 else 1.0 for _ in range(count)]
    red = view[:, 1] * per(np.exp(rng.normal(0, 0.5, count)) * color) + per(rng.normal(0, 0.3, count) * color)
    yellow = view[:, 2] * per(np.exp(rng.normal(0, 0.5, count)) * color) + per(rng.normal(0, 0.3, count) * color)
    # Light from one side.
    side = per(rng.uniform(0, 2 * math.pi, count))
    ramp = torch.linspace(-1, 1, SMALL, device=device)
    ramp = torch.cos(side) * ramp[None, None, :] + torch.sin(side) * ramp[None, :, None]
    light = light + per([abs(rng.normal(0, 0.4)) if rng.random() < 0.3 else 0.0 for _ in range(count)]) * ramp
    view = torch.stack([light, red, yellow], 1)
    # Something lies on it.
    for nth in range(count):
        if rng.random() < 0.2:
            across, down = rng.integers(10, 70, 2)
            x, y = rng.integers(0, SMALL - across), rng.integers(0, SMALL - down)
            patch = torch.from_numpy(rng.normal(0, 0.7, (3, 1, 1)).astype(np.float32)).to(device)
            view[nth, :, y : y + down, x : x + across] = patch
    if rng.random() < 0.3:
        view = F.avg_pool2d(F.pad(view, (1, 1, 1, 1), mode="replicate"), 3, 1)
    return view + torch.randn_like(view) * per(rng.uniform(0, 0.2, count))[:, None]
