"""Photos seen small, turned, zoomed and recoloured anew each time, with their targets."""

import math

import numpy as np
import torch
import torch.nn.functional as F

import lessons

SMALL = lessons.SMALL


def example(item, rng, train):
    """The view, wood, pith, the way to the pith (x, y), and what lies inside the photo."""
    head, small, _ = item
    picture = torch.from_numpy(lessons.value(small))
    n = SMALL
    zoom = math.exp(rng.uniform(-0.5, 0.35)) if train else 1.0
    turn = rng.uniform(-math.pi, math.pi) if train and rng.random() < 0.7 else 0.0
    flip = -1.0 if train and rng.random() < 0.5 else 1.0
    centre = np.array(head["size"]) / 2
    shift = rng.normal(0, 20, 2) if train else np.zeros(2)
    yy, xx = torch.meshgrid(torch.arange(n) + 0.5, torch.arange(n) + 0.5, indexing="ij")
    u, v = (xx - n / 2) / zoom * flip, (yy - n / 2) / zoom
    c, s = math.cos(turn), math.sin(turn)
    if train:
        x, y = c * u - s * v + centre[0] + shift[0], s * u + c * v + centre[1] + shift[1]
    else:
        x, y = xx, yy
    grid = torch.stack([x / n * 2 - 1, y / n * 2 - 1], -1).float()
    view = F.grid_sample(picture[None], grid[None], align_corners=False)[0]
    inside = (x >= 0) & (y >= 0) & (x < head["size"][0]) & (y < head["size"][1])
    px, py = head["pith"]
    dx, dy = px - x, py - y
    far = torch.sqrt(dx * dx + dy * dy)
    bark = np.array(head["bark"])
    bark = torch.from_numpy(np.where(bark < 0, 1e6, bark)).float()
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
        view[0] = view[0] * math.exp(rng.normal(0, 0.2)) + rng.normal(0, 0.4)
        for k in (1, 2):
            view[k] = view[k] * math.exp(rng.normal(0, 0.4)) + rng.normal(0, 0.3)
        if rng.random() < 0.2:
            view[1:] = 0
        view = view + torch.from_numpy(rng.standard_normal(view.shape, np.float32)) * rng.uniform(0, 0.15)
        view = view * inside
    return [field.numpy() for field in (view, wood, pith, unit, inside.float())]
