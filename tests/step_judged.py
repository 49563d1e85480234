"""A part file read back from a solid, held against what the solid was made from (`step_models`)."""

from __future__ import annotations

import json
from functools import cache
from math import hypot
from pathlib import Path
from typing import Any

import numpy as np

from ribwright.adapters import step_kernel
from ribwright.adapters.part_toml import parse_part
from ribwright.adapters.read_step import CHORD_MM, MOST_FACES, TURN_RAD, solid_file
from ribwright.features.laid import LaidLoop, lay
from ribwright.features.part import Part
from ribwright.features.solid_faces import SolidFile
from ribwright.wiring import DiskFiles
from ribwright.work.import_step import imported_solid
from ribwright.work.imported import Imported
from step_solids import Model, Side

MM, DEG = 0.01, 0.01


class Here(DiskFiles):
    """The files of the command, the kernel in this process: it is loaded once for all tests, and each file is read once."""

    def solid(self, path: Path) -> SolidFile:
        return _solid(path, path.stat().st_mtime_ns, MOST_FACES)


@cache
def _solid(path: Path, written: int, most_faces: int) -> SolidFile:
    request = {
        "read": str(path), "out": str(path.with_suffix(".npz")), "chord_mm": CHORD_MM, "turn_rad": TURN_RAD,
        "most_faces": most_faces, "report": str(path.with_suffix(".json")),
    }  # fmt: skip
    asked = path.with_suffix(".request")
    asked.write_text(json.dumps(request))
    step_kernel.read_and_report(asked)
    return solid_file(path, json.loads(Path(request["report"]).read_text()), Path(request["out"]))


def read_here(path: Path, **options: Any) -> Imported:
    return imported_solid(Here(), path, "T-1", options)


def filled(text: str) -> Part:
    """The part of a text whose revision and material are filled in."""
    text = text.replace('revision = ""', 'revision = "A"').replace("# material  =", 'material = "2024-O" #')
    return parse_part(text, "t.part.toml")


class Judge:
    """What differs between a part and a model, as words; the part may lie turned and moved in its plane."""

    def __init__(self, part: Part, model: Model):
        self.part, self.model, self.wrong = part, model, []
        self.laid = lay(part)
        self.worst = {"mm": 0.0, "deg": 0.0}
        self.move, self.shift = self._fitted()
        if self.move is None:
            return
        self.near("thickness", part.sheet.thickness, model.t)
        self.loop(self.laid[0], model.loops[0], self.shift)
        self._cutouts()
        self._reliefs()
        self._holes()

    def near(self, what: str, found: float, meant: float, unit: str = "mm") -> None:
        off = abs(found - meant)
        self.worst[unit] = max(self.worst[unit], off)
        if not off <= (MM if unit == "mm" else DEG):
            self.wrong.append(f"{what}: {found} for {meant}")

    def placed(self, p: Any) -> np.ndarray:
        turn, at = self.move
        return np.asarray(p) @ turn.T + at

    def _fitted(self) -> Any:
        """The turn and shift in the plane that lay the found corners on the drawn ones, and which edge is the first."""
        found = np.array([e.curve.point(np.array([0.0]))[0] for e in self.laid[0].edges])
        meant = np.array([side.curve.at(0.0)[0] for side in self.model.loops[0]])
        if len(found) != len(meant):
            self.wrong.append(f"{len(found)} edges for {len(meant)}")
            return None, 0
        best = None
        for k in range(len(meant)):
            rolled = np.roll(meant, -k, axis=0)
            a, b = found - found.mean(axis=0), rolled - rolled.mean(axis=0)
            angle = np.arctan2(np.sum(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]), np.sum(a * b))
            turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
            at = rolled.mean(axis=0) - turn @ found.mean(axis=0)
            far = float(np.max(np.hypot(*(found @ turn.T + at - rolled).T)))
            # a part with an axis of symmetry fits in several ways: its flanges say which
            odd = sum(
                (e.flange is None) != (self.model.loops[0][(i + k) % len(meant)].flange is None)
                or (e.flange is not None and e.flange.turn == "up")
                != bool((f := self.model.loops[0][(i + k) % len(meant)].flange) and f.up)
                for i, e in enumerate(self.laid[0].edges)
            )
            score = (odd, round(far, 4), self._holes_far((turn, at)))
            if best is None or score < best[0]:
                best = (score, (turn, at), k)
        return best[1], best[2]

    def _holes_far(self, move: Any) -> float:
        meant = [at for at, _ in self.model.holes] + [h.at for h in self.model.flanged]
        found = [np.asarray(h.at) @ move[0].T + move[1] for h in self.part.holes]
        if not meant or not found:
            return 0.0
        return round(sum(min(hypot(*(np.array(m) - f)) for f in found) for m in meant), 3)

    def loop(self, laid: LaidLoop, sides: list[Side], shift: int) -> None:
        for i, e in enumerate(laid.edges):
            side = sides[(i + shift) % len(sides)]
            share = np.linspace(0, 1, 41)
            found = self.placed(e.curve.point(share * e.curve.length))
            meant = np.array([side.curve.at(u * side.curve.length)[0] for u in share])
            self.near(f"{e.edge.name}, farthest point", float(np.max(np.hypot(*(found - meant).T))), 0.0)
            if (e.flange is None) != (side.flange is None):
                self.wrong.append(f"{e.edge.name}: flange")
            elif e.flange is not None:
                f, ends = side.flange, np.array([0.0, 0.5, 1.0])
                for name, values, meant_values, unit in (
                    ("width", e.width(ends * e.curve.length), f.width, "mm"),
                    ("angle", e.angle(ends * e.curve.length), f.angle, "deg"),
                ):
                    for u, v in zip(ends, values, strict=True):
                        self.near(
                            f"{e.edge.name} {name}", float(v), (1 - u) * meant_values[0] + u * meant_values[1], unit
                        )
                self.near(f"{e.edge.name} radius", e.flange.bend_radius, f.radius)
                if (e.flange.turn == "up") != f.up:
                    self.wrong.append(f"{e.edge.name}: turned {e.flange.turn}")

    def _cutouts(self) -> None:
        loops = self.model.loops[1:]
        if len(self.laid) - 1 != len(loops):
            self.wrong.append(f"{len(self.laid) - 1} cutouts for {len(loops)}")
            return
        for laid in self.laid[1:]:
            first = self.placed(laid.edges[0].curve.point(np.array([0.0])))[0]
            far = [
                (hypot(*(side.curve.at(0.0)[0] - first)), k, i) for k, x in enumerate(loops) for i, side in enumerate(x)
            ]
            _, k, i = min(far)
            self.loop(laid, loops[k], i)

    def _reliefs(self) -> None:
        n = len(self.model.loops[0])
        wanted = {r.i: (r.diameter, r.set_back, r.gap) for r in self.model.reliefs}
        wanted |= {i if at_end else (i - 1) % n: (d, 0.0, 0.0) for i, d, at_end in self.model.ends}
        if self.model.cut:
            sides = self.model.loops[0]
            wanted = {i: (self.model.cut, 0.0, 1.0) for i in range(n) if sides[i].flange and sides[(i + 1) % n].flange}
        found = {}
        names = [e.edge.name for e in self.laid[0].edges]
        for c in self.part.corners:
            if c.relief != "none":
                found[(names.index(c.at[0]) + self.shift) % n] = c
        if set(found) != set(wanted):
            self.wrong.append(f"reliefs {sorted(found)} for {sorted(wanted)}")
            return
        for i, c in found.items():
            for what, value, meant in zip(
                ("diameter", "set_back", "gap"), (c.diameter, c.set_back, c.gap), wanted[i], strict=True
            ):
                self.near(f"relief {i} {what}", value or 0.0, meant)

    def _holes(self) -> None:
        m, t = self.model, self.model.t
        meant: list[tuple[str, Any, float, dict[str, tuple[float, str]]]] = [("plain", at, d, {}) for at, d in m.holes]
        meant += [
            ("tooling", at, d, {"slot": (length, "mm"), "slot_angle": (a, "deg")}) for at, d, length, a in m.slots
        ]
        meant += [
            (
                "lightening",
                h.at,
                h.diameter,
                {"bend_angle": (h.angle, "deg"), "bend_radius": (h.radius, "mm"), "rim": (h.rim(t), "mm")},
            )
            for h in m.flanged
        ]
        if len(meant) != len(self.part.holes):
            self.wrong.append(f"{len(self.part.holes)} holes for {len(meant)}")
            return
        for kind, at, d, more in meant:
            h = min(self.part.holes, key=lambda x: hypot(*(self.placed(x.at) - np.array(at))))
            self.near(f"{kind} hole place", float(hypot(*(self.placed(h.at) - np.array(at)))), 0.0)
            self.near(f"{kind} hole diameter", h.diameter, d)
            if h.kind != kind:
                self.wrong.append(f"{h.name}: {h.kind} for {kind}")
                continue
            for key, (value, unit) in more.items():
                found = h.given[1] if key == "rim" else getattr(h, key)
                if key == "slot_angle":
                    turn = np.degrees(np.arctan2(self.move[0][1, 0], self.move[0][0, 0]))
                    found = value + (found + turn - value + 90) % 180 - 90
                self.near(f"{h.name} {key}", found, value, unit)
        ups = {(round(h.at[0], 3), round(h.at[1], 3)) for h in m.flanged if h.up}
        turned = {
            tuple(np.round(self.placed(h.at), 3)) for h in self.part.holes if h.kind == "lightening" and h.turn == "up"
        }
        if ups != turned:
            self.wrong.append(f"holes turned up at {turned} for {ups}")
