"""One length that a person knows, held against the table: a slip of units, or a scale that is off."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.geometry.fair import Fair
from ribwright.stages.finding import Finding
from ribwright.stages.table_lines import TableLine
from ribwright.units import MM_PER_IN, Unit, show_length

Array = NDArray[np.float64]
AGREES = 1e-3  # share of the length: a rule is read to 1 in 1000
SLIP = 0.05  # how far the ratio may be from 25.4 and still be a slip of units
KINDS = ("chord", "height", "upper", "lower", "contour")


@dataclass(frozen=True)
class KnownLength:
    """`what`: "chord" (from the least to the largest x), "height" (in y), or a line's y `at` x. `known` [mm] as typed."""

    what: str
    known: float
    at: float | None = None

    @property
    def words(self) -> str:
        """What it is, in words."""
        return self.what if self.at is None else f"{self.what} at x = {self.at:.6g} mm"


@dataclass(frozen=True)
class Scale:
    """`measured` [mm] in the table, or None where it has no such place; `ratio` measured over known; `slip`: a unit's, 25.4 or 1/25.4."""

    length: KnownLength
    measured: float | None
    ratio: float = 1.0
    agrees: bool = True
    slip: bool = False


def scale_of(length: KnownLength, lines: tuple[TableLine, ...], curves: tuple[Fair, ...]) -> Scale:
    """The length as the table has it. It agrees within 1 in 1000, or within the last digit typed and the curve's miss."""
    measured = _measured(length, lines, curves)
    if measured is None:
        return Scale(length, None, agrees=False)
    ratio = measured / length.known
    slack = max(
        AGREES * abs(length.known), *(line.step + float(f.off.max()) for line, f in zip(lines, curves, strict=True))
    )
    slip = any(abs(abs(ratio) / factor - 1.0) < SLIP for factor in (MM_PER_IN, 1.0 / MM_PER_IN))
    return Scale(length, measured, ratio, abs(measured - length.known) <= slack, slip)


def scale_findings(scale: Scale | None, first: Unit) -> list[Finding]:
    """A warning where no length was given, or where it does not agree; nothing where it does."""
    if scale is None:
        return [
            Finding(
                "scale-unproved",
                "warn",
                "No length was given that somebody knows: the table's scale and unit are as they stand in it, unproved.",
                'Measure one on the drawing or the part: --length "50 in=chord", --length "3.9 in=upper at 15 in".',
                source="the table",
            )
        ]
    if scale.agrees or scale.measured is None:
        return []
    way = "long" if scale.ratio > 1 else "short"
    table, known = show_length(scale.measured, first), show_length(scale.length.known, first)
    return [
        Finding(
            "scale-off",
            "warn",
            f"{scale.length.words} is {table} in the table and {known} as you know it: {100 * abs(scale.ratio - 1):.3g} % too {way}. "
            "Nothing is scaled.",
            "A print or a copy off its scale makes every ordinate wrong by the same share: find out which of the two is right.",
            {"length": scale.length.what},
            scale.ratio,
            1.0,
            AGREES - abs(scale.ratio - 1),
            "ratio",
            "--length",
        )
    ]


def _measured(length: KnownLength, lines: tuple[TableLine, ...], curves: tuple[Fair, ...]) -> float | None:
    points = np.concatenate([line.points for line in lines])
    if length.what in ("chord", "height"):
        return float(np.ptp(points[:, 0 if length.what == "chord" else 1]))
    for line, f in zip(lines, curves, strict=True):
        if line.name == length.what or line.nose is not None:
            y = y_at(line, f, length.what, float(length.at or 0.0))
            if y is not None:
                return y
    return None


def y_at(line: TableLine, f: Fair, side: str, x: float) -> float | None:
    """Height of the curve where a side passes x; None where it does not, or more than once."""
    s = at_x(f, x, *side_range(line, f, side))
    return float(f.curve.point(np.array(s))[0, 1]) if len(s) == 1 else None


def side_range(line: TableLine, f: Fair, side: str) -> tuple[float, float]:
    """Arc lengths between which a line is the side asked for."""
    if line.nose is None or side not in ("upper", "lower"):
        return 0.0, f.curve.length
    first = line.source[0][0] == side
    nose = float(f.at[line.nose])
    return (0.0, nose) if first else (nose, f.curve.length)


def at_x(f: Fair, x: float, first: float, last: float, thickness: float = 0.0) -> list[float]:
    """Arc lengths between two others at which the curve, or the line set in from it by `thickness` [mm], passes x."""
    from scipy.optimize import brentq

    def away(s: Array) -> Array:
        # the normal to the left of travel is (-ty, tx)
        return np.asarray(f.curve.point(s)[:, 0] - thickness * f.curve.tangent(s)[:, 1] - x)

    s = np.unique(np.concatenate([np.linspace(first, last, 257), f.at[(f.at > first) & (f.at < last)]]))
    off = away(s)
    off[np.abs(off) < 1e-9] = 0.0
    out = [float(v) for v in s[off == 0.0]]
    for i in np.flatnonzero(off[:-1] * off[1:] < 0):
        out.append(float(brentq(lambda v: float(away(np.array([v]))[0]), s[i], s[i + 1], xtol=1e-9)))
    return sorted(out)
