"""How wide a line of print is, and where it wraps.

Widths of the three faces, in thousandths of the size, are those of the Adobe Core 14 font metrics (AFM) for Helvetica,
Helvetica-Bold and Courier; every reader of PDF has these faces or ones of the same widths.
"""

from __future__ import annotations

MM_PER_POINT = 25.4 / 72

# width [1/1000 of the size] -> the characters that have it
_REGULAR = {
    191: "'",
    222: "ijl",
    260: "|",
    278: " !,./:;I[\\]ft·",
    333: "()-`r²³",
    334: "{}",
    355: '"',
    389: "*",
    400: "°",
    469: "^",
    500: "Jcksvxyz",
    556: "#$0123456789?L_abdeghnopquµ–éäöüåñ",
    584: "+<=>~±×",
    611: "FTZøß",
    667: "&ABEKPSVXY",
    722: "CDHNRUw",
    778: "GOQØ",
    833: "Mm",
    834: "½¼¾",
    889: "%",
    944: "W",
    1015: "@",
}
_BOLD = {
    238: "'",
    278: " ,./I\\ijl·",
    280: "|",
    333: "!()-:;[]`ft²³",
    389: "*r{}",
    400: "°",
    474: '"',
    500: "z",
    556: "#$0123456789J_aceksvxy–éäå",
    584: "+<=>^~±×",
    611: "?FLTZbdghnopquµøöüßñ",
    667: "EPSVXY",
    722: "&ABCDHKNRU",
    778: "GOQwØ",
    833: "M",
    834: "½¼¾",
    889: "%m",
    944: "W",
    975: "@",
}
_WIDTHS = {
    "regular": {c: w for w, characters in _REGULAR.items() for c in characters},
    "bold": {c: w for w, characters in _BOLD.items() for c in characters},
    "mono": dict[str, int](),
}
# a character outside the table: every letter of Courier, and wide enough for a letter with an accent elsewhere
_OTHER = {"regular": 722, "bold": 722, "mono": 600}


def text_width(text: str, size_pt: float, font: str = "regular") -> float:
    """Width of one line of text [mm]. `font` is "regular", "bold" or "mono"."""
    widths, other = _WIDTHS[font], _OTHER[font]
    return sum(widths.get(c, other) for c in text) / 1000 * size_pt * MM_PER_POINT


def wrap(text: str, size_pt: float, width_mm: float, font: str = "regular") -> tuple[str, ...]:
    """The text as lines no wider than `width_mm`; a word too wide for a line of its own is cut.

    >>> wrap("Paper moves with the air: check it first.", 10, 40)
    ('Paper moves with the air:', 'check it first.')
    """
    lines: list[str] = []
    for paragraph in text.split("\n"):
        line = ""
        for word in paragraph.split():
            for piece in _cut(word, size_pt, width_mm, font):
                longer = f"{line} {piece}" if line else piece
                if line and text_width(longer, size_pt, font) > width_mm:
                    lines.append(line)
                    longer = piece
                line = longer
        lines.append(line)
    return tuple(lines)


def fitted(text: str, size_pt: float, width_mm: float, font: str = "regular") -> str:
    """The text on one line, its end replaced by "..." where it is wider than `width_mm`."""
    if text_width(text, size_pt, font) <= width_mm:
        return text
    while text and text_width(text + "...", size_pt, font) > width_mm:
        text = text[:-1]
    return text.rstrip() + "..."


def _cut(word: str, size_pt: float, width_mm: float, font: str) -> list[str]:
    """The word in pieces that each fit a line."""
    pieces = [""]
    for c in word:
        if pieces[-1] and text_width(pieces[-1] + c, size_pt, font) > width_mm:
            pieces.append("")
        pieces[-1] += c
    return pieces
