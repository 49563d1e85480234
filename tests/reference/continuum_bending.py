"""The same sheet bent by couples alone, as a continuum: what the set-up itself misses against layer theory.

    cd tests && python -m reference.continuum_bending      moments of 2024-T3 at R/t 3 by layer theory, strip and continuum

The moment hardly grows with the bend, so it is the moments at one curvature that are held against each other.
"""

from __future__ import annotations

import math
import tempfile
from pathlib import Path

import numpy as np

from reference.continuum_case import HARD_2024, Sheet
from reference.continuum_deck import Mesh, material, ribbon
from reference.continuum_read import circle, displacements
from reference.continuum_section import CCX, run_deck

ARM, INNER_ARM, LEVER = 6.0, 3.0, 2.0


def parts(thickness: float, length: float, layers: int, columns: int) -> tuple[Mesh, Mesh, np.ndarray]:
    """The strip, the lever at its end, and the lever's nodes numbered after the strip's where they are not shared."""
    strip = ribbon(np.linspace(0, length, columns + 1), layers, lambda s, eta: (s, (eta - 0.5) * thickness))
    half = thickness / 2
    rows = np.concatenate([[-ARM, -INNER_ARM], np.linspace(-half, half, layers + 1), [INNER_ARM, ARM]])
    lever = ribbon(
        np.array([length, length + LEVER]),
        layers + 4,
        lambda s, eta: (s, float(np.interp(eta * (layers + 4), np.arange(layers + 5), rows))),
    )
    number, added = np.zeros(len(lever.nodes), int), 0
    for k, node in enumerate(lever.nodes):
        gap = np.hypot(*(strip.nodes - node).T)
        if gap.min() < 1e-9:
            number[k] = int(gap.argmin())
        else:
            number[k] = len(strip.nodes) + added
            added += 1
    return strip, lever, number


def deck(sheet: Sheet, thickness: float, length: float, layers: int, columns: int, couple: float) -> str:
    """A strip, one end on a symmetry line, a stiff lever on the other with two opposed pressures that turn with it."""
    strip, lever, number = parts(thickness, length, layers, columns)
    nodes = dict(enumerate(strip.nodes)) | {int(n): xy for n, xy in zip(number, lever.nodes, strict=True)}
    es = len(strip.elements)
    out = ["*NODE"] + [f"{i + 1}, {xy[0]:.9f}, {xy[1]:.9f}, 0." for i, xy in sorted(nodes.items())]
    out += ["*ELEMENT, TYPE=CPE8R, ELSET=SHEET"]
    out += [f"{k + 1}, " + ", ".join(str(1 + a) for a in el) for k, el in enumerate(strip.elements)]
    out += ["*ELEMENT, TYPE=CPE8R, ELSET=LEVER"]
    out += [f"{es + k + 1}, " + ", ".join(str(1 + number[a]) for a in el) for k, el in enumerate(lever.elements)]
    root = [a + 1 for a in strip.grid[0] if a >= 0]
    out += ["*NSET, NSET=ROOT", ", ".join(map(str, root)), *material(sheet), "*MATERIAL, NAME=STIFF", "*ELASTIC"]
    out += ["1.e7, 0.3", "*SOLID SECTION, ELSET=SHEET, MATERIAL=ALLOY", "1."]
    out += ["*SOLID SECTION, ELSET=LEVER, MATERIAL=STIFF", "1.", "*BOUNDARY", "ROOT, 1, 1"]
    out += [f"{strip.grid[0, layers] + 1}, 2, 2"]
    width = ARM - INNER_ARM
    pressure = couple / (width * 2 * (INNER_ARM + width / 2))
    out += ["*AMPLITUDE, NAME=LOAD", "0., 0."]
    # the couple that layer theory gives at even steps of curvature, so that each step bends alike
    curvatures = np.linspace(0, couple_curvature(sheet, thickness, couple), 41)[1:]
    found = [layer_moment(sheet, thickness, k) / couple for k in curvatures]
    out += [f"{(i + 1) / 40:.6f}, {f:.8f}" for i, f in enumerate(found)]
    out += ["*AMPLITUDE, NAME=BACK", "0., 1., 1., 0."]
    for name, step in (("LOAD", "0.01, 1., 1.e-6, 0.025"), ("BACK", "0.25, 1., 1.e-5, 0.25")):
        out += ["*STEP, NLGEOM, INC=1000", "*STATIC", step, f"*DLOAD, AMPLITUDE={name}"]
        # top of the lever pushed towards the web from its far side, bottom from its near side: the strip turns down
        out += [f"{es + 1}, P4, {-pressure:.9f}", f"{es + layers + 4}, P4, {pressure:.9f}"]
        out += ["*NODE FILE, OUTPUT=2D, FREQUENCY=1", "U", "*END STEP"]
    return "\n".join(out) + "\n"


def couple_curvature(sheet: Sheet, thickness: float, couple: float) -> float:
    low, high = 0.0, 2.0 / thickness
    for _ in range(40):
        mid = (low + high) / 2
        low, high = (mid, high) if layer_moment(sheet, thickness, mid) < couple else (low, mid)
    return mid


def layer_moment(sheet: Sheet, thickness: float, curvature: float) -> float:
    """Layer theory, N.mm/mm: fibres ln(1 + e - z kappa) under plane strain, no force along the sheet, Swift's law."""
    z, w = np.polynomial.legendre.leggauss(400)
    z, w = z * thickness / 2, w * thickness / 2
    root3 = 2 / math.sqrt(3)
    modulus = sheet.youngs / (1 - sheet.poisson**2)
    grid = np.concatenate([[0.0], np.geomspace(1e-7, 2.0, 4000)])
    flow = root3 * sheet.strength * (sheet.first + root3 * grid) ** sheet.exponent
    total = flow / modulus + grid  # total strain of a fibre against its plastic part

    def stress(strain: np.ndarray) -> np.ndarray:
        size = np.abs(strain)
        return np.sign(strain) * np.where(size < total[0], modulus * size, np.interp(size, total, flow))

    low, high = -0.2, 0.2
    for _ in range(60):
        mid = (low + high) / 2
        if (w * stress(np.log(1 + mid - z * curvature))).sum() > 0:
            high = mid
        else:
            low = mid
    return float(-(w * z * stress(np.log(1 + mid - z * curvature))).sum())


def solve(sheet: Sheet, thickness: float, inside: float, layers: int = 4, keep: Path | None = None) -> dict[str, float]:
    """The couple that layer theory gives at the wanted bend, the curvature the continuum takes, and what it loses.

    The curvature is that of the circle through the mid-line over the middle half, the lever's end kept out.
    """
    length, columns = 8 * thickness, 40
    couple = layer_moment(sheet, thickness, 1 / (inside + thickness / 2))
    with tempfile.TemporaryDirectory() as temp:
        folder = keep or Path(temp)
        run_deck(deck(sheet, thickness, length, layers, columns, couple), folder)
        frames = displacements(folder / "job.frd")
    strip, _, _ = parts(thickness, length, layers, columns)
    station = np.linspace(0, length, 2 * columns + 1)
    inner = (station > 0.1 * length) & (station < 0.6 * length)
    row = strip.grid[:, layers][inner]
    curvature = [1 / circle(strip.nodes[row] + moved[row]) for _, moved in frames]
    full = next(i for i, (when, _) in enumerate(frames) if abs(when - 1) < 1e-9)
    return {"moment_n": couple, "curvature": curvature[full], "free_curvature": curvature[-1]}


def main() -> None:
    """2024-T3 1.0 bent to R 3, the curvature of the mid-line 1/3.5: the moment by the strip and by layer theory, N.mm/mm;
    the continuum's couple at the curvature that it takes."""
    from ribwright.mechanics.flow_curve import Swift
    from ribwright.mechanics.sheet_law import sheet_law
    from strips import bent

    sheet, thickness, inside = HARD_2024, 1.0, 3.0
    law = sheet_law(sheet.youngs, sheet.poisson, Swift(sheet.strength, sheet.exponent, sheet.first))
    curvatures = [1 / (inside + thickness / 2)]
    if CCX:
        found = solve(sheet, thickness, inside)
        print(
            "continuum: couple {moment_n:.1f}, curvature {curvature:.5f}, let go {free_curvature:.5f}".format(**found)
        )
        curvatures.append(found["curvature"])
    for curvature in curvatures:
        moments = [abs(bent(law, thickness, curvature, layers=n)[1].moment[0]) for n in (10, 100)]
        theory = layer_moment(sheet, thickness, curvature)
        print(
            "curvature {:.5f}: strip by 10 layers {:.1f}, by 100 {:.1f}; layer theory {:.1f}".format(
                curvature, *moments, theory
            )
        )


if __name__ == "__main__":
    main()
