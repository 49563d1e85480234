"""The springback book read out: bias and coverage of the forecasts by metal and lot, and the measurements that stand apart.

Springback is told as positive when the flange opens: what was forecast, what came. Coverage is that of the bands that were told at the
time, each with the book as it stood then, so that it shows how good the forecasts were and not how well they fit afterwards.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

import numpy as np

from ribwright.shop.springback_book import FAMILIES, Book, Observation, pieces
from ribwright.stages.learning import Taught, teach

LAST = 20  # pieces of a group that count as the last ones


@dataclass(frozen=True, eq=False)
class Group:
    """The last pieces of a metal and lot by one family. `forecast`, `came`: mean springback [deg]; `spread` standard deviation of what
    came off the forecast; `bias` its mean, + closed; `bias_told`, `inside` of what was told then; `count` of angles."""

    family: str
    material: str
    lot: str
    pieces: int
    count: int
    forecast: float
    came: float
    spread: float | None
    bias: float
    bias_told: float
    inside: int

    @property
    def words(self) -> str:
        """'last 14 pieces: forecast 5.1, came 6.0 ± 0.8'."""
        spread = "" if self.spread is None else f" ± {self.spread:.1f}"
        many = "the one piece" if self.pieces == 1 else f"last {self.pieces} pieces"
        return f"{many}: forecast {self.forecast:.1f}, came {self.came:.1f}{spread} deg"


@dataclass(frozen=True)
class Apart:
    """A measurement that the learning hardly believes: how far it came off the forecast [deg], and its weight 0 to 1."""

    observation: Observation
    off: float
    weight: float


@dataclass(frozen=True, eq=False)
class Report:
    """The whole book. `chosen`: by family which form of learning was taken, and its held-out scores."""

    book: Book
    groups: tuple[Group, ...]
    apart: tuple[Apart, ...]
    chosen: dict[str, str]
    scores: dict[str, tuple[dict[str, Any], ...]]


def report(book: Book) -> Report:
    """Read out what stands in the book."""
    groups: list[Group] = []
    apart: list[Apart] = []
    chosen: dict[str, str] = {}
    scores: dict[str, tuple[dict[str, Any], ...]] = {}
    for family in FAMILIES:
        rows = book.of(family)
        if not rows:
            continue
        taught = teach(rows)
        chosen[family] = taught.learned.chosen
        scores[family] = tuple(asdict(score) for score in taught.learned.scores)
        apart += _apart(taught)
        keys = dict.fromkeys((o.material, o.lot) for o in rows)
        groups += [_group(family, m, lot, [o for o in rows if (o.material, o.lot) == (m, lot)]) for m, lot in keys]
    return Report(book, tuple(groups), tuple(apart), chosen, scores)


def report_answer(r: Report) -> dict[str, Any]:
    """The report under its JSON keys."""
    return {
        "file": r.book.file,
        "observations": len(r.book.standing),
        "pieces": pieces(r.book.standing),
        "groups": [
            {
                "model": g.family, "material": g.material, "lot": g.lot, "pieces": g.pieces, "angles": g.count,
                "forecast_springback_deg": g.forecast, "came_springback_deg": g.came, "spread_deg": g.spread,
                "bias_deg": g.bias, "bias_as_told_deg": g.bias_told, "inside_as_told": g.inside, "say": g.words,
            }
            for g in r.groups
        ],
        "outliers": [
            {"id": a.observation.id, **where_of(a.observation), "off_deg": a.off, "weight": a.weight} for a in r.apart
        ],
        "withdrawn": [{"id": w.id, "by": w.by, "why": w.why} for w in r.book.withdrawn],
        "learning": {f: {"chosen": r.chosen[f], "scores": list(r.scores[f])} for f in r.chosen},
    }  # fmt: skip


def where_of(o: Observation) -> dict[str, Any]:
    """Which place of which piece."""
    place = {"hole": o.place} if o.hole else {"edge": o.place, "along_mm": o.along}
    return {"part": o.part, "serial": o.serial, **place, "date": o.date, "lot": o.lot}


def _group(family: str, material: str, lot: str, rows: list[Observation]) -> Group:
    last = list(dict.fromkeys(o.piece for o in reversed(rows)))[:LAST]
    mine = [o for o in rows if o.piece in last]
    off = np.array([o.off for o in mine])
    back = np.array([o.foretold.springback for o in mine])
    return Group(
        family, material, lot, len(last), len(mine), float(np.mean(back)), float(np.mean(back - off)),
        float(np.std(off, ddof=1)) if len(off) > 1 else None, float(np.mean(off)), float(np.mean([o.off_told for o in mine])),
        sum(o.inside_told for o in mine),
    )  # fmt: skip


def _apart(taught: Taught) -> list[Apart]:
    found = taught.learned
    return [
        Apart(o, o.off, float(found.weight[i])) for i, o in enumerate(taught.observations) if bool(found.outlier[i])
    ]
