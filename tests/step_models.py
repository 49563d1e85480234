"""The formed parts that are written to STEP by the kernel (`step_solids`) and read back, and what they are."""

from __future__ import annotations

from math import pi

from step_curves import Arc, Graph, Line
from step_solids import Flange, FlangedHole, Model, Relief, Side


def chain(points: list[tuple[float, float]], flanges: list[Flange | None]) -> list[Side]:
    """A ring of straight edges."""
    n = len(points)
    return [Side(Line(points[i], points[(i + 1) % n]), flanges[i]) for i in range(n)]


def boxed() -> Model:
    f = Flange((15.0, 15.0), (90.0, 90.0), 3.0)
    sides = chain([(10, 5), (210, 5), (210, 105), (10, 105)], [f] * 4)
    reliefs = [Relief(0, 7.0, set_back=1.0), *(Relief(i, 7.0) for i in range(1, 4))]
    return Model("boxed", 1.0, [sides], reliefs, holes=[((60, 40), 6.0), ((150.5, 62.25), 4.8)])


def arched() -> Model:
    f = Flange((16.0, 16.0), (90.0, 90.0), 2.5)
    # a circle of 400 about (150, -320): square to it stand plain ends, the lower edge is flanged as well
    upper = Arc((150.0, -320.0), 400.0, pi / 2 - 0.3, 0.6)
    right, left = upper.points()[0], upper.points()[2]
    slope = 0.3

    def down(p: tuple[float, float], sign: float) -> tuple[float, float]:
        from math import cos, sin

        return (p[0] - sign * 60 * sin(slope), p[1] - 60 * cos(slope))

    low_right, low_left = down(right, 1.0), down(left, -1.0)
    inner = Arc((150.0, -320.0), 340.0, pi / 2 + 0.3, -0.6)
    g = Flange((12.0, 12.0), (80.0, 80.0), 2.5)
    sides = [
        Side(inner, g),
        Side(Line(low_right, right)),
        Side(upper, f),
        Side(Line(left, low_left)),
    ]
    assert abs(inner.points()[0][0] - low_left[0]) < 1e-9
    return Model(
        "arched", 0.8, [sides], flanged=[FlangedHole((150.0, 50.0), 30.0, 45.0, 2.5, 5.0)], holes=[((90.0, 42.0), 5.0)]
    )


def waved() -> Model:
    """A spline above, whose flange grows wider; plain ends stand square to it and to the straight lower edge."""

    def f(x: float) -> float:
        u = x / 250
        return 62 + 18 * u**2 * (1 - u) ** 2 * 4 + 6 * u**2 * (3 - 2 * u)

    def df(x: float) -> float:
        u = x / 250
        return (18 * 4 * (2 * u * (1 - u) ** 2 - 2 * u**2 * (1 - u)) + 6 * (6 * u - 6 * u**2)) / 250

    top = Graph(f, df, 250.0, 0.0)
    sides = [
        Side(Line((0, 0), (250, 0)), Flange((14.0, 14.0), (90.0, 90.0), 2.0)),
        Side(Line((250, 0), (250, f(250.0)))),
        Side(top, Flange((14.0, 20.0), (92.0, 92.0), 2.0)),
        Side(Line((0, f(0.0)), (0, 0))),
    ]
    return Model("waved", 0.635, [sides], holes=[((40.0, 25.0), 4.0)])


def bevelled() -> Model:
    f = Flange((16.0, 16.0), (84.0, 97.0), 2.2)
    g = Flange((15.0, 15.0), (90.0, 90.0), 2.2)
    sides = chain([(0, 0), (500, 0), (500, 90), (0, 90)], [g, g, f, g])
    return Model("bevelled", 0.635, [sides], [Relief(i, 6.0) for i in range(4)])


def windowed() -> Model:
    f = Flange((15.0, 15.0), (90.0, 90.0), 3.0)
    c = Flange((9.0, 9.0), (60.0, 60.0), 2.5)
    outer = chain([(0, 0), (220, 0), (220, 120), (0, 120)], [f, None, f, None])
    # an obround, run round clockwise
    inner = [
        Side(Line((80, 85), (140, 85)), c),
        Side(Arc((140.0, 60.0), 25.0, pi / 2, -pi), c),
        Side(Line((140, 35), (80, 35)), c),
        Side(Arc((80.0, 60.0), 25.0, -pi / 2, -pi), c),
    ]
    plain = chain([(20, 20), (20, 40), (40, 40), (40, 20)], [None] * 4)
    return Model("windowed", 1.0, [outer, inner, plain])


def holed() -> Model:
    f = Flange((15.0, 15.0), (90.0, 90.0), 3.0)
    sides = chain([(0, 0), (260, 0), (260, 90), (0, 90)], [f, None, f, None])
    flanged = [
        FlangedHole((45.0, 45.0), 50.0, 30.0, 3.0, 6.0),
        FlangedHole((110.0, 45.0), 44.0, 45.0, 2.5, 5.0),
        FlangedHole((170.0, 45.0), 40.0, 60.0, 2.5, 4.0),
        FlangedHole((222.0, 45.0), 36.0, 45.0, 2.0, 4.0, up=True),
    ]
    return Model(
        "holed", 0.8, [sides], flanged=flanged, holes=[((140.0, 20.0), 4.0)],
        slots=[((140.0, 70.0), 4.8, 3.0, 30.0)], schema="AP203",
    )  # fmt: skip


def both_ways() -> Model:
    """Flanges turned down and one turned up, anywhere in space."""
    f = Flange((15.0, 15.0), (90.0, 90.0), 3.0)
    up = Flange((12.0, 12.0), (75.0, 75.0), 2.0, up=True)
    sides = chain([(0, 0), (180, 0), (180, 80), (0, 80)], [f, None, up, None])
    return Model(
        "both_ways", 1.0, [sides], holes=[((50.0, 30.0), 6.0), ((120.0, 50.0), 8.0)],
        turn=(37.0, -21.0, 64.0), move=(812.0, -333.0, 127.0),
    )  # fmt: skip


def drilled_in_inches() -> Model:
    """Corner reliefs drilled through web and bends; sizes in inches; anywhere in space."""
    e = 25.4
    f = Flange((0.625 * e, 0.625 * e), (90.0, 90.0), 0.09 * e)
    g = Flange((0.5 * e, 0.5 * e), (84.0, 84.0), 0.09 * e)
    sides = chain([(0, 0), (9 * e, 0), (9 * e, 4 * e), (0, 5 * e)], [f, g, f, g])
    return Model(
        "drilled_in_inches", 0.025 * e, [sides], holes=[((3 * e, 2 * e), 0.1875 * e)],
        flanged=[FlangedHole((6 * e, 2 * e), 2 * e, 45.0, 0.09 * e, 0.2 * e)],
        cut=0.1875 * e, turn=(90.0, 0.0, 15.0), move=(0.0, 1500.0, 40.0), unit="INCH", schema="AP242DIS",
    )  # fmt: skip


def ended() -> Model:
    """Flanges that end beside free edges, with a relief there: beside an edge square to it, and in the middle of a straight side."""
    f = Flange((14.0, 14.0), (90.0, 90.0), 2.5)
    points = [(0.0, 0.0), (90.0, 0.0), (160.0, 0.0), (160.0, 70.0), (0.0, 70.0)]
    sides = chain(points, [f, None, None, f, None])
    return Model("ended", 1.0, [sides], ends=[(0, 9.0, True), (3, 6.0, False), (3, 8.0, True)])


MODELS = {m.__name__: m for m in (boxed, arched, waved, bevelled, windowed, holed, both_ways, drilled_in_inches, ended)}
