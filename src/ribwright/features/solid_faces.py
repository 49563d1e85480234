"""A formed part as a solid file holds it: faces with points and normals, the edges between them. Lengths mm, in the file's own frame.

Nothing here knows of webs or flanges: that is read out of it by the stages `solid_*`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Ints = NDArray[np.int64]
PLANE, CYLINDER, OTHER = "plane", "cylinder", "other"
LINE, CIRCLE, CURVE = "line", "circle", "curve"


@dataclass(frozen=True, eq=False)
class SolidFace:
    """One face. Points lie on its surface, in so many triangles that chords stray little from it.

    kind       "plane", "cylinder", "other"
    area       [mm2]
    points     (n, 3)
    normals    (n, 3) unit, out of the metal; of a surface without inside, of whichever side its file calls the front
    triangles  (m, 3) rows of `points`, counter-clockwise seen against the normals
    between    (k, 3) further points on the face, in the middles of the triangles and of the sides that two of them share
    """

    number: int
    kind: str
    area: float
    points: Array
    normals: Array
    triangles: Ints
    between: Array


@dataclass(frozen=True, eq=False)
class SolidEdge:
    """One edge between faces.

    faces     numbers of the faces that meet in it; one where the sheet of a surface ends
    ends      numbers of the vertices it begins and ends at; the same where it is closed
    kind      "line", "circle", "curve"
    points    (n, 3) from end to end on the curve itself, dense
    slopes    (n, 3) derivative by the row number: a cubic through points and slopes is the curve
    """

    number: int
    faces: tuple[int, ...]
    ends: tuple[int, int]
    kind: str
    points: Array
    slopes: Array


@dataclass(frozen=True, eq=False)
class SolidFile:
    """All of a file. `closed`: its faces enclose metal; else they are a surface. `unit`: what the file is written in ("mm", "in", another
    name, "" where it says none); `schema` its format; `volume` [mm3], 0 of a surface; `bodies`: how many."""

    file: str
    schema: str
    unit: str
    closed: bool
    bodies: int
    volume: float
    faces: tuple[SolidFace, ...]
    edges: tuple[SolidEdge, ...]
