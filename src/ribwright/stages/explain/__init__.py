"""Every number of every answer, opened: what it is, formula, inputs, source, validity, band, and which key changes it.

One file a family of numbers. A new JSON key needs a `Family` in `FAMILIES` of the file it belongs to (or of a new file
listed here): the pattern of its path, the keys it depends on, and a function that tells it. A new code of finding needs a
row in `finding_codes`.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Any

from ribwright.stages.explain import (
    beads,
    blank_agreement,
    blank_edges,
    blank_holes,
    blank_outline,
    block_body,
    block_plate,
    block_recess,
    block_released,
    block_slab,
    block_solid,
    block_undercut,
    block_zones,
    booked,
    by_balance,
    by_book,
    by_section,
    circles,
    findings,
    fluting,
    forecast_model,
    forecast_place,
    inputs,
    inspected,
    joggles,
    notches,
    proposals,
    route,
    setup_place,
    setup_press,
    setup_pressure,
    setup_reach,
    strain_place,
    tolerances,
    under_pad,
)
from ribwright.stages.explain.causes import World
from ribwright.stages.explain.depends import Keys
from ribwright.stages.explain.explanation import Explanation, Told
from ribwright.stages.explain.family import Case, Family, Place
from ribwright.stages.explain.paths import at, named, numbers, resolved, unit_of
from ribwright.stages.plan import Plan

FAMILIES: tuple[Family, ...] = (
    *beads.FAMILIES,
    *blank_edges.FAMILIES,
    *blank_holes.FAMILIES,
    *blank_outline.FAMILIES,
    *notches.FAMILIES,
    *proposals.FAMILIES,
    *blank_agreement.FAMILIES,
    *fluting.FAMILIES,
    *block_undercut.FAMILIES,
    *block_recess.FAMILIES,
    *block_released.FAMILIES,
    *block_body.FAMILIES,
    *block_zones.FAMILIES,
    *block_plate.FAMILIES,
    *block_slab.FAMILIES,
    *block_solid.FAMILIES,
    *setup_pressure.FAMILIES,
    *setup_press.FAMILIES,
    *setup_place.FAMILIES,
    *setup_reach.FAMILIES,
    *tolerances.FAMILIES,
    *forecast_place.FAMILIES,
    *forecast_model.FAMILIES,
    *under_pad.FAMILIES,
    *circles.FAMILIES,
    *strain_place.FAMILIES,
    *route.FAMILIES,
    *findings.FAMILIES,
    *joggles.FAMILIES,
    *inspected.FAMILIES,
    *booked.FAMILIES,
    *inputs.FAMILIES,
)
NOT_WRITTEN = "No explanation is written for this number yet."


def family_of(path: str) -> tuple[Family, tuple[str, ...]] | None:
    """The family of a number, and what its pattern caught; None for a number nobody tells of."""
    family = _of_shape(re.sub(r"\[\d+\]", "[0]", path))
    caught = None if family is None else family.caught(path)
    return None if family is None or caught is None else (family, caught)


@lru_cache(maxsize=8192)
def _of_shape(path: str) -> Family | None:
    """The first family whose pattern fits: which index it is does not matter."""
    return next((f for f in FAMILIES if f.caught(path) is not None), None)


def _keys(world: World, family: Family, place: Place) -> Keys:
    """A family's keys; whatever hangs on the undercut hangs on what the section model takes, where it gave the undercut."""
    own = family.depends(place)
    if "method" in own:
        own = (*own, *by_balance.keys(world))
    hangs = "part.block_undercut" in own or place.path.startswith("block.undercut[")
    return (*own, *by_book.keys(world), *by_section.keys(world)) if hangs else own


def depends_on(world: World, path: str) -> tuple[str, ...]:
    """Patterns over `inputs` of the keys that can move a number. Reads the answer alone; one of another version may lack
    what a family reads: then nothing is claimed."""
    found = family_of(path)
    try:
        return () if found is None else _keys(world, found[0], Place(world, path, found[1]))
    except (KeyError, TypeError, IndexError):
        return ()


@dataclass(frozen=True, eq=False)
class Book:
    """A plan and its whole answer, any number of which opens."""

    plan: Plan
    answer: dict[str, Any]

    @cached_property
    def world(self) -> World:
        """The answer as the families read it."""
        return World(self.answer)

    def open(self, path: str) -> Explanation:
        """The explanation of a number. InputError with the nearest right path for one that is not there."""
        path = resolved(self.answer, path)
        found = family_of(path)
        value, unit = at(self.answer, path), unit_of(self.answer, path)
        shown = named(self.answer, path, self.world.names)
        if found is None:
            return Explanation(path, shown, value, unit, Told(NOT_WRITTEN, "formula"), ())
        family, caught = found
        case = Case(self.world, path, caught, self.plan)
        told = by_book.told(case, family.told(case))
        keys = self.world.keys(_keys(self.world, family, Place(self.world, path, caught)))
        return Explanation(path, shown, value, unit, told, keys)

    def listed(self) -> list[dict[str, Any]]:
        """Every number that opens: path, path by name, value, unit. `inputs` are left to the numbers that use them."""
        return [
            {"path": p, "named": named(self.answer, p, self.world.names), "value": v, "unit": unit_of(self.answer, p)}
            for p, v in numbers(self.answer).items()
            if not p.startswith("inputs.")
        ]
