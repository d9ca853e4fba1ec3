"""Reads the lessons that `cargo xtask lessons` writes."""

import json
from pathlib import Path

import numpy as np

ROWS, CHANNELS, SMALL = 256, 6, 256


def value(data):
    """Bytes as the values they stand for, about -3 to 3."""
    return (data.astype(np.float32) - 128.0) / 40.0


def read(path):
    """One lesson: its head, the small picture, and two strips with the courses of each line."""
    raw = Path(path).read_bytes()
    length = int.from_bytes(raw[:4], "little")
    head = json.loads(raw[4 : 4 + length])
    at = 4 + length
    small = np.frombuffer(raw, np.uint8, 3 * SMALL * SMALL, at).reshape(3, SMALL, SMALL)
    at += small.size
    lines = head["rings"] + 1
    strips = []
    for courses in head["courses"]:
        strip = np.frombuffer(raw, np.uint8, CHANNELS * ROWS * courses, at)
        at += strip.size
        found = np.frombuffer(raw, np.float32, lines * ROWS, at).reshape(lines, ROWS)
        at += found.nbytes
        strips.append((strip.reshape(CHANNELS, ROWS, courses), found))
    return head, small, strips
