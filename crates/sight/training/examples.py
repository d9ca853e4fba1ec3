"""Reads the files that `cargo xtask training-set` writes."""

import json
import mmap
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np

ROWS, CHANNELS, SMALL = 256, 6, 256
WOOD, NOT_WOOD, UNKNOWN = 1, 0, 2


def read(path):
    """One example: its head, `(picture, wood)` of each scene, and `(strip, lines, more)` of each strip.

    `lines` are those of a drawn face, None for a photo. `more` is, for a photo,
    its wood; for a drawn face how far each place is dressed, 0 to 255, None
    where all of it is. Arrays stay in the file until they are used.
    """
    with open(path, "rb") as file:
        raw = mmap.mmap(file.fileno(), 0, access=mmap.ACCESS_READ)
    length = int.from_bytes(raw[:4], "little")
    head = json.loads(raw[4 : 4 + length])
    at = 4 + length

    def take(kind, *shape):
        nonlocal at
        out = np.frombuffer(raw, kind, int(np.prod(shape)), at).reshape(shape)
        at += out.nbytes
        return out

    scenes = [(take(np.uint8, 3, SMALL, SMALL), take(np.uint8, SMALL, SMALL)) for _ in head["scenes"]]
    strips = []
    for strip in head["strips"]:
        data = take(np.uint8, CHANNELS, ROWS, strip["courses"])
        drawn = strip["lines"] > 0
        # What follows the lines need not lie at a multiple of four bytes.
        lines = take(np.uint8, strip["lines"], ROWS, 4).copy().view(np.float32)[..., 0] if drawn else None
        more = take(np.uint8, ROWS, strip["courses"]) if head["dressed"] or not drawn else None
        strips.append((data, lines, more))
    return head, scenes, strips


def load(folder):
    """All examples of a folder; a broken file is left out."""

    def one(path):
        try:
            return read(path)
        except ValueError:
            return None

    with ThreadPoolExecutor(16) as pool:
        return [x for x in pool.map(one, sorted(Path(folder).glob("*.example"))) if x]


def fold_of(name, folds):
    """The fold of a photo: always the same for the same name."""
    value = 0xCBF29CE484222325
    for byte in name.encode():
        value = (value ^ byte) * 0x100000001B3 % 2**64
    return (value >> 20) % folds
