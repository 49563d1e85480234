"""The trial of tests/book_study.py on the second generator of shops (tests/second_shop_of_truth.py), whose rules nobody looked at while the
learning was made: the same questions, places of a part each with their own angle, radius and curvature.
"""

from __future__ import annotations

from typing import Any

import numpy as np

import book_study as study
import second_shop_of_truth as truth
from ribwright.mechanics.shop_bias import Asked, Learned, Measured, learn


class Pages:
    """The book of one shop: rows of readings under the names that a shop gives."""

    def __init__(self) -> None:
        self.ids = {kind: study.Ids() for kind in ("alloy", "flange", "lot", "block", "serial")}
        self.rows: list[tuple[Any, ...]] = []

    def add(self, readings: list[Any], block: str, off: np.ndarray) -> None:
        for r, more in zip(readings, off, strict=True):
            ids = (r.metal, (r.part, r.place), r.lot, block, (r.part, r.piece))
            alloy, flange, lot, cut, serial = (self.ids[k](n) for k, n in zip(self.ids, ids, strict=True))
            self.rows.append((*conditions(r), alloy, flange, lot, cut, r.measured + more - r.forecast, r.u / 2, serial))

    def measured(self) -> Measured:
        columns = list(zip(*self.rows, strict=True)) if self.rows else [()] * 14
        return Measured(*(np.array(c, np.intp if i in (7, 8, 9, 10, 13) else float) for i, c in enumerate(columns)))

    def asked(self, readings: list[Any], lot: str, block: str) -> Asked:
        """Places of readings, of which only what was known before is used."""
        rows = [
            (
                *conditions(r),
                *(
                    self.ids[k].of.get(n, -1)
                    for k, n in zip(self.ids, (r.metal, (r.part, r.place), lot, block), strict=False)
                ),
            )
            for r in readings
        ]
        return Asked(*(np.array(c, np.intp if i >= 7 else float) for i, c in enumerate(zip(*rows, strict=True))))


def conditions(r: Any) -> tuple[float, ...]:
    return (
        r.sd_model,
        0.0,
        r.sd_piece,
        r.forecast_springback,
        r.pressure,
        r.radius / r.thickness,
        r.curvature / 1000.0,
    )


def after(seed: int, pieces: int, case: str, gross: str = "") -> dict[str, Any]:
    """One shop's first pieces, and what comes next: as `book_study.after`, over the places of the next piece."""
    shop, pages = truth.shop(seed), Pages()
    metal = sorted(truth.METALS)[seed % len(truth.METALS)]
    first = shop.part(metal)

    def cut(part: Any) -> list[float]:
        return [shop.asked_undercut(part, b) for b in part.places]

    last, bad = np.zeros(1), pieces // 2 if gross else -1
    spoiled: list[int] = []
    for i in range(pieces):
        part = shop.part(metal) if case == "other part" else first
        lot = f"lot {i // 5}" if case == "same lot" else f"lot {i // 2}"
        readings = shop.piece(part, lot, cut(part))
        off = np.zeros(len(readings))
        if i == bad:
            off[: 1 if gross == study.SLIP else None] = study.GROSS
            spoiled = [len(pages.rows) + k for k in np.flatnonzero(off)]
        pages.add(readings, f"block {part.name}", off)
        last = np.array([r[11] for r in pages.rows[-len(readings) :]])
    lot = f"lot {max(pieces - 1, 0) // 5}" if case == "same lot" else "lot next"
    measured = pages.measured()
    learned = learn(measured)
    old = cut(first)
    came = shop.piece(first, lot, old)
    s = learned.of(pages.asked(came, lot, f"block {first.name}"))
    plain = {"none": 0.0, "mean": 0.0, "last": 0.0}
    if pieces:
        plain |= {"mean": float(measured.residual.mean()), "last": float(last.mean())}
    off = np.array([r.true - r.forecast for r in came])
    error = {"book": off - s.mean} | {way: off - x for way, x in plain.items()}
    block = {way: _next_block(shop, first, came, lot, learned, pages, plain.get(way)) for way in study.WAYS}
    sure = study.Z90 * learned.of(pages.asked(came, lot, "next block")).sd_mean
    named = bool(gross) and all(learned.outlier[k] for k in spoiled)
    others = int(learned.outlier.sum()) - sum(int(learned.outlier[k]) for k in spoiled)
    return {
        "error": error, "block": block, "half": study.Z90 * s.sd, "own": study.Z90 * s.prior_sd, "sure": sure,
        "named": named, "others": others, "n": max(len(measured.residual), 1),
    }  # fmt: skip


def _next_block(
    shop: Any, part: Any, known: list[Any], lot: str, learned: Learned, pages: Pages, plain: float | None
) -> np.ndarray:
    """How far the mean of the next block's pieces lies off the drawing at each place [deg]: undercut by the forecast and the shift."""
    shift = learned.of(pages.asked(known, lot, "next block")).mean if plain is None else np.full(len(known), plain)
    out = []
    for place, x in zip(part.places, shift, strict=True):
        # the forecast gives back the same share s of the wall's angle: (angle + u)(1 - s) + shift = angle
        u = (place.angle - x) / (1.0 - shop.forecast_share(part, place)) - place.angle
        out.append(shop.true_mean(part, place, u, lot) - place.angle)
    return np.array(out)


def table(seeds: range, pieces: int, case: str, gross: str = "") -> dict[str, Any]:
    """What many shops came to, in the keys of `book_study.table`."""
    tries = [after(seed, pieces, case, gross) for seed in seeds]
    out: dict[str, Any] = {"case": case, "pieces": pieces, "gross": gross, "shops": len(tries)}
    for way in study.WAYS:
        e, b = (np.concatenate([t[k][way] for t in tries]) for k in ("error", "block"))
        out[way] = {
            "rms": float(np.sqrt(np.mean(e**2))),
            "median": float(np.median(np.abs(e))),
            "block_within_half": float(np.mean(np.abs(b) <= 0.5)),
            "block_rms": float(np.sqrt(np.mean(b**2))),
        }
    half, own, sure = (np.concatenate([t[k] for t in tries]) for k in ("half", "own", "sure"))
    made = np.concatenate([t["block"]["book"] for t in tries])
    out["block_coverage"] = float(np.mean(np.abs(made) <= sure))
    e, free = (np.concatenate([t["error"][way] for t in tries]) for way in ("book", "none"))
    out |= {"band_half": float(half.mean()), "own_half": float(own.mean())}
    out |= {"coverage": float(np.mean(np.abs(e) <= half)), "own_coverage": float(np.mean(np.abs(free) <= own))}
    out["gross_named"] = float(np.mean([t["named"] for t in tries]))
    out["others_named"] = float(np.sum([t["others"] for t in tries]) / np.sum([t["n"] for t in tries]))
    return out
