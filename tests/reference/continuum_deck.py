"""The input deck of CalculiX for one flange: quadratic elements, a fixed block, contact, load, release, block away."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from reference.continuum_case import Case, corner_stations


@dataclass(frozen=True)
class Mesh:
    """Nodes (n, 2), elements (m, 8) column by column, and grid (2 columns + 1, 2 layers + 1) of node rows, -1 none."""

    nodes: np.ndarray
    elements: np.ndarray
    grid: np.ndarray


def ribbon(along: np.ndarray, layers: int, place: Callable[[float, float], tuple[float, float]]) -> Mesh:
    """A ribbon of quadratic quads: `along` corner stations, `layers` across; `place(s, eta)` gives x, y (eta 0..1)."""
    n = len(along) - 1
    stations = np.empty(2 * n + 1)
    stations[::2] = along
    stations[1::2] = (along[1:] + along[:-1]) / 2
    grid = -np.ones((2 * n + 1, 2 * layers + 1), int)
    nodes = []
    for i, s in enumerate(stations):
        for j in range(2 * layers + 1):
            if not (i % 2 and j % 2):
                grid[i, j] = len(nodes)
                nodes.append(place(s, j / (2 * layers)))
    elements = []
    for i in range(0, 2 * n, 2):
        for j in range(0, 2 * layers, 2):
            corner = [(i, j), (i + 2, j), (i + 2, j + 2), (i, j + 2)]
            side = [(i + 1, j), (i + 2, j + 1), (i + 1, j + 2), (i, j + 1)]
            elements.append([grid[a] for a in corner + side])
    return Mesh(np.array(nodes), np.array(elements), grid)


def sheet_mesh(case: Case) -> Mesh:
    return ribbon(corner_stations(case), case.layers, lambda s, eta: (s, eta * case.thickness))


def block_mesh(case: Case) -> Mesh:
    """One layer under the block's contour: flat, arc, wall; eta 1 is the face."""
    r, turn = case.radius, math.radians(90 + case.undercut)
    depth, arc, wall = 0.5 * r, r * turn, case.width + 8
    bend = np.linspace(0, arc, max(24, int(math.degrees(turn) / 2.5)) + 1)
    flat = np.linspace(-case.web_length - (1 if case.around == "disc" else 3), 0, 12)
    along = np.concatenate([flat[:-1], bend, np.linspace(arc, arc + wall, 12)[1:]])

    def place(s: float, eta: float) -> tuple[float, float]:
        a = min(max(s / r, 0.0), turn)
        on_flat, on_wall = min(s, 0.0), max(s - arc, 0.0)
        rho = r - depth * (1 - eta)
        x = on_flat + rho * math.sin(a) + on_wall * math.cos(turn)
        return x, -r + rho * math.cos(a) - on_wall * math.sin(turn)

    return ribbon(along, 1, place)


def numbers(values: object) -> str:
    flat = [str(int(n)) for n in np.asarray(values).ravel()]
    return "\n".join(", ".join(flat[i : i + 12]) + "," for i in range(0, len(flat), 12))


def material(case_sheet) -> list[str]:
    out = ["*MATERIAL, NAME=ALLOY", "*ELASTIC", f"{case_sheet.youngs}, {case_sheet.poisson}", "*PLASTIC"]
    return out + [f"{stress:.6f}, {strain:.8g}" for stress, strain in case_sheet.curve()]


def deck(case: Case) -> str:
    """The whole input: geometry, contact, three steps (load, release, block away)."""
    sheet, block = sheet_mesh(case), block_mesh(case)
    ns, es = len(sheet.nodes), len(sheet.elements)
    kind, thick = ("CAX8R", "") if case.around else ("CPE8R", "1.")
    both = case.world(np.vstack([sheet.nodes, block.nodes]))
    out = ["*NODE"] + [f"{i + 1}, {x:.9f}, {y:.9f}, 0." for i, (x, y) in enumerate(both)]
    for name, mesh, n0, e0 in (("SHEET", sheet, 1, 1), ("BLOCK", block, ns + 1, es + 1)):
        out.append(f"*ELEMENT, TYPE={kind}, ELSET={name}")
        out += [f"{e0 + k}, " + ", ".join(str(n0 + a) for a in el) for k, el in enumerate(mesh.elements)]
    first = np.arange(0, es, case.layers)
    far = [n + 1 for n in sheet.grid[0] if n >= 0]
    out += ["*NSET, NSET=SHEETN", numbers(np.arange(1, ns + 1))]
    out += ["*NSET, NSET=BLOCKN", numbers(np.arange(ns + 1, ns + len(block.nodes) + 1))]
    out += ["*NSET, NSET=FAR", numbers(far), "*ELSET, ELSET=PADSIDE", numbers(first + case.layers)]
    out += ["*SURFACE, NAME=INNER, TYPE=ELEMENT"] + [f"{e + 1}, S1" for e in first]
    out += ["*SURFACE, NAME=FACE, TYPE=ELEMENT"] + [f"{es + 1 + c}, S3" for c in range(len(block.elements))]
    out += [*material(case.sheet), "*MATERIAL, NAME=STEEL", "*ELASTIC", "210000., 0.3"]
    for name, alloy in (("SHEET", "ALLOY"), ("BLOCK", "STEEL")):
        out += [f"*SOLID SECTION, ELSET={name}, MATERIAL={alloy}"] + ([thick] if thick else [])
    out += ["*SURFACE INTERACTION, NAME=TOUCH", "*SURFACE BEHAVIOR, PRESSURE-OVERCLOSURE=LINEAR", f"{case.stiffness:g}"]
    if case.friction:
        out += ["*FRICTION", f"{case.friction}, {case.stiffness / 20:g}"]
    out += ["*CONTACT PAIR, INTERACTION=TOUCH, TYPE=SURFACE TO SURFACE", "INNER, FACE"]
    out += ["*BOUNDARY", "BLOCKN, 1, 2", "FAR, 1, 1", f"{far[0]}, 2, 2", "*AMPLITUDE, NAME=LOAD"]
    out += [f"{a:.6f}, {b / case.pressure:.8f}," for a, b in zip(*case.pressures(), strict=True)]
    # the cut edge is pressed once the flange lies on its wall: pressed from the first, contact flickered and nothing settled
    out += ["*AMPLITUDE, NAME=EDGELOAD"]
    out += [
        f"{a:.6f}, {max(b - case.on_wall, 0) / (case.pressure - case.on_wall):.8f},"
        for a, b in zip(*case.pressures(), strict=True)
    ]
    out += ["*AMPLITUDE, NAME=RELEASE", "0., 1., 1., 0.", "*AMPLITUDE, NAME=EDGERELEASE", "0., 1., 1., 0."]
    edge = [f"{e}, P2, {case.pressure}" for e in range(es - case.layers + 1, es + 1)] if case.end_face else []
    # one frequency rules all that is printed, so stresses come with every increment and most are skipped on reading
    printed = ["*NODE FILE, OUTPUT=2D, FREQUENCY=1", "U", "*EL PRINT, ELSET=SHEET, FREQUENCY=1", "S"]
    for name, begin, longest in (("LOAD", 0.01, 0.025), ("RELEASE", 0.1, 0.25)):
        out += ["*STEP, NLGEOM, INC=3000", "*STATIC", f"{begin}, 1., 1.e-6, {longest}"]
        # a few contact points may come and go between iterations: they carry next to nothing
        out += ["*CONTROLS, PARAMETERS=CONTACT", f"{case.flicker:g}, 0.1, 1, 80"]
        out += [f"*DLOAD, AMPLITUDE={name}", f"PADSIDE, P3, {case.pressure}"]
        out += [f"*DLOAD, AMPLITUDE=EDGE{name}", *edge] if edge else []
        out += [*printed, "*END STEP"]
    out += ["*STEP, NLGEOM, INC=1000", "*STATIC", "0.25, 1., 1.e-6, 1."]
    out += ["*MODEL CHANGE, TYPE=CONTACT PAIR, REMOVE", "INNER, FACE", *printed, "*END STEP"]
    return "\n".join(out) + "\n"
