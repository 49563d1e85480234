"""Things of the drawing that this version reads but does not model, and combinations no single hit can form."""

from __future__ import annotations

from collections.abc import Iterator

from ribwright.stages.checks.context import Finding, Looked


def findings(looked: Looked) -> Iterator[Finding]:
    """Notches, joggles, beads, drawn flutes: a stop. Flutes to be planned: a warning. Mixed turns: two hits."""
    part = looked.job.part
    for item in part.not_modelled:
        yield Finding(
            "not-yet-modelled",
            "stop",
            f"The {item.kind} no. {item.index} of the part file is not yet modelled: blank and block leave it out.",
            f"Take the {item.kind} out of the file only if the drawing allows the part without it.",
            {item.kind: item.index, **({"edge": item.edge} if item.edge else {})},
        )
    used = {e.flange for loop in part.loops for e in loop.edges if e.flange}
    for name in sorted(used):
        if part.flanges[name].flutes == "plan":
            yield Finding(
                "flutes-not-planned",
                "warn",
                f"Flutes on flange {name} are to be planned, and this version does not plan them yet.",
                "Place them by hand where the edge gathers, clear of the rivet line, and enter them on the drawing.",
                {"flange": name},
            )
    if part.opposite:
        yield Finding(
            "opposite-not-made",
            "note",
            f"{part.number} makes a pair with {part.opposite}; this version plans only the one drawn here.",
            "Plan the opposite from a part file of its own, mirrored, with its own number and hand.",
            {"key": "part.opposite"},
        )
    turns = {part.flanges[e.flange].turn for e in part.outer.edges if e.flange}
    if len(turns) > 1:
        yield Finding(
            "two-hits",
            "stop",
            "Outer flanges turn both up and down: one block and one hit cannot form them.",
            "Split the job into two hits with a block for each, or ask for a drawing with flanges turned one way.",
            {"loop": "web"},
        )
