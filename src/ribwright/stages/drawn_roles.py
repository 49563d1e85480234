"""What each layer of a drawing stands for: by its name where it is one of the house's own, else as a person says."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass

from ribwright.errors import Fault, nearest
from ribwright.features.drawn_lines import DrawnFile, Piece

WEB, FLANGE, TANGENT, IGNORE = "web", "flange", "tangent", "ignore"
HOLE, TOOLING, LIGHTENING = "hole", "tooling", "lightening"
ROLES = (WEB, FLANGE, TANGENT, HOLE, TOOLING, LIGHTENING, IGNORE)
CONTOUR = (WEB, FLANGE, TANGENT)
# layer names that need no --role; FLANGE and TANGENT may go on with the name of the flange: FLANGE_SKIN
NAMES = {
    "WEB": WEB, "FLANGE": FLANGE, "TANGENT": TANGENT, "HOLE": HOLE, "PIN": TOOLING, "TOOLING": TOOLING, "LIGHTENING": LIGHTENING,
}  # fmt: skip
_NAMED = re.compile(r"(FLANGE|TANGENT)[_ -](.+)")
_PLAIN_FLANGE = "flange"


@dataclass(frozen=True)
class Role:
    """What a layer stands for. `flange`: name of the flange on its edges, of `flange` and `tangent` only. `typed`: a person said
    so; else it is the layer's name."""

    word: str
    flange: str = ""
    typed: bool = False


def roles_of(drawn: DrawnFile, typed: tuple[str, ...]) -> tuple[dict[str, Role], list[Fault]]:
    """({layer: role}, faults) for every layer with lines that has a role. `typed`: "LAYER=web", "LAYER=flange skin"."""
    lines = [p.layer for p in drawn.pieces] + [x.layer for x in drawn.left_out if x.is_line and not x.hidden]
    layers = tuple(dict.fromkeys(lines))
    roles = {layer: role for layer in layers if (role := _by_name(layer)) is not None}
    faults: list[Fault] = []
    said: set[str] = set()
    for text in typed:
        layer, role = _typed(text, layers, faults)
        if role is None:
            continue
        if layer in said:
            faults.append(Fault("command line", "--role", f"{layer!r} twice", "each layer once"))
        said.add(layer)
        roles[layer] = role
    return roles, faults


def outline_faults(drawn: DrawnFile, roles: dict[str, Role]) -> list[Fault]:
    """What keeps the layers from saying what the web's contour is: nobody draws it, or two do."""
    words = {role.word for role in roles.values()}
    if FLANGE in words and TANGENT in words:
        both = ", ".join(f"{layer!r} as {r.word}" for layer, r in roles.items() if r.word in (FLANGE, TANGENT))
        allowed = "one of the two lines of a flange; the other one out by --role LAYER=ignore"
        return [
            Fault(
                drawn.file, "the layers", f"bends drawn twice, as mold line and as bend tangent line: {both}", allowed
            )
        ]
    if words & set(CONTOUR):
        return []
    open_ones = "; ".join(inventory(drawn, roles)) or "no lines at all"
    allowed = "one layer or more that draws the contour of the web, by --role LAYER=web, =flange or =tangent"
    return [Fault(drawn.file, "the layers", f"nothing that draws the web's contour: {open_ones}", allowed)]


def inventory(drawn: DrawnFile, roles: dict[str, Role]) -> list[str]:
    """A clause for each layer with lines but without a role: how many of what, and how far it reaches, in the drawing's
    numbers."""
    open_ones = dict.fromkeys(p.layer for p in drawn.pieces if p.layer not in roles)
    return [layer_words(layer, [p for p in drawn.pieces if p.layer == layer]) for layer in open_ones]


def layer_words(layer: str, pieces: list[Piece]) -> str:
    """'layer 'A1': 12 lines, 4 arcs over x 0 to 20, y 0 to 4'."""
    counts = Counter(p.kind for p in pieces)
    what = ", ".join(f"{n} {kind}{'s' if n > 1 else ''}" for kind, n in sorted(counts.items()))
    xs, ys = ([p[k] for piece in pieces for p in piece.points] for k in (0, 1))
    return f"layer {layer!r}: {what} over x {min(xs):.6g} to {max(xs):.6g}, y {min(ys):.6g} to {max(ys):.6g}"


def layers_told(drawn: DrawnFile, typed: tuple[str, ...]) -> list[dict[str, str]]:
    """Each layer with lines: its `name`, what lies on it in `words`, and its `role` as it would be typed, "" for none."""
    roles, _ = roles_of(drawn, typed)
    out = []
    for layer in dict.fromkeys(p.layer for p in drawn.pieces):
        role = roles.get(layer)
        words = layer_words(layer, [p for p in drawn.pieces if p.layer == layer]).partition(": ")[2]
        typed_as = "" if role is None else f"{role.word} {role.flange}".strip()
        out.append({"name": layer, "words": words, "role": typed_as})
    return out


def _by_name(layer: str) -> Role | None:
    name = layer.strip().upper()
    if name in NAMES:
        word = NAMES[name]
        return Role(word, _PLAIN_FLANGE if word in (FLANGE, TANGENT) else "")
    if hit := _NAMED.fullmatch(name):
        return Role(NAMES[hit[1]], _key(hit[2]))
    return None


def _typed(text: str, layers: tuple[str, ...], faults: list[Fault]) -> tuple[str, Role | None]:
    layer, equals, words = text.rpartition("=")
    layer, given = layer.strip(), words.split()
    if not equals or not given:
        faults.append(Fault("command line", "--role", repr(text), f"LAYER=ROLE, the role one of {', '.join(ROLES)}"))
        return layer, None
    word, name = given[0].lower(), " ".join(given[1:])
    known = {name.lower(): name for name in layers}
    if layer.lower() not in known:
        allowed = f"a layer with lines: {', '.join(layers) or 'none'}"
        faults.append(Fault("command line", "--role", f"the layer {layer!r}", allowed, nearest(layer, layers)))
    if word not in ROLES:
        faults.append(
            Fault("command line", "--role", repr(given[0]), f"one of {', '.join(ROLES)}", nearest(word, ROLES))
        )
        return layer, None
    if name and word not in (FLANGE, TANGENT):
        faults.append(Fault("command line", "--role", repr(text), "a name behind flange or tangent only"))
    flange = (_key(name) or _PLAIN_FLANGE) if word in (FLANGE, TANGENT) else ""
    return known.get(layer.lower(), layer), Role(word, flange, typed=True)


def _key(name: str) -> str:
    """A flange's name as a bare key of the part file."""
    return re.sub(r"[^a-z0-9_-]+", "-", name.strip().lower()).strip("-")
