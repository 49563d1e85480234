"""A part file without its approval: what was approved is the part as it stood, not what was changed in a copy of it."""

from __future__ import annotations

from typing import Any

from ribwright.adapters.part_edit import edited
from ribwright.adapters.part_edit_text import Text

KEYS = ("approval.data", "approval.by", "approval.date")


def unsigning(doc: Text) -> list[dict[str, Any]]:
    """The edits that empty every key of the approval that is there."""
    return [{"op": "set", "path": k, "value": ""} for k in KEYS if k in doc.spans.index]


def unsigned(text: str) -> str:
    """The text of a part file with its approval emptied, all else byte for byte."""
    return edited(text, unsigning(Text.read(text, "the part")))
