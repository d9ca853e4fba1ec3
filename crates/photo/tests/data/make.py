"""Makes the small pictures in this folder, and the values in reference.txt.

    pip install pillow==13.0.0 scikit-image==0.26.0 pillow-heif==1.8.1
    python3 make.py

Nothing here comes from a camera: every picture is drawn below.
"""
import importlib.metadata as meta
import hashlib
import io
import pathlib
import struct
import zlib

import numpy as np
import pillow_heif
from PIL import Image
from skimage.color import rgb2lab

HERE = pathlib.Path(__file__).parent
W, H = 48, 32

# Colors of the four quarters: upper left, upper right, lower left, lower
# right. All different, so that the eight turns can be distinguished.
QUARTERS = [(200, 60, 40), (60, 160, 70), (50, 80, 190), (225, 205, 120)]


def quarters(width=W, height=H):
    """An asymmetric picture: four flat quarters, flat so that JPEG keeps them."""
    a = np.zeros((height, width, 3), np.uint8)
    y, x = height // 2, width // 2
    a[:y, :x], a[:y, x:], a[y:, :x], a[y:, x:] = QUARTERS
    return a


def ramp(width=W, height=H):
    """A gray ramp from left to right."""
    row = np.round(np.linspace(0, 255, width)).astype(np.uint8)
    return np.tile(row, (height, 1))


def rings(side=96):
    """A little disc of rings, with something in every block."""
    y, x = np.mgrid[:side, :side]
    r = np.hypot(x - 41.0, y - 52.0)
    v = 150 + 60 * np.cos(r * 0.9) + 10 * np.sin(x * 0.31)
    return np.clip(np.stack([v, v * 0.8, v * 0.55], -1), 0, 255).astype(np.uint8)


def exif(orientation=None, when=None, place=None):
    e = Image.Exif()
    if orientation is not None:
        e[0x0112] = orientation
    if when is not None:
        e.get_ifd(0x8769)[0x9003] = when
    if place is not None:
        (lat_side, lat), (lon_side, lon) = place
        gps = e.get_ifd(0x8825)
        gps[1], gps[2], gps[3], gps[4] = lat_side, lat, lon_side, lon
    return e.tobytes()


def save(name, image, **options):
    image.save(HERE / name, **options)


def stored(upright, orientation):
    """The upright picture as a camera held that way stores it."""
    turn = {  # the inverse of what the orientation asks for
        1: lambda a: a,
        2: lambda a: a[:, ::-1],
        3: lambda a: a[::-1, ::-1],
        4: lambda a: a[::-1],
        5: lambda a: a.transpose(1, 0, 2),
        6: lambda a: a.transpose(1, 0, 2)[::-1],
        7: lambda a: a.transpose(1, 0, 2)[::-1, ::-1],
        8: lambda a: a.transpose(1, 0, 2)[:, ::-1],
    }[orientation]
    return Image.fromarray(np.ascontiguousarray(turn(upright)))


# 1. The eight turns: all eight files show the same upright picture. PIL's own
# exif_transpose agrees (asserted), so this is not only our reading of the tag.
from PIL import ImageOps

for o in range(1, 9):
    image = stored(quarters(), o)
    assert o == 1 or image.size == ((W, H) if o < 5 else (H, W))
    save(f"turn-{o}.jpg", image, quality=95, subsampling=0, exif=exif(o))
    with Image.open(HERE / f"turn-{o}.jpg") as again:
        seen = np.asarray(ImageOps.exif_transpose(again)).astype(int)
    assert np.abs(seen - quarters().astype(int)).max() <= 4, o
save("turn-6.png", stored(quarters(), 6), exif=exif(6))
save("turn-6.webp", stored(quarters(), 6), lossless=True, exif=exif(6))
save("turn-6.tif", stored(quarters(), 6), compression="tiff_lzw", tiffinfo={274: 6})

# 2. Day and place: Cold Hollow is invented; the place is a round number.
PLACE = (("N", (44.0, 30.0, 36.0)), ("W", (72.0, 15.0, 0.0)))
full = exif(6, "2025:11:08 16:05:09", PLACE)
save("day-and-place.jpg", stored(quarters(), 6), quality=95, subsampling=0, exif=full)
save("day-and-place.png", stored(quarters(), 6), exif=full)
save("day-and-place.webp", stored(quarters(), 6), lossless=True, exif=full)
save("nonsense-day.jpg", Image.fromarray(quarters()), quality=95, subsampling=0,
     exif=exif(9, "2025:02:31 99:99:99", (("N", (144.0, 0.0, 0.0)), ("Q", (1.0, 0.0, 0.0)))))
save("blank-day.jpg", Image.fromarray(quarters()), quality=95, subsampling=0,
     exif=exif(0, "0000:00:00 00:00:00", (("N", (0.0, 0.0, 0.0)), ("E", (0.0, 0.0, 0.0)))))
rng = np.random.default_rng(3)
save("nonsense-exif.jpg", Image.fromarray(quarters()), quality=95, subsampling=0,
     exif=b"Exif\0\0" + rng.integers(0, 256, 700, np.uint8).tobytes())
# A block that starts well and then points outside itself everywhere.
broken = bytearray(full)
broken[6 + 8 + 2 + 12:] = bytes(0xF0 | (b & 15) for b in broken[6 + 8 + 2 + 12:])
save("broken-exif.jpg", stored(quarters(), 6), quality=95, subsampling=0, exif=bytes(broken))

# 3. Kinds.
save("baseline.jpg", Image.fromarray(rings()), quality=85)
save("progressive.jpg", Image.fromarray(rings()), quality=85, progressive=True)
save("gray.jpg", Image.fromarray(ramp()), quality=95)
save("gray.png", Image.fromarray(ramp()))
(HERE / "gray.png.sha256").write_text(hashlib.sha256((HERE / "gray.png").read_bytes()).hexdigest() + "\n")
save("palette.png", Image.fromarray(quarters()).quantize(4))
cover = np.full((H, W, 1), 255, np.uint8)
cover[:, W // 2:] = 51  # a fifth
save("see-through.png", Image.fromarray(np.concatenate([quarters(), cover], -1)))
save("lossless.webp", Image.fromarray(rings(32)), lossless=True)
save("lossy.webp", Image.fromarray(quarters()), quality=95)
save("plain.tif", Image.fromarray(quarters()))
save("deflate.tif", Image.fromarray(quarters()), compression="tiff_adobe_deflate")

# 16 bit: gray by PIL, color written out by hand, since PIL cannot.
wide = np.round(np.linspace(0, 65535, W)).astype(np.uint16)
save("gray-16.png", Image.fromarray(np.tile(wide, (H, 1))))


def png(width, height, depth, color, rows):
    def chunk(kind, data):
        body = kind + data
        return struct.pack(">I", len(data)) + body + struct.pack(">I", zlib.crc32(body))

    head = struct.pack(">IIBBBBB", width, height, depth, color, 0, 0, 0)
    return (b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head)
            + chunk(b"IDAT", zlib.compress(rows)) + chunk(b"IEND", b""))


deep = (quarters().astype(np.uint16) * 257).astype(">u2")
rows = b"".join(b"\0" + line.tobytes() for line in deep)
(HERE / "color-16.png").write_bytes(png(W, H, 16, 2, rows))

# CMYK as print programs write it (inverted, with Adobe's mark), and the same
# with luma and chroma (YCCK), which is what most real ones are.
cmyk = np.zeros((H, W, 4), np.uint8)
flat = quarters().astype(float) / 255
k = 1 - flat.max(-1, keepdims=True)
cmyk[..., :3] = np.round(255 * (1 - flat - k) / (1 - k))
cmyk[..., 3:] = np.round(255 * k)
save("cmyk.jpg", Image.fromarray(cmyk, "CMYK"), quality=95, subsampling=0)
with Image.open(HERE / "cmyk.jpg") as again:  # PIL reads it as it was meant
    assert np.abs(np.asarray(again.convert("RGB")).astype(int) - quarters().astype(int)).max() <= 6

# YCCK: 'inverted' inks C' = 255 - C and so on are taken for red, green and
# blue, complemented, and turned to luma and chroma; black stays inverted.
# Built from two JPEGs of PIL: a CMYK file whose four planes already hold the
# YCC values, with Adobe's mark set from 0 (none) to 2 (YCCK).
inks = 255 - cmyk.astype(float)  # as stored in an Adobe file
rgb = 255 - inks[..., :3]
ycc = np.asarray(Image.fromarray(rgb.astype(np.uint8), "RGB").convert("YCbCr"))
planes = np.concatenate([ycc, inks[..., 3:].astype(np.uint8)], -1)
buffer = io.BytesIO()
Image.fromarray(255 - planes, "CMYK").save(buffer, "JPEG", quality=95, subsampling=0)
data = bytearray(buffer.getvalue())
at = data.index(b"Adobe")
assert data[at + 11] == 0
data[at + 11] = 2
(HERE / "ycck.jpg").write_bytes(bytes(data))
with Image.open(HERE / "ycck.jpg") as again:
    assert np.abs(np.asarray(again.convert("RGB")).astype(int) - quarters().astype(int)).max() <= 8

# 4. What must be refused.
(HERE / "huge-claim.png").write_bytes(png(60000, 60000, 8, 2, b"\0" * 100))
jpeg = bytearray((HERE / "baseline.jpg").read_bytes())
sof = jpeg.index(b"\xff\xc0")
jpeg[sof + 5:sof + 9] = struct.pack(">HH", 60000, 60000)
(HERE / "huge-claim.jpg").write_bytes(bytes(jpeg))
# A raw file: its first picture is a small preview, and it says so.
save("raw-preview.tif", Image.fromarray(quarters()), tiffinfo={254: 1})

# 5. HEIC, as a phone held upright writes it: the turn stands both in the
# container, where it is obeyed, and in EXIF, where it must not be obeyed again.
# pillow-heif turns EXIF's into the container's; EXIF's is put back by hand.
pillow_heif.register_heif_opener()
save("quarters.heic", stored(quarters(), 6), quality=95, chroma=444, exif=full)
data = bytearray((HERE / "quarters.heic").read_bytes())
at = data.index(b"MM\0*")  # the EXIF block
at = data.index(b"\x01\x12\x00\x03\x00\x00\x00\x01", at) + 8
data[at:at + 2] = b"\x00\x06"
assert b"irot" in data
(HERE / "quarters.heic").write_bytes(bytes(data))
save("rings.heic", Image.fromarray(rings()), quality=85)

# 6. What other programs make of the same files.
lines = [f"# {p} {meta.version(p)}" for p in ("pillow", "scikit-image", "numpy", "pillow-heif")]
lines.append("# L* of sRGB colors by skimage.color.rgb2lab (D65): red green blue lightness")
colors = [(g, g, g) for g in range(0, 256, 5)]
colors += [tuple(int(v) for v in rng.integers(0, 256, 3)) for _ in range(100)]
colors += [(255, 0, 0), (0, 255, 0), (0, 0, 255), (255, 255, 0), (0, 255, 255), (255, 0, 255)]
for c in colors:
    l = rgb2lab(np.array([[c]], np.uint8))[0, 0, 0]
    lines.append(f"lightness {c[0]} {c[1]} {c[2]} {l:.6f}")
lines.append("# Colors that PIL decodes: file x y red green blue")
for name in ("baseline.jpg", "progressive.jpg", "lossless.webp", "lossy.webp", "cmyk.jpg", "ycck.jpg"):
    with Image.open(HERE / name) as image:
        a = np.asarray(image.convert("RGB"))
    for y in range(1, a.shape[0], 7):
        x = (y * 5 + 3) % a.shape[1]
        lines.append(f"pixel {name} {x} {y} " + " ".join(str(v) for v in a[y, x]))
lines.append("# Colors that pillow-heif (libheif, libde265) decodes: file x y red green blue")
with Image.open(HERE / "rings.heic") as image:
    a = np.asarray(image.convert("RGB"))
for y in range(1, a.shape[0], 3):
    x = (y * 5 + 3) % a.shape[1]
    lines.append(f"heic rings.heic {x} {y} " + " ".join(str(v) for v in a[y, x]))
(HERE / "reference.txt").write_text("\n".join(lines) + "\n")
