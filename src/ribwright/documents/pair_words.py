"""What is said of the two hands of a pair: on the screen, in the answer, on the sheet; and the folder that each has."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from unicodedata import normalize

from ribwright.documents.identity import Identity
from ribwright.documents.solid_model import file_word
from ribwright.stages.pair import Pair

HANDS = ("as drawn", "mirrored")  # by whether it is the opposite
BLOCKS = {
    "mirror-image": "ONE BLOCK for both hands, as it stands",
    "turned-over": "ONE BLOCK for both hands, turned over for the other",
    "": "TWO BLOCKS, one for each hand",
}


INDEX = ("pair.pdf", "pair.json")  # beside the folders


def folders_of(drawn: str, other: str) -> tuple[str, str]:
    """Names of the folders of two numbers, of the hand drawn first: the number; where nothing of it makes a name, the hand. The hand
    follows the number where the two would be one folder (A/1 and A-1, or A and a on a disk that takes them for one), or a file beside."""
    hands = [h.replace(" ", "-") for h in HANDS]
    words = [file_word(number).strip(".") for number in (drawn, other)]
    words = [word if word.strip("-_") else hand for word, hand in zip(words, hands, strict=True)]
    one, two = (normalize("NFKC", word).casefold() for word in words)
    if one == two or {one, two} & set(INDEX):
        words = [f"{word}-{hand}" for word, hand in zip(words, hands, strict=True)]
    return words[0], words[1]


def hand_title(identity: Identity, opposite: bool) -> str:
    """'Q7-2101-2 rev B, right hand, mirrored'."""
    hand = "" if identity.hand == "none" else f", {identity.hand} hand"
    return f"{identity.number} rev {identity.revision}{hand}, {HANDS[opposite]}"


def pair_answer(pair: Pair, drawn: Identity, other: Identity) -> dict[str, Any]:
    """The `pair` of a packet's answer: the hand drawn first."""
    folders = folders_of(drawn.number, other.number)
    return {
        "parts": [
            {
                "number": i.number,
                "revision": i.revision,
                "hand": i.hand,
                "drawn": not opposite,
                "folder": folder,
                "fingerprint": i.fingerprint,
                "stopped": bool(i.stops),
            }
            for opposite, i, folder in zip((False, True), (drawn, other), folders, strict=True)
        ],
        "one_block": pair.one_block,
        "how": pair.how,
        "why": list(pair.why),
        "blank": pair.blank,
    }


def pair_lines(told: Mapping[str, Any] | None) -> list[str]:
    """Lines for the screen; none for one hand."""
    if told is None:
        return []
    parts = [
        f"  {p['number']}{'' if p['hand'] == 'none' else ', ' + p['hand'] + ' hand'}, {HANDS[not p['drawn']]}: folder {p['folder']}, "
        f"fingerprint {p['fingerprint']}{', STOPPED' if p['stopped'] else ''}"
        for p in told["parts"]
    ]
    why = [f"  - {w}" for w in told["why"]]
    return ["Pair", *parts, f"  {BLOCKS[told['how']]}:", *why, f"  {told['blank']}"]
