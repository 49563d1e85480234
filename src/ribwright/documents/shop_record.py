"""A `[material."NAME"]` table for shop.toml, as a tensile test filled it."""

from __future__ import annotations

import json

from ribwright.stages.material_answers import taken_why
from ribwright.stages.tensile import Entry

# decimals that keep each number's worth without claiming more
DIGITS = {"youngs_modulus_mpa": 0, "secondary_modulus_mpa": 0, "yield_mpa": 1, "strength_mpa": 1, "density_kg_m3": 0}


def shop_record(entry: Entry) -> str:
    """TOML text, ready to be put into shop.toml. What was borrowed stands under a comment of its own."""
    k, n, e0 = entry.tested.swift.constants
    like = entry.like
    out = [f"[material.{_quoted(entry.name)}]"]
    if like is not None:
        words = {"alloy": like.alloy, "temper": like.temper, "bend_row": like.bend_row, "family": like.family}
        out += [f"{key} = {_quoted(word)}" for key, word in words.items() if word]
        out += ["clad = true"] if like.clad else []
    out += ["# measured"]
    out += [f"{key} = {_number(key, value)}" for key, value in entry.numbers.items()]
    out.append(f'hardening = {{ law = "swift", k_mpa = {k:.1f}, n = {n:.4f}, prestrain = {max(e0, 0.0):.5f} }}')
    out += [f"# {line}" for line in _remarks(entry)]
    if like is not None and entry.borrowed:
        out += [f"# taken from {like.name} of the {like.origin}, not tested"]
        out += [f"{key} = {_number(key, value)}" for key, value in entry.borrowed.items()]
    out.append(f"source = {_quoted(entry.source)}")
    return "\n".join(out) + "\n"


def _remarks(entry: Entry) -> list[str]:
    t = entry.tested
    out = [taken_why(t)] if t.voce_is_closer else []
    if not t.greatest.reached:
        out.append("The record ends before the greatest load: no strength, and the curve is not checked beyond it.")
    return out


def _number(key: str, value: float) -> str:
    return f"{value:.{DIGITS[key]}f}" if key in DIGITS else f"{value:g}"


def _quoted(text: str) -> str:
    # a JSON string is a TOML basic string, but for DEL, which no one types
    return json.dumps(text, ensure_ascii=False)
