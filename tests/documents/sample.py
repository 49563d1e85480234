"""Plans of the example parts, for tests of the sheets."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from ribwright.adapters.facts_toml import load_catalogue
from ribwright.adapters.part_toml import read_part
from ribwright.adapters.shop_toml import read_shop
from ribwright.documents.identity import Identity, identity_of
from ribwright.documents.lettering import text_width
from ribwright.documents.page import Clip, Document, Item, Page, Text
from ribwright.stages.job import take_in
from ribwright.stages.plan import Plan, make_plan

EXAMPLES = Path(__file__).parents[2] / "examples" / "dabchick"
FINGERPRINT = "0123456789abcdef"


@cache
def sample_plan(part: str = "Q7-2102-1", press: str = "P2") -> Plan:
    """The plan of an example part on a press of the example shop; press "" = none named."""
    shop = read_shop(EXAMPLES / "shop.toml")
    file = EXAMPLES / f"{part}.part.toml"
    job = take_in(read_part(file), shop, load_catalogue(), str(file))
    return make_plan(job, shop.press(press) if press else None)


def sample_identity(plan: Plan) -> Identity:
    """Its identity, with a made-up fingerprint."""
    return identity_of(plan, FINGERPRINT)


def texts_of(document: Document) -> list[str]:
    """Every line of print of the document, in the order it is drawn."""
    return [t.text for page in document.pages for t in _texts(page.items)]


def said(document: Document) -> str:
    """All print of the document as one line, to look for wrapped sentences in."""
    return " ".join(texts_of(document))


def outside(page: Page, margin: float = 5.0) -> list[str]:
    """Lines of print that reach past the page's edge less a margin [mm]."""
    out = []
    for t in _texts(page.items):
        wide = text_width(t.text, t.size_pt, t.font)
        left = t.x - {"start": 0.0, "middle": wide / 2, "end": wide}[t.anchor]
        inside_x = margin <= left and left + wide <= page.width - margin
        if not (t.angle_deg or inside_x) or not margin <= t.y <= page.height - margin:
            out.append(t.text)
    return out


def _texts(items: tuple[Item, ...]) -> list[Text]:
    found: list[Text] = []
    for item in items:
        if isinstance(item, Text):
            found.append(item)
        elif isinstance(item, Clip):
            found += _texts(item.items)
    return found
