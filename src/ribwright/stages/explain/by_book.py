"""What the shop's springback book did to a number: the shift, and which measured pieces moved it by how much.

A number whose closed formula no longer comes out, because the book moved it, says so and is told as solved.
"""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np

from ribwright.stages.explain.causes import World
from ribwright.stages.explain.depends import Keys
from ribwright.stages.explain.explanation import Input, Told
from ribwright.stages.explain.family import Case, between
from ribwright.stages.learning import LEARNED_MODEL, LEARNED_PIECE, MOST_NAMED, SOURCE, Correction, corrected_words
from ribwright.stages.springback import Bends, correction_at, hole_bends

PLACES = (
    re.compile(
        r"(block\.undercut)\[(\d+)\]\.(?:deg|released_angle_deg)\.\w+|(block\.undercut)\[(\d+)\]\.remaining_angle_deg"
    ),
    re.compile(r"(block\.(?:recesses|rings))\[(\d+)\]\..*(?:undercut|released|remaining).*"),
    re.compile(r"(setup\.flanges)\[(\d+)\]\.released_deg\.\w+"),
    re.compile(r"(forecast\.stations)\[(\d+)\]\.(?:springback_deg|angle_released_deg|off_drawing_deg).*"),
    re.compile(r"(tolerances)\[(\d+)\]\.(?:forecast\.\w+|contributors\[\d+\]\.sd)"),
)
WORDS = (
    "; moved by what the shop measured: the released angle lies shift off this model's (+ closed), for which the undercut is shift/slope "
    "less, and the scatter is what the book leaves of it"
)
SAME = 1e-6


def keys(world: World) -> Keys:
    """What the book's answer hangs on: what was measured, and which part is asked about; nothing where nothing was measured."""
    return ("learned*", "part.number") if "learned.digest" in world.inputs else ()


def told(case: Case, plain: Told) -> Told:
    """The same with what the book did; untouched where it did nothing."""
    if case.plan.job.learned is None:
        return plain
    found = bends_of(case)
    c = None if found is None else correction_at(case.plan.job, found)
    again = plain.again
    off = again is not None and abs(again - case.value) > SAME * max(1.0, abs(case.value))
    if c is None:
        return replace(plain, origin="solved", formula=plain.formula + WORDS, again=None) if off else plain
    return replace(
        plain,
        origin="solved" if off else plain.origin,
        formula=plain.formula + WORDS,
        inputs=(*plain.inputs, *inputs_of(c)),
        source=f"{plain.source}; {SOURCE}" if plain.source else SOURCE,
        again=None if off else again,
    )


def inputs_of(c: Correction) -> tuple[Input, ...]:
    """The shift, how surely it is known, and the pieces behind it, the one that moved it most first."""
    movers = c.movers(0)
    rows = [
        between("shift", "shift of the released angle that the book taught, + closed", float(c.shift[0]), "deg", SOURCE),
        between("s_mean", "how surely that is known", float(c.sd_mean[0]), "deg", SOURCE),
        between("s_next", "standard deviation of the next piece", float(c.sd[0]), "deg", f"{SOURCE}; {c.prior[0]:.2f} deg before"),
        *(
            between(
                f"d_{i + 1}", f"of it by {m.piece}, which came {m.off:+.2f} deg off the forecast", m.moved, "deg",
                f"measured {m.date}" + (f", lot {m.lot}" if m.lot else "") + (f"; believed to {m.weight:.0%}" if m.weight < 0.995 else ""),
            )
            for i, m in enumerate(movers[:MOST_NAMED])
        ),
    ]  # fmt: skip
    left = movers[MOST_NAMED:]
    if left:
        rows.append(
            between("d_rest", f"of it by {len(left)} more pieces", float(sum(m.moved for m in left)), "deg", SOURCE)
        )
    return tuple(rows)


def contributor(case: Case, name: str) -> Told | None:
    """One of the two causes that the book leaves; None for any other."""
    if name not in (LEARNED_MODEL, LEARNED_PIECE):
        return None
    what = {
        LEARNED_MODEL: "Standard deviation that the mean of what the shop measured leaves; the same on every piece.",
        LEARNED_PIECE: "Standard deviation from piece to piece, by what the shop measured.",
    }[name]
    formula = "posterior of the offsets of shop, metal, flange and lot, and of the scatter of pieces, by docs/SPRINGBACK_BOOK.md"
    return Told(what, "solved", formula, (), SOURCE, "pieces measured in this shop, forecast by this model")


def words_of(case: Case, model: str) -> str:
    """A model's words with how many pieces corrected it."""
    found = bends_of(case)
    c = None if found is None else correction_at(case.plan.job, found)
    return model if c is None else corrected_words(model, c.pieces)


def bends_of(case: Case) -> Bends | None:
    """The bend whose springback the number follows; None of any other number."""
    hit = next((m for p in PLACES if (m := p.fullmatch(case.path))), None)
    if hit is None:
        return None
    kind, index = (g for g in hit.groups() if g is not None)
    i, job = int(index), case.plan.job
    if kind == "block.undercut":
        for e in case.plan.block.edges:
            if i < len(e.along):
                return _edge(case, e.edge, float(e.along[i]), float(e.angle[i]))
            i -= len(e.along)
        return None
    if kind in ("block.recesses", "block.rings"):
        rows = case.plan.block.recesses if kind.endswith("recesses") else case.plan.block.rings
        return hole_bends(next(h for h in job.part.holes if h.name == rows[i].name))
    if kind == "setup.flanges":
        assert case.plan.setup is not None
        f = case.plan.setup.reached[i].flange
        return Bends(f.owner, f.radius, np.array([f.angle]), np.array([f.along]))
    where = case.row["where"] if kind == "tolerances" else case.row
    if kind == "tolerances" and case.row["quantity"] != "flange_angle":
        return None
    hole = next((h for h in job.part.holes if h.name == where.get("hole") and h.kind == "lightening"), None)
    if hole is not None:
        return hole_bends(hole)
    edge = where.get("edge")
    if not edge or job.part.edge(str(edge)).flange is None:
        return None
    b = next((b for b in case.plan.block.edges if b.edge == edge), None)
    if b is None:
        return None
    along = float(where.get("along_mm", b.along[0]))
    order = np.argsort(b.along)
    return _edge(case, str(edge), along, float(np.interp(along, b.along[order], b.angle[order])))


def _edge(case: Case, edge: str, along: float, angle: float) -> Bends:
    flange = case.plan.job.part.flanges[case.plan.job.part.edge(edge).flange or ""]
    return Bends(edge, flange.bend_radius, np.array([angle]), np.array([along]))
