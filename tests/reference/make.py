"""Makes values.json: what general-purpose libraries give for the inputs that
tests/tests/reference_profile.rs hands to our own functions.

    pip install numpy==2.4.6 scipy==1.17.1 opencv-python-headless==5.0.0.93 scikit-image==0.26.0
    python3 make.py

Every input is a formula, written out here and once more in Rust, so that no
picture has to be kept. x to the right, y down, pixel centers at whole numbers.
"""
import importlib.metadata as meta
import json
import pathlib

import cv2
import numpy as np
from scipy import ndimage, signal
from skimage.feature import structure_tensor, structure_tensor_eigenvalues
from skimage.measure import block_reduce
from skimage.transform import warp_polar

TAU = 2 * np.pi


def rings(width, height, pith, period):
    """Round rings about a pith off the center, on a slope of light."""
    y, x = np.mgrid[0:height, 0:width].astype(float)
    d = np.hypot(x - pith[0], y - pith[1])
    return (55 + 20 * np.cos(TAU * d / period) + 0.04 * x - 0.03 * y).astype(np.float32)


def crossing(width, height, period, turn, strong, weak):
    """Two gratings at right angles; the strong one's normal points along `turn`."""
    y, x = np.mgrid[0:height, 0:width].astype(float)
    u = x * np.cos(turn) + y * np.sin(turn)
    v = -x * np.sin(turn) + y * np.cos(turn)
    return (50 + strong * np.cos(TAU * u / period) + weak * np.cos(TAU * v / period)).astype(np.float32)


def years(d):
    """Rings grown at distance d from the pith: 11.6 to 17.7 px a ring."""
    return d / 14 + 0.6 * np.sin(d / 40)


def conifer(width, height, pith):
    """Rings that darken outward and turn light at each whole year: four terms
    of a sawtooth, so that nothing is finer than the pixels."""
    y, x = np.mgrid[0:height, 0:width].astype(float)
    p = years(np.hypot(x - pith[0], y - pith[1]))
    return (60 + 9 * sum(np.sin(TAU * k * p) / k for k in range(1, 5))).astype(np.float32)


def widening(n):
    """A profile whose rings widen from 8 to 24 courses, with an overtone."""
    r = np.arange(n, dtype=float)
    slope = 16 / n
    phase = np.log1p(slope * r / 8) / slope  # the integral of 1 / (8 + slope r)
    return (np.cos(TAU * phase) + 0.3 * np.cos(2 * TAU * phase)).astype(np.float32)


def digits(values, places=5):
    """Numbers as JSON keeps them; what a library leaves open becomes null."""
    return [None if not np.isfinite(v) else round(float(v), places) for v in np.ravel(values)]


def unrolling():
    face, pith, radius = rings(260, 200, (117.3, 84.6), 17.0), (117.3, 84.6), 180
    rows, columns = np.arange(0, 1024, 32), np.arange(0, radius, 7)
    polar = warp_polar(face, center=pith[::-1], radius=radius, output_shape=(1024, radius),
                       order=3, mode="reflect", preserve_range=True)
    opencv = cv2.warpPolar(face, (radius, 1024), pith, radius, cv2.INTER_CUBIC | cv2.WARP_POLAR_LINEAR)
    turn = rows[:, None] * TAU / 1024
    places = np.array([pith[1] + columns * np.sin(turn), pith[0] + columns * np.cos(turn)])
    scipy = ndimage.map_coordinates(face.astype(float), places, order=3, mode="constant", cval=np.nan)
    grid = np.ix_(rows, columns)
    outside = np.isnan(scipy)
    return {
        "row_step": 32, "column_step": 7, "columns": len(columns),
        "scipy_map_coordinates": digits(scipy),
        "skimage_warp_polar": digits(np.where(outside, np.nan, polar[grid])),
        "opencv_warp_polar": digits(np.where(outside, np.nan, opencv[grid]), 3),
    }


def normal(xx, xy, yy):
    return 0.5 * np.arctan2(2 * xy, xx - yy)


def tensors(face, sigma, places):
    """Normal and coherence by two libraries at the middle of four pixels, of
    which [x, y] is the upper left."""
    x, y = np.array(places).T

    def middle(field):
        return (field[y, x] + field[y, x + 1] + field[y + 1, x] + field[y + 1, x + 1]) / 4

    yy, xy, xx = structure_tensor(face, sigma=sigma, mode="nearest", order="rc")
    large, small = structure_tensor_eigenvalues([yy, xy, xx])
    gx, gy = (cv2.Sobel(face, cv2.CV_64F, *order, ksize=3) for order in ((1, 0), (0, 1)))
    cxx, cxy, cyy = (middle(cv2.GaussianBlur(p, (0, 0), sigma)) for p in (gx * gx, gx * gy, gy * gy))
    first, second = np.array([cv2.eigen(np.array([[a, b], [b, c]]))[1][:, 0] for a, b, c in zip(cxx, cxy, cyy)]).T
    return {
        "skimage_normal": digits(normal(middle(xx), middle(xy), middle(yy))),
        "skimage_coherence": digits(middle((large - small) / (large + small))),
        "opencv_normal": digits(normal(cxx, cxy, cyy)),
        "opencv_coherence": digits((first - second) / (first + second)),
    }


def directions():
    """In the middle of cells of the finest grid (4 px); sigma: 1.5 cells of
    smoothing over blocks of 4 px."""
    sigma = 6.1
    far = [[4 * c + 1, 4 * r + 1] for r in range(8, 50, 6) for c in range(8, 66, 6)
           if np.hypot(4 * c + 1 - 117.3, 4 * r + 1 - 84.6) > 50]
    inner = [[4 * c + 1, 4 * r + 1] for r in range(12, 50, 9) for c in range(12, 60, 9)]
    return {
        "rings": {"places": far, **tensors(rings(300, 240, (117.3, 84.6), 20.0), sigma, far)},
        "crossing": {"places": inner, **tensors(crossing(300, 240, 17.0, 0.6, 20.0, 10.0), sigma, inner)},
    }


def spacing():
    profile = widening(1200)
    stations, window = list(range(180, 1080, 60)), 200
    hann = signal.windows.hann(window, sym=False)
    numpy = []
    for s in stations:
        part = profile[s - window // 2:s + window // 2].astype(float)
        power = np.abs(np.fft.rfft((part - part.mean()) * hann, 16384))
        numpy.append(16384 / (np.argmax(power[200:]) + 200))
    short = signal.ShortTimeFFT(hann, hop=60, fs=1.0, mfft=16384)
    # Column k of the transform has its window's middle at sample 60 k.
    view = np.abs(short.stft(profile.astype(float)))
    scipy = [16384 / (np.argmax(view[200:, s // 60 - short.p_min]) + 200) for s in stations]
    return {"stations": stations, "numpy_rfft": digits(numpy, 3), "scipy_short_time_fft": digits(scipy, 3)}


def blur():
    line = ((np.arange(40) * 7) % 11).astype(float)
    out = {"line": digits(line, 1), "sigmas": [0.8, 1.5, 3.2], "repeat": [], "wrap": []}
    for sigma in out["sigmas"]:
        reach = int(np.ceil(3 * sigma))
        for mode, name in (("nearest", "repeat"), ("wrap", "wrap")):
            out[name].append(digits(ndimage.gaussian_filter1d(line, sigma, mode=mode, radius=reach)))
    return out


def shrinking():
    face = rings(35, 26, (11.2, 9.7), 5.0)
    whole = face[:24, :33]
    return {
        "factor": 3,
        "skimage_block_reduce": digits(block_reduce(whole, (3, 3), np.mean)),
        "opencv_resize_area": digits(cv2.resize(whole, (11, 8), interpolation=cv2.INTER_AREA), 4),
    }


if __name__ == "__main__":
    values = {
        "libraries": {p: meta.version(p) for p in
                      ("numpy", "scipy", "opencv-python-headless", "scikit-image")},
        "unrolling": unrolling(), "directions": directions(), "spacing": spacing(),
        "blur": blur(), "shrinking": shrinking(),
    }
    lines = ",\n".join(f" {json.dumps(k)}: {json.dumps(v, separators=(',', ':'))}" for k, v in values.items())
    pathlib.Path(__file__).with_name("values.json").write_text("{\n" + lines + "\n}\n")
