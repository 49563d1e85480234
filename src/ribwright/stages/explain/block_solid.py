"""Numbers of the solid that a kernel made of the block: what was measured on it, and what it is held against."""

from __future__ import annotations

from ribwright.stages.explain import depends as on
from ribwright.stages.explain.depends import Keys
from ribwright.stages.explain.explanation import Told
from ribwright.stages.explain.family import Case, Family, Place, between
from ribwright.stages.solid import CHORD_MM, CURVE_MM, RING_LAND_MM

KERNEL = "the solid kernel; its version is no part of the inputs"
HELD = "taken only when both volumes agree within 1e-4; 60 random blocks agreed within 3.0e-5. No block was measured."


def _body(case: Case) -> tuple[str, str]:
    """Path of the body's row, and what it is called."""
    ring = "rings" in case.path
    row = case.path.rpartition(".")[0]
    return row, f"ring {case.row['file']}" if ring else "block"


def _volume(case: Case) -> Told:
    _, name = _body(case)
    if name == "block":
        own = case.number("V", "volume of the block", "block.volume_mm3", "mm3")
        words, again = "V, the integral of the level sections", float(own.value)
    else:
        own = between("land", "flat of the ring round its rounded rim", RING_LAND_MM, "mm", "a choice of this project")
        words, again = "cylinder of the ring's outside, less its recess and vent, turned about the axis", None
    return Told(
        f"Volume of the {name} by this tool's own integral, which the kernel's is held against.",
        "formula" if again is not None else "geometry",
        words,
        (own,),
        "geometry of plane and ruled walls",
        again=again,
    )


def _measured(case: Case) -> Told:
    row, name = _body(case)
    own = case.number("V", "volume by our own integral", f"{row}.volume_mm3", "mm3")
    return Told(
        f"Volume of the {name} as the solid kernel measures it on the solid it made.",
        "geometry",
        "measured on the solid: ruled faces between level sections, rounded edges as polylines inside the arc by at most "
        f"{CHORD_MM:g} mm, edges of a section within {CURVE_MM:g} mm",
        (own,),
        KERNEL,
        "a solid that was not refused",
        compared=HELD,
    )


def _counted(case: Case) -> Told:
    (row, name), which = _body(case), case.path.rpartition(".")[2]
    what, words = {
        "faces": (f"Faces of the {name}'s solid.", "counted by the kernel on the solid it made"),
        "levels": (
            f"Level sections that the {name}'s solid is ruled through.",
            f"as many as keep the rounding's chords within {CHORD_MM:g} mm and the volume; 2 for what is turned",
        ),
        "bytes": (f"Length of the {name}'s file; 0 where none was written.", "counted on the file written"),
    }[which]
    own = case.number("V", "volume by our own integral", f"{row}.volume_mm3", "mm3")
    return Told(what, "geometry", words, (own,), KERNEL if which != "levels" else "project decision")


def _on_solid(place: Place) -> Keys:
    return (*on.BLOCK, "practice.recess_vent.value")


SOLID = "solid(|.rings[*])"
FAMILIES = (
    Family(f"{SOLID}.volume_mm3", _on_solid, _volume),
    Family(f"{SOLID}.kernel_volume_mm3", _on_solid, _measured),
    Family(f"{SOLID}.(faces|levels)", _on_solid, _counted),
    # names, revision and shop stand in the file
    Family(f"{SOLID}.bytes", lambda _: ("*",), _counted),
)
