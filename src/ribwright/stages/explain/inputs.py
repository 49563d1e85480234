"""Numbers of `inputs`: what was read, each told by the key of the file, or by the fact's source and standing."""

from __future__ import annotations

import re
from typing import Any

from ribwright.stages.explain.causes import BY_NAME, key_of
from ribwright.stages.explain.depends import Keys
from ribwright.stages.explain.explanation import Input, Told
from ribwright.stages.explain.family import Case, Family, Place
from ribwright.stages.explain.paths import SEGMENT, at, label


def _path(place: Place) -> str:
    """The path of `inputs` by name that the number lies in: its own, or that of the list or table it stands in."""
    path = named_inputs(place)
    while path not in place.world.inputs and re.search(r"[.\[]", path):
        path = path[: max(path.rfind("."), path.rfind("["))]
    return path


def named_inputs(place: Place) -> str:
    """The number's path inside `inputs` in the spelling of the keys."""
    here: Any = place.world.answer["inputs"]
    out, last = "", ""
    for key, index in SEGMENT.findall(place.path.removeprefix("inputs.")):
        step = key or index
        if isinstance(here, list):
            item = here[int(index)]
            out += f"[{label(item) or index}]" if isinstance(item, dict) else f"[{index}]"
            here = item
        else:
            out += f"[{step}]" if last in BY_NAME else f".{step}" if out else step
            here = here[step]
        last = step
    return out


def _told(case: Case) -> Told:
    path = _path(case)
    key = key_of(path, case.world.inputs.get(path))
    fact = _fact(case)
    words = f"{key.file}: {key.key}"
    own = Input("x", key.key, case.value, "", f"{words}: {fact['source']} ({_standing(fact)})" if fact else words)
    if key.file == "catalogue":
        source = f"{fact['source']} ({_standing(fact)})" if fact else "catalogue of facts"
        return Told("A fact of the catalogue, as this plan used it.", "fact", inputs=(own,), source=source)
    return Told("Read from the file, in mm, N, MPa and degrees.", "typed", inputs=(own,))


def _standing(fact: dict[str, Any]) -> str:
    return f"estimated by {fact['rule']}" if fact.get("status") == "estimated" else str(fact.get("status", ""))


def _fact(case: Case) -> dict[str, Any] | None:
    """The record with source and standing that the number stands in."""
    path = case.path
    while re.search(r"[.\[]", path):
        path = path[: max(path.rfind("."), path.rfind("["))]
        here = at(case.world.answer, path)
        if isinstance(here, dict) and "source" in here and "status" in here:
            return here
    return None


def _on(place: Place) -> Keys:
    return (_path(place), f"{_path(place)}.*")


FAMILIES = (Family("inputs.{*}", _on, _told),)
