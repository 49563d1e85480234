"""Where the section model gave no answer, was held against little, or answered for a pressure that the press cannot give."""

from __future__ import annotations

from collections.abc import Iterator

from ribwright.stages.checks.context import Finding, Looked, margin
from ribwright.stages.pressure import within
from ribwright.stages.section_miss import NOT_COMPARED
from ribwright.units import show_pressure


def findings(looked: Looked) -> Iterator[Finding]:
    """One a flange that is left to the closed form; one for each reason why the model is unverified, with all its flanges."""
    sections, edges = looked.job.sections, {b.edge for b in looked.block.edges}
    if sections is None:
        return
    yield from _past_the_press(looked, sections.pressure)
    for name, why in sections.left:
        kind = "edge" if name in edges else "hole"
        yield Finding(
            "section-model-left",
            "warn",
            f"{kind.capitalize()} {name}: {why}. The closed form answers for it, in which pressure does not enter.",
            "First piece on scrap. A larger bend radius, a wider flange or another pressure may let the model answer.",
            {kind: name},
            source="section model",
        )
    reasons: dict[str, list[str]] = {}
    for name, s in sections.flanges.items():
        for word in s.unverified.split("; ") if s.unverified and not s.why_quick else ():
            reasons.setdefault(word, []).append(name)
    for word, names in reasons.items():
        yield Finding(
            "section-model-unverified",
            "note",
            f"Unverified, and the band is wider for it: {word} ({', '.join(names)}), at "
            f"{show_pressure(sections.pressure, looked.first)} on the pad. Like everything here it was {NOT_COMPARED}.",
            "First piece on scrap; correct the block by what it measures before the lot.",
            source="section model",
        )


def _past_the_press(looked: Looked, pressure: float) -> Iterator[Finding]:
    """The block is cut for a pressure that the press named cannot give."""
    s = looked.setup
    if s is None or within(pressure, s.available):
        return
    yield Finding(
        "undercut-past-press",
        "warn",
        f"The undercut is solved for {show_pressure(pressure, looked.first)} on the pad, what the last flange or bead needs; press "
        f"{s.press.id} gives {show_pressure(s.available, looked.first)}. On this press the flanges come off this block at other angles.",
        "Take the block for a press that gives the pressure; for this press see the angles of its set-up, and finish by hand.",
        {"press": s.press.id}, pressure, s.available, margin(pressure, s.available), "MPa", "section model",
    )  # fmt: skip
