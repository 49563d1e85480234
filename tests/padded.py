"""Places under the pad for tests: a small press, a small part, run here."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import cache
from typing import Any

from building import box, example_shop
from forecasts import plan_of
from ribwright.shop.shop import Shop
from ribwright.stages import answers
from ribwright.stages.explain import Book
from ribwright.stages.finding import ranked
from ribwright.stages.fingerprint import fingerprint, inputs_of
from ribwright.stages.judged import judged_answer
from ribwright.stages.making_answers import whole_block_answer
from ribwright.stages.under_pad import PadAsk, UnderPad, lay
from ribwright.stages.under_pad_answer import under_pad_answer
from ribwright.stages.under_pad_findings import under_pad_findings
from ribwright.work.under_padding import ran

ONE = (True, False, False, False)
SIZE, THICK = (180.0, 160.0), 60.0


def small_press(thickness: float = THICK, size: tuple[float, float] = SIZE, **pad: Any) -> Shop:
    """The example shop with a press P2 whose pad is small, so that a run is soon through."""
    shop = example_shop()
    p2 = shop.press("P2")
    assert p2 is not None
    rubber = replace(p2.pad, size_mm=size, thickness_mm=thickness, **pad)
    mine = replace(p2, pad=rubber, force_n=4e5, gauge=None, bolster=None)
    return replace(shop, presses=tuple(mine if p.id == "P2" else p for p in shop.presses))


def small_part(**changes: Any) -> str:
    """One straight flange on a plate of 80 by 60 mm."""
    return box(**({"w": 80.0, "h": 60.0, "flanges": ONE, "material": "2024-O", "width": 12.0} | changes))


def padded(text: str, shop: Shop, ask: PadAsk) -> UnderPad:
    """The place pressed."""
    return ran(lay(plan_of(text, shop, "P2"), ask))


@cache
def small_case() -> UnderPad:
    """The light case: soft sheet, taken to 6 MPa."""
    return padded(small_part(), small_press(strain_limit=0.3), PadAsk(pressure=6.0))


def pad_book(u: UnderPad) -> Book:
    """The whole answer with its place under the pad, as `explain` opens it."""
    plan = replace(u.laid.plan, findings=ranked([*u.laid.plan.findings, *under_pad_findings(u)]))
    assert plan.setup is not None
    bodies: dict[str, Any] = judged_answer(plan) | {
        "blank": answers.blank_answer(plan),
        "block": whole_block_answer(plan),
        "setup": answers.setup_answer(plan.setup),
        "under_pad": under_pad_answer(u) | {"elapsed_s": 1.0},
    }
    named = (plan.job, plan.blank.method, "P2", plan.model, u.laid.ask.as_input())
    name, inputs = fingerprint(*named), inputs_of(*named)
    whole = answers.tidy({**answers.heading(plan, name), **bodies, "inputs": inputs})
    return Book(plan, json.loads(json.dumps(whole)))
