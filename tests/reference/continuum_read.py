"""What a solved section says: shapes of the mid-line, angles, gaps, thickness and moment, from CalculiX's files."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import numpy as np

from reference.continuum_case import Case


def displacements(path: Path) -> list[tuple[float, np.ndarray]]:
    """Every increment of a .frd file: total time and the (node, 2) displacements, by node number less one."""
    out: list[tuple[float, np.ndarray]] = []
    time, rows, inside = 0.0, {}, False
    with path.open() as lines:
        for line in lines:
            if line.startswith("  100CL"):
                time = float(line[12:24])
            elif line.startswith(" -4  DISP"):
                inside, rows = True, {}
            elif inside and line.startswith(" -1"):
                rows[int(line[3:13])] = (float(line[13:25]), float(line[25:37]))
            elif inside and line.startswith(" -3"):
                inside = False
                table = np.zeros((max(rows), 2))
                for node, value in rows.items():
                    table[node - 1] = value
                out.append((time, table))
    return out


def stresses(path: Path) -> list[np.ndarray]:
    """The stress tables of a .dat file at the end of each step (times 1, 2, 3): (element, 4 points, sxx syy sxy szz)."""
    out: list[np.ndarray] = []
    table: dict[int, list[tuple[float, ...]]] = {}
    wanted = False
    with path.open() as lines:
        for line in lines:
            if "and time" in line:
                if table:
                    out.append(np.array([table[k] for k in sorted(table)]))
                when, table = float(line.split()[-1]), {}
                wanted = "stresses" in line and abs(when - round(when)) < 1e-9
            elif wanted and line.strip():
                parts = line.split()
                if int(parts[1]) <= 4:
                    picked = tuple(float(parts[k]) for k in (2, 3, 5, 4))
                    table.setdefault(int(parts[0]), []).append(picked)
    return out + ([np.array([table[k] for k in sorted(table)])] if table else [])


def line_angle(xy: np.ndarray) -> float:
    """Angle from flat, degrees, of the line fitted (least squares, square to itself) to points from bend to edge."""
    centred = xy - xy.mean(axis=0)
    direction = np.linalg.svd(centred, full_matrices=False)[2][0]
    if direction @ (xy[-1] - xy[0]) < 0:
        direction = -direction
    return math.degrees(math.atan2(-direction[1], direction[0]))


def distance(xy: np.ndarray, radius: float, undercut: float) -> np.ndarray:
    """Signed distance of points from the block: flat to the left, arc about (0, -radius), wall."""
    turn = math.radians(90 + undercut)
    x, y = xy[:, 0], xy[:, 1] + radius
    around = np.hypot(x, y) - radius
    at = np.arctan2(x, y)
    wall = x * math.sin(turn) + y * math.cos(turn) - radius
    return np.where(x <= 0, y - radius, np.where((at >= 0) & (at <= turn), around, wall))


def circle(xy: np.ndarray) -> float:
    """Radius of the algebraic circle through points."""
    a = np.column_stack([2 * xy, np.ones(len(xy))])
    centre = np.linalg.lstsq(a, (xy**2).sum(axis=1), rcond=None)[0]
    return float(math.sqrt(centre[2] + centre[0] ** 2 + centre[1] ** 2))


def slopes(xy: np.ndarray) -> np.ndarray:
    """Slope from flat, degrees, between neighbours along a line."""
    d = np.diff(xy, axis=0)
    return np.degrees(np.unwrap(np.arctan2(-d[:, 1], d[:, 0])))


def moments(stress: np.ndarray, xy: np.ndarray, grid: np.ndarray, layers: int) -> list[tuple[float, ...]]:
    """Column (two stations each: n + 1/2 -+ 1/sqrt 12), moment N.mm/mm, force N/mm along, force N/mm out of plane.

    `xy` is the deformed section turned as in `Case`; a half turn leaves the stresses as they are.
    """
    out: list[tuple[float, ...]] = []
    g = 1 / math.sqrt(3)
    for c in range(len(stress) // layers):
        left, right = xy[grid[2 * c, ::2]], xy[grid[2 * c + 2, ::2]]
        along = (right[0] + right[-1] - left[0] - left[-1]) / 2
        along = along / np.hypot(*along)
        for side, k in ((-g, 0), (g, 1)):
            w = (1 + side) / 2
            rows = left * (1 - w) + right * w  # where the layers meet: the outer ones have become thinner
            z = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(rows, axis=0).T))])
            z -= z[-1] / 2
            moment, force, hoop = 0.0, 0.0, 0.0
            for j in range(layers):
                h, middle = z[j + 1] - z[j], (z[j + 1] + z[j]) / 2
                for eta, point in ((-g, k), (g, k + 2)):
                    sx, sy, sxy, sz = stress[c * layers + j, point]
                    s = along[0] ** 2 * sx + along[1] ** 2 * sy + 2 * along[0] * along[1] * sxy
                    moment += s * (middle + eta * h / 2) * h / 2
                    force, hoop = force + s * h / 2, hoop + sz * h / 2
            out.append((c + w, moment, force, hoop))
    return out


def shape(case: Case, nodes: np.ndarray, flat: np.ndarray, grid: np.ndarray) -> dict[str, Any]:
    """One state of the sheet as plain numbers; `nodes` deformed and `flat` as cut, in the frame of the section."""
    t, r, turn = case.thickness, case.radius, math.radians(90 + case.undercut)
    station = case.stations
    middle, inner, outer = (nodes[grid[:, j]] for j in (case.layers, 0, -1))
    local = slopes(middle)
    between = (station[1:] + station[:-1]) / 2
    gap = distance(inner, r, case.undercut)
    if case.around:  # the blank of a curved flange stretches along its meridian: the bend's end is where it lies
        flange = (middle[:, 1] < -r - t) & (station > 0)
    else:
        flange = station >= turn * (r + t / 2) + t
    if flange.sum() < 3:
        flange = station > station[-1] - 2 * t
    slope_at = np.interp(station, between, local)
    bent = (slope_at > 2 / 9 * local[-1]) & (slope_at < 7 / 9 * local[-1]) & (station > -2 * t)
    over = station > 0
    at = np.degrees(np.arctan2(inner[over, 0], inner[over, 1] + r))
    crown = float(gap[over][np.abs(at - math.degrees(turn) / 2).argmin()])
    web = (station < 0) & (inner[:, 0] < 0)
    thick = np.hypot(*(nodes[grid[::2, -1]] - nodes[grid[::2, 0]]).T)
    out = {
        "angle_deg": line_angle(middle[flange]),
        "tip_slope_deg": float(local[-1]),
        "web_lift_mm": float(gap[web].max()),
        "web_lift_at_mm": float(inner[web][gap[web].argmax(), 0]),
        "crown_gap_mm": crown,
        "wall_gap_mm": float(gap[flange].max()),
        "edge_gap_mm": float(gap[-1]),
        "formed_inside_radius_mm": circle(inner[bent]) if bent.sum() > 4 else None,
        "thinnest_mm": float(thick.min()),
        "station_mm": station.tolist(),
        "x_mm": middle[:, 0].tolist(),
        "y_mm": middle[:, 1].tolist(),
        "slope_station_mm": between.tolist(),
        "slope_deg": local.tolist(),
        "gap_mm": gap.tolist(),
        "thickness_station_mm": station[::2].tolist(),
        "thickness_mm": thick.tolist(),
        "outer_x_mm": outer[:, 0].tolist(),
        "outer_y_mm": outer[:, 1].tolist(),
    }
    if case.around:
        hoop = np.log(case.world(middle)[:, 0] / case.world(flat[grid[:, case.layers]])[:, 0])
        out |= {"edge_hoop_strain": float(hoop[-1]), "edge_thickness_mm": float(thick[-1])}
        out |= {"straight_formed_mm": float(-r - middle[-1, 1]), "hoop_strain": hoop.tolist()}
    return out
