"""Beads of the web: their section, what lies near them, their stretch, and whether the press fills them."""

from __future__ import annotations

from collections.abc import Iterator

from ribwright.shop.least_radius import radii_of
from ribwright.shop.sheet import Fact
from ribwright.stages.bead_demand import BeadDemand, bead_demands, formed
from ribwright.stages.bead_room import Near, Room, rooms
from ribwright.stages.block import side_of
from ribwright.stages.checks.context import Finding, Looked, margin, percent
from ribwright.stages.pressure import within
from ribwright.stages.setup import area_under, pump_to
from ribwright.units import show_pressure

GEOMETRY = "geometry"
NEAR_LIMIT = 0.8
STRETCH_SOURCE = "strip of sheet over the groove (mechanics/bead_fill)"


def findings(looked: Looked) -> Iterator[Finding]:
    """All of every bead; nothing further of one whose section is none."""
    for room in rooms(looked.job, looked.blank):
        if room.shape.why_not:
            yield _no_section(room)
            continue
        yield from _shape(looked, room)
        yield from _radii(looked, room)
        yield from _near(looked, room)
        yield from _stretch(looked, room)
    yield from _pressure(looked)


def _where(room: Room) -> dict[str, object]:
    return {"bead": str(room.shape.number)}


def _no_section(room: Room) -> Finding:
    return Finding(
        "bead-section",
        "stop",
        f"Bead {room.shape.number} cannot be made as drawn: {room.shape.why_not}.",
        "Check width, depth, radii and points against the drawing.",
        _where(room),
        source=GEOMETRY,
    )


def _shape(looked: Looked, room: Room) -> Iterator[Finding]:
    s, where = room.shape, _where(room)
    fact = looked.job.catalogue.practice["bead_depth_to_width"]
    share = s.bead.depth / s.bead.width
    if share > fact.value:
        yield Finding(
            "bead-deep",
            "warn",
            f"Bead {s.number} is {share:.2f} of its width deep; over {fact.value:g} the rubber hardly follows and the sheet thins.",
            "A wider or shallower bead, as the drawing allows; first piece on scrap.",
            where, share, fact.value, margin(share, fact.value), "", _source(fact),
        )  # fmt: skip
    if s.left_open:
        taken = {"radius": f"bottom {looked.length(s.radius)}", "edge_radius": f"edge {looked.length(s.edge_radius)}"}
        yield Finding(
            "bead-radius-left-open",
            "note",
            f"The file does not say every radius of bead {s.number}; taken: {', '.join(taken[k] for k in s.left_open)}, inside the sheet.",
            "Copy the radii from the drawing.",
            where,
        )
    if s.bead.turn != side_of(looked.job):
        yield Finding(
            "bead-needs-ridge",
            "warn",
            f"Bead {s.number} turns {s.bead.turn}, against the flanges: the block needs a ridge on its web face, which is not cut from it.",
            "Fasten a strip with the bead's section to the web face, ends rounded, nothing loose; the section stands on the block sheet.",
            where,
            source="common practice",
        )


def _radii(looked: Looked, room: Room) -> Iterator[Finding]:
    job, s = looked.job, room.shape
    row = job.formed.bend_row if job.formed else job.formed_name
    known = radii_of(job.radius_table, row, job.t)
    if known is None:
        return
    source = f"{job.radius_table.title}: {job.radius_table.source} ({job.radius_table.row_status.get(row, job.radius_table.status)})"
    for what, radius in (("bottom", s.radius), ("edge", s.edge_radius)):
        if radius < known[1] * (1 - 1e-6):
            yield Finding(
                "bead-radius",
                "stop",
                f"The {what} of bead {s.number} has a radius of {looked.length(radius)}, under the least bend radius "
                f"{looked.length(known[1])} for {row} {looked.length(job.t)}: it will crack.",
                "Ask for a larger radius, or form in a softer temper.",
                {**_where(room), "at": what}, radius, known[1], margin(radius, known[1], least=True), "mm", source,
            )  # fmt: skip


def _near(looked: Looked, room: Room) -> Iterator[Finding]:
    practice, t = looked.job.catalogue.practice, looked.job.t
    for kind, key in (("edge", "bead_to_bend"), ("hole", "bead_to_hole"), ("bead", "bead_to_bead")):
        near, fact = room.nearest(kind), practice[key]
        if near is None:
            continue
        want = fact.value * (max(room.shape.bead.width, _width(looked, near)) if kind == "bead" else t)
        where = {**_where(room), "near": f"{near.kind} {near.name}"}
        if near.gap <= 0:
            if kind == "bead" and int(near.name) < room.shape.number:
                continue
            yield Finding(
                "bead-runs-in",
                "stop",
                f"Bead {room.shape.number} reaches {looked.length(-near.gap)} into {_words(near)}.",
                "Shorten or move it, as the drawing allows.",
                where, near.gap, 0.0, None, "mm", GEOMETRY,
            )  # fmt: skip
        elif near.gap < want and not (kind == "bead" and int(near.name) < room.shape.number):
            yield Finding(
                "bead-near",
                "warn",
                f"Bead {room.shape.number} lies {looked.length(near.gap)} from {_words(near)}; under {looked.length(want)} the one pulls "
                "the other out of shape.",
                "Look there on the first piece; a shorter or narrower bead, as the drawing allows.",
                where, near.gap, want, margin(near.gap, want, least=True), "mm", _source(fact),
            )  # fmt: skip


def _width(looked: Looked, near: Near) -> float:
    return looked.job.part.beads[int(near.name) - 1].width


def _words(near: Near) -> str:
    return f"the bend or edge of {near.name}" if near.kind == "edge" else f"{near.kind} {near.name}"


def _source(fact: Fact) -> str:
    return f"{fact.source} ({fact.standing()})"


def _stretch(looked: Looked, room: Room) -> Iterator[Finding]:
    job, form, s = looked.job, formed(looked.job, room), room.shape
    if form is None:
        yield Finding(
            "bead-not-solved",
            "warn",
            f"I do not know what pressure fills bead {s.number}: no flow curve of this temper, or the sheet would neck before.",
            "Press a piece of scrap first, in steps of pressure.",
            _where(room),
        )
    limit = job.formed.number("stretch_limit") if job.formed else None
    if limit is None or s.mid is None:
        return
    upper, given = s.mid.length / s.mid.width - 1, None if form is None else form.stretch
    source = f"{job.formed.facts['stretch_limit'].source}; {STRETCH_SOURCE}" if job.formed else STRETCH_SOURCE
    if upper > limit:
        over = given is None or given > limit
        with_web = "" if given is None else f"; with what the web beside it gives it stretches {percent(given)}"
        yield Finding(
            "bead-stretch",
            "stop" if over else "warn",
            f"Bead {s.number} is {percent(upper)} longer across than its width, over the limit {percent(limit)}"
            f"{with_web}: {'it will split' if over else 'a locked web splits it'}.",
            "A shallower or wider bead, larger radii, or a softer temper, as the drawing allows.",
            _where(room), upper, limit, margin(upper, limit), "", source,
        )  # fmt: skip
    elif upper > NEAR_LIMIT * limit:
        yield Finding(
            "bead-near-stretch",
            "note",
            f"Bead {s.number} is {percent(upper)} longer across than its width, near the limit {percent(limit)}.",
            "First piece on scrap; look at its bottom with a glass.",
            _where(room), upper, limit, margin(upper, limit), "", source,
        )  # fmt: skip


def _pressure(looked: Looked) -> Iterator[Finding]:
    setup = looked.setup
    if setup is None:
        return
    have, first = setup.available, looked.first
    for b in setup.beads:
        show = lambda p: show_pressure(p, first)  # noqa: E731
        if not within(b.need.value, have):
            sure = b.need.low > have
            yield Finding(
                "bead-not-filled",
                "stop",
                f"Bead {b.shape.number} asks {show(b.need.value)} on the pad (90 %: {show(b.need.low)} to {show(b.need.high)}); press "
                f"{setup.press.id} gives {show(have)}: it is {'not' if sure else 'likely not'} filled; not compared with a real bead.",
                f"{_press_that_fills(looked, b)}; a wider or shallower bead or a softer temper, as the drawing allows.",
                b.where, b.need.value, have, margin(b.need.value, have), "MPa", b.need.model,
            )  # fmt: skip
        elif b.need.high > have:
            yield Finding(
                "bead-may-not-fill",
                "warn",
                f"Bead {b.shape.number} may ask up to {show(b.need.high)} on the pad; press {setup.press.id} gives {show(have)}.",
                "Measure the depth on the first piece; finish it by hand on the block if it is short.",
                b.where, b.need.high, have, margin(b.need.high, have), "MPa", b.need.model,
            )  # fmt: skip


def _press_that_fills(looked: Looked, short: BeadDemand) -> str:
    """'Press P2 gives it', of the shop's presses; those that would fill this bead by the same strip, over their own pads."""
    fill = [
        press.id
        for press in looked.job.shop.presses
        for b in bead_demands(looked.job, looked.blank, press, looked.block.height)
        if b.where == short.where and pump_to(press, area_under(press, looked.block), b.need) is not None
    ]
    if not fill:
        return "A press that gives it, none of the shop's does"
    return f"Press{'es' if len(fill) > 1 else ''} {' and '.join(fill)} give{'' if len(fill) > 1 else 's'} it"
