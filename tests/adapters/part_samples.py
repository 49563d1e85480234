"""Part files the reader's tests change one line of."""

import pytest

from ribwright.adapters.part_toml import parse_part
from ribwright.errors import InputError

RIB = """
units = "in"
[part]
number = "Q7-2199-1"
revision = "A"
title = "Sample rib"
hand = "none"
[approval]
data = "Drawing Q7-2199 rev A"
by = "R. Quill"
date = 2031-03-10
[sheet]
material = "2024-T3 clad"
formed_in = "as bought"
final = "T3"
thickness = 0.0250
grain = 0.0
[web]
line = "outside-mold-line"
start = [0.0, 0.0]
[[web.edge]]
name = "lower"
to = [20.0, 0.0]
flange = "skin"
[[web.edge]]
name = "rear"
to = [20.0, 4.0]
flange = "spar"
[[web.edge]]
name = "upper"
through = [10.0, 5.0]
to = [0.0, 4.0]
flange = "skin"
balloon = "12"
[[web.edge]]
name = "front"
spline = [[-0.4, 2.0], [0.0, 0.0]]
[flange.skin]
width = 0.625
bend_angle = [[0, 84], ["40 %", 88], ["end", 97]]
bend_radius = 0.09
flutes = "plan"
tolerance = { flange_angle = 0.5 }
[flange.spar]
width = "5/8 in"
bend_angle = 90
bend_radius = "0.09 in"
turn = "down"
[[corner]]
at = ["rear", "lower"]
relief = "hole"
diameter = 0.19
[[cutout]]
name = "access"
start = [12.0, 1.0]
edge = [{ name = "access upper", through = [14.0, 3.0], to = [16.0, 1.0] }, { name = "access lower", to = [12.0, 1.0] }]
[[hole]]
name = "L1"
kind = "lightening"
at = [4.0, 2.0]
diameter = 2.0
cut_diameter = 1.5
bend_angle = 45
bend_radius = 0.09
[[hole]]
name = "P1"
kind = "tooling"
at = [8.0, 2.0]
diameter = "3/16 in"
pin_fit = 0.003
[[hole]]
name = "P2"
kind = "tooling"
at = [18.0, 2.0]
diameter = "3/16 in"
slot = 0.1
slot_angle = 90
[[rivets]]
edge = "upper"
on = "flange"
line = 0.375
first = 0.6
pitch = 1.0
count = 15
diameter = "3/32 in"
edge_distance = 0.1875
[tolerance]
contour = 0.03
flange_width = [-0.01, 0.02]
flange_angle = 1
[blank]
trim = 0.05
side_up = "clad side with the marks"
[block]
undercut = "constant-per-edge"
"""


def changed(*pairs: tuple[str, str]) -> str:
    """The sample rib with texts replaced, each of which must be there."""
    text = RIB
    for old, new in pairs:
        assert old in text
        text = text.replace(old, new, 1)
    return text


def sentences(text: str) -> list[str]:
    """The sentences a wrong text is refused with."""
    with pytest.raises(InputError) as error:
        parse_part(text, "rib.part.toml")
    return [f.sentence() for f in error.value.faults]


SQUARE = """
units = "{u}"
[part]
number = "Q7-1"
revision = "A"
[sheet]
material = "2024-O"
thickness = {t}
grain = "any"
[web]
line = "inside-mold-line"
start = [0, 0]
[[web.edge]]
name = "a"
to = [{a}, 0]
flange = "rim"
[[web.edge]]
name = "b"
to = [{a}, {a}]
[[web.edge]]
name = "c"
to = [0, {a}]
[[web.edge]]
name = "d"
to = [0, 0]
[flange.rim]
width = {w}
bend_angle = 90
bend_radius = {r}
[[hole]]
name = "P1"
kind = "plain"
at = ["1/2 in", "12.7 mm"]
diameter = {d}
"""

SQUARE_CLOCKWISE = """
units = "mm"
[part]
number = "Q7-1"
revision = "-"
[sheet]
material = "2024-O"
thickness = 0.8
grain = 90
[web]
start = [0, 0]
edge = [
  { name = "a", to = [0, 1] },
  { name = "b", to = [1, 1] },
  { name = "c", to = [1, 0] },
  { name = "d", to = [0, 0] },
]
"""
