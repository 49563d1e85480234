"""The file of measurements as a form: everything that the inspection sheet asks for, one row each, its value to be filled in."""

from __future__ import annotations

from ribwright.documents.identity import Identity
from ribwright.documents.measures import Measure, measures
from ribwright.stages.plan import Plan
from ribwright.units import MM_PER_IN

KIND = {
    "flange_angle": "flange_angle", "flange_width": "flange_width", "bend_radius": "bend_radius", "contour": "template_gap",
    "web_flatness": "web_bow", "hole_diameter": "hole_diameter",
}  # fmt: skip
SHARES = (10, 30, 50, 70, 90)  # where a template is felt under along an edge [%]


def measuring_form(plan: Plan, identity: Identity) -> str:
    """CSV text. Rows without a value count as not measured, so that what a shop does not measure may stay."""
    part, first = plan.job.part, identity.first
    press = plan.setup.press.id if plan.setup else ""
    head = {
        "units": first, "part": part.number, "revision": part.revision, "hand": part.hand if part.hand != "none" else "",
        "serial": "", "state": "as pressed", "lot": "", "block": "", "packet": "", "press": press, "pressure": "",
        "gauge": "", "by": "", "date": "", "template": "pins", "what": "part", "undercut": "",
    }  # fmt: skip
    lines = [f"# {key} = {value}".rstrip() for key, value in head.items()]
    lines.append(
        "# pressure: on the pad, as the set-up card's small print has it; packet: the fingerprint on the packet that the block was"
    )
    lines.append(
        "# CUT from (or undercut = its degrees, where it is one): of the block that stood in the press, not of a new plan"
    )
    datum = next((h.name for h in part.holes if h.kind == "tooling"), "")
    if datum:
        lines.append(
            f"# hole_x and hole_y are from {datum}, those of {datum} itself from the drawing's origin: as on the inspection sheet;"
        )
        lines.append('# for another datum write a line "# holes_from = NAME" (or origin) and measure all from it')
    lines += [f"# gauges of the shop: {g.id} {g.kind}" for g in plan.job.shop.gauges]
    lines.append("kind, edge, along, value, uncertainty, gauge, note")
    for m in measures(plan, first):
        if m.quantity == "contour":
            continue  # along every edge, below
        if m.quantity:
            lines.append(_row(m, first))
    for edge in (e.edge.name for loop in plan.blank.laid for e in loop.edges):
        lines += [f"template_gap, {_cell(edge)}, {share} %, , , ," for share in SHARES]
    return "\n".join(lines) + "\n"


def _row(m: Measure, first: str) -> str:
    quantity, where = m.quantity, m.where
    word = m.what.partition("\n")[2].partition(",")[0]
    note = "; ".join(x for x in (word, f"nominal {m.nominal}".replace("\n", " ")) if x)
    place = where.get("edge") or where.get("hole") or "/".join(where.get("corner", ()))
    kind = f"hole_{where['axis']}" if quantity == "hole_position" else KIND[quantity]
    kind = "slot_length" if where.get("of") == "slot" else kind
    along = "" if "along_mm" not in where else f"{where['along_mm'] / (MM_PER_IN if first == 'in' else 1.0):.3f}"
    return f"{kind}, {_cell(place)}, {along}, , , , {_cell(note)}"


def _cell(text: str) -> str:
    return '"' + text.replace('"', '""') + '"' if any(c in text for c in ',;"\t') else text
