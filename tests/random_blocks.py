"""Random parts whose blocks try a solid: bevels, kinks, hollow splines, cutouts, recesses, rings, pins, any undercut."""

from __future__ import annotations

import random
from math import cos, hypot, pi, sin

from building import HEAD

Pair = tuple[float, float]


class RandomBlock:
    """A polygon of 4 to 7 corners, 220 to 300 mm across. An edge is straight, bulged out, hollow, a hollow or winding
    spline, or kinked by 0.3 to 6 deg; three in four carry a flange of 84 to 97 deg that mostly varies along it."""

    def __init__(self, seed: int):
        r = self.r = random.Random(seed)
        self.t = r.choice([0.5, 0.8, 1.0, 1.3])
        self.radius = self.t * r.uniform(2.5, 5)
        self.material = r.choice(["2024-O", "2024-T3", "6061-T6", "7075-T6"])
        self.undercut = r.choice(["varying", "varying", "varying", "constant-per-edge", "none"])
        self.flanges: list[str] = []
        self.edges: list[str] = []
        n = r.randint(4, 7)
        turn = r.uniform(0, 2 * pi)
        corners = [
            self._around(turn + 2 * pi * (i + r.uniform(-0.15, 0.15)) / n, r.uniform(110, 150)) for i in range(n)
        ]
        self.start = corners[0]
        for a, b in zip(corners, [*corners[1:], corners[0]], strict=True):
            self._edge(a, b)
        self.inner = self._inside()

    @staticmethod
    def _around(angle: float, radius: float, centre: Pair = (0.0, 0.0)) -> Pair:
        return (centre[0] + radius * cos(angle), centre[1] + radius * sin(angle))

    def _flange(self, share: float = 0.75, width: float = 0.0) -> str:
        """A new flange's name, or nothing."""
        r = self.r
        if r.random() > share:
            return ""
        name = f"f{len(self.flanges)}"
        a, b, c = (round(r.uniform(84, 97), 2) for _ in range(3))
        angle = r.choice([f"{a}", f'[[0, {a}], ["end", {b}]]', f'[[0, {a}], ["40 %", {c}], ["end", {b}]]'])
        self.flanges.append(
            f"[flange.{name}]\nwidth = {width or round(r.uniform(10, 18), 2)}\nbend_angle = {angle}\n"
            f"bend_radius = {self.radius}\n"
        )
        return name

    def _edge(self, a: Pair, b: Pair) -> None:
        r = self.r
        kind = r.choice(["line", "out", "hollow", "spline", "wave", "kink"])
        flange = self._flange()
        length = hypot(b[0] - a[0], b[1] - a[1])
        u = ((b[0] - a[0]) / length, (b[1] - a[1]) / length)
        out = (u[1], -u[0])

        def at(share: float, off: float) -> list[float]:
            return [a[0] + share * length * u[0] + off * out[0], a[1] + share * length * u[1] + off * out[1]]

        if kind == "kink":
            # two straight pieces that turn by a little, in or out
            off = length / 4 * sin(r.choice([-1, 1]) * r.choice([0.3, 0.8, 3.0, 6.0]) * pi / 180)
            self._add(f"to = {at(0.5, off)}", flange)
            self._add(f"to = {list(b)}", flange)
        elif kind == "line":
            self._add(f"to = {list(b)}", flange)
        elif kind in ("out", "hollow"):
            off = r.uniform(2, 7) * (1 if kind == "out" else -1)
            self._add(f"through = {at(0.5, off)}\nto = {list(b)}", flange)
        else:
            deep = -r.uniform(2, 6)
            last = deep if kind == "spline" else -deep / 2
            self._add(f"spline = [{at(0.3, deep)}, {at(0.7, last)}, {list(b)}]", flange)

    def _add(self, shape: str, flange: str) -> None:
        text = f'[[web.edge]]\nname = "e{len(self.edges)}"\n{shape}\n'
        self.edges.append(text + (f'flange = "{flange}"\n' if flange else ""))

    def _inside(self) -> str:
        """What lies in the web: a cutout, or hole flanges down and up; pins beside them."""
        r = self.r
        text = "".join(
            f'[[hole]]\nname = "P{i}"\nkind = "tooling"\nat = [{x}, {y}]\ndiameter = 4.8\npin_fit = 0.08\n'
            for i, (x, y) in enumerate([(-62.0, 3.0), (62.0, -4.0)])
        )
        what = r.choice(["nothing", "recess", "ring", "circle", "triangle"])
        if what in ("recess", "ring"):
            for i, turn in enumerate(["down", "up"] if what == "ring" else ["down"]):
                text += (
                    f'[[hole]]\nname = "L{i}"\nkind = "lightening"\nat = [0, {35 - 70 * i}]\ndiameter = {r.uniform(26, 40)}\n'
                    f"flat_height = {r.uniform(5, 7)}\nbend_angle = {r.uniform(30, 60)}\nbend_radius = {self.radius}\n"
                    f'turn = "{turn}"\n'
                )
        elif what == "circle":
            f = self._flange(1.0, 9.0)
            ways = [(self._around(pi * (i + 0.5), 30), self._around(pi * (i + 1), 30)) for i in range(2)]
            edges = ", ".join(
                f'{{ name = "c{i}", through = {list(p)}, to = {list(q)}, flange = "{f}" }}'
                for i, (p, q) in enumerate(ways)
            )
            text += f'[[cutout]]\nname = "C"\nstart = [30.0, 0.0]\nedge = [ {edges} ]\n'
        elif what == "triangle":
            p = [self._around(2 * pi * i / 3 + 0.3, 42) for i in range(4)]
            edges = []
            for i in range(3):
                f = self._flange(0.8, 9.0)
                edges.append(f'{{ name = "c{i}", to = {list(p[i + 1])}' + (f', flange = "{f}" }}' if f else " }"))
            text += f'[[cutout]]\nname = "C"\nstart = {list(p[0])}\nedge = [ {", ".join(edges)} ]\n'
        return text

    def text(self) -> str:
        """The part file."""
        head = HEAD.format(
            units="mm", material=self.material, t=self.t, line="outside-mold-line", start=list(self.start)
        )
        tail = f'[block]\nundercut = "{self.undercut}"\n'
        return head + "".join(self.edges) + "".join(self.flanges) + self.inner + tail
