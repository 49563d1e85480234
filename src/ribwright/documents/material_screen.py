"""A material's card, the list of all materials and the report of a tensile test as lines for a terminal of 100 columns."""

from __future__ import annotations

from collections.abc import Iterator
from textwrap import wrap

from ribwright.documents.judged_words import cited
from ribwright.documents.material_words import (
    GROUPS,
    KSI,
    check_words,
    conflict_name,
    curve_words,
    derived_words,
    fact_words,
    modulus_words,
    one_source,
    origin_words,
    rival_words,
    source_words,
    stress_words,
    title_words,
)
from ribwright.shop.sheet import Conflict, Material
from ribwright.stages.material import USES, Card, Radii, side_of, use_of
from ribwright.stages.material_answers import NAMES, taken_why
from ribwright.stages.tensile import Entry
from ribwright.units import MM_PER_IN, Unit

WIDE = 100
DO_NOT_KNOW = "I do not know for this temper."


def list_lines(materials: dict[str, Material], first: Unit) -> list[str]:
    """Every record once: name, cladding, yield, strength, flow curve known or not."""
    once = {m.name: m for m in materials.values()}
    out = [f"{'material':24}{'temper':12}{'clad':6}{'yield':22}{'strength':22}flow curve", ""]
    for name, m in sorted(once.items()):
        y, s = (m.number(k) for k in ("yield_mpa", "strength_mpa"))
        yields, strong = ("-" if v is None else stress_words(v, first) for v in (y, s))
        clad = "clad" if m.clad else ""
        out.append(f"{name:24}{m.temper:12}{clad:6}{yields:22}{strong:22}{_known(m)}".rstrip())
    known = sum(m.hardening is not None for m in once.values())
    out += ["", f"{len(once)} materials, {known} with a flow curve. ribwright material NAME shows one."]
    return out


def _known(m: Material) -> str:
    if m.hardening is None:
        return "not known"
    by = m.hardening.rule if m.hardening.status == "estimated" else m.hardening.status
    return by if m.origin == "catalogue" else "shop"


def card_lines(card: Card, first: Unit) -> list[str]:
    """The whole card."""
    m = card.material
    out = [f"{m.name}   {title_words(m)}", origin_words(card)]
    if one_source(m):
        out += _text(f"Every number: {one_source(m)}", 0)
    if m.aliases:
        out += _text(f"also called {', '.join(m.aliases)}", 0)
    for title, keys in GROUPS:
        rows = [line for key in keys if key in m.facts for line in _fact(m, key, first)]
        out += ["", title, *(rows or [f"  {DO_NOT_KNOW}"])]
    out += ["", "Flow curve, true stress = K (e0 + true plastic strain)^n", *_curve(card, first)]
    unit = "in (mm)" if first == "in" else "mm (in)"
    out += ["", f"Minimum inside bend radius, 90 deg, {unit}", *_radii(card, first)]
    if m.conflicts:
        out += ["", "Where sources disagree", *(line for c in m.conflicts for line in _conflict(c, m, first))]
    out += ["", "Not known", *(line for u in card.unknown for line in _text(f"{u.missing}: {u.then}", 2))]
    if not card.unknown:
        out.append("  nothing that an answer asks for")
    if m.notes:
        out += ["", "Notes", *(line for note in m.notes for line in _text(note, 2, hang=2, mark="- "))]
    return out


def _fact(m: Material, key: str, first: Unit) -> Iterator[str]:
    fact = m.facts[key]
    name, value = fact_words(key, fact, first)
    yield f"  {name:34}{value:28}{fact.standing()}"
    yield from _text(source_words(m, fact), 6)
    yield from _text(f"used for: {use_of(key, m)}", 6)


def _curve(card: Card, first: Unit) -> Iterator[str]:
    h = card.material.hardening
    if h is None:
        yield f"  {DO_NOT_KNOW}"
    else:
        standing = f"estimated by {h.rule}" if h.rule else h.status
        yield f"  {curve_words(h.k_mpa, h.n, h.prestrain, first):52}{standing}"
        yield from _text("" if one_source(card.material) else cited(h.source), 6)
        yield from _text(
            f"used for: {USES['k_mpa']}; e0: {USES['prestrain']}; kinematic share: {USES['kinematic_share']}", 6
        )
        cells = [f"{e:.3f}" for e, _ in card.curve]
        rows = [("ksi", [f"{s / KSI:.1f}" for _, s in card.curve]), ("MPa", [f"{s:.0f}" for _, s in card.curve])]
        yield ""
        yield f"  {'plastic strain':16}" + "".join(f"{c:>6}" for c in cells)
        for unit, row in rows if first == "in" else rows[::-1]:
            yield f"  {'stress, ' + unit:16}" + "".join(f"{c:>6}" for c in row)
        yield ""
    for what, words in derived_words(card, first):
        yield f"  {what:34}{words}"


def _radii(card: Card, first: Unit) -> Iterator[str]:
    known = [r for r in card.radii if r.status]
    if not known:
        yield f"  {DO_NOT_KNOW} No table of the catalogue has this temper."
        return
    ranges = [ranged(r) for r in known]
    heads = [f"[{i}]" for i in range(1, len(known) + 1)]
    columns = [f"{head} meet" if wide else head for head, wide in zip(heads, ranges, strict=True)]
    titles = [
        t for head, wide, c in zip(heads, ranges, columns, strict=True) for t in ((f"{head} from", c) if wide else (c,))
    ]
    yield f"  {'sheet':10}" + "".join(f"{t:>14}" for t in titles)
    for k, row in enumerate(known[0].rows):
        if not row.gauge.endswith(first):
            continue
        cells = [c for r in known for c in radius_cells(r, k, first)]
        if any(c != "-" for c in cells):
            yield f"  {row.gauge:10}" + "".join(f"{c:>14}" for c in cells)
    for head, r in zip(heads, known, strict=True):
        note = f" {r.table.note}" if r.table.note else ""
        yield from _text(f"{r.table.name}, {r.status}: {cited(r.table.source)}.{note}", 2, hang=4, mark=f"{head} ")


def ranged(r: Radii) -> bool:
    """True where the table prints ranges for this temper."""
    return any(row.least_mm != row.meet_mm for row in r.rows)


def radius_cells(r: Radii, k: int, first: Unit) -> tuple[str, ...]:
    """The cells of one thickness: the radius, or the low end of the range and the radius to meet."""
    row = r.rows[k]
    values = (row.least_mm, row.meet_mm) if ranged(r) else (row.meet_mm,)
    return tuple("-" if mm is None else length_cell(mm, first) for mm in values)


def length_cell(mm: float, first: Unit) -> str:
    """'0.094 (2.38)', the shop's unit first, without unit words; '0' where the table lets the bend be sharp."""
    if mm == 0:
        return "0"
    inch, metric = f"{mm / MM_PER_IN:.3f}", f"{mm:.2f}"
    return f"{inch} ({metric})" if first == "in" else f"{metric} ({inch})"


def _conflict(c: Conflict, m: Material, first: Unit) -> Iterator[str]:
    yield f"  {conflict_name(c.quantity)}"
    for i, rival in enumerate(c.rivals):
        side = side_of(c, i, m)
        mark = "taken" if i + 1 == c.trusted else "     "
        value = rival_words(c.quantity, rival.fact, first)
        if side is not None:
            value = curve_words(rival.fact.value, rival.n, rival.prestrain, first)
        yield f"    {mark} {value}, {rival.fact.standing()}"
        checked = f"; its strength against this record: {check_words(side.check)}" if side and side.check else ""
        yield from _text(f"{cited(rival.fact.source)}{checked}", 10)
    yield from _text(f"{'why: ' if c.trusted else 'none is taken: '}{c.why}", 4)


def _text(text: str, indent: int, hang: int = 0, mark: str = "") -> list[str]:
    first = " " * indent + mark
    return wrap(text, WIDE, initial_indent=first, subsequent_indent=" " * (indent + hang))


# ---- a tensile test


def tested_lines(entry: Entry, first: Unit) -> list[str]:
    """What a tensile record gave, in both units, each fit with its error."""
    t = entry.tested
    r, e, g = t.record, t.elastic, t.greatest
    said = ", ".join(f"{k} {v}" for k, v in (("lot", r.lot), ("direction", r.direction), ("date", r.date)) if v)
    out = [
        f"{entry.name}   from {r.file}, {r.kind} stress and strain, {len(r.strain)} points",
        *([said] if said else []),
        "",
    ]
    modulus = modulus_words(e.modulus, first)
    if e.measured:
        modulus += f", standard error {100 * e.modulus_error / e.modulus:.1f} %, {e.points} points"
    else:
        modulus += ", given, not measured"
    rows = [("elastic modulus", modulus), ("yield, 0.2 % offset", stress_words(e.yield_stress, first))]
    if g.reached:
        flat = f"flat within 0.2 % from {g.flat[0]:.3f} to {g.flat[1]:.3f}"
        rows.append(("strength", stress_words(g.strength, first)))
        rows.append(("uniform strain", f"{g.true_strain:.3f} true; {flat}"))
    else:
        rows.append(
            ("strength", f"at least {stress_words(g.strength, first)}: the record ends before the greatest load")
        )
    for fit in (t.swift, t.voce):
        if fit is not None:
            rows.append((f"{fit.law.capitalize()} fit", _constants(fit.law, fit.constants, first)))
            error = f"{100 * fit.rms:.2f} % rms, {100 * fit.worst:.2f} % at most"
            rows.append(("", f"{error}, plastic strain {fit.low:.3f} to {fit.high:.3f}"))
    if t.check is not None:
        rows.append(("strength by the Swift curve", f"{stress_words(t.check.strength, first)}: {check_words(t.check)}"))
    out += [f"  {what:30}{words}" for what, words in rows]
    out += ["", *_text(f"Taken: {taken_why(t)}", 2)]
    if entry.like is not None:
        out += _text(f"From {entry.like.name}, not tested: {', '.join(entry.borrowed)}.", 2)
    else:
        out += _text("Nothing else is known of it. --like NAME takes constants and limits from a catalogue record.", 2)
    return out


def _constants(law: str, constants: tuple[float, float, float], first: Unit) -> str:
    if law == "swift":
        k, n, e0 = constants
        return curve_words(k, round(n, 4), round(e0, 5), first)
    s0, q, b = constants
    assert NAMES[law][2] == "b"
    return f"s0 {stress_words(s0, first)}, Q {stress_words(q, first)}, b {b:.2f}"
