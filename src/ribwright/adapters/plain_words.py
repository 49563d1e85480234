"""Words of a file that people read on a terminal: one line, and nothing that a terminal obeys.

A control code can colour, hide or forge what a command says; a mark that turns the reading direction shows other words than are there.
"""

from __future__ import annotations

import unicodedata

ONE_LINE = "without line breaks, control codes and invisible marks"


def one_line(text: str) -> bool:
    """Whether a text is letters, marks, signs and blanks only: no control codes, line ends, direction marks or halves of a character."""
    return all(c.isprintable() or unicodedata.category(c) == "Zs" for c in text)
