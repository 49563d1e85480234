"""Which sheets a packet has, in the order of the work. One file a sheet; this is their list."""

from __future__ import annotations

from collections.abc import Callable

from ribwright.documents import block_sheet as block_pages
from ribwright.documents import (
    cut_list,
    findings_sheet,
    handwork_sheet,
    inspection_sheet,
    job_card,
    route_sheet,
    setup_card,
)
from ribwright.documents.identity import Identity
from ribwright.documents.page import Document, crossed_document
from ribwright.documents.templates import template_document
from ribwright.stages.handwork import expected_handwork
from ribwright.stages.plan import Plan

Sheet = Callable[[Plan, Identity, str], Document | None]


def _set_up(plan: Plan, identity: Identity, paper: str) -> Document | None:
    """Nothing without a press."""
    return setup_card.document(plan, identity, paper) if plan.setup else None


def _by_hand(plan: Plan, identity: Identity, paper: str) -> Document | None:
    """What hands are expected to do after the press named; nothing where nothing is expected."""
    hands = expected_handwork(plan) if plan.setup else None
    return None if hands is None or hands.empty else handwork_sheet.document(plan, identity, paper, hands)


SHEETS: tuple[Sheet, ...] = (
    job_card.document,
    findings_sheet.document,
    route_sheet.document,
    block_pages.document,
    _set_up,
    _by_hand,
    inspection_sheet.document,
    cut_list.document,
)

TEMPLATES = ("blank", "check", "block", "drill", "bevel")
TEMPLATE_NAMES = ("blank-template", "check-template", "block-template", "drill-template", "bevel-cards")
SHEET_NAMES = (
    "job-card", "findings", "route-sheet", "block-drawing", "set-up-card", "hand-finishing", "inspection-sheet",
    "cut-list", *TEMPLATE_NAMES,
)  # fmt: skip


def packet_sheets(plan: Plan, identity: Identity, paper: str) -> tuple[Document, ...]:
    """Every sheet of the packet; without a press there is no set-up card, and no hand-finishing list. Crossed out when a finding stops
    the job."""
    small = "letter" if paper == "roll" else paper
    made = [sheet(plan, identity, small) for sheet in SHEETS]
    done = [_crossed(d, identity) for d in made if d is not None]
    return (*done, *(template_document(plan, identity, paper, kind) for kind in TEMPLATES))


def block_sheet(plan: Plan, identity: Identity, paper: str = "letter") -> Document:
    """The block drawing alone."""
    return _crossed(block_pages.document(plan, identity, paper), identity)


def _crossed(document: Document, identity: Identity) -> Document:
    return crossed_document(document, identity.stops[0]) if identity.stops else document
