"""The press, its pad and its gauge: what may never be passed, and what will not fit."""

from __future__ import annotations

from collections.abc import Iterator

from ribwright.shop.sheet import BlockMaterial
from ribwright.stages.checks.context import Finding, Looked, margin
from ribwright.stages.setup import Setup
from ribwright.units import show_pressure


def findings(looked: Looked) -> Iterator[Finding]:
    """Nothing without a press. A rating is never overridable."""
    if looked.setup is None:
        return
    s = looked.setup
    yield from _sizes(looked, s)
    yield from _pressures(looked, s)
    if s.press.gauge is None and s.press.force_gauge is None:
        yield Finding(
            "no-press-gauge",
            "warn",
            f"Press {s.press.id} has no gauge in the shop file: there is no reading to pump to.",
            "Enter gauge ram_area and limit from the press's manual; never press without a gauge in date.",
            {"press": s.press.id},
            source=s.press.source,
        )


def _sizes(looked: Looked, s: Setup) -> Iterator[Finding]:
    where: dict[str, object] = {"press": s.press.id}
    if s.pad_margin < 0:
        yield Finding(
            "pad-overhang",
            "stop",
            f"The block overhangs the pad of press {s.press.id} by {looked.length(-s.pad_margin)} at an edge: "
            "the flange there is not formed.",
            "A press with a larger pad.",
            where, s.pad_margin, 0.0, None, "mm", s.press.source,
        )  # fmt: skip
    elif s.pad_margin < looked.block.height:
        yield Finding(
            "pad-margin-small",
            "warn",
            f"Only {looked.length(s.pad_margin)} of pad stands past the block, less than the block is high: the rubber "
            "spreads and forms that edge weakly.",
            "Turn or shift the block, or put a reaction block beside it, fastened.",
            where, s.pad_margin, looked.block.height, margin(s.pad_margin, looked.block.height, least=True), "mm",
            "common practice",
        )  # fmt: skip
    if s.table_margin < 0:
        yield Finding(
            "table-overhang",
            "stop",
            f"The block overhangs the table of press {s.press.id} by {looked.length(-s.table_margin)}.",
            "A press with a larger table.",
            where, s.table_margin, 0.0, None, "mm", s.press.source,
        )  # fmt: skip
    if s.daylight_margin < 0:
        yield Finding(
            "daylight-short",
            "stop",
            f"Block, sheet and pad stack to {looked.length(s.stack)}, more than the daylight {looked.length(s.press.daylight_mm)}.",
            "A lower block or a thinner pad, within what pad and block allow.",
            where, s.stack, s.press.daylight_mm, margin(s.stack, s.press.daylight_mm), "mm", s.press.source,
        )  # fmt: skip
    elif s.daylight_margin > s.press.stroke_mm:
        yield Finding(
            "stroke-short",
            "stop",
            f"The ram must come down {looked.length(s.daylight_margin)} and its stroke is {looked.length(s.press.stroke_mm)}.",
            "A full-area bolster under the block, fastened, as the press's manual allows.",
            where, s.daylight_margin, s.press.stroke_mm, margin(s.daylight_margin, s.press.stroke_mm), "mm", s.press.source,
        )  # fmt: skip


def _pressures(looked: Looked, s: Setup) -> Iterator[Finding]:
    if s.needed is None or s.pump_pressure is None:
        return
    material = looked.block.material
    if material is not None and s.block_limit is not None and s.pump_pressure > s.block_limit * (1 + 1e-9):
        needed = s.needed.value > s.block_limit
        yield Finding(
            "block-crush",
            "stop" if needed else "warn",
            f"{material.name} stands {show_pressure(s.block_limit, looked.first)} on the pad; the press is to be pumped to "
            f"{show_pressure(s.pump_pressure, looked.first)} on the pad: the block's edge crushes.",
            "A stronger block material, entered in shop.toml with its source.",
            {"block_material": material.id}, s.pump_pressure, s.block_limit, margin(s.pump_pressure, s.block_limit), "MPa",
            material.source,
        )  # fmt: skip
    elif material is not None and s.block_limit is not None:
        yield from _near_crush(looked, s, material, s.block_limit, s.pump_pressure)


def _near_crush(looked: Looked, s: Setup, material: BlockMaterial, limit: float, pumped: float) -> Iterator[Finding]:
    """Little is left on the block at the reading to pump to."""
    fact = looked.job.catalogue.practice["block_pressure_reserve"]
    left = (limit - pumped) / limit
    if left < fact.value:
        yield Finding(
            "block-near-crush",
            "warn",
            f"{material.name} stands {show_pressure(limit, looked.first)} on the pad; pumped to "
            f"{show_pressure(pumped, looked.first)} on the pad, {100 * left:.0f} % is left, less than {100 * fact.value:.0f} %.",
            "Look at the block's edge after every few parts; a stronger block material for a lot.",
            {"block_material": material.id}, pumped, limit, margin(pumped, limit), "MPa",
            f"{material.source}; reserve: {fact.source} ({fact.standing()})",
        )  # fmt: skip
