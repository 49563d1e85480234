"""A trial of the springback book on shops whose truth is known: what is forecast of the next piece and the next block after some pieces.

Any module of shops will do that has `Shop(seed)` with flange, forecast, cut, form and angle, and `forecast_undercut`, as
tests/shop_of_truth.py. Used by tests/mechanics/test_shop_bias.py (few shops) and benchmarks/springback_book.py (many).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from types import ModuleType
from typing import Any

import numpy as np

from ribwright.mechanics.shop_bias import Asked, Measured, learn

Z90 = 1.645
WAYS = (
    "book",
    "none",
    "mean",
    "last",
)  # learned; no learning; plain mean of the residuals; those of the last piece alone
CASES = {
    "same lot": "next piece and next block of the part that was measured, same lot",
    "next lot": "the same, of a lot not seen",
    "other part": "a part not measured of an alloy that was, lot not seen; each measured piece was another part",
}
SLIP, WIDE = "slip of one reading", "one whole piece off"
GROSS = 8.0


class Ids:
    """Names to numbers."""

    def __init__(self) -> None:
        self.of: dict[str, int] = {}

    def __call__(self, name: str) -> int:
        return self.of.setdefault(name, len(self.of))


@dataclass
class Notes:
    """The book of one shop while it is written: rows of what `Measured` holds."""

    alloy: Ids = field(default_factory=Ids)
    flange: Ids = field(default_factory=Ids)
    lot: Ids = field(default_factory=Ids)
    block: Ids = field(default_factory=Ids)
    rows: list[tuple[Any, ...]] = field(default_factory=list)
    gauge_sd: float = 0.15

    def conditions(self, shop: Any, flange: Any, undercut: float) -> tuple[Any, ...]:
        f = shop.forecast(flange, undercut)
        return (
            f.model, f.tooling, f.piece, f.springback, flange.pressure, flange.radius / flange.thickness, flange.curvature,
            self.alloy(flange.alloy), self.flange(flange.name),
        )  # fmt: skip

    def add(self, shop: Any, piece: Any, serial: int, block: str, gross: str = "") -> None:
        flange, undercut = piece.block.flange, piece.block.undercut
        known = self.conditions(shop, flange, undercut)
        off = piece.measured - shop.forecast(flange, undercut).angle
        if gross == SLIP:
            off[0] += GROSS
        elif gross == WIDE:
            off += GROSS
        self.rows += [(*known, self.lot(piece.lot), self.block(block), e, self.gauge_sd, serial) for e in off]

    def measured(self) -> Measured:
        columns = list(zip(*self.rows, strict=True)) if self.rows else [()] * 14
        whole = (7, 8, 9, 10, 13)
        return Measured(*(np.array(c, np.intp if i in whole else float) for i, c in enumerate(columns)))

    def asked(self, shop: Any, flange: Any, undercut: float, lot: str, block: str) -> Asked:
        """The number -1 for a name not in the book."""
        row = (*self.conditions(shop, flange, undercut), self.lot.of.get(lot, -1), self.block.of.get(block, -1))
        return Asked(*(np.array([x], np.intp if i >= 7 else float) for i, x in enumerate(row)))


@dataclass(frozen=True)
class Try:
    """One shop after some pieces: by each way the forecast's error for the next piece's angle at a place [deg] and how far the mean of the
    next block's pieces lies off the drawing [deg]; half width of the book's 90 % band and of the forecast's own, whether they held, and
    whether the band of the next block's mean did; whether what was gross was named, and how many others were."""

    error: dict[str, float]
    block: dict[str, float]
    half: float
    own_half: float
    held: bool
    own_held: bool
    block_held: bool
    gross_named: bool
    others_named: int


def after(truth: ModuleType, seed: int, pieces: int, case: str, gross: str = "", places: int = 3) -> Try:
    """One shop's first `pieces` measured pieces, and what comes next."""
    shop, notes = truth.Shop(seed), Notes(gauge_sd=truth.GAUGE_SD)
    first = shop.flange("part 0")
    low = truth.forecast_undercut(first)
    old = shop.cut(first, low)
    last: np.ndarray = np.zeros(1)
    bad = pieces // 2 if gross else -1
    for i in range(pieces):
        flange, block, name = first, old, "block 0"
        lot = f"lot {i // 5}" if case == "same lot" else f"lot {i // 2}"
        if case == "other part":
            flange = shop.flange(f"part {i + 1}", first.alloy)
            block, name = shop.cut(flange, truth.forecast_undercut(flange)), f"block {i + 1}"
        notes.add(shop, shop.form(block, lot, places), i, name, gross if i == bad else "")
        last = np.array([r[11] for r in notes.rows[-places:]])
    lot = f"lot {max(pieces - 1, 0) // 5}" if case == "same lot" else "lot next"
    target = first
    measured = notes.measured()
    learned = learn(measured)
    off_old = "block 0" if case != "other part" else "block of the new part"
    s = learned.of(notes.asked(shop, target, low, lot, off_old))
    shift = {"book": float(s.mean[0]), "none": 0.0, "mean": 0.0, "last": 0.0}
    if pieces:
        shift |= {"mean": float(measured.residual.mean()), "last": float(last.mean())}
    came = float(shop.form(old, lot, places).true[-1])
    here = shop.forecast(target, low)
    error = {way: came - here.angle - x for way, x in shift.items()}
    half, own_half = Z90 * float(s.sd[0]), Z90 * float(s.prior_sd[0])
    block, block_sd = {}, 0.0
    for way in WAYS:
        u, x = low, shift[way]
        for _ in range(3):
            if way == "book":
                next_one = learned.of(notes.asked(shop, target, u, lot, "next block"))
                x, block_sd = float(next_one.mean[0]), float(next_one.sd_mean[0])
            u -= shop.forecast(target, u).angle + x - target.angle
        new = shop.cut(target, u)
        block[way] = shop.angle(target, lot, new.wall) - target.angle
    row = bad * places
    spoiled = range(row, row + (1 if gross == SLIP else places)) if gross else range(0)
    named = all(learned.outlier[r] for r in spoiled)
    others = int(sum(learned.outlier)) - sum(int(learned.outlier[r]) for r in spoiled)
    return Try(
        error, block, half, own_half, abs(error["book"]) <= half, abs(error["none"]) <= own_half,
        abs(block["book"]) <= Z90 * block_sd, bool(gross) and named, others
    )  # fmt: skip


def table(truth: ModuleType, seeds: range, pieces: int, case: str, gross: str = "") -> dict[str, Any]:
    """What many shops came to: rms and 90 % point of errors, band, coverage, share of next blocks within 0.5 deg."""
    tries = [after(truth, seed, pieces, case, gross) for seed in seeds]
    out: dict[str, Any] = {"case": case, "pieces": pieces, "gross": gross, "shops": len(tries)}
    for way in WAYS:
        e, b = (np.array([getattr(t, k)[way] for t in tries]) for k in ("error", "block"))
        out[way] = {
            "rms": float(np.sqrt(np.mean(e**2))),
            "median": float(np.median(np.abs(e))),
            "block_within_half": float(np.mean(np.abs(b) <= 0.5)),
            "block_rms": float(np.sqrt(np.mean(b**2))),
        }
    out["band_half"] = float(np.mean([t.half for t in tries]))
    out["own_half"] = float(np.mean([t.own_half for t in tries]))
    out["coverage"] = float(np.mean([t.held for t in tries]))
    out["block_coverage"] = float(np.mean([t.block_held for t in tries]))
    out["own_coverage"] = float(np.mean([t.own_held for t in tries]))
    out["gross_named"] = float(np.mean([t.gross_named for t in tries]))
    out["others_named"] = float(np.sum([t.others_named for t in tries]) / max(len(tries) * pieces * 3, 1))
    return out


def many(truth: ModuleType, seeds: range, pieces: int, flanges: int, new: int = 5) -> dict[str, Any]:
    """A shop with many parts of several alloys: `new` parts not measured, of alloys that were, of lots not seen. The book, the book held to
    an offset, and no learning."""
    rows, chosen = [], []
    for seed in seeds:
        shop, notes = truth.Shop(seed), Notes(gauge_sd=truth.GAUGE_SD)
        parts = [shop.flange(f"part {i}") for i in range(flanges)]
        blocks = [shop.cut(f, truth.forecast_undercut(f)) for f in parts]
        for i in range(pieces):
            k = i % flanges
            notes.add(shop, shop.form(blocks[k], f"{parts[k].alloy} {i // (2 * flanges)}", 3), i, f"block {k}")
        books = [learn(notes.measured(), richer=r) for r in (True, False)]
        chosen.append(books[0].chosen)
        for j in range(new):
            flange = shop.flange(f"new {j}", parts[j % flanges].alloy)
            u = truth.forecast_undercut(flange)
            came = float(shop.form(shop.cut(flange, u), f"lot of new {j}", 1).true[0])
            told = [b.of(notes.asked(shop, flange, u, "none", "none")) for b in books]
            off = came - shop.forecast(flange, u).angle
            rows.append([x for s in told for x in (off - s.mean[0], Z90 * s.sd[0])] + [off, Z90 * told[0].prior_sd[0]])
    r = np.array(rows)
    out: dict[str, Any] = {"pieces": pieces, "flanges": flanges, "shops": len(chosen)}
    for i, way in enumerate(("book", "offset", "none")):
        e, half = r[:, 2 * i], r[:, 2 * i + 1]
        out[way] = {
            "rms": float(np.sqrt(np.mean(e**2))),
            "band_half": float(half.mean()),
            "coverage": float(np.mean(np.abs(e) <= half)),
        }
    out["chosen"] = {name: chosen.count(name) for name in sorted(set(chosen), key=lambda c: -chosen.count(c))}
    return out
