"""The rubber and where the block stands under it: pad against block height, container, loose pad, load off the ram's axis."""

from __future__ import annotations

from collections.abc import Iterator

from ribwright.stages.checks.context import Finding, Looked, margin
from ribwright.stages.setup import Setup
from ribwright.units import show_pressure


def findings(looked: Looked) -> Iterator[Finding]:
    """Nothing without a press."""
    s = looked.setup
    if s is None:
        return
    yield from _depth(looked, s)
    yield from _container(looked, s)
    yield from _throw(looked, s)
    yield from _spreads(looked, s)
    yield from _off_centre(looked, s)


def _depth(looked: Looked, s: Setup) -> Iterator[Finding]:
    """As the press closes, the rubber over the block is squeezed by the block's height."""
    if s.press.kind == "fluid":
        return
    fact = looked.job.catalogue.practice["pad_to_block_height"]
    thick, height = s.press.pad.thickness_mm, looked.block.height
    want = fact.value * height
    if thick >= want:
        return
    none_left = thick <= height
    yield Finding(
        "pad-shallow",
        "stop" if none_left else "warn",
        f"The pad is {looked.length(thick)} thick; for a block {looked.length(height)} high {looked.length(want)} is usual."
        + (" It is no thicker than the block is high: it cannot reach down its sides." if none_left else ""),
        "Lower the block if the flange clearance allows, or add pad as the press's manual allows.",
        {"press": s.press.id}, thick, want, margin(thick, want, least=True), "mm",
        f"{fact.source} ({fact.standing()})",
    )  # fmt: skip


def _container(looked: Looked, s: Setup) -> Iterator[Finding]:
    c = s.container
    if c is None:
        return
    where: dict[str, object] = {"press": s.press.id}
    if c.proud > 0:
        yield Finding(
            "container-shallow",
            "warn",
            f"The pad stands {looked.length(c.proud)} out of its container, {looked.length(c.depth)} deep: nothing holds "
            "that part at its sides, and less than the pressure said here reaches the flanges.",
            "Take a layer out or use a deeper container, as the press's manual allows.",
            where, s.press.pad.held_mm, c.depth, margin(s.press.pad.held_mm, c.depth), "mm", s.press.source,
        )  # fmt: skip
    if c.rim_above is not None and c.rim_above < 0:
        yield Finding(
            "container-lands",
            "warn",
            f"The rim of the container comes down {looked.length(-c.rim_above)} before the pad touches the blank: the "
            "container takes the force and nothing is formed.",
            "A full-area bolster under the block that goes into the opening, fastened, as the press's manual allows; or a "
            "further layer of pad.",
            where, c.rim_above, 0.0, None, "mm", s.press.source,
        )  # fmt: skip


def _throw(looked: Looked, s: Setup) -> Iterator[Finding]:
    """A throw pad that does not cover the block leaves flanges to the bare edge of the pad above."""
    for x in s.press.pad.stack:
        over = min((size - e) / 2 for size, e in zip(x.size_mm, s.place.extent, strict=True))
        if x.role == "throw" and over < looked.block.height:
            yield Finding(
                "throw-pad-small",
                "warn",
                f"The throw pad, laid in the middle, reaches {looked.length(over)} past the block at an edge; "
                f"the flat flanges reach out about {looked.length(looked.block.height)}, the block's height.",
                "A larger throw pad.",
                {"press": s.press.id}, over, looked.block.height, margin(over, looked.block.height, least=True), "mm",
                "geometry",
            )  # fmt: skip


def _spreads(looked: Looked, s: Setup) -> Iterator[Finding]:
    least = s.spread_pressure
    if least is None:
        return
    late = [r.demand for r in s.reached if r.closes and r.demand and r.demand.need.value > least]
    if not late:
        return
    names = ", ".join(" ".join(f"{k} {v}" for k, v in d.where.items() if k != "along_mm") for d in late)
    want = max(d.need.value for d in late)
    yield Finding(
        "loose-pad-spreads",
        "warn",
        f"A loose pad spreads: {show_pressure(s.available, looked.first)} holds while it bears on the block alone, and as "
        f"little as {show_pressure(least, looked.first)} if it bears on the table too. Then these stay open: {names}.",
        "First piece on scrap; a pad held in a container, or a smaller loose pad.",
        {"press": s.press.id}, least, want, margin(least, want, least=True), "MPa", "force over the pad's whole area",
    )  # fmt: skip


def _off_centre(looked: Looked, s: Setup) -> Iterator[Finding]:
    limit = s.press.off_centre_limit_mm
    if limit is None or s.place.off_centre <= limit * (1 + 1e-9):
        return
    yield Finding(
        "off-centre",
        "stop",
        f"The load stands {looked.length(s.place.off_centre)} off the ram's axis, more than the {looked.length(limit)} "
        f"that press {s.press.id} allows, and the block cannot be moved so far: pad or table would end over it.",
        "A press with a larger pad, or a second block beside it to bring the load to the middle, as the manual allows.",
        {"press": s.press.id}, s.place.off_centre, limit, margin(s.place.off_centre, limit), "mm", s.press.source,
    )  # fmt: skip
