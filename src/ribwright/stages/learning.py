"""What the springback book teaches about a part: how far the released angle lies off the forecast, and how surely that is known.

Each family of models learns from its own measurements alone: what the section model missed says nothing about the closed form. All
metals of the shop count, the same alloy and temper more, the same lot most (`mechanics.shop_bias`). Nothing here changes the book.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from dataclasses import dataclass, field
from functools import cached_property
from hashlib import sha256
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics import shop_bias
from ribwright.shop.springback_book import FAMILIES, Book, Observation, pieces
from ribwright.stages.stack import MODEL, PIECE, TOOLING

Array = NDArray[np.float64]
USUAL_PRESSURE = 7.0  # MPa, where no measurement says one: it then moves nothing
SOURCE = "the shop's springback book"
# what is left of a band's causes once the book has measured them
LEARNED_MODEL, LEARNED_PIECE = "the model, as the book leaves it", "piece to piece, by the book"
CORRECTED = ", corrected by {} measured piece{}"
MOST_NAMED = 12  # pieces told by name beside a number


@dataclass(frozen=True, eq=False)
class Asked:
    """Places of one flange: forecast springback and the forecast's own standard deviations by kind, arrays (m,) [deg]; R/t; curvature
    of its line [1/mm], + where the free edge is stretched."""

    owner: str
    springback: Array
    model: Array
    tooling: Array
    piece: Array
    ratio: float
    curvature: float = 0.0


@dataclass(frozen=True)
class Mover:
    """A measured piece and how far it moved a number [deg]; `weight` how much it was believed, 0 to 1."""

    piece: str
    date: str
    lot: str
    off: float
    moved: float
    weight: float


@dataclass(frozen=True, eq=False)
class Correction:
    """What was learned for places of a flange, arrays (m,) [deg].

    shift    of the released angle: expected is forecast + shift
    sd       of the next piece's angle; `prior` the same before anything was measured; `sd_mean` of the mean over pieces
    model, piece   what the standard deviations by kind have become; what the block adds (tooling) is as it was
    model_ratio, piece_ratio   over what they were
    moved    (m, n) what each of `observations` added to the shift
    """

    shift: Array
    sd: Array
    prior: Array
    sd_mean: Array
    model: Array
    piece: Array
    model_ratio: Array
    piece_ratio: Array
    moved: Array
    weight: Array
    observations: tuple[Observation, ...]

    @property
    def pieces(self) -> int:
        """How many pieces it was learned from."""
        return pieces(self.observations)

    def at(self, places: Array, along: Array) -> Correction:
        """The same at `along` (n,) of what is at `places` (m,), straight between them."""

        def there(values: Array) -> Array:
            return np.interp(along, places, values)

        moved = np.column_stack([there(self.moved[:, j]) for j in range(self.moved.shape[1])])
        return Correction(
            there(self.shift), there(self.sd), there(self.prior), there(self.sd_mean), there(self.model), there(self.piece),
            there(self.model_ratio), there(self.piece_ratio), moved, self.weight, self.observations,
        )  # fmt: skip

    def movers(self, i: int) -> tuple[Mover, ...]:
        """The pieces by what they moved place `i`, the most first; one row a piece."""
        rows: dict[tuple[str, str, str], list[int]] = {}
        for j, o in enumerate(self.observations):
            rows.setdefault(o.piece, []).append(j)
        made = []
        for key, mine in rows.items():
            o = self.observations[mine[-1]]
            off = float(np.mean([self.observations[j].off for j in mine]))
            made.append(
                Mover(
                    f"{key[0]} piece {key[2]}", o.date, o.lot, off, float(np.sum(self.moved[i, mine])),
                    float(np.mean(self.weight[mine])),
                )
            )  # fmt: skip
        return tuple(sorted(made, key=lambda m: (-abs(m.moved), m.piece)))


@dataclass(frozen=True, eq=False)
class Taught:
    """One family's measurements, learned from once and asked often. `ids` by what they name."""

    observations: tuple[Observation, ...]
    learned: shop_bias.Learned
    ids: dict[str, dict[Hashable, int]]
    pressure: float

    def correction(self, asked: Asked, material: str, part: str, lot: str, pressure: float | None) -> Correction:
        """What it has to say of places."""
        m = len(asked.springback)

        def whole(kind: str, key: Hashable) -> NDArray[np.int64]:
            return np.full(m, self.ids[kind].get(key, -1), dtype=np.int64)

        nothing = np.full(m, -1, dtype=np.int64)
        s = self.learned.of(
            shop_bias.Asked(
                asked.model, asked.tooling, asked.piece, asked.springback,
                np.full(m, self.pressure if pressure is None else pressure), np.full(m, asked.ratio), np.full(m, asked.curvature),
                whole("alloy", material), whole("flange", (part, asked.owner)),
                whole("lot", lot) if lot else nothing, nothing,
            )
        )  # fmt: skip
        model = np.sqrt(np.maximum(s.sd_mean**2 - asked.tooling**2, 0.0))
        piece = np.sqrt(np.maximum(s.sd**2 - s.sd_mean**2, 0.0))
        return Correction(
            s.mean, s.sd, s.prior_sd, s.sd_mean, model, piece, _over(model, asked.model), _over(piece, asked.piece),
            s.moved, self.learned.weight, self.observations,
        )  # fmt: skip


@dataclass(frozen=True, eq=False)
class Learned:
    """What a book has for one part: its metal as formed, its number, the lot that it will be made of ("": any). `curved`: the curvature
    of its flanges by name, as far as somebody worked it out."""

    book: Book
    material: str
    part: str
    lot: str = ""
    curved: dict[str, float] = field(default_factory=dict, repr=False)
    _kept: dict[Any, Correction] = field(default_factory=dict, repr=False)

    @cached_property
    def taught(self) -> dict[str, Taught]:
        """By family; those that have a measurement."""
        return {f: teach(rows) for f in FAMILIES if (rows := self.book.of(f))}

    def has(self, family: str) -> bool:
        """Whether a family has any measurement."""
        return bool(self.book.of(family))

    def correction(self, family: str, asked: Asked, pressure: float | None = None) -> Correction | None:
        """None where the family has no measurement."""
        if not self.has(family):
            return None
        arrays = (asked.springback, asked.model, asked.tooling, asked.piece)
        key = (family, asked.owner, asked.ratio, asked.curvature, pressure, *(a.tobytes() for a in arrays))
        if key not in self._kept:
            self._kept[key] = self.taught[family].correction(asked, self.material, self.part, self.lot, pressure)
        return self._kept[key]

    def named(self, model: str) -> dict[str, Any]:
        """What a plan by a model depends on, as plain values: the measurements that count, by a digest of what they say. With the
        section model also the closed form's: a flange may be left to it."""
        rows = [o for f in FAMILIES if f in (model, FAMILIES[0]) for o in self.book.of(f)]
        if not rows:
            return {}
        said = repr([(o.id, o.off, o.u, o.lot, o.foretold) for o in rows])
        return {
            "observations": len(rows),
            "pieces": pieces(tuple(rows)),
            "lot": self.lot,
            "digest": sha256(said.encode()).hexdigest()[:16],
        }


def learned_of(book: Book, material: str, part: str, lot: str) -> Learned | None:
    """None where nothing stands in the book."""
    return Learned(book, material, part, lot) if book.standing else None


def teach(rows: tuple[Observation, ...]) -> Taught:
    """The measurements of one family, learned from."""
    said = [o.pressure for o in rows if o.pressure is not None]
    usual = float(np.median(said)) if said else USUAL_PRESSURE

    def numbers(values: Iterable[float]) -> Array:
        return np.array(list(values), float)

    ids: dict[str, dict[Hashable, int]] = {}
    codes: dict[str, NDArray[np.int64]] = {}
    named: dict[str, list[Hashable]] = {
        "alloy": [o.material for o in rows],
        "flange": [(o.part, o.place) for o in rows],
        "lot": [o.lot for o in rows],
        "block": [(o.part, o.hand, o.block) for o in rows],
        "serial": [o.piece for o in rows],
    }
    for kind, keys in named.items():
        ids[kind] = {key: i for i, key in enumerate(dict.fromkeys(keys))}
        codes[kind] = np.array([ids[kind][key] for key in keys], dtype=np.int64)
    codes["lot"] = np.where([o.lot == "" for o in rows], -1, codes["lot"])
    measured = shop_bias.Measured(
        residual=numbers(o.off for o in rows),
        gauge=numbers(o.u / 2 for o in rows),
        model=numbers(o.foretold.sd_model for o in rows),
        tooling=numbers(o.foretold.sd_tooling for o in rows),
        piece=numbers(o.foretold.sd_piece for o in rows),
        springback=numbers(o.foretold.springback for o in rows),
        pressure=numbers(usual if o.pressure is None else o.pressure for o in rows),
        ratio=numbers(o.radius / o.thickness for o in rows),
        curvature=numbers(o.curvature for o in rows),
        **codes,
    )
    return Taught(rows, shop_bias.learn(measured), ids, usual)


def corrected_words(model: str, count: int) -> str:
    """A model's words once the book moved its answer; as they were where nothing was measured."""
    return model + CORRECTED.format(count, "" if count == 1 else "s") if count else model


def by_kind(rows: Iterable[tuple[str, float]]) -> dict[str, float]:
    """Standard deviation of each kind of `stages.stack`, of (kind, sd) taken as independent."""
    squares = {MODEL: 0.0, TOOLING: 0.0, PIECE: 0.0}
    for kind, sd in rows:
        squares[kind] += sd * sd
    return {k: v**0.5 for k, v in squares.items()}


def _over(now: Array, was: Array) -> Array:
    """Ratios; 1 where there was nothing to be narrowed."""
    return np.asarray(np.divide(now, was, out=np.ones(len(now)), where=was > 0.0))
