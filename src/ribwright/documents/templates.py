"""The list of templates: which kinds there are and how each is made from a plan."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from ribwright.documents import bead_marks, flute_marks, notch_marks
from ribwright.documents.bevel_cards import bevel_document
from ribwright.documents.bevel_drawing import bevel_drawing
from ribwright.documents.blank_content import blank_content
from ribwright.documents.block_content import block_content
from ribwright.documents.check_content import check_content
from ribwright.documents.drawing import Drawing
from ribwright.documents.drill_content import drill_content
from ribwright.documents.identity import Identity
from ribwright.documents.joggle_marks import with_joggles
from ribwright.documents.page import Document
from ribwright.documents.router_content import router_content
from ribwright.documents.template import template
from ribwright.documents.template_circles import with_circles
from ribwright.documents.template_drawing import template_drawing
from ribwright.documents.template_values import TemplateContent
from ribwright.stages.circles import CircleGrid
from ribwright.stages.plan import Plan
from ribwright.stages.router import Router

CONTENTS: dict[str, Callable[[Plan, Identity], TemplateContent]] = {
    "blank": blank_content,
    "check": check_content,
    "block": block_content,
    "drill": drill_content,
}

STEPPED = ("blank", "check", "block")  # those that show the steps of joggles


FLUTED: dict[str, Callable[[Plan, TemplateContent], TemplateContent]] = {
    "blank": flute_marks.on_blank,
    "check": flute_marks.on_check,
    "block": flute_marks.on_block,
}


NOTCHED: dict[str, Callable[[Plan, TemplateContent], TemplateContent]] = {
    "blank": notch_marks.on_blank,
    "check": notch_marks.on_check,
    "block": notch_marks.on_block,
}


def content_of(
    plan: Plan, identity: Identity, kind: str, router: Router | None = None, circles: CircleGrid | None = None
) -> TemplateContent:
    """What a template of this kind says, a blank's with circles over it. KeyError for another word; InputError when a router's
    set-over eats it up."""
    content = CONTENTS[kind](plan, identity)
    if kind in FLUTED:
        content = bead_marks.marked(plan, FLUTED[kind](plan, content), kind)
    if kind in NOTCHED:
        content = NOTCHED[kind](plan, content)
    if kind in STEPPED:
        content = with_joggles(content, plan)
    if circles is not None and kind == "blank":
        content = with_circles(content, circles)
    return content if router is None else router_content(content, router)


def template_document(
    plan: Plan,
    identity: Identity,
    paper: str,
    kind: str = "blank",
    router: Router | None = None,
    circles: CircleGrid | None = None,
) -> Document:
    """A template at 1:1, or the bevel gauge cards; it crosses itself out."""
    if kind == "bevel":
        return bevel_document(plan, identity, "letter" if paper == "roll" else paper)
    document = template(content_of(plan, identity, kind, router, circles), paper)
    return document if router is not None else replace(document, name=f"{kind}-template")


def template_lines(
    plan: Plan,
    identity: Identity,
    kind: str = "blank",
    router: Router | None = None,
    circles: CircleGrid | None = None,
) -> Drawing:
    """The same as a drawing for a cutter, in mm."""
    if kind == "bevel":
        return bevel_drawing(plan, identity)
    return template_drawing(content_of(plan, identity, kind, router, circles))
