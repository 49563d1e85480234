"""A picture file as light: one number a pixel that grows in proportion to the light that fell there.

PNG, JPEG, TIFF and BMP are read, turned as their EXIF says, so that a pixel is where a person sees it. Files hold light through
a curve that spends more of their 256 steps on the dark; the level half way between a black part and white paper is not half way
in that curve, and an edge traced there would stand up to a blur's width off. So the curve of IEC 61966-2-1 (sRGB, which scans and
photos carry unless they say otherwise) is taken off. Of red, green, blue and their mean the one that tells part and paper apart
best is kept.
"""

from __future__ import annotations

import stat
import warnings
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageOps, UnidentifiedImageError

from ribwright.errors import Fault, InputError

FORMATS = ("PNG", "JPEG", "TIFF", "BMP")
MOST_PIXELS = 60_000_000
MOST_BYTES = 200_000_000
LEAST_SIDE, MOST_SIDE = 100, 30_000
FULL = 65535.0
EXIF, OF_LENS = 0x8769, (0x829D, 0x920A)  # where a camera writes its f-number and focal length
SAMPLE = 500_000  # pixels that a channel is chosen by
CHANNELS = ("red", "green", "blue", "all three")
Light = NDArray[np.uint16]


@dataclass(frozen=True, eq=False)
class Picture:
    """`light` (rows, columns), 0 to 65535 in proportion to light; `channel` of CHANNELS, or "grey"; `lens`: the file says that it was
    taken through one."""

    light: Light
    channel: str
    lens: bool = False


def read_picture(path: Path) -> Picture:
    """The picture of a file. InputError where there is none, it is too large, or no picture of a known kind."""
    _check_file(path)
    try:
        with warnings.catch_warnings():
            # of odd tags, and of sizes: the bound is ours, checked before a pixel is read
            warnings.simplefilter("ignore")
            with Image.open(path, formats=FORMATS) as opened:
                _check_size(path, opened.size)
                taken = opened.getexif().get_ifd(EXIF)
                return replace(_light(ImageOps.exif_transpose(opened)), lens=any(key in taken for key in OF_LENS))
    except InputError:
        raise
    except (UnidentifiedImageError, Image.DecompressionBombError):
        raise _fault(path, "no picture of a known kind", ", ".join(FORMATS)) from None
    except Exception as error:
        # whatever a decoder says of a broken file
        raise _fault(path, f"a picture that cannot be read ({str(error)[:80]})", "a whole picture file") from None


def _check_file(path: Path) -> None:
    try:
        state = path.stat()
    except (OSError, ValueError):
        raise _fault(
            path, "no such file", "the picture that the line image = names, beside the file of measurements"
        ) from None
    if not stat.S_ISREG(state.st_mode):
        raise _fault(path, "not a regular file", "a picture: " + ", ".join(FORMATS))
    if state.st_size > MOST_BYTES:
        raise _fault(path, f"{state.st_size / 1e6:.0f} MB", f"a picture file of at most {MOST_BYTES / 1e6:.0f} MB")


def _check_size(path: Path, size: tuple[int, int]) -> None:
    w, h = size
    if w * h > MOST_PIXELS or max(w, h) > MOST_SIDE:
        raise _fault(path, f"{w} x {h} pixels", f"at most {MOST_PIXELS / 1e6:.0f} million pixels: save it smaller")
    if min(w, h) < LEAST_SIDE:
        raise _fault(path, f"{w} x {h} pixels", f"at least {LEAST_SIDE} pixels each way")


def _light(image: Image.Image) -> Picture:
    if image.mode in ("I;16", "I;16B", "I;16L", "I", "F"):
        grey = np.asarray(image, np.float64)
        most = FULL if grey.max(initial=0.0) > 255.0 else 255.0
        # files of 16 bits are coded like those of 8
        return Picture(_linear(np.clip(grey / most, 0.0, 1.0)), "grey")
    if image.mode in ("L", "1", "LA"):
        return Picture(_table()[np.asarray(image.convert("L"))], "grey")
    if "A" in image.mode or "transparency" in image.info:
        image = image.convert("RGBA")
        white = Image.new("RGBA", image.size, "white")
        image = Image.alpha_composite(white, image)
    rgb = np.asarray(image.convert("RGB"))
    k = _clearest(rgb)
    table = _table()
    if k < 3:
        light = table[rgb[:, :, k]]
    else:
        light = np.empty(rgb.shape[:2], np.uint16)
        for row in range(0, len(rgb), 256):  # in strips: the mean of three needs room
            light[row : row + 256] = table[rgb[row : row + 256]].mean(axis=2)
    names = "grey" if k == 3 and (rgb[::16, ::16, 0] == rgb[::16, ::16, 1]).all() else CHANNELS[k]
    return Picture(np.ascontiguousarray(light), names)


def _linear(coded: NDArray[np.float64]) -> Light:
    """Light of coded values 0 to 1 by IEC 61966-2-1."""
    light = np.where(coded <= 0.04045, coded / 12.92, ((coded + 0.055) / 1.055) ** 2.4)
    return np.asarray(np.round(FULL * light), np.uint16)


def _table() -> Light:
    return _linear(np.arange(256) / 255.0)


def _clearest(rgb: NDArray[Any]) -> int:
    """Which of red, green, blue (0 to 2) or their mean (3) falls into two classes best; the mean where it is as good."""
    step = max(1, int(np.sqrt(rgb.shape[0] * rgb.shape[1] / SAMPLE)))
    few = _table()[rgb[::step, ::step]].astype(np.float64)
    rows = [*(few[:, :, k] for k in range(3)), few.mean(axis=2)]
    worth = [parted(r) for r in rows]
    best = int(np.argmax(worth))
    return best if worth[best] > worth[3] + 0.02 else 3


def parted(values: NDArray[np.float64]) -> float:
    """How well values fall into two classes, 0 to 1: variance between the classes over all of it, at the best level (N. Otsu, IEEE SMC 9
    (1979) 62)."""
    v = values.ravel()
    total = v.var()
    if total <= 0.0:
        return 0.0
    count, edges = np.histogram(v, bins=256)
    middle = (edges[1:] + edges[:-1]) / 2.0
    below = np.cumsum(count)
    w0, w1 = below[:-1] / below[-1], 1.0 - below[:-1] / below[-1]
    sums = np.cumsum(count * middle)
    with np.errstate(divide="ignore", invalid="ignore"):
        m0, m1 = sums[:-1] / below[:-1], (sums[-1] - sums[:-1]) / (below[-1] - below[:-1])
        between = np.nan_to_num(w0 * w1 * (m0 - m1) ** 2)
    return float(min(between.max() / total, 1.0))


def _fault(path: Path, found: str, allowed: str) -> InputError:
    return InputError([Fault(str(path), "the picture", found, allowed)])
