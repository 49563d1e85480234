"""Whether a person may accept a piece by what was measured: every reason against it, in sentences.

The tool accepts nothing and calls nothing airworthy: it keeps a name beside verdicts, and only where each characteristic that the drawing
tolerances was measured, in date, and proved inside. Anything else is a matter of a person's disposition on paper.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from ribwright.features.inspected import Said
from ribwright.features.part import Part
from ribwright.shop.shop import Shop
from ribwright.stages.checks.tolerance import NAMES
from ribwright.stages.found import CANNOT_TELL, OUTSIDE, Judged
from ribwright.stages.inspection import overdue

MOST = 3  # places named of a reason
MANY = 10  # results
NOTHING = {"mm": 0.013, "deg": 0.0051}  # what a typed thousandth of an inch, or a hundredth of a degree, rounds off


def as_drawn(judged: Sequence[Judged]) -> bool:
    """Whether many results were taken and none is off the drawing by anything: no gauge reads so."""
    return len(judged) >= MANY and all(abs(j.found.off) < NOTHING[j.found.unit] for j in judged)


def against(
    part: Part, shop: Shop, said: Said, judged: Sequence[Judged], unmeasured: Sequence[str], by: str
) -> tuple[str, ...]:
    """Why `by` may not accept the piece; empty where nothing stands against it. `unmeasured`: toleranced characteristics without a
    result, in words."""
    out = []
    if not by.strip():
        out.append("no person is named")
    said_ = {
        "date of measuring": said.date,
        "who measured": said.by,
        "revision": said.revision,
        "serial or piece number": said.serial,
    }
    lost = [k for k, v in said_.items() if not v]
    out += [f"the file does not say: {', '.join(lost)}"] if lost else []
    if said.date and part.approval.date and said.date < part.approval.date:
        out.append(f"measured on {said.date}, before the part's data was approved on {part.approval.date}")
    if as_drawn(judged):
        out.append("every result is exactly the drawing's own number")
    out += [
        f"gauge {g.id} was due on {g.due}, measured on {said.date}"
        for g in overdue(shop, said, [j.found for j in judged])
    ]
    used = {j.found.gauge for j in judged}
    undated = [g.id for g in shop.gauges if g.id in used and not g.due]
    out += [f"gauge {g} has no due date in shop.toml" for g in undated]
    bare = [j for j in judged if not j.found.gauge and j.limits is not None and j.found.by not in ("points", "outline")]
    out += [f"{len(bare)} results name no gauge"] if bare else []
    if not said.gauges and any(j.found.by in ("points", "outline") for j in judged):
        out.append("the file names no gauge: what took the points or the picture")
    held = [j for j in judged if j.limits is not None]
    for verdict, words in ((OUTSIDE, "outside its tolerance"), (CANNOT_TELL, "not proved inside")):
        mine = [j for j in held if j.verdict == verdict]
        out += [f"{listed([called(j) for j in mine])}: {words}"] if mine else []
    out += [f"not measured: {listed(list(unmeasured))}"] if unmeasured else []
    out += ["nothing that the drawing tolerances was measured"] if not held else []
    return tuple(out)


def called(j: Judged) -> str:
    """'bend angle of upper' for a sentence."""
    where = j.found.where
    of = where.get("edge") or where.get("hole") or where.get("loop", "")
    return f"{NAMES.get(j.found.quantity, j.found.quantity)} of {of}"


def listed(names: list[str]) -> str:
    """'a, b, c and 4 more', each once with how often."""
    count = Counter(names)
    told = [n if k == 1 else f"{n} ({k} places)" for n, k in list(count.items())[:MOST]]
    more = len(count) - MOST
    return ", ".join(told) + (f" and {more} more" if more > 0 else "")
