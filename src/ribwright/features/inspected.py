"""What a shop measured on one piece: who, when, with what, and the readings, points or traced outlines themselves.

Every uncertainty here is expanded, coverage factor 2, as a calibration certificate gives it. Lengths mm, angles deg, in the frame of the
data; only `stages` moves it onto the drawing.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from ribwright.features.part import Place

Array = NDArray[np.float64]

ANGLE, LENGTH = "deg", "mm"
# kind of a row -> its unit
KINDS = {
    "flange_angle": ANGLE,
    "template_gap": LENGTH,
    "flange_width": LENGTH,
    "thickness": LENGTH,
    "bend_radius": LENGTH,
    "hole_x": LENGTH,
    "hole_y": LENGTH,
    "hole_diameter": LENGTH,
    "slot_length": LENGTH,
    "web_bow": LENGTH,
}
PART, BLANK = "part", "blank"
ON_PINS, BY_HAND = "pins", "hand"
OUTER, INNER = "outer", "inner"
AS_PRESSED, SET_BY_HAND = "as pressed", "set by hand"


@dataclass(frozen=True)
class Said:
    """The head of a file of measurements, `# key = value` lines; "" or None where it is silent.

    units         "in" or "mm" of bare numbers; always there
    part, revision, hand, serial, lot    of the piece; `part` is always there
    gauges        ids of the shop's gauges, in the order typed
    by, date      who measured, and when (YYYY-MM-DD)
    what          PART or BLANK: the formed part, or the cut blank
    state         AS_PRESSED or SET_BY_HAND: whether hands have moved it since the press
    press, pressure_mpa      what it was formed on and at, on the pad; `as_set_up`: at what the set-up card pumps to
    block, undercut_deg      number of the block, and the undercut it was cut to where that is one for all of it
    packet        fingerprint of the packet that the block was cut from
    template      ON_PINS or BY_HAND: how the template was held that gaps were felt under
    face          OUTER (heel side) or INNER: which face of the sheet points lie on
    uncertainty   of one point, along the worst direction [mm]
    holes_from    name of the hole that hole_x and hole_y are measured from; "origin": the drawing's; "": as the inspection sheet has them
    points, image name of the file beside this one that holds the points or the picture; "" of readings
    """

    units: str
    part: str
    revision: str = ""
    hand: str = ""
    serial: str = ""
    lot: str = ""
    gauges: tuple[str, ...] = ()
    by: str = ""
    date: str = ""
    what: str = PART
    state: str = ""
    press: str = ""
    pressure_mpa: float | None = None
    as_set_up: bool = False
    block: str = ""
    undercut_deg: float | None = None
    packet: str = ""
    template: str = ON_PINS
    face: str = OUTER
    uncertainty: float | None = None
    holes_from: str = ""
    points: str = ""
    image: str = ""
    typed: dict[str, str] = field(default_factory=dict, compare=False)


@dataclass(frozen=True)
class Taken:
    """One reading: `kind` of KINDS; `place` names an edge, a hole or a corner ("rear/upper"), "" the web; `along` it as typed; `value` in
    the kind's unit; expanded `uncertainty`, None: the gauge's; `gauge` "": the first of the head that reads it. `line` of the file."""

    line: int
    kind: str
    place: str
    along: Place | None
    value: float
    uncertainty: float | None = None
    gauge: str = ""


@dataclass(frozen=True, eq=False)
class Measured:
    """One file of measurements: exactly one of `rows`, `points` (n, 3), `rings` holds something.

    rings   closed outlines (n, 2) without the first point again, the outer one first, then openings; both ways round allowed
    alike   of rings: the part of said.uncertainty by which every edge may stand off alike, expanded [mm]: it makes holes larger or
            smaller and moves no middle
    note    what the reader has to say of it, such as how well the marks of a picture fit
    """

    file: str
    said: Said
    rows: tuple[Taken, ...] = ()
    points: Array | None = None
    rings: tuple[Array, ...] = ()
    note: str = ""
    alike: float = 0.0
