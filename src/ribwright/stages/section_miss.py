"""How far the section model itself may be off: a small table, each figure with its source. None is from a real formed part.

Every row that fits a flange counts, as independent standard deviations of its released angle.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from ribwright.mechanics.sheet_law import SheetLaw
from ribwright.shop.shop import Press

MODEL_SD_DEG = 0.3  # against a continuum solver, uniform pressure, straight flange; soft sheet, and any up to 14 MPa
# hard sheet, by pressure [MPa]: how much a block as hard as the continuum's takes off the springback of 2024-T3 1.0 mm, R 3 (0.15, 0.46,
# 0.92 deg: anywhere between, so over sqrt 3), and the continuum's own doubt of 0.24 deg; docs/SECTION.md, Held against, and decision 0028
HARD_SD_DEG = ((14.0, 35.0, 70.0), (0.3, 0.45, 0.65))
TIGHT, HARD_SHORE, SOFT_MPA, SOFT_AT, HIGH_MPA = 2.0, 80.0, 200.0, 0.02, 35.0
NOT_COMPARED = "not compared with a real formed part"


@dataclass(frozen=True)
class Miss:
    """One reason for the model to be off: name, standard deviation [deg], source; `unverified` in words, "" where the model was
    held against something there."""

    name: str
    sd: float
    source: str
    unverified: str = ""


CONTINUUM = Miss(
    "section model",
    MODEL_SD_DEG,
    "eleven runs of straight flanges against a continuum solver: within 0.16 deg at R/t 3, soft sheet under 0.2 deg were the block as "
    "hard; no formed part",
)
HARD_SHEET = (
    "eleven runs of straight flanges against a continuum solver; hard sheet: a block as hard as its own takes 0.15, 0.5 and 0.9 deg off at "
    "14, 35 and 70 MPa, and it is itself in doubt by 0.24 deg; no formed part"
)
# pad model and strip, released, in docs/section_pad.md: eight sections at 60 Shore A, 3.5 to 70 MPa
RUBBER = Miss(
    "rubber instead of a uniform pressure",
    0.35,
    "closed flanges of 1.6 mm under our pad model: 0.23 deg rms; 26 points of an earlier one: 0.35",
)
RUBBER_THIN = Miss(
    "rubber instead of a uniform pressure",
    0.8,
    "flanges of 0.8 mm, R/t 3, under our pad model: 0.79 deg rms, at most 1.5",
)
RUBBER_THIN_TIGHT = Miss(
    "rubber instead of a uniform pressure",
    1.7,
    "flanges of 0.8 mm, R/t 1.5, under our pad model: 1.67 deg rms, at most 2.9",
)
THIN_MM = 1.2  # between the sheets that were compared
TIGHT_BEND = Miss(
    "tight bend",
    0.6,
    "one flange of R/t 1.5 against a continuum solver: 0.27 deg, and that solver moved by 0.55 deg on a finer mesh",
    "bend radius under 2 thicknesses",
)
HARD_PAD = Miss(
    "hard pad",
    1.15,
    "25 closed points at 90 Shore A under our pad model: 1.14 deg rms, at most 2.5; 2 points of an earlier study: 1.1",
    "pad of 80 Shore A or harder",
)
SOFT_SHEET = Miss(
    "soft sheet under high pressure",
    1.0,
    "an earlier study: over 35 MPa strip and pad model part by about 1 deg",
    "soft sheet over 35 MPa",
)
CURVED = Miss(
    "curved flange",
    0.5,
    "one shrink flange and one hole against a continuum solver: springback within 0.2 deg, the hole released within 0.4 deg; no "
    "gentle curve, whose hoop stress moves it more",
    "curved flange: one sharp curve and one hole were held against a continuum, no gentle curve",
)
FLUTED = "flutes and wrinkles"  # a cause of its own: by how much a whole ring would stand more open, of runs
RING_STOPPED = "the section model stopped on the whole ring: how far the band reaches on the open side is not known"


def fluted(relieved: str) -> str:
    """Why an edge that is taken as straight is unverified, in words."""
    return f"edge that shrinks, taken as straight because {relieved}: as a whole ring it would spring more, up to the far end of the band"


def misses(
    law: SheetLaw, t: float, radius: float, axis: float | None, pressure: float, press: Press | None
) -> tuple[Miss, ...]:
    """What may be off for a flange of inside radius `radius` and plan radius `axis` [mm] at `pressure` [MPa]; `press` None: a
    fluid."""
    hard = float(law.curve.stress(np.array(SOFT_AT))) >= SOFT_MPA
    rows = [replace(CONTINUUM, sd=float(np.interp(pressure, *HARD_SD_DEG)), source=HARD_SHEET) if hard else CONTINUUM]
    rubber = press is not None and press.kind != "fluid"
    if rubber:
        rows.append(RUBBER if t >= THIN_MM else RUBBER_THIN_TIGHT if radius < TIGHT * t else RUBBER_THIN)
    if radius < TIGHT * t:
        rows.append(TIGHT_BEND)
    if rubber and press is not None and max(layer.shore_a for layer in press.pad.stack) >= HARD_SHORE:
        rows.append(HARD_PAD)
    if pressure > HIGH_MPA and not hard:
        rows.append(SOFT_SHEET)
    if axis is not None:
        rows.append(CURVED)
    return tuple(rows)


def unverified(rows: tuple[Miss, ...]) -> str:
    """Why the model was not checked for such a flange, in words; "" where it was."""
    return "; ".join(r.unverified for r in rows if r.unverified)
