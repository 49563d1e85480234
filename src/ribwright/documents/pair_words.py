"""What is said of the two hands of a pair: on the screen, in the answer, on the sheet; and the folder that each has."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ribwright.documents.identity import Identity
from ribwright.documents.solid_model import file_word
from ribwright.stages.pair import Pair

HANDS = ("as drawn", "mirrored")  # by whether it is the opposite
BLOCKS = {
    "mirror-image": "ONE BLOCK for both hands, as it stands",
    "turned-over": "ONE BLOCK for both hands, turned over for the other",
    "": "TWO BLOCKS, one for each hand",
}


def folder_of(identity: Identity, opposite: bool) -> str:
    """Name of the folder: the part's number; where nothing of it makes a name, the hand."""
    name = file_word(identity.number).strip(".")
    return name if name.strip("-_") else HANDS[opposite].replace(" ", "-")


def hand_title(identity: Identity, opposite: bool) -> str:
    """'Q7-2101-2 rev B, right hand, mirrored'."""
    hand = "" if identity.hand == "none" else f", {identity.hand} hand"
    return f"{identity.number} rev {identity.revision}{hand}, {HANDS[opposite]}"


def pair_answer(pair: Pair, drawn: Identity, other: Identity) -> dict[str, Any]:
    """The `pair` of a packet's answer: the hand drawn first."""
    return {
        "parts": [
            {
                "number": i.number,
                "revision": i.revision,
                "hand": i.hand,
                "drawn": not opposite,
                "folder": folder_of(i, opposite),
                "fingerprint": i.fingerprint,
                "stopped": bool(i.stops),
            }
            for opposite, i in ((False, drawn), (True, other))
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
