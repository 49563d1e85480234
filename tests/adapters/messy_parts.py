"""Part files written in every manner that TOML allows: what edits of a text must survive."""

import re
from pathlib import Path

EXAMPLES = sorted((Path(__file__).parent.parent.parent / "examples" / "dabchick").glob("*.part.toml"))

# quoted and dotted keys, tabs, comments everywhere, arrays over lines, strings of every kind, sections out of order
MESSY = '''# drawn by hand, kept by hand
# second line of the file's own words

units\t=\t"in"   # inches

  [part]            # indented on purpose
  number   = 'Q7-9999-1'
  "revision" = "A"  # quoted key
  title    = """Nose rib, "messy" \\
             one"""
  hand     = "none"

[sheet]
material  = "2024-O"
thickness = 0.0250 # as typed
grain = +0.0

# the outer loop
[web]
line  = "outside-mold-line"
start = [ 0.0,0.00 ]

# first edge
[[web.edge]]
name = "löwer"	# ünïcode
to = [20.0, 0.0]
flange = "skin # no comment"
tolerance.contour = 0.02
tolerance.flange_angle = 5e-1
[[web.edge]]
name = "rear"
to = [
  20.0, # x
  4.0   # y
]
flange = "spar"
[web.edge.tolerance]
contour = [-0.010, 0.020]
# above the third
# edge

[[web.edge]]
name = "upper"
spline = [
  [15.0, 4.6], # one
  [10.0, 5.0], [5.0, 4.8],
  # before the last
  [0.0, 4.0],
]
flange = "skin # no comment"

[[web.edge]]
name = "front"
to = [0.0, 0.0]

[flange]
spar = { width = "5/8 in", bend_angle = 90, bend_radius = 0.09 }
"skin # no comment".width = 0.625
"skin # no comment".bend_angle = [["start", 84], [ "40 %", 88 ],["end",97]]
"skin # no comment".bend_radius = 0.09

# ---- holes ----

[[hole]]
name = "P1"
kind = "tooling"
at = [7.0, 2.0]
diameter = "3/16 in"
tolerance = { hole_diameter = 0.001, "hole_position" = [ 0.01,0.02 ] }
[approval]
date = 2031-09-01 # out of its place
[[hole]]
name = "D1"
kind = "plain"
at = [9.0, 2.0]
diameter = 0.250_0

# ---- cutouts ----

[[cutout]]
name = "access"
start = [11.0, 1.0]
edge = [
  { name = "access upper", through = [13.0, 3.0], to = [15.0, 1.0] }, # over the top
  { name = "access lower", to = [11.0, 1.0] } # and back
]

[[cutout]]
name = "slot"
start = [16.0, 1.0]
[[cutout.edge]]
name = "slot upper"
through = [17.0, 2.0]
to = [18.0, 1.0]
[[cutout.edge]]
name = "slot lower"
to = [16.0, 1.0]

[[corner]]
at = ["löwer", 'rear']
relief = "hole"
diameter = 0.19
[[corner]]
at = ["rear","upper"]
relief = "none"
[[rivets]]
edge = "upper"
on = "flange"
line = 0.375
first = 0.6
pitch = 1.0
count = 1_0
diameter = "3/32 in"
edge_distance = 0.1875

[[bead]]
section = "round"
points = [
  [1.0, 1.0], # first
  # about the last
  [2.0, 1.0],
]

[tolerance]
# none yet

[blank]
pilot_holes = [ 1, ]  # to be drawn
'''


def variants(text: str) -> list[str]:
    """The same file with other line ends, without a last one, with blanks at line ends, behind a byte order mark."""
    crlf = text.replace("\n", "\r\n")
    return [text, crlf, text.rstrip("\n"), crlf.rstrip("\r\n"), re.sub(r"(?<=\S)\n", "  \n", text), "\ufeff" + text]


def texts() -> list[str]:
    """Every example and every variant of the messy part."""
    return [p.read_text(encoding="utf-8") for p in EXAMPLES] + variants(MESSY)
