"""Notches, flutes, joggles and beads of a part file, each table read by itself.

What one table must agree on with another (names, places) is checked in `part_checks`.
"""

from __future__ import annotations

from ribwright.adapters.part_features import TURNS, Tolerances, own_tolerances
from ribwright.adapters.reading import Reader
from ribwright.features.part import Bead, Flute, Joggle, Notch


def read_notch(reader: Reader, tolerances: Tolerances) -> Notch:
    """One [[notch]] table."""
    notch = Notch(
        reader.text("edge"),
        reader.place("at"),
        reader.length("width", positive=True),
        reader.length("depth", positive=True),
        reader.length("corner_radius", 0.0, least=0.0),
        reader.length("flange_gap", 0.0, least=0.0),
        reader.text("balloon", ""),
    )
    _done(reader, tolerances)
    return notch


def read_flute(reader: Reader, tolerances: Tolerances) -> Flute:
    """One [[flute]] table."""
    flute = Flute(
        reader.text("edge"),
        reader.place("at"),
        reader.length("width", positive=True),
        reader.length("depth", positive=True),
        reader.choice("turn", TURNS, "down"),
        reader.text("balloon", ""),
    )
    _done(reader, tolerances)
    return flute


def read_joggle(reader: Reader, tolerances: Tolerances) -> Joggle:
    """One [[joggle]] table."""
    start, end = reader.place("from"), reader.place("to")
    if start == end:
        reader.fault("to", "the same place as from", "another place along the edge")
    joggle = Joggle(
        reader.text("edge"),
        start,
        end,
        reader.length("depth", positive=True),
        reader.length("length", positive=True),
        reader.text("balloon", ""),
    )
    _done(reader, tolerances)
    return joggle


def read_bead(reader: Reader, tolerances: Tolerances) -> Bead:
    """One [[bead]] table."""
    bead = Bead(
        tuple(reader.points("points", least=2)),
        reader.choice("section", ("round", "vee")),
        reader.length("width", positive=True),
        reader.length("depth", positive=True),
        reader.length("radius", 0.0, least=0.0),
        reader.length("edge_radius", 0.0, least=0.0),
        reader.text("end", ""),
        reader.choice("turn", TURNS, "down"),
        reader.text("balloon", ""),
    )
    _done(reader, tolerances)
    return bead


def _done(reader: Reader, tolerances: Tolerances) -> None:
    tolerances.update(own_tolerances(reader, reader.path))
    reader.unknown_keys()
