"""Joggles held against the edges they stand on: places on the edge, steps that fit, neighbours of one run stepped alike."""

from __future__ import annotations

import itertools
from math import isfinite
from typing import TYPE_CHECKING

from ribwright.adapters.part_loops import DrawnEdge, DrawnLoop, curve_of
from ribwright.adapters.reading import Notebook
from ribwright.features.joggled import SAME_MM, depth_at_ends, steps_of, stretch_of
from ribwright.features.part import Joggle, along_of

if TYPE_CHECKING:
    from ribwright.geometry.curve import Curve

Row = tuple[str, Joggle]


def check_joggles(book: Notebook, joggles: list[Row], loops: list[DrawnLoop]) -> None:
    """Every fault of every joggle."""
    for path, joggle in joggles:
        if joggle.length <= joggle.depth:
            book.fault(
                f"{path}.length",
                f"{book.show(joggle.length)}, no longer than the depth",
                f"a length over {book.show(joggle.depth)}: two arcs that meet without a kink need it",
            )
    for loop in loops:
        if loop.sound:
            _on_loop(book, joggles, loop)


def _on_loop(book: Notebook, joggles: list[Row], loop: DrawnLoop) -> None:
    rows = {e.edge.name: [r for r in joggles if r[1].edge == e.edge.name] for e in loop.edges}
    if not any(rows.values()):
        return
    curves = {e.edge.name: curve_of(e.edge) for e in loop.edges}
    sound = [_on_edge(book, rows[e.edge.name], e, curves[e.edge.name].length) for e in loop.edges]
    if all(sound):
        _at_joins(book, rows, loop, curves)


def _on_edge(book: Notebook, rows: list[Row], drawn: DrawnEdge, length: float) -> bool:
    name, good = drawn.edge.name, True

    def wrong(key: str, found: str, allowed: str) -> None:
        nonlocal good
        good = False
        book.fault(key, found, allowed)

    for path, j in rows:
        if not drawn.edge.flange:
            wrong(f"{path}.edge", f'"{name}", which has no flange', "an edge with a flange: a joggle is a step in one")
            continue
        places = {"from": along_of(j.start, length), "to": along_of(j.end, length)}
        if not all(map(isfinite, (*places.values(), j.depth, j.length))):
            good = False
            continue
        off = [(key, x) for key, x in places.items() if not -SAME_MM <= x <= length + 1e-3]
        for key, x in off:
            wrong(f"{path}.{key}", f"{book.show(x)} along", f'a place on the edge "{name}", {book.show(length)} long')
        if off:
            continue
        low, high = stretch_of(j, length)
        need = j.length * len(steps_of(j, length))
        if need > high - low + SAME_MM:
            wrong(
                f"{path}.length",
                f"steps of {book.show(need)} in all, in a stretch of {book.show(high - low)}",
                "steps that run out inside the stretch: a shorter length, or places further apart",
            )
    spans = sorted((stretch_of(j, length), path) for path, j in rows) if good else []
    for (before, first), (after, second) in itertools.pairwise(spans):
        if after[0] < before[1] - SAME_MM:
            wrong(f"{second}.from", f"a stretch that overlaps that of {first}", "joggles of an edge beside each other")
    return good


def _at_joins(book: Notebook, rows: dict[str, list[Row]], loop: DrawnLoop, curves: dict[str, Curve]) -> None:
    """Where a run goes on from one edge into the next, both must stand equally deep."""
    from ribwright.geometry.offset import SMOOTH, turn_between

    n = len(loop.edges)
    for i, a in enumerate(loop.edges):
        b = loop.edges[(i + 1) % n]
        one, two = curves[a.edge.name], curves[b.edge.name]
        if not a.edge.flange or a.edge.flange != b.edge.flange or abs(turn_between(one, two)) >= SMOOTH:
            continue
        end = depth_at_ends([j for _, j in rows[a.edge.name]], one.length)[1]
        start = depth_at_ends([j for _, j in rows[b.edge.name]], two.length)[0]
        if abs(end - start) > SAME_MM:
            path, _ = (rows[a.edge.name] if end else rows[b.edge.name])[0]
            names = f'"{a.edge.name}" and "{b.edge.name}"'
            book.fault(
                f"{path}.to" if end else f"{path}.from",
                f"{book.show(end)} deep at the end of {a.edge.name!r} and {book.show(start)} at the start of {b.edge.name!r}",
                f"the same depth on both sides: {names} are one flange there; step out inside the edge, or joggle the next one alike",
            )
