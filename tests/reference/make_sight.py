"""Reference values for crates/sight from PyTorch; writes rings.json and scene.json beside it.

Needs PyTorch and NumPy. The weights are those of crates/sight/weights; the
networks are built again from training/nets.py, so that the two forward passes
share nothing but the weights.
"""

import json
import sys
from pathlib import Path

import numpy as np
import torch

HERE = Path(__file__).parent
SIGHT = HERE.parent.parent / "crates" / "sight"
sys.path.insert(0, str(SIGHT / "training"))
from learn import weights_in  # noqa: E402
from nets import Rings, Scene  # noqa: E402


def strip(courses=160):
    """Wavy rings about nine courses wide, seen on all but a sixteenth of the circle."""
    row, course = np.mgrid[0:256, 0:courses].astype(np.float64)
    phase = (course + 1.5 * np.sin(2 * np.pi * row / 256)) / 9.0
    ring = phase - np.floor(phase)
    out = np.zeros((6, 256, courses))
    out[0] = 1.2 - 2.4 * ring**3
    out[1] = 0.2 + 0.1 * np.cos(row * 0.7 + course * 0.3)
    out[2] = np.where(row < 240, 1.0, 0.0)
    out[3] = 0.3 - 0.5 * ring**3
    out[4] = 0.8
    out[5] = 0.7
    out[[0, 1, 3, 4, 5]] *= out[2]
    return torch.from_numpy(out.astype(np.float32))


def small():
    """A round face with rings six pixels wide, its pith off its middle, on dark ground."""
    y, x = np.mgrid[0:256, 0:256].astype(np.float64) + 0.5
    from_pith = np.hypot(x - 140.5, y - 120.25)
    inside = np.hypot(x - 132.0, y - 128.0) < 96.0
    ring = from_pith / 6.0 - np.floor(from_pith / 6.0)
    out = np.zeros((3, 256, 256))
    out[0] = np.where(inside, 0.9 - 0.8 * ring**3, -1.2 + 0.3 * np.sin(0.21 * x) * np.cos(0.17 * y))
    out[1] = np.where(inside, 0.6, -0.2)
    out[2] = np.where(inside, 0.8, 0.3)
    return torch.from_numpy(out.astype(np.float32))


def loaded(net, file):
    """The network with the weights that are shipped."""
    state = net.state_dict()
    for name, value in weights_in(SIGHT / "weights" / file).items():
        if name in state:
            state[name] = value
            continue
        # A convolution with its normalization folded in: undo with a neutral one.
        before, kind = name.rsplit(".", 1)
        if kind == "weight":
            state[f"{before}.conv.weight"] = value
            state[f"{before}.norm.weight"] = torch.full((value.shape[0],), (1 + 1e-5) ** 0.5)
            state[f"{before}.norm.running_mean"] = torch.zeros(value.shape[0])
            state[f"{before}.norm.running_var"] = torch.ones(value.shape[0])
        else:
            state[f"{before}.norm.bias"] = value
    net.load_state_dict(state)
    return net.eval()


def rounded(values):
    return [round(v, 5) for v in values.flatten().tolist()]


def write(file, values):
    made_with = {"torch": torch.__version__, "numpy": np.__version__}
    (HERE / file).write_text(json.dumps({"made_with": made_with, **values}, indent=1) + "\n")


with torch.no_grad():
    net = loaded(Rings(), "rings.safetensors")
    places, courses, kinds = net(strip()[None], torch.zeros(1, Rings.CLASSES))
    # The same with the second wood class given: ring-porous.
    _, given, _ = net(strip()[None], torch.eye(Rings.CLASSES)[1:2])
    scene = loaded(Scene(), "scene.safetensors")(small()[None])[0]
ends = torch.sigmoid(places[0, 0])
ends = ends / (4 - 3 * ends)
at = [(r, c) for r in (3, 100, 200) for c in (20, 60, 61, 62, 63, 64, 100)]
write(
    "rings.json",
    {
        "courses": rounded(courses[0, 0]),
        "courses_given_ring_porous": rounded(given[0, 0]),
        "spacing": rounded(2 ** courses[0, 1]),
        "kinds": rounded(kinds[0]),
        "ends_at": at,
        "ends": [round(float(ends[r, c]), 5) for r, c in at],
    },
)
# Each output at every sixteenth pixel each way, from the ninth on.
names = ("wood", "pith", "way_x", "way_y")
write("scene.json", {name: rounded(scene[nth, 8::16, 8::16]) for nth, name in enumerate(names)})
