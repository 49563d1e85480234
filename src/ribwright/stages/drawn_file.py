"""What is said about a drawing file itself: what was mended, what was left out, what its header claims, which layers have no role."""

from __future__ import annotations

from ribwright.errors import Fault
from ribwright.features.drawn_lines import DrawnFile, LeftOut
from ribwright.stages.drawn_roles import IGNORE, Role, inventory
from ribwright.stages.drawn_unit import SAID, Confirmed
from ribwright.stages.finding import Finding
from ribwright.units import LENGTHS, Unit, show_length

MOST_CLAUSES = 12
UNIT_WORDS = {"mm": "millimetres", "in": "inches", "cm": "centimetres", "m": "metres", "ft": "feet"}


def file_findings(drawn: DrawnFile, roles: dict[str, Role], unit: Confirmed) -> list[Finding]:
    """Findings about the file, once layers have roles and numbers a unit."""
    out = []
    if drawn.mended:
        out.append(
            Finding(
                "drawing-mended",
                "warn",
                f"The file was broken and is read as mended: {'; '.join(drawn.mended)}.",
                "Compare the outline with a print of the drawing, or have it saved again.",
                value=float(len(drawn.mended)),
                source="the drawing",
            )
        )
    out += _unit_findings(drawn, unit)
    if open_ones := inventory(drawn, roles):
        out.append(
            Finding(
                "drawing-no-role",
                "note",
                f"Not read, for no role is known: {_some(open_ones)}.",
                "--role LAYER=web, flange, tangent, hole, tooling or lightening reads one; LAYER=ignore keeps it out and silent.",
                value=float(len(open_ones)),
                source="layer names",
            )
        )
    silent = {layer for layer, role in roles.items() if role.word == IGNORE}
    left = [x for x in drawn.left_out if x.layer not in silent]
    lost = [x for x in left if x.is_line]
    if lost:
        out.append(
            Finding(
                "drawing-lines-left-out",
                "warn",
                f"Lines that are not read: {_some([_words(x) for x in lost])}.",
                "Look whether the outline needs them; show the layer, or draw them flat.",
                value=float(sum(x.count for x in lost)),
                source="the drawing",
            )
        )
    others = [x for x in left if not x.is_line]
    if others:
        out.append(
            Finding(
                "drawing-left-out",
                "note",
                f"Not read, and no lines of an outline: {_some([_words(x) for x in others])}.",
                value=float(sum(x.count for x in others)),
                source="the drawing",
            )
        )
    return out


def mended_words(drawn: DrawnFile) -> str:
    """What was broken in the file and how it was put right, in one clause; "" of a sound one."""
    return f"a broken file, read as mended: {'; '.join(drawn.mended)}" if drawn.mended else ""


def lost_faults(drawn: DrawnFile, roles: dict[str, Role]) -> list[Fault]:
    """Lines of layers with a role that could not be read, of a hidden layer apart: a part without them is another part."""
    read = {layer for layer, role in roles.items() if role.word != IGNORE}
    lost = [x for x in drawn.left_out if x.is_line and x.layer in read and not x.hidden]
    return [
        Fault(
            drawn.file,
            "the lines",
            _words(x),
            "level lines, arcs, polylines, circles, ellipses or splines seen from above",
        )
        for x in lost
    ]


def _unit_findings(drawn: DrawnFile, unit: Confirmed) -> list[Finding]:
    out = []
    if drawn.unit and drawn.unit != unit.name:
        factor = LENGTHS[unit.name] / LENGTHS[drawn.unit] if drawn.unit in LENGTHS else 0.0
        off = f"; by its header it would be {_factor(factor)}" if factor else ""
        out.append(
            Finding(
                "drawing-unit-header",
                "warn",
                f"The header says {_unit(drawn.unit)}, the known length says {_unit(unit.name)}: taken as {_unit(unit.name)}{off}.",
                "Make sure of the known length, and have the header put right.",
                value=factor or None,
                source=f"{unit.lengths[0].typed!r} against the header",
            )
        )
    for length in unit.lengths:
        off_mm = unit.off(length)
        if abs(off_mm) > SAID * length.mm:
            first: Unit = "in" if unit.name in ("in", "ft") else "mm"
            out.append(
                Finding(
                    "drawing-length-off",
                    "warn",
                    f"The drawing has {length.typed!r} as {show_length(length.drawn * unit.mm, first)}, "
                    f"{show_length(abs(off_mm), first)} {'more' if off_mm > 0 else 'less'}. It picked the unit; nothing was stretched.",
                    "Find out which of the two is right before anything is cut.",
                    value=length.drawn * unit.mm,
                    limit=length.mm,
                    unit="mm",
                    source="the known length",
                )
            )
    return out


def _factor(factor: float) -> str:
    return f"{factor:.4g} times too small" if factor > 1 else f"{1 / factor:.4g} times too large"


def _unit(name: str) -> str:
    return UNIT_WORDS.get(name, name)


def _words(x: LeftOut) -> str:
    return f"{x.count} {x.what} on layer {x.layer!r} ({x.why})"


def _some(clauses: list[str]) -> str:
    more = len(clauses) - MOST_CLAUSES
    return "; ".join([*clauses[:MOST_CLAUSES], *([f"and {more} more"] if more > 0 else [])])
