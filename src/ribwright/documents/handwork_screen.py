"""The hand-finishing list as lines of text."""

from __future__ import annotations

from ribwright.documents.edge_ends import Ends
from ribwright.documents.handwork_words import (
    DECIDE_FIRST,
    FROM_FORECAST,
    FROM_MEASURED,
    SHOPS_RULE,
    all_minutes_words,
    beyond_words,
    gather_words,
    head,
    look_rows,
    minutes_words,
    past_words,
    room_words,
    stands_words,
    stop_words,
    title_of,
)
from ribwright.stages.hand_list import ORDER_RULE, ORDER_SOURCE, HandList
from ribwright.units import Unit


def lines(hands: HandList, first: Unit, ends: Ends) -> list[str]:
    """The list: what hands do not put right, what to look at before, then the moves in their order. `ends`: see edge_ends."""
    out = [f"{title_of(hands)}: {_count(hands)}", f"  {FROM_FORECAST if hands.expected else FROM_MEASURED}"]
    if hands.empty:
        return [*out, "  Nothing to move."]
    if hands.beyond:
        before = [f"  {DECIDE_FIRST}"] if hands.moves else []
        out += ["", "Not by hand:", *before, *(f"  {beyond_words(b, first, ends)}" for b in hands.beyond)]
    if hands.look:
        rows = look_rows(hands.look, first, ends)
        out += ["", "Look before you move:", *(f"  {what}: {say}" for what, say in rows)]
    if hands.moves:
        out += [
            "",
            f"  Rework may be allowed by: {hands.allowed_by}. {SHOPS_RULE}",
            f"  Order: {ORDER_RULE} ({ORDER_SOURCE})",
        ]
        out += [f"  {say}" for say in hands.when]
    for m in hands.moves:
        out += ["", f"{m.order:>3}. {head(m, first, ends)}"]
        told = [
            stands_words(m, first),
            f"Tool: {m.tool}.",
            *m.cautions,
            past_words(m),
            gather_words(m, first),
            stop_words(m),
            room_words(m),
        ]
        out += [f"     {t}" for t in told if t]
        out.append(f"     Then measure: {'; '.join(m.recheck)}.")
        out.append(f"     {minutes_words(m.minutes)}. Why: {m.why}.")
    return out


def _count(hands: HandList) -> str:
    n = len(hands.moves)
    if n == 0:
        return "no moves"
    return f"{n} {'move' if n == 1 else 'moves'}, {all_minutes_words(hands)}"
