"""Locating pins, and every wrong way the blank could go onto them.

A wrong laying is a turn or a flip of the blank, other than the right one, that brings its holes onto the pins within
their fit. Pairs of holes are laid on the two farthest pins in every order and both faces up; what carries all pins counts.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import permutations, product
from math import hypot

import numpy as np
from numpy.typing import NDArray

from ribwright.features.part import Hole

Array = NDArray[np.float64]
Pair = tuple[float, float]
FIT_UNKNOWN = 0.1  # clearance taken where the part file gives no pin_fit [mm on diameter]


@dataclass(frozen=True)
class Pin:
    """A pin of the block: at the hole of the same name, smaller by the fit. `slot` > 0: its hole is a slot."""

    name: str
    at: Pair
    diameter: float
    hole_diameter: float
    slot: float = 0.0
    slot_angle: float = 0.0


@dataclass(frozen=True)
class WrongLaying:
    """A turn [deg] (after a flip about the y axis when `flipped`) and shift that also goes onto the pins.

    `stands_off` is the largest distance of the wrongly laid blank's edge from where it should be [mm].
    """

    flipped: bool
    turn_deg: float
    shift: Pair
    stands_off: float


def pins_of(holes: tuple[Hole, ...]) -> tuple[Pin, ...]:
    """One pin for each tooling hole."""
    return tuple(
        Pin(
            h.name,
            h.at,
            h.diameter - (h.pin_fit if h.pin_fit is not None else FIT_UNKNOWN),
            h.diameter,
            h.slot,
            h.slot_angle,
        )
        for h in holes
        if h.kind == "tooling"
    )


def wrong_layings(pins: tuple[Pin, ...], openings: tuple[Hole, ...], outline: Array) -> tuple[WrongLaying, ...]:
    """Every wrong laying onto two or more pins. `openings`: holes of the blank a pin may enter; outline (n, 2)."""
    if len(pins) < 2:
        return ()
    p, q = max(((a, b) for a in pins for b in pins), key=lambda ab: (_gap(ab[0].at, ab[1].at), ab[0].name))
    found: list[WrongLaying] = []
    for a, b in permutations(openings, 2):
        if abs(_gap(a.at, b.at) - _gap(p.at, q.at)) > _play(a, p) + _play(b, q):
            continue
        # the misfit of the two distances may go to either end: a slot takes all of it
        for flipped, share in product((False, True), (0.5, 0.0, 1.0)):
            motion = _motion(a.at, b.at, p.at, q.at, flipped, share)
            if _is_right(motion) or not _carries(motion, pins, openings):
                continue
            r, shift = motion
            moved = outline @ r.T + shift
            turn = float(np.degrees(np.arctan2(r[1, 0], r[0, 0] if not flipped else -r[0, 0])))
            w = WrongLaying(flipped, round(turn, 6), (float(shift[0]), float(shift[1])), stands_off(moved, outline))
            if not any(_same(w, x) for x in found):
                found.append(w)
    return tuple(found)


def stands_off(moved: Array, outline: Array) -> float:
    """Largest distance of the moved outline from the outline it should lie on [mm], looked at every 5 mm."""
    import shapely

    points = shapely.points(shapely.get_coordinates(shapely.segmentize(shapely.LinearRing(moved), 5.0)))
    ring = shapely.LinearRing(outline)
    shapely.prepare(ring)
    return float(np.max(shapely.distance(points, ring)))


def _gap(a: Pair, b: Pair) -> float:
    return hypot(a[0] - b[0], a[1] - b[1])


def _play(opening: Hole, pin: Pin) -> float:
    """How far an opening may sit off a pin and still go over it; negative when the pin is too big."""
    return (opening.diameter - pin.diameter) / 2 + opening.slot / 2


def _motion(a: Pair, b: Pair, p: Pair, q: Pair, flipped: bool, share: float) -> tuple[Array, Array]:
    """Rigid motion (matrix, shift) that lays a on p and turns b towards q, after a flip x -> -x; `share` of the misfit
    of the two distances is left at a, the rest at b."""
    f = np.diag([-1.0, 1.0]) if flipped else np.eye(2)
    u, v = f @ (np.array(b) - a), np.array(q) - p
    c, s = float(u @ v), float(u[0] * v[1] - u[1] * v[0])
    size = hypot(c, s)
    r = np.array([[c, -s], [s, c]]) / size @ f
    on_p, on_q = np.array(p) - r @ np.array(a), np.array(q) - r @ np.array(b)
    return r, (1 - share) * on_p + share * on_q


def _is_right(motion: tuple[Array, Array]) -> bool:
    r, shift = motion
    return bool(np.allclose(r, np.eye(2), atol=2e-3) and np.allclose(shift, 0, atol=2.0))


def _carries(motion: tuple[Array, Array], pins: tuple[Pin, ...], openings: tuple[Hole, ...]) -> bool:
    """Every pin stands in some opening, along a slot as far as the slot reaches."""
    r, shift = motion
    return all(any(_enters(r, shift, o, pin) for o in openings) for pin in pins)


def _enters(r: Array, shift: Array, opening: Hole, pin: Pin) -> bool:
    play = (opening.diameter - pin.diameter) / 2
    if play < -1e-9:
        return False
    off = np.array(pin.at) - (r @ np.array(opening.at) + shift)
    if opening.slot > 0:
        angle = np.radians(opening.slot_angle)
        axis = r @ np.array([np.cos(angle), np.sin(angle)])
        along = float(np.clip(off @ axis, -opening.slot / 2, opening.slot / 2))
        off = off - along * axis
    return float(np.hypot(*off)) <= play + 0.02


def _same(a: WrongLaying, b: WrongLaying) -> bool:
    return (
        a.flipped == b.flipped
        and abs((a.turn_deg - b.turn_deg + 180) % 360 - 180) < 0.2
        and _gap(a.shift, b.shift) < 0.5
    )
