"""Words of the hand-finishing list, the same on screen and on paper."""

from __future__ import annotations

from collections.abc import Sequence

from ribwright.documents.edge_ends import Ends, from_words
from ribwright.documents.judged_words import QUANTITY_WORDS, place_words, value_words
from ribwright.stages.checks.tolerance import NAMES
from ribwright.stages.hand_list import WEB as FLATTEN
from ribwright.stages.hand_list import Beyond, HandList, Look, Move, varies
from ribwright.units import MM_PER_IN, Unit, show_length

MOST_PLACES, MOST_TARGETS = 6, 8  # told one by one
FROM_FORECAST = (
    "Expected from the forecast, before the press: measure the piece first, then work by what was measured. Web bow, twist and oil-canning "
    "are not forecast: lay the part free on a flat plate before anything else."
)
FROM_MEASURED = "From what was measured on this piece."
SHOPS_RULE = (
    "The shop's procedures and the tools' manuals come first. This list allows nothing by itself: no move before the person who may allow "
    "rework has signed; the piece is accepted by inspection."
)
DECIDE_FIRST = (
    "A person decides before any move: what stands here no hand puts right, and each move uses up strain and minutes."
)
HANDS = "Eye protection on, fingers clear of jaws and of the mallet; the part held down before it is struck."
STRAINS = (
    "Strain: outer fibre of the bend, its own (t/2)/(R + t/2) and (t/2)|turn|/((R + t/2) angle) a pass, to and fro alike, spread evenly "
    "over the arc; what a piece took before and nobody wrote down is not in it. Not compared with a real formed part."
)


def head(m: Move, first: Unit, ends: Ends) -> str:
    """'set the flange closed by at most 2.2 deg: edge upper, 0.8 in (21 mm) to 4.7 in (120 mm) from the REAR end, most at ...'."""
    by = amount_words(m, first)
    most = "at most " if len({round(abs(a), 1 if m.unit == "deg" else 2) for _, a in m.places}) > 1 else ""
    return f"{m.what}{by and f' by {most}'}{by}: {where_words(m, first, ends)}"


def where_words(m: Move, first: Unit, ends: Ends) -> str:
    """'edge upper, 1.2 in (30 mm) to 4.7 in (120 mm) from the REAR end, most at 3.9 in (100 mm)'."""
    place = _placed(m.where, m.along, m.start, m.end, first, ends)
    sizes = [abs(by) for _, by in m.places]
    if m.along is None or len(sizes) < 2 or max(sizes) - min(sizes) < 0.05 or " to " not in place:
        return place
    return f"{place}, most at {_at(m.along, first)}"


def _at(mm: float, first: Unit) -> str:
    inch, metric = f"{mm / MM_PER_IN:.1f} in", f"{mm:.0f} mm"
    return f"{inch} ({metric})" if first == "in" else f"{metric} ({inch})"


def stands_words(m: Move, first: Unit) -> str:
    """'It stands at 88.3 deg there. By place: 1.4 deg at 0.8 in (21 mm), 1.7 deg at 13.2 in (335 mm).'"""
    if m.stands is None:
        return ""
    if varies(m):
        return " ".join(target_lines(m, first))
    at = f"{m.stands:.1f} deg" if m.unit == "deg" else show_length(m.stands, first)
    if len(m.places) < 2:
        return f"It stands at {at}."
    kept = m.places if len(m.places) <= MOST_PLACES else _ends_and_worst(m)
    by = ", ".join(f"{_size(amount, m.unit, first)} at {_at(along, first)}" for along, amount in kept)
    more = "" if kept is m.places else f", and {len(m.places) - len(kept)} places between"
    return f"It stands at {at} there. By place: {by}{more}."


def target_lines(m: Move, first: Unit) -> list[str]:
    """Of a bevel: each place with where it stands, where to stop and how far to push, for these differ along it."""
    kept = m.targets if len(m.targets) <= MOST_TARGETS else [m.targets[i] for i in _even(len(m.targets))]
    out = ["The angle changes along this edge; each place has its own:"]
    for t in kept:
        band = "" if t.low is None or t.high is None else f" (gauge {t.low:.1f} to {t.high:.1f})"
        push = "" if t.push_to is None else f", push to {t.push_to:.1f}"
        out.append(f"at {_at(t.along, first)} it stands at {t.stands:.1f}, stop at {t.target:.1f} deg{band}{push};")
    out[-1] = out[-1][:-1] + "."
    return [*out, "Between two places in proportion; never past the nearer one's."]


def _even(count: int) -> list[int]:
    return sorted({round(i * (count - 1) / (MOST_TARGETS - 1)) for i in range(MOST_TARGETS)})


def _ends_and_worst(m: Move) -> tuple[tuple[float, float], ...]:
    worst = max(m.places, key=lambda p: abs(p[1]))
    return tuple(sorted({m.places[0], worst, m.places[-1]}))


def _size(amount: float, unit: str, first: Unit) -> str:
    return f"{abs(amount):.1f} deg" if unit == "deg" else show_length(abs(amount), first)


def amount_words(m: Move, first: Unit) -> str:
    """'2.2 deg', '0.020 in (0.5 mm)'; '' where nobody knows."""
    if m.amount is None:
        return ""
    return _size(m.amount, m.unit, first)


def past_words(m: Move) -> str:
    """To which angle it is pushed, how far past the target and how far from where it stands that is; '' of what does not spring."""
    if m.unit != "deg":
        return ""
    if varies(m):
        return (
            ""
            if m.past is None
            else f"Push each place to its own angle and let it come back; begin with less. By {m.past_why}."
        )
    if m.past is None:
        return f"How far past: {m.past_why}."
    if m.target is None:
        return f"Push {m.past:.1f} deg past the target and let it come back; begin with less. By {m.past_why}."
    turn = "" if m.stands is None else f", {m.target + m.past - m.stands:.1f} deg from where it stands"
    return (
        f"Push it to {m.target + m.past:.1f} deg ({m.past:.1f} deg past the target{turn}), let it come back and read it; "
        f"begin with less. By {m.past_why}."
    )


def room_words(m: Move) -> str:
    """What the bend or edge still stands."""
    r = m.room
    if r is None:
        return ""
    strain = f"Accumulated strain {100 * r.now:.1f} %, after it {100 * r.after:.1f} %"
    if r.limit is None:
        return f"{strain}; limit not known ({r.by}): nobody can count the passes."
    left = "no pass of this size is left after it" if r.passes == 0 else f"{r.passes} more of this size"
    return f"{strain}, limit {100 * r.limit:.1f} % ({r.by}): {left}; past the limit it is scrap, or a person decides."


def stop_words(m: Move) -> str:
    """Where to stop; of a bevel each place at its own angle."""
    return "Stop at each place at its own angle." if varies(m) else m.stop


def gather_words(m: Move, first: Unit) -> str:
    """How much an edge must be gathered to pull the web flat."""
    if m.gather is None or m.what != FLATTEN:
        return ""
    mm, flutes = m.gather
    say = "one flute of the usual size" if flutes == 1 else f"{flutes} flutes of the usual size"
    return f"About {show_length(mm, first)} to be gathered along the flange's edge, {say}; taken as an even bow, beam theory."


def minutes_words(minutes: float | None) -> str:
    """'3 min', or that the shop entered none."""
    return f"{minutes:g} min" if minutes is not None else "time not known: none in [times] of shop.toml"


def all_minutes_words(hands: HandList) -> str:
    """The same of the whole list, measuring again included."""
    return (
        f"{hands.minutes:g} min" if hands.minutes is not None else "minutes not known: [times] of shop.toml lacks some"
    )


def beyond_words(b: Beyond, first: Unit, ends: Ends) -> str:
    """'hole position, hole P1: 0.5 mm; a hole that has drifted stays where it is. Scrap, or a person decides.'"""
    value = "" if b.value is None else f" {value_words(b.value, b.unit, first)}"
    then = f"{b.then[0].upper()}{b.then[1:]}"
    return f"{name_of(b.quantity)}, {_placed(b.where, b.along, b.start, b.end, first, ends)}:{value}; {b.why}. {then}."


def look_rows(look: Sequence[Look], first: Unit, ends: Ends) -> list[tuple[str, str]]:
    """(quantity and places, what to look at), the places that are told the same together."""
    rows: dict[tuple[str, str], list[str]] = {}
    for x in look:
        rows.setdefault((x.quantity, x.say), []).append(_placed(x.where, x.along, x.start, x.end, first, ends))
    return [(f"{name_of(q)}: {', '.join(dict.fromkeys(places))}", say) for (q, say), places in rows.items()]


def name_of(quantity: str) -> str:
    """A quantity in words."""
    return NAMES.get(quantity) or QUANTITY_WORDS.get(quantity) or quantity.replace("_", " ")


def _placed(
    where: dict[str, str], along: float | None, start: float | None, end: float | None, first: Unit, ends: Ends
) -> str:
    """The owner, and how far from the end at which its edge starts: the bench has no part file to look that up in."""
    name = place_words(dict(where))
    counted = f" {from_words(ends, where['edge'])}" if "edge" in where else " along"
    if start is not None and end is not None and end - start >= 0.5:
        return f"{name}, {_at(start, first)} to {_at(end, first)}{counted}"
    at = start if along is None else along
    return name if at is None else f"{name}, at {_at(at, first)}{counted}"


def title_of(hands: HandList) -> str:
    """What stands over the list."""
    return "Hand-finishing list (expected)" if hands.expected else "Hand-finishing list"
