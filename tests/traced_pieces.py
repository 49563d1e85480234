"""Pieces of known deviation and their pictures: a drawn outline moved by a known amount along its normal, holes moved by known amounts,
laid anywhere on a sheet with marks, pictured with faults. The truth is what was put in; nothing of the reader or the fit is used."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np
import shapely
from scipy.spatial import cKDTree

from pictures import CROSS, DISC, Faults, mark, picture, seen_by
from ribwright.stages.seen_lines import SeenLines

Field = Callable[[np.ndarray], np.ndarray]


@dataclass(frozen=True, eq=False)
class Piece:
    """`rings` on the drawing [mm]; `off` deviation at places (n, 2), + metal outside; `drift` of holes by name."""

    rings: tuple[np.ndarray, ...]
    off: Field
    drift: dict[str, np.ndarray]


def wave(rng: np.random.Generator, size: float) -> Field:
    """A smooth deviation up to about `size` over the sheet."""
    k, phase, share = rng.uniform(-0.05, 0.05, (3, 2)), rng.uniform(0, 6.3, 3), rng.uniform(-1, 1, 3) * size / 1.5
    return lambda p: (share * np.sin(np.asarray(p) @ k.T + phase)).sum(axis=1)


def _moved(ring: np.ndarray, off: Field) -> np.ndarray:
    p = np.array(shapely.segmentize(shapely.LinearRing(ring), 1.0).coords)[:-1]
    # square to each chord, both chords of a corner: an edge stays where its own deviation puts it
    u = np.roll(p, -1, axis=0) - p
    n = np.column_stack([u[:, 1], -u[:, 0]]) / np.hypot(*u.T)[:, None]
    before = np.roll(n, 1, axis=0)
    both = (n + before) / (1.0 + (n * before).sum(axis=1))[:, None]
    smooth = (n * before).sum(axis=1) > 0.2
    return p + np.where(smooth[:, None], both, 0.0) * off(p)[:, None]


def leaning(lines: SeenLines, shift: dict[str, float]) -> Field:
    """A deviation by edge, of what an angle that is off does to the silhouette: `shift` by name [mm], 0 of others."""
    at = np.concatenate([e.line for e in lines.edges])
    owner = np.concatenate([np.full(len(e.line), shift.get(e.name, 0.0)) for e in lines.edges])
    ends = np.concatenate([np.arange(len(e.line)) for e in lines.edges])
    dense = [np.linspace(p, q, 40, endpoint=False) for p, q, k in zip(at[:-1], at[1:], ends[1:], strict=True) if k > 0]
    mine = [np.full(40, o) for o, k in zip(owner[1:], ends[1:], strict=True) if k > 0]
    tree, value = cKDTree(np.concatenate(dense)), np.concatenate(mine)
    return lambda p: value[tree.query(p)[1]]


def piece(lines: SeenLines, rng: np.random.Generator, size: float = 0.4, lean: dict[str, float] | None = None) -> Piece:
    """A piece off its drawing by a smooth deviation; holes that take no pin drifted; flanges that lean, which is no part of `off`."""
    off = wave(rng, size)
    more = leaning(lines, lean or {})
    rings, drift = [_moved(r, lambda p: off(p) + more(p)) for r in lines.rings], {}
    for h in lines.holes:
        d = np.zeros(2) if h.takes_pin else rng.normal(0.0, 0.2, 2)
        drift[h.hole.name] = d
        r = (h.diameter or h.hole.diameter) / 2.0
        a = np.linspace(0.0, -2.0 * np.pi, 120, endpoint=False)
        c = np.column_stack([np.cos(a), np.sin(a)])
        if h.hole.slot:
            t = np.radians(h.hole.slot_angle)
            long = np.array([np.cos(t), np.sin(t)])
            rings.append(h.hole.at + d + r * c + np.where(c @ long > 0, 0.5, -0.5)[:, None] * h.hole.slot * long)
        else:
            rings.append(h.hole.at + d + r * c)
    return Piece(tuple(rings), off, drift)


@dataclass(frozen=True, eq=False)
class Sheet:
    """How a piece lay and was pictured. `turn` [rad] of the piece on the sheet; `mm` a pixel; `tilt` of the look [1/pixel of the sheet's
    far side], unequal scale `unequal`; marks `places` as measured with `known` standard uncertainty [mm]."""

    turn: float = 0.1
    mm: float = 0.3
    tilt: tuple[float, float] = (0.05, -0.08)
    unequal: float = 1.02
    marks: int = 4
    kind: str = DISC
    known: float = 0.025
    mirrored: bool = False
    faults: Faults = field(default_factory=Faults)


def some_sheet(rng: np.random.Generator) -> Sheet:
    """Any of what a shop may do."""
    shadow = (rng.uniform(-4, 4), rng.uniform(-4, 4), rng.uniform(0.0, 0.2)) if rng.random() < 0.4 else (0.0, 0.0, 0.0)
    dark = rng.random() < 0.25
    faults = Faults(
        paper=0.08 if dark else rng.uniform(0.7, 0.95), metal=rng.uniform(0.5, 0.7) if dark else rng.uniform(0.05, 0.35),
        blur=rng.uniform(0.6, 1.5), noise=rng.uniform(0.004, 0.025), fall=rng.uniform(0.0, 0.3),
        shadow=shadow if not dark else (0.0, 0.0, 0.0), specks=int(rng.integers(0, 8)), quality=int(rng.choice([0, 80, 92])),
        exponent=float(rng.choice([0.0, 1.8, 2.0, 2.4])),
    )  # fmt: skip
    return Sheet(
        turn=rng.uniform(-0.4, 0.4) + (np.pi if rng.random() < 0.2 else 0.0), mm=rng.uniform(0.28, 0.4),
        tilt=(rng.uniform(-0.1, 0.1), rng.uniform(-0.1, 0.1)), unequal=rng.uniform(0.96, 1.04), marks=int(rng.choice([4, 4, 5, 6])),
        kind=str(rng.choice([DISC, CROSS])), faults=faults,
    )  # fmt: skip


def write(folder: Path, made: Piece, sheet: Sheet, seed: int, head: str, units: float = 1.0) -> Path:
    """Picture and file of marks in a folder; `head` more lines of it; places of the marks over `units`."""
    rng = np.random.default_rng(seed + 7)
    c, s = np.cos(sheet.turn), np.sin(sheet.turn)
    flip = np.array([-1.0, 1.0]) if sheet.mirrored else np.ones(2)
    laid = [(r * flip) @ np.array([[c, s], [-s, c]]) for r in made.rings]
    low, high = laid[0].min(axis=0) - 14.0, laid[0].max(axis=0) + 14.0
    w, h = high - low
    shift = rng.uniform(-30, 30, 2)
    laid = [r - low + shift for r in laid]
    at = np.array([(0, 0), (w, 0), (w, h), (0, h), (w / 2, 0), (0, h / 2)])[: sheet.marks] + shift
    k = 1.0 / sheet.mm
    # the picture: y downward, a margin of 20 pixels, tilt over the sheet's size
    to = np.array(
        [
            [k, 0.0, 20.0 - k * shift[0]],
            [0.0, -k / sheet.unequal, 20.0 + k / sheet.unequal * (h + shift[1])],
            [0.0, 0.0, 1.0],
        ]
    )
    to = np.array([[1, 0.02, 0], [-0.015, 1, 0], [sheet.tilt[0] / (k * w), sheet.tilt[1] / (k * h), 1]]) @ to
    corners = seen_by(to, np.array([(0, 0), (w, 0), (w, h), (0, h)]) + shift)
    margin = max(22.0, 5.0 / sheet.mm)
    off = corners.min(axis=0) - margin
    to = np.array([[1, 0, -off[0]], [0, 1, -off[1]], [0, 0, 1]]) @ to
    size = np.ceil(np.ptp(corners, axis=0) + 2.0 * margin).astype(int)
    kinds = [mark(sheet.kind, (float(x), float(y)), 3.0) for x, y in at]
    name = "piece.jpg" if sheet.faults.quality else "piece.png"
    (folder / name).write_bytes(picture(to, (int(size[0]), int(size[1])), laid, kinds, sheet.faults, seed))
    typed = (at + rng.normal(0.0, sheet.known, at.shape)) / units
    pixel = np.maximum(seen_by(to, at) + rng.uniform(-3, 3, at.shape), 0)
    rows = "".join(
        f"M{i}, {p[0]:.0f}, {p[1]:.0f}, {q[0]:.5f}, {q[1]:.5f}\n"
        for i, (p, q) in enumerate(zip(pixel, typed, strict=True))
    )
    file = folder / "marks.csv"
    file.write_text(f"# image = {name}\n{head}mark, px, py, x, y\n{rows}")
    return file


def with_faults(sheet: Sheet, **changed: object) -> Sheet:
    """The sheet with other faults."""
    return replace(sheet, faults=replace(sheet.faults, **changed))  # type: ignore[arg-type]
