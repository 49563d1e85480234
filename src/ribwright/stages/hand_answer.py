"""The hand-finishing list under its JSON keys; lengths mm, angles deg, times min, strains as shares."""

from __future__ import annotations

from typing import Any

from ribwright.stages.hand_list import ORDER_RULE, ORDER_SOURCE, Beyond, HandList, Look, Move


def hand_answer(hands: HandList) -> list[dict[str, Any]]:
    """The moves in their order."""
    return [_move(m) for m in hands.moves]


def hand_beside(hands: HandList) -> dict[str, Any]:
    """What belongs to the list besides its moves: order, when, who, minutes of it all, what hands do not put right, what to look at."""
    return {
        "expected": hands.expected,
        "order_rule": ORDER_RULE,
        "order_source": ORDER_SOURCE,
        "when": list(hands.when),
        "window_s": hands.window_s,
        "minutes": hands.minutes,
        "allowed_by": hands.allowed_by,
        "beyond": [_beyond(b) for b in hands.beyond],
        "look": [_look(x) for x in hands.look],
    }


def _move(m: Move) -> dict[str, Any]:
    r = m.room
    return {
        "order": m.order,
        **m.where,
        "along_mm": m.along,
        "from_mm": m.start,
        "to_mm": m.end,
        "places": _places(m),
        "move": m.what,
        "amount": m.amount,
        "unit": m.unit,
        "stands": m.stands,
        "tool": m.tool,
        "stop_at": m.target,
        "stop_low": m.low,
        "stop_high": m.high,
        "stop": m.stop,
        "gauge": m.gauge,
        "past": m.past,
        "past_most": m.past_most,
        "past_why": m.past_why,
        "gather_mm": m.gather[0] if m.gather else None,
        "flutes": m.gather[1] if m.gather else None,
        "strain_now": r.now if r else None,
        "strain_after": r.after if r else None,
        "strain_limit": r.limit if r else None,
        "passes_left": r.passes if r else None,
        "strain_by": r.by if r else "",
        "minutes": m.minutes,
        "allowed_by": m.allowed_by,
        "recheck": list(m.recheck),
        "cautions": list(m.cautions),
        "why": m.why,
        "source": m.source,
    }


def _places(m: Move) -> list[dict[str, Any]]:
    """Every place with its own numbers, where the move is of an angle."""
    own = {t.along: t for t in m.targets}
    rows = []
    for at, by in m.places:
        row: dict[str, Any] = {"along_mm": at, "amount": by}
        if at in own:
            t = own[at]
            row |= {
                "stands": t.stands,
                "stop_at": t.target,
                "stop_low": t.low,
                "stop_high": t.high,
                "push_to": t.push_to,
            }
        rows.append(row)
    return rows


def _beyond(b: Beyond) -> dict[str, Any]:
    return {
        "quantity": b.quantity,
        **b.where,
        "along_mm": b.along,
        "from_mm": b.start,
        "to_mm": b.end,
        "value": b.value,
        "off": b.off,
        "unit": b.unit,
        "why": b.why,
        "then": b.then,
    }


def _look(x: Look) -> dict[str, Any]:
    at = {"along_mm": x.along, "from_mm": x.start, "to_mm": x.end}
    return {"quantity": x.quantity, **x.where, **at, "say": x.say, "chance": x.chance}
