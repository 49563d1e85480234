"""Keys of the files that can move a number: patterns over the answer's `inputs`, and the words for each key.

A pattern is a path of `inputs` with * for any text: `part.flanges[skin].*`. Lists are called by name, so that a hole that
moved in the file is the same hole.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Any

from ribwright.stages.explain.explanation import Key
from ribwright.stages.explain.paths import label

# objects whose keys are names that somebody chose
BY_NAME = frozenset({"heat_treat", "flanges", "materials", "rows", "least", "row_status", "block_materials", "facts"})
WORDS = (
    (r"part\.line", "web.line"),
    (r"part\.outer\.edges\[(.*?)\].*", r"web.edge[\1]"),
    (r"part\.outer.*", "web"),
    (r"part\.cutouts\[(.*?)\]\.edges\[(.*?)\].*", r"cutout[\1].edge[\2]"),
    (r"part\.cutouts(.*)", r"cutout\1"),
    (r"part\.flanges\[(.*?)\](.*)", r"flange.\1\2"),
    (r"part\.holes(.*)", r"hole\1"),
    (r"part\.corners(.*)", r"corner\1"),
    (r"part\.joggles(.*)", r"joggle\1"),
    (r"part\.notches(.*)", r"notch\1"),
    (r"part\.block_undercut", "block.undercut"),
    (r"part\.trim", "blank.trim"),
    (r"part\.side_up", "blank.side_up"),
    (r"part\.drawn", "--hand"),
    (r"part\.(number|revision|title|hand|opposite)", r"part.\1"),
    (r"part\.(.*)", r"\1"),
    (r"shop\.presses\[(.*?)\]\.force_gauge(.*)", r"press[\1].gauge\2"),
    (r"shop\.presses\[(.*?)\]\.pad\.layers(.*)", r"press[\1].pads\2"),
    (r"shop\.presses\[(.*?)\]\.routine\.(\w+?)(_s)?", r"press[\1].\2, or setup.\2"),
    (r"shop\.presses(.*)", r"press\1"),
    (r"shop\.gauges(.*)", r"gauge\1"),
    (r"shop\.block_materials(.*)", r"block_material\1"),
    (r"shop\.materials\[(.*?)\](.*)", r'material."\1"\2'),
    (r"shop\.rules\.then_radius", "rules.minimum_radius"),
    (r"shop\.heat_treat\[(.*?)\]\.cold_storage_c", r'heat_treat."\1".cold_storage_at'),
    (r"shop\.heat_treat\[(.*?)\]\.(\w+?)(_s)?", r'heat_treat."\1".\2'),
    (r"shop\.(.*)", r"\1"),
    (r"materials\[(.*?)\](.*)", r'material "\1"\2'),
    (r"radius_table\.(.*)", r"bend radius table: \1"),
    (r"then_radius_tables\[(.*?)\]\.(.*)", r"bend radius table \1: \2"),
    (r"relief_rule\.(.*)", r"relief rule: \1"),
    (r"practice\.(.*?)\.value", r"practice: \1"),
    (r"press", "--press"),
    (r"method", "--method"),
    (r"model", "--model, or rules.undercut"),
    (r"learned\.digest", "what was measured"),
    (r"learned\.(.*)", r"\1"),
    (r"forecast\.model", "--model, or --pad"),
    (r"forecast\.pressure_mpa", "--pressure"),
    (r"forecast\.undercut_deg", "--undercut"),
    (r"forecast\.place", "--place"),
)
FILES = {
    "part": "part file",
    "shop": "shop file",
    "press": "command line",
    "method": "command line",
    "model": "command line",
    "forecast": "command line",
    "learned": "springback.jsonl",
    "version": "ribwright",
    "build": "ribwright",
}


def flat(value: Any, path: str = "") -> dict[str, Any]:
    """`inputs` as one object of path -> value. A list of numbers, a table along an edge and a size given stay whole."""
    if value in ({}, []):
        return {}
    if isinstance(value, dict):
        if set(value) == {"stations"}:
            return {path: value["stations"]}
        out: dict[str, Any] = {}
        for k, v in value.items():
            by_name = path.rpartition(".")[2] in BY_NAME
            out |= flat(v, f"{path}[{k}]" if by_name else f"{path}.{k}" if path else k)
        return out
    if isinstance(value, list) and any(isinstance(v, dict) for v in value):
        out, names = {}, [label(v) for v in value]
        for i, (v, name) in enumerate(zip(value, names, strict=True)):
            # of several with one name, like the notches of an edge, each counts among them
            among = f"[{names[:i].count(name)}]" if name and names.count(name) > 1 else ""
            out |= flat(v, f"{path}[{name or i}]{among}")
        return out
    return {path: value}


@lru_cache(maxsize=1024)
def _compiled(patterns: tuple[str, ...]) -> re.Pattern[str]:
    return re.compile("|".join(".*".join(map(re.escape, p.split("*"))) for p in patterns) or "(?!)")


def hits(patterns: Iterable[str], path: str) -> bool:
    """Whether one of the patterns means this path of `inputs`."""
    return _compiled(tuple(patterns)).fullmatch(path) is not None


@lru_cache(maxsize=8192)
def _words(path: str) -> str:
    return next((re.sub(f"^{a}$", b, path) for a, b in WORDS if re.fullmatch(a, path)), path)


def key_of(path: str, value: Any = None) -> Key:
    """The key a person finds in a file. A hole's `given` shows the name of the size that was typed."""
    file = FILES.get(re.split(r"[.\[]", path)[0], "catalogue")
    words = _words(path)
    file = FILES["press"] if words.startswith("--") else file
    if path.endswith(".given") and isinstance(value, list) and value:
        words = words.removesuffix("given") + str(value[0])
    words = re.sub(r"\.facts\[(.*?)\]", r".\1", words).removesuffix(".value")
    # the files of part and shop take units as typed; records of materials carry them in the key
    if path.startswith("shop.") and not path.startswith("shop.materials"):
        words = re.sub("_(mm2|mm|mpa|n|kg_m3)$", "", words)
    return Key(file, words, path)


@dataclass(frozen=True, eq=False)
class World:
    """An answer with its inputs: what a family reads to say which keys a number depends on."""

    answer: dict[str, Any]

    @cached_property
    def _found(self) -> dict[tuple[str, ...], tuple[Key, ...]]:
        """Keys found before: many numbers ask for the same."""
        return {}

    @cached_property
    def _meant(self) -> dict[str, tuple[str, ...]]:
        """Paths of `inputs` that a pattern means, found before: many sets share a pattern."""
        return {}

    @cached_property
    def _known(self) -> dict[str, Key]:
        return {}

    @cached_property
    def _order(self) -> dict[str, int]:
        return {p: i for i, p in enumerate(self.inputs)}

    @cached_property
    def names(self) -> dict[int, list[str]]:
        """What `paths.named` worked out before."""
        return {}

    @cached_property
    def inputs(self) -> dict[str, Any]:
        """`inputs` by path; empty for an answer of a version that did not write them."""
        return flat(self.answer.get("inputs", {}))

    def keys(self, patterns: Iterable[str]) -> tuple[Key, ...]:
        """The keys that are there and that the patterns mean, each once."""
        wanted = tuple(dict.fromkeys(patterns))
        if wanted not in self._found:
            paths = {p for pattern in wanted for p in self._paths(pattern)}
            found = (self._key(p) for p in sorted(paths, key=self._order.__getitem__))
            self._found[wanted] = tuple({(k.file, k.key): k for k in found}.values())
        return self._found[wanted]

    def _key(self, path: str) -> Key:
        if path not in self._known:
            self._known[path] = key_of(path, self.inputs[path])
        return self._known[path]

    def _paths(self, pattern: str) -> tuple[str, ...]:
        if "*" not in pattern:
            return (pattern,) if pattern in self.inputs else ()
        if pattern not in self._meant:
            fits = _compiled((pattern,)).fullmatch
            self._meant[pattern] = tuple(p for p in self.inputs if fits(p))
        return self._meant[pattern]

    def edge_path(self, name: str) -> str:
        """Path of a drawn edge in `inputs`, without the dot that follows."""
        end = f".edges[{name}].flange"
        return next((p.removesuffix(".flange") for p in self.inputs if p.endswith(end)), f"part.outer.edges[{name}]")

    def flange_of(self, edge: str) -> str:
        """Name of an edge's flange, "" without one."""
        return str(self.inputs.get(f"{self.edge_path(edge)}.flange") or "")

    def varies(self, edge: str) -> bool:
        """Whether width or angle change along the edge."""
        flange = f"part.flanges[{self.flange_of(edge)}]"
        tables = (self.inputs.get(f"{flange}.{k}") or [] for k in ("width", "bend_angle"))
        return any(len({row[2] for row in t}) > 1 for t in tables)

    @property
    def press(self) -> str:
        """Path of the press in `inputs`."""
        return f"shop.presses[{self.inputs.get('press', '')}]"

    @property
    def method(self) -> str:
        """The blank's method."""
        return str(self.inputs.get("method", ""))
