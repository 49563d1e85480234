"""What an inspection shows, as findings: what lies outside, what nobody can tell, a gauge past its date, an acceptance that is refused."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ribwright.features.inspected import Said
from ribwright.shop.shop import Shop
from ribwright.stages.acceptance import as_drawn, called, listed
from ribwright.stages.finding import Finding
from ribwright.stages.found import CANNOT_TELL, OUTSIDE, Judged
from ribwright.stages.hand_list import HandList
from ribwright.stages.inspection import overdue
from ribwright.units import MM_PER_IN

RULE = {
    "guarded": "ISO 14253-1: proved outside past the limit by the uncertainty (decision of shop.toml)",
    "simple": "the measured value decides, whatever its uncertainty (decision of shop.toml)",
}
REFUSED = "acceptance-refused"
BY_HAND = "Set it by hand as the hand-finishing list says and measure again, or a person with authority decides."
DECIDES = "No hand work puts it right: a person with authority decides."


def inspect_findings(
    shop: Shop, said: Said, judged: Sequence[Judged], hands: HandList | None, first: str
) -> Iterator[Finding]:
    """Findings of the results; `hands` the hand-finishing list made of them; `first` is the unit that lengths are told in."""
    outside: dict[tuple[str, str], list[Judged]] = {}
    for j in (j for j in judged if j.verdict == OUTSIDE):
        outside.setdefault((called(j), str(j.found.where.get("axis", ""))), []).append(j)
    for mine in outside.values():
        yield _outside(shop, max(mine, key=_over), len(mine), hands, first)
    open_ = [j for j in judged if j.verdict == CANNOT_TELL and j.limits is not None]
    if open_:
        names = listed([called(j) for j in open_])
        yield Finding(
            "measured-cannot-tell",
            "warn",
            f"Of {len(open_)} results nobody can tell whether they lie inside: {names}. First: {open_[0].reason}.",
            "Measure again with a surer gauge, one in date, or bring the part clear of the limit.",
            value=float(len(open_)),
            limit=0.0,
            unit="results",
            source=RULE[shop.rules.decision],
        )
    bare = [j for j in judged if j.limits is None]
    if bare:
        yield Finding(
            "measured-not-judged",
            "note",
            f"Without a tolerance in the part file, and so without a verdict: {listed([called(j) for j in bare])}.",
            "Copy the drawing's tolerance into [tolerance], or judge by the drawing. A size of a flanged hole that the drawing does not "
            "give is not held by the general one: tolerance = { hole_diameter = ... } in its own [[hole]] holds it.",
            value=float(len(bare)),
            limit=0.0,
            unit="results",
            source="part file",
        )
    if as_drawn(judged):
        yield Finding(
            "measured-as-drawn",
            "warn",
            f"All {len(judged)} results are exactly the drawing's own numbers: were they measured?",
            "Write down what the gauge reads, not what it should read.",
            source="common sense: gauges scatter",
        )
    for g in overdue(shop, said, [j.found for j in judged]):
        yield Finding(
            "gauge-overdue",
            "stop",
            f"Gauge {g.id} ({g.kind}) was due on {g.due} and was used on {said.date}: what it read proves nothing.",
            "Measure again with a gauge in date.",
            {"gauge": g.id},
            source="due date in shop.toml",
        )


def by_drawing(names: Sequence[str]) -> Iterator[Finding]:
    """What no reading has a name for."""
    if names:
        yield Finding(
            "measured-by-drawing",
            "note",
            f"{len(names)} sizes have no reading in a file of measurements and are not judged here: {listed(list(names))}.",
            "Measure them by the inspection sheet and judge them by the drawing, before anybody accepts the piece.",
            value=float(len(names)),
            limit=0.0,
            unit="sizes",
            source="part file",
        )


def refused(reasons: Sequence[str], by: str) -> Iterator[Finding]:
    """The stop of an acceptance that was asked for and may not be."""
    if reasons:
        yield Finding(
            "acceptance-refused",
            "stop",
            f"{by or 'Nobody'} cannot accept this piece by these measurements: {'; '.join(reasons)}.",
            "Put right what is named and measure again, or keep a person's disposition on paper.",
            source="decision rule of shop.toml, due dates of its gauges",
        )


def _over(j: Judged) -> float:
    """How far a value lies past its limit."""
    assert j.limits is not None
    return max(j.limits[0] - j.found.value, j.found.value - j.limits[1])


def _by_hand(j: Judged, hands: HandList | None) -> bool:
    """Whether the list moves it, or moves the flange that takes it along, and does not call it beyond hands."""
    if hands is None:
        return False
    owner = {k: v for k, v in j.found.where.items() if k in ("edge", "hole", "loop")}
    beyond = any(b.quantity == j.found.quantity and b.where == owner for b in hands.beyond)
    return not beyond and any(m.where == owner for m in hands.moves)


def _outside(shop: Shop, j: Judged, places: int, hands: HandList | None, first: str) -> Finding:
    """The worst of the places where one characteristic of an edge or hole lies outside."""
    f = j.found
    assert j.limits is not None
    low, high = j.limits
    over = f.value > high
    limit = high if over else low
    # told as the deviation against what of it is allowed to that side, both signed: a margin of -1 overruns it by as much again
    may = limit - f.nominal
    margin = (may - f.off) / may if may else None
    at = f" at {_length(f.where['along_mm'], first)} along" if "along_mm" in f.where else ""
    axis = f", {f.where['axis']}" if "axis" in f.where else ""
    of_all = f", the worst of {places} places" if places > 1 else ""
    surely = "" if f.u is None else f", uncertainty {_size(f.u, f.unit, first)}"
    allowed = f"allowed {_size(low, f.unit, first)} to {_size(high, f.unit, first)}"
    say = f"{called(j)}{axis}{at}: {_size(f.value, f.unit, first)}, {allowed}{surely}: outside{of_all}."
    return Finding(
        "measured-outside", "warn", say[0].upper() + say[1:], BY_HAND if _by_hand(j, hands) else DECIDES,
        {**f.where, "quantity": f.quantity}, f.off, may, margin, f.unit, RULE[shop.rules.decision],
    )  # fmt: skip


def _size(value: float, unit: str, first: str) -> str:
    return f"{value:.2f} deg" if unit == "deg" else _length(value, first)


def _length(mm: float, first: str) -> str:
    return f"{mm / MM_PER_IN:.4f} in" if first == "in" else f"{mm:.3f} mm"
