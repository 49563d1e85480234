"""The part as the drawing gives it: edges, flanges, holes, corners. Frozen values in mm and degrees.

The reader has already turned the outer loop counter-clockwise and cutouts clockwise, so material is
always on the left of travel and the outward normal is on the right.
"""

from __future__ import annotations

from dataclasses import dataclass, field

Point = tuple[float, float]


@dataclass(frozen=True)
class Along:
    """A value that varies along an edge: linear between stations, held outside them.

    A station is (measure, number, value): measure `mm` = arc length from the edge's start as typed,
    `fraction` = share of the edge's length (`start` 0, `end` 1, `40 %` 0.4).
    """

    stations: tuple[tuple[str, float, float], ...]

    @classmethod
    def constant(cls, value: float) -> Along:
        """The same value everywhere."""
        return cls((("fraction", 0.0, value),))

    @property
    def varies(self) -> bool:
        """True when two stations differ."""
        return len({v for _, _, v in self.stations}) > 1

    @property
    def values(self) -> tuple[float, ...]:
        """The values at the stations."""
        return tuple(v for _, _, v in self.stations)

    def resolved(self, length: float) -> tuple[tuple[float, float], ...]:
        """(along [mm], value) in rising along, for an edge of this length [mm]."""
        return tuple(sorted((x * length if m == "fraction" else x, v) for m, x, v in self.stations))


@dataclass(frozen=True)
class Edge:
    """One drawn edge, already in the reader's direction of travel.

    kind `line`: points = (start, end). `arc`: (start, through, end). `spline`: every point it passes.
    `start_dir`/`end_dir`: tangent directions a spline takes from its neighbours, or None (natural end).
    `turned`: the reader reversed the loop, so "along" runs from the end of this edge.
    """

    name: str
    kind: str
    points: tuple[Point, ...]
    flange: str | None = None
    start_dir: Point | None = None
    end_dir: Point | None = None
    turned: bool = False
    ordinates: str = ""
    balloon: str = ""


@dataclass(frozen=True)
class Loop:
    """A closed chain of edges. `name` is "web" for the outer loop, else the cutout's name."""

    name: str
    edges: tuple[Edge, ...]
    turned: bool = False


@dataclass(frozen=True)
class Flange:
    """One kind of flange of the part: width along the outer face from outside mold line to free edge [mm],
    bend angle from flat [deg], inside radius as released [mm], `turn` "down" or "up"."""

    name: str
    width: Along
    bend_angle: Along
    bend_radius: float
    turn: str = "down"
    flutes: str = "none"
    balloon: str = ""


@dataclass(frozen=True)
class Corner:
    """Relief where two edges meet. `diameter` None: the shop's rule gives it."""

    at: tuple[str, str]
    relief: str
    diameter: float | None = None
    set_back: float = 0.0
    gap: float = 0.0
    balloon: str = ""


@dataclass(frozen=True)
class Hole:
    """A hole of the web. kind `lightening` (flanged), `tooling` (takes a locating pin) or `plain`.

    lightening: `diameter` is that of the circle named by `line` ("bend-tangent-line": where the flange leaves the
    flat web); `given` = (name, mm) is the one of cut_diameter, rim_diameter, flange_height, flat_height that was typed.
    """

    name: str
    kind: str
    at: Point
    diameter: float
    line: str = "bend-tangent-line"
    given: tuple[str, float] | None = None
    bend_angle: float = 0.0
    bend_radius: float = 0.0
    turn: str = "down"
    pin_fit: float | None = None
    slot: float = 0.0
    slot_angle: float = 0.0
    balloon: str = ""


@dataclass(frozen=True)
class Rivets:
    """A row of rivets on a flange or the web, what flutes keep clear of."""

    edge: str
    on: str
    line: float
    first: float
    pitch: float
    count: int
    diameter: float
    edge_distance: float


Place = tuple[str, float]  # a place along an edge: ("mm", arc length as typed) or ("fraction", share of the length)


def along_of(place: Place, length: float) -> float:
    """Arc length from the edge's start as typed [mm], on an edge of this length [mm]."""
    measure, number = place
    return number * length if measure == "fraction" else number


@dataclass(frozen=True)
class Notch:
    """A piece cut out of an edge: middle `at`, `width` along the edge in the web, `depth` from the drawn line into the web, its
    inner corners rounded by `corner_radius`; the flange ends `flange_gap` before it on both sides [mm]."""

    edge: str
    at: Place
    width: float
    depth: float
    corner_radius: float = 0.0
    flange_gap: float = 0.0
    balloon: str = ""


@dataclass(frozen=True)
class Flute:
    """A drawn flute, a groove across a flange that gathers its edge: middle `at`, `width` along the edge and `depth` at the free
    edge [mm], pressed inward under the web (`turn` "down") or outward ("up")."""

    edge: str
    at: Place
    width: float
    depth: float
    turn: str = "down"
    balloon: str = ""


@dataclass(frozen=True)
class Joggle:
    """A stretch of an edge whose flange is stepped inward by `depth` from the place `start` to the place `end`; each step runs out
    over `length` inside that stretch [mm]; an end of the stretch at an end of the edge has no step."""

    edge: str
    start: Place
    end: Place
    depth: float
    length: float
    balloon: str = ""


@dataclass(frozen=True)
class Bead:
    """A stiffening groove in the web along `points`: section "round" or "vee", `width` and `depth` overall, `radius` of its bottom
    and `edge_radius` where it leaves the web [mm] (0: not said), `end` as typed, pressed "down" or "up"."""

    points: tuple[Point, ...]
    section: str
    width: float
    depth: float
    radius: float = 0.0
    edge_radius: float = 0.0
    end: str = ""
    turn: str = "down"
    balloon: str = ""


@dataclass(frozen=True)
class SheetCall:
    """The sheet the drawing calls for. `grain` None = the drawing does not care."""

    material: str
    thickness: float
    formed_in: str = "as bought"
    final: str = ""
    grain: float | None = None


@dataclass(frozen=True)
class Approval:
    """What says that this part may be made."""

    data: str = ""
    by: str = ""
    date: str = ""

    @property
    def complete(self) -> bool:
        """True when data, person and date are all filled in."""
        return bool(self.data.strip() and self.by.strip() and self.date.strip())


@dataclass(frozen=True)
class Part:
    """Everything a part file says, in mm and degrees. `drawn` False: the opposite hand, the mirror of what the file says."""

    number: str
    revision: str
    title: str
    hand: str
    units: str
    line: str
    sheet: SheetCall
    outer: Loop
    cutouts: tuple[Loop, ...] = ()
    flanges: dict[str, Flange] = field(default_factory=dict)
    corners: tuple[Corner, ...] = ()
    holes: tuple[Hole, ...] = ()
    rivets: tuple[Rivets, ...] = ()
    notches: tuple[Notch, ...] = ()
    flutes: tuple[Flute, ...] = ()
    joggles: tuple[Joggle, ...] = ()
    beads: tuple[Bead, ...] = ()
    tolerance: dict[str, tuple[float, float]] = field(default_factory=dict)
    approval: Approval = Approval()
    opposite: str = ""
    drawn: bool = True
    block_undercut: str = "varying"
    trim: float = 0.0
    side_up: str = ""
    typed: dict[str, str] = field(default_factory=dict, compare=False)
    notes: tuple[str, ...] = field(default=(), compare=False)

    @property
    def loops(self) -> tuple[Loop, ...]:
        """Outer loop first, then the cutouts."""
        return (self.outer, *self.cutouts)

    def edge(self, name: str) -> Edge:
        """The edge of that name; KeyError when there is none."""
        for loop in self.loops:
            for edge in loop.edges:
                if edge.name == name:
                    return edge
        raise KeyError(name)
