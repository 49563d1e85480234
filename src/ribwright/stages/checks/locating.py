"""Locating pins: enough of them, and no wrong way to lay the blank."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from ribwright.stages.checks.context import Finding, Looked, margin
from ribwright.stages.pins import wrong_layings


def findings(looked: Looked) -> Iterator[Finding]:
    """No pin: a warning. One pin: a stop. A wrong laying: a stop, or a warning where anybody would see it. A
    hole that its tolerance lets be smaller than its pin: a note."""
    pins = looked.block.pins
    yield from _holes_too_small(looked)
    if not pins:
        yield Finding(
            "pins-missing",
            "warn",
            "No tooling hole: nothing locates the blank on the block.",
            "Two tooling holes far apart and not symmetric, or tooling tabs, as the drawing allows.",
            {"key": "hole"},
            source="common practice",
        )
        return
    if len(pins) == 1:
        yield Finding(
            "one-pin-turns",
            "stop",
            f"One pin ({pins[0].name}) lets the blank turn about it: it does not locate.",
            "A second tooling hole far from the first, of another size or off the line of symmetry.",
            {"hole": pins[0].name},
        )
        return
    visible = looked.job.catalogue.practice["wrong_laying_visible"].value
    openings = tuple(h for h in looked.job.part.holes if h.kind in ("tooling", "plain"))
    outline = np.array(looked.blank.outline.points)
    for w in wrong_layings(pins, openings, outline):
        how = ("flipped over and " if w.flipped else "") + f"turned {w.turn_deg:.0f} deg"
        seen = w.stands_off >= visible
        yield Finding(
            "wrong-laying-seen" if seen else "wrong-laying",
            "warn" if seen else "stop",
            f"The blank also goes onto its pins {how}; it would then stand {looked.length(w.stands_off)} off the block"
            + (", so look before pressing." if seen else ": nobody would see it."),
            "Make one pin another size, add a third pin, or make one hole a slot, as the drawing allows.",
            {"hole": [p.name for p in pins]},
            w.stands_off,
            visible,
            margin(w.stands_off, visible, least=True),
            "mm",
            "geometry of holes, pins and fits",
        )


def _holes_too_small(looked: Looked) -> Iterator[Finding]:
    """One note for all pin holes that the drawing's tolerance lets be smaller than their pin."""
    tolerance, diameter = looked.job.part.tolerance, {h.name: h.diameter for h in looked.job.part.holes}
    rows = []
    for pin in looked.block.pins:
        limits = tolerance.get(f"hole.{pin.name}.hole_diameter") or tolerance.get("hole_diameter")
        fit = diameter[pin.name] - pin.diameter
        if limits and limits[0] > fit + 1e-6:
            rows.append((limits[0] - fit, limits[0], fit, pin))
    if not rows:
        return
    _, minus, fit, pin = max(rows, key=lambda r: r[0])
    names = [r[3].name for r in rows]
    yield Finding(
        "pin-hole-tolerance",
        "note",
        f"The drawing lets hole {pin.name} be {looked.length(minus)} smaller, and its pin is only {looked.length(fit)} "
        f"smaller: a hole inside its tolerance may not go onto its pin. Pin holes: {', '.join(names)}.",
        f"On the blank cut no pin hole under its pin ({pin.name}: {looked.length(pin.diameter)}).",
        {"hole": names}, minus, fit, margin(minus, fit), "mm", "tolerance and pin fit of the part file",
    )  # fmt: skip
