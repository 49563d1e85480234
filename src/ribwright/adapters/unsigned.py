"""A part file's text with its approval emptied: what was approved is the part as it stood."""

from __future__ import annotations

from typing import Any

from ribwright.adapters.part_edit import edited
from ribwright.adapters.part_edit_text import Text

KEYS = ("approval.data", "approval.by", "approval.date")


def unsigned(text: str, file: str) -> str:
    """The text, the keys of [approval] that it has set to nothing; comments and order kept."""
    index = Text.read(text, file).spans.index
    ops: list[dict[str, Any]] = [{"op": "set", "path": k, "value": ""} for k in KEYS if k in index]
    return edited(text, ops, file) if ops else text
