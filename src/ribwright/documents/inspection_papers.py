"""The papers of one inspection, in the order in which a person reads them."""

from __future__ import annotations

from ribwright.documents import deviation_sheet, first_article, inspection_sheet
from ribwright.documents.identity import Identity
from ribwright.documents.page import Document, crossed_document
from ribwright.features.inspected import BLANK
from ribwright.stages.inspection import Inspection
from ribwright.stages.plan import Plan


def inspection_papers(plan: Plan, identity: Identity, paper: str, inspection: Inspection) -> tuple[Document, ...]:
    """Deviation sheet, inspection sheet filled in and, of a formed part, the first article's characteristics; crossed out when a finding
    stops the job."""
    made = [
        deviation_sheet.document(plan, identity, paper, inspection),
        inspection_sheet.document(plan, identity, paper, inspection),
    ]
    if inspection.said.what != BLANK:
        made.append(first_article.document(plan, identity, paper, inspection))
    return tuple(crossed_document(d, identity.stops[0]) if identity.stops else d for d in made)
