"""An answer that was kept as JSON, read back: only what this tool wrote passes."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from ribwright.adapters.toml_text import read_text
from ribwright.errors import Fault, InputError

KIND = "an answer kept with --json, or answers.json of a packet,"
HEADING = {"ribwright": str, "part": dict, "fingerprint": str, "findings": list}
PART = ("number", "revision", "hand")


def read_answer(path: Path) -> dict[str, Any]:
    """The answer. InputError for a file that is no JSON or no answer of this tool."""
    text = read_text(path, KIND)
    try:
        answer = json.loads(text)
    except (ValueError, RecursionError) as broken:
        raise _wrong(path, "file", f"no JSON ({broken})"[:120], KIND.rstrip(",")) from None
    if not isinstance(answer, dict):
        raise _wrong(path, "file", f"a JSON {type(answer).__name__}", "an object with the keys of an answer")
    faults = [
        Fault(
            str(path),
            key,
            "nothing" if key not in answer else f"a {type(answer[key]).__name__}",
            "as this tool writes it",
        )
        for key, kind in HEADING.items()
        if not isinstance(answer.get(key), kind)
    ]
    part = answer.get("part")
    if isinstance(part, dict):
        faults += [Fault(str(path), f"part.{k}", "nothing", "a word") for k in PART if not isinstance(part.get(k), str)]
    faults += [
        Fault(str(path), key, f"a {type(answer[key]).__name__}", "an object")
        for key in ("blank", "block", "setup", "inputs")
        if key in answer and not isinstance(answer[key], dict)
    ]
    if faults:
        raise InputError(faults)
    return answer


def _wrong(path: Path, key: str, found: str, allowed: str) -> InputError:
    return InputError([Fault(str(path), key, found, allowed)])
