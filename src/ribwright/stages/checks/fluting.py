"""Flutes: clear of rivets, details, ends and each other, no sharper than the sheet bends, and taking what must be gathered."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from ribwright.features.part import along_of
from ribwright.stages.checks.context import Finding, Looked, margin
from ribwright.stages.flute_grooves import groove_name
from ribwright.stages.flute_room import Zone
from ribwright.stages.flutes import DRAWN, LITTLE, FlutedRun, PlacedFlute

SAME = 1e-3  # mm: what a place with six decimals may be rounded by, and more


def findings(looked: Looked) -> Iterator[Finding]:
    """Each flute against what stands beside it; each run against what it must lose."""
    for run in looked.fluting.runs:
        for flute in run.flutes:
            yield from _beside(looked, run, flute)
            yield from _off_edge(looked, flute)
            yield from _shape(looked, flute)
        for one, other in itertools.pairwise(run.flutes):
            yield from _apart(looked, one, other)
        yield from _gathered(looked, run)


def _where(flute: PlacedFlute) -> dict[str, object]:
    """A drawn flute by its table; a planned one by its place."""
    own: dict[str, object] = {"flute": flute.index} if flute.by == DRAWN else {}
    return {**own, "edge": flute.edge, "along_mm": flute.along}


def _named(looked: Looked, flute: PlacedFlute) -> str:
    return f"Flute {flute.index} on {flute.edge}, {looked.length(flute.along)} along it,"


def _beside(looked: Looked, run: FlutedRun, flute: PlacedFlute) -> Iterator[Finding]:
    for zone in run.zones:
        low, high = flute.reach()
        if low >= zone.high - SAME or high <= zone.low + SAME:
            continue
        if zone.kind == "rivet":
            yield _on_rivet(looked, flute, zone)
        else:
            yield _on_detail(looked, flute, zone)


def _off_edge(looked: Looked, flute: PlacedFlute) -> Iterator[Finding]:
    """A place typed past the end of its edge."""
    if flute.by != DRAWN:
        return
    drawn = looked.job.part.flutes[flute.index - 1]
    edges = (e for loop in looked.blank.laid for e in loop.edges)
    length = next(e.drawn.length for e in edges if e.edge.name == drawn.edge)
    along = along_of(drawn.at, length)
    if not -SAME <= along <= length + SAME:
        yield Finding(
            "flute-off-edge",
            "stop",
            f"Flute {flute.index} is typed {looked.length(along)} along {drawn.edge}, which is {looked.length(length)} long.",
            "A place on the edge.",
            {"flute": flute.index, "edge": drawn.edge, "along_mm": along}, along, length, margin(along, length), "mm",
        )  # fmt: skip


def _on_rivet(looked: Looked, flute: PlacedFlute, zone: Zone) -> Finding:
    value, limit = abs(flute.x - zone.at), flute.width / 2 + (zone.high - zone.low) / 2
    where = {**_where(flute), "rivet": zone.index}
    return Finding(
        "flute-on-rivet",
        "stop",
        f"{_named(looked, flute)} is {looked.length(value)} from {zone.words()}; half its width and the rivet's edge "
        f"distance need {looked.length(limit)}: the rivet has no flat to sit on.",
        "Move the flute between rivets; `flutes = \"plan\"` shows places that are clear.",
        where, value, limit, margin(value, limit, least=True), "mm", "rivet row of the part file",
    )  # fmt: skip


def _on_detail(looked: Looked, flute: PlacedFlute, zone: Zone) -> Finding:
    """`value`: flat metal left between the flute's side and the detail; negative: they overlap."""
    end = looked.fluting.rules.end
    low, high = flute.reach()
    value = end + max(low - zone.high, zone.low - high)
    fact = looked.job.catalogue.practice["flute_end"]
    source = f"{fact.source} ({fact.standing()})"
    if value < -SAME:
        return Finding(
            "flute-on-detail",
            "stop",
            f"{_named(looked, flute)} lies over {zone.words()} by {looked.length(-value)}: it cannot be pressed there.",
            "Move it, as the drawing allows.",
            _where(flute), value, end, margin(value, end, least=True), "mm", source,
        )  # fmt: skip
    return Finding(
        "flute-near-detail",
        "warn",
        f"{_named(looked, flute)} leaves {looked.length(max(value, 0.0))} to {zone.words()}, usual is {looked.length(end)}.",
        "Move it, or look at the first piece there for a tear.",
        _where(flute), value, end, margin(value, end, least=True), "mm", source,
    )  # fmt: skip


def _shape(looked: Looked, flute: PlacedFlute) -> Iterator[Finding]:
    rules = looked.fluting.rules
    radius, ratio = rules.inside_radius(flute.width, flute.depth), flute.depth / flute.width
    fact = looked.job.catalogue.practice["flute_depth_share"]
    if rules.radius is not None and radius < rules.radius * (1 - 1e-6):
        table = looked.job.radius_table_of(looked.job.bend_row)
        yield Finding(
            "flute-sharp",
            "stop",
            f"{_named(looked, flute)} bends the sheet to an inside radius of {looked.length(radius)}, the least is "
            f"{looked.length(rules.radius)}: it will crack.",
            "A wider or shallower flute.",
            _where(flute), radius, rules.radius, margin(radius, rules.radius, least=True), "mm", f"{table.title}: {table.source}",
        )  # fmt: skip
    elif ratio > fact.value * (1 + 1e-6):
        yield Finding(
            "flute-deep",
            "warn",
            f"{_named(looked, flute)} is {ratio:.2f} as deep as wide, usual is up to {fact.value:.2f}: the sheet may not "
            "follow, or tear at the free edge.",
            "More and shallower flutes, or form a trial piece.",
            _where(flute), ratio, fact.value, margin(ratio, fact.value), "depth over width", f"{fact.source} ({fact.standing()})",
        )  # fmt: skip
    grooves = {g.name for g in looked.block.grooves}
    if looked.flutes is not None and flute.turn == "down" and groove_name(flute) not in grooves:
        yield Finding(
            "flute-not-cut",
            "stop",
            f"{_named(looked, flute)} has no groove in the block: none of its width and depth can be cut there.",
            "A wider or shallower flute.",
            _where(flute),
        )
    if flute.turn == "up":
        yield Finding(
            "flute-outward",
            "stop",
            f"{_named(looked, flute)} stands outward: it would lift what is fastened to the flange, and the block has no "
            "ridge for it in this version.",
            "Ask for it inward, turn = \"down\".",
            _where(flute),
        )  # fmt: skip


def _apart(looked: Looked, one: PlacedFlute, other: PlacedFlute) -> Iterator[Finding]:
    value = other.reach()[0] - one.reach()[1]
    fact, land = looked.job.catalogue.practice["flute_land"], looked.fluting.rules.land
    source = f"{fact.source} ({fact.standing()})"
    words = f"Flutes {one.index} and {other.index} on {one.edge}"
    if value < -SAME:
        yield Finding(
            "flutes-overlap",
            "stop",
            f"{words} overlap by {looked.length(-value)}.",
            "Move them apart, or make them narrower.",
            _where(other), value, land, margin(value, land, least=True), "mm", source,
        )  # fmt: skip
    elif value < land - SAME:
        yield Finding(
            "flutes-close",
            "warn",
            f"{words} leave {looked.length(max(value, 0.0))} between them, usual is {looked.length(land)}: what stands of the "
            "block there breaks away.",
            "Move them apart, or make the block of metal.",
            _where(other), value, land, margin(value, land, least=True), "mm", source,
        )  # fmt: skip


def _gathered(looked: Looked, run: FlutedRun) -> Iterator[Finding]:
    edges = ", ".join(run.edges)
    where: dict[str, object] = {"edge": run.edges[0]}
    taken, least, most = run.taken, run.least, run.most
    if run.outcome == "planned":
        size = run.flutes[0]
        yield Finding(
            "flutes-planned",
            "note",
            f"{len(run.flutes)} flute{'s' if len(run.flutes) > 1 else ''} planned on {edges}, {looked.length(size.width)} wide and "
            f"{looked.length(size.depth)} deep, to gather {looked.length(taken)}; the part file does not have them.",
            "To fix them, copy the [[flute]] tables of the answer into the part file and set flutes = \"drawn\".",
            where, taken, unit="mm",
        )  # fmt: skip
    elif run.outcome == "not needed":
        yield Finding(
            "flutes-not-needed",
            "note",
            f"No flutes are planned on {edges}: what must be gathered there is less than one flute takes.",
            "",
            where, most, unit="mm",
        )  # fmt: skip
    elif run.outcome == "no room":
        yield _no_room(looked, run, edges, where)
    if run.outcome == "drawn" and taken < least - LITTLE:
        yield Finding(
            "flutes-too-little",
            "warn",
            f"The flutes on {edges} gather {looked.length(taken)}, at least {looked.length(least)} is past what pad and metal "
            "take: expect wrinkles.",
            "More or deeper flutes; work the rest in by hand.",
            where, taken, least, margin(taken, least, least=True), "mm", "",
        )  # fmt: skip
    if run.outcome == "drawn" and run.flutes and taken > most + LITTLE:
        yield Finding(
            "flutes-too-much",
            "warn",
            f"The flutes on {edges} gather {looked.length(taken)}, the edge has only {looked.length(most)} to lose: they pull it "
            "straight and bow the web.",
            "Fewer or shallower flutes.",
            where, taken, most, margin(taken, most), "mm", "",
        )  # fmt: skip
    each = max((f.gather for f in run.flutes), default=0.0)
    if run.flutes and most > LITTLE and run.miss > each * (1 + 1e-9) + LITTLE:
        yield Finding(
            "flutes-uneven",
            "warn",
            f"On {edges} {looked.length(run.miss)} of edge has to travel past a place to reach its flute, more than one flute "
            f"takes ({looked.length(each)}): expect a wrinkle between.",
            "Place them as the plan does, or dress there by hand.",
            where, run.miss, each, margin(run.miss, each), "mm", "",
        )  # fmt: skip


def _no_room(looked: Looked, run: FlutedRun, edges: str, where: dict[str, object]) -> Finding:
    rules = looked.fluting.rules
    narrow = rules.least_width
    found = (
        f"No flutes fit on {edges}: clear of rivets, details and ends the longest stretch is {looked.length(run.room)}, the "
        f"narrowest flute takes {looked.length(narrow)}"
        if run.room < narrow
        else f"No flutes that gather enough fit on {edges}: the longest clear stretch is {looked.length(run.room)}"
    )
    ends = run.room, narrow, margin(run.room, narrow, least=True), "mm", "rivet rows and details of the part file"
    if run.least > LITTLE:
        return Finding(
            "flutes-no-room",
            "stop",
            f"{found}, and {looked.length(run.least)} must be gathered or it wrinkles.",
            "A wider rivet pitch, relief notches, or a softer temper, as a change of the drawing that a person approves.",
            where, *ends,
        )  # fmt: skip
    return Finding(
        "flutes-left-out",
        "warn",
        f"{found}. Pad and metal take what this edge shrinks; dress it by hand.",
        "Nothing, or a wider rivet pitch.",
        where, *ends,
    )  # fmt: skip
