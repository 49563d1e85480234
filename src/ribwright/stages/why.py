"""Why two answers differ: which numbers changed, and which changed input each is put down to.

Both answers are read as they were kept, with their `inputs`. A number is put down to every changed input that its family
depends on (`stages.explain`): with one, that is the cause; with several, any of them may be; with none, it is said.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

from ribwright.stages.explain import depends_on
from ribwright.stages.explain.causes import World, flat, hits, key_of
from ribwright.stages.explain.paths import SEGMENT, at, is_number, leaves, named, unit_of

BODIES = ("margins", "tolerances", "blank", "block", "solid", "setup", "route", "forecast", "under_pad", "findings")
# points of outlines and of a margin along its edge: compared as curves, not point by point
CURVES = re.compile(r"(.*(?:outline|foot)_mm)\[\d+\]\[\d+\]|(margins\[\d+\]\.stations)\[\d+\]\.\w+")
# steps of a run and what it reads along the sheet: two runs take different ones, so they are not held against each other
STEPS = re.compile(r"under_pad\.(?:path|along)\..*")
SAME = 2e-9  # answers are rounded to 1e-9
# records that a name picks: a change of the name carries all of the record with it
PICKED = (
    ("materials[", ("part.sheet.material", "part.sheet.formed_in")),
    ("radius_table", ("shop.rules.minimum_radius",)),
    ("then_radius_tables", ("shop.rules.then_radius",)),
    ("relief_rule", ("shop.rules.corner_relief",)),
    ("block_materials[", ("shop.block_materials",)),
)


@dataclass(frozen=True)
class Cause:
    """An input that differs. `old` or `new` None: it is there in one answer only. `covers`: its paths in `inputs`."""

    file: str
    key: str
    old: Any
    new: Any
    unit: str
    covers: tuple[str, ...]

    def as_json(self) -> dict[str, Any]:
        """The cause under plain keys."""
        return {"file": self.file, "key": self.key, "old": self.old, "new": self.new, "unit": self.unit}


@dataclass(frozen=True)
class Moved:
    """A number that differs, by name; for a curve `old` and `new` are None and `difference` is how far it moved at most.
    `relative`: difference over the larger of the two. `because`: indexes into the causes."""

    path: str
    old: float | None
    new: float | None
    difference: float
    relative: float
    unit: str
    because: tuple[int, ...]

    def as_json(self) -> dict[str, Any]:
        """The number under plain keys."""
        return {
            "path": self.path,
            "old": self.old,
            "new": self.new,
            "difference": self.difference,
            "relative": self.relative,
            "unit": self.unit,
            "because": list(self.because),
        }


@dataclass(frozen=True)
class Why:
    """The comparison: causes, numbers that moved (largest relative change first), and what is in one answer only.
    `cannot_tell`: sentences on what the two files do not say."""

    causes: tuple[Cause, ...]
    moved: tuple[Moved, ...]
    appeared: tuple[str, ...]
    gone: tuple[str, ...]
    words: tuple[tuple[str, str, str], ...]
    cannot_tell: tuple[str, ...]

    def as_json(self) -> dict[str, Any]:
        """The comparison under plain keys."""
        return {
            "causes": [c.as_json() for c in self.causes],
            "numbers": [m.as_json() for m in self.moved],
            "appeared": list(self.appeared),
            "gone": list(self.gone),
            "words": [{"path": p, "old": a, "new": b} for p, a, b in self.words],
            "cannot_tell": list(self.cannot_tell),
        }


def why(old: dict[str, Any], new: dict[str, Any]) -> Why:
    """Compare two answers as `--json` or a packet wrote them."""
    shared = [b for b in BODIES if b in old and b in new]
    before, after = ({b: a[b] for b in shared} | {"inputs": a.get("inputs", {})} for a in (old, new))
    causes = _causes(before["inputs"], after["inputs"])
    worlds = World(before), World(after)
    a, b = (_numbers(w) for w in worlds)
    moved = [_moved(k, a[k], b[k], worlds, causes) for k in a if k in b and _differ(before, after, a[k], b[k])]
    moved += _curves(worlds, causes)
    return Why(
        causes,
        tuple(sorted(moved, key=lambda m: (-m.relative, m.path))),
        _only(b, a),
        _only(a, b),
        _words(worlds),
        _cannot_tell(old, new, shared),
    )


def _numbers(world: World) -> dict[str, str]:
    """Path by name -> path by index of every number but the points of curves."""
    return {
        named(world.answer, p, world.names): p
        for p, v in leaves({k: v for k, v in world.answer.items() if k != "inputs"})
        if is_number(v) and not CURVES.fullmatch(p) and not STEPS.fullmatch(p)
    }


def _differ(before: dict[str, Any], after: dict[str, Any], a: str, b: str) -> bool:
    x, y = at(before, a), at(after, b)
    return bool(abs(x - y) > SAME * max(1.0, abs(x), abs(y)))


def _moved(name: str, a: str, b: str, worlds: tuple[World, World], causes: tuple[Cause, ...]) -> Moved:
    x, y = at(worlds[0].answer, a), at(worlds[1].answer, b)
    unit = unit_of(worlds[1].answer, b)
    return Moved(name, x, y, y - x, abs(y - x) / max(abs(x), abs(y)), unit, _because(a, b, worlds, causes))


def _because(a: str, b: str, worlds: tuple[World, World], causes: tuple[Cause, ...]) -> tuple[int, ...]:
    """The causes that either answer's number depends on. Another version or build may change any number."""
    patterns = (*depends_on(worlds[0], a), *depends_on(worlds[1], b), "version", "build")
    return tuple(i for i, c in enumerate(causes) if any(hits(patterns, p) for p in c.covers))


def _curves(worlds: tuple[World, World], causes: tuple[Cause, ...]) -> list[Moved]:
    """Outlines, feet, margins along their edges: how far the two curves are apart at most."""
    before, after = (w.answer for w in worlds)
    a, b = (_curve_paths(w) for w in worlds)
    out = []
    for name in (n for n in a if n in b):
        old, new = at(before, a[name]), at(after, b[name])
        along = name.endswith(".stations")
        far = _apart_along(old, new) if along else _apart(old, new)
        if far > (SAME if along else 1e-6):
            size = max(abs(x) for p in new for x in ([p["value"]] if along else p))
            inside = "[0].value" if along else "[0][0]"
            because = _because(f"{a[name]}{inside}", f"{b[name]}{inside}", worlds, causes)
            unit = unit_of(after, f"{b[name]}{inside}") if along else "mm"
            out.append(Moved(name, None, None, far, far / max(size, far), unit, because))
    return out


def _curve_paths(world: World) -> dict[str, str]:
    found = (CURVES.fullmatch(p) for p, _ in leaves({k: v for k, v in world.answer.items() if k != "inputs"}))
    paths = dict.fromkeys(m[1] or m[2] for m in found if m)
    return {named(world.answer, p, world.names): p for p in paths}


def _apart_along(a: list[dict[str, float]], b: list[dict[str, float]]) -> float:
    """Largest difference of a value along an edge, places taken as shares of the list's reach; the stations of two answers
    need not be the same ones."""
    import numpy as np

    rows = [sorted((r["along_mm"], r["value"]) for r in side) for side in (a, b)]
    at_, values = ([np.array([r[i] for r in side]) for side in rows] for i in (0, 1))
    share = [(x - x[0]) / max(x[-1] - x[0], 1e-9) for x in at_]
    both = np.union1d(*share)
    return float(np.max(np.abs(np.interp(both, share[0], values[0]) - np.interp(both, share[1], values[1]))))


def _apart(a: list[list[float]], b: list[list[float]]) -> float:
    """Largest distance between two closed curves [mm]; 0 where one has no three points."""
    import shapely

    if len(a) < 3 or len(b) < 3:
        return 0.0
    return float(shapely.hausdorff_distance(shapely.LinearRing(a), shapely.LinearRing(b)))


def _only(mine: dict[str, str], other: dict[str, str]) -> tuple[str, ...]:
    """What has numbers in one answer only, by the shortest path that says so."""
    known = {q for k in other for q in _prefixes(k)}
    return tuple(dict.fromkeys(next((q for q in _prefixes(k) if q not in known), k) for k in mine if k not in other))


def _prefixes(path: str) -> list[str]:
    """The path cut off after each of its segments."""
    ends = [m.end() for m in SEGMENT.finditer(path)]
    return [path[:e] for e in ends]


def _words(worlds: tuple[World, World]) -> tuple[tuple[str, str, str], ...]:
    """Words of the answer that differ; sentences that only repeat numbers are left out."""
    sides = []
    for world in worlds:
        rows = leaves({k: v for k, v in world.answer.items() if k != "inputs"})
        skip = re.compile(r".*\.(say|try|note|source|model)")
        sides.append(
            {named(world.answer, p, world.names): v for p, v in rows if isinstance(v, str) and not skip.fullmatch(p)}
        )
    a, b = sides
    return tuple((k, a[k], b[k]) for k in a if k in b and a[k] != b[k])


def _cannot_tell(old: dict[str, Any], new: dict[str, Any], shared: list[str]) -> tuple[str, ...]:
    out = []
    names = [f"{a['part']['number']} rev {a['part']['revision']}, hand {a['part']['hand']}" for a in (old, new)]
    if names[0] != names[1]:
        out.append(f"These are answers of different parts: {names[0]} and {names[1]}.")
    for which, a in (("old", old), ("new", new)):
        if "inputs" not in a:
            out.append(
                f"The {which} answer carries no inputs (ribwright {a['ribwright']}): what changed in the files cannot be told."
            )
    for b in BODIES[:-1]:
        if (b in old) != (b in new):
            out.append(f"Only the {'old' if b in old else 'new'} answer tells of {b}: it is not compared.")
    if not shared:
        out.append("The two answers tell of nothing in common.")
    return tuple(out)


# ------------------------------------------------------------ inputs that differ


def _causes(before: dict[str, Any], after: dict[str, Any]) -> tuple[Cause, ...]:
    """Inputs that differ, by the key a person finds; nothing where one answer carries none."""
    if not before or not after:
        return ()
    old, new = flat(before), flat(after)
    changed = [p for p in {**old, **new} if not _equal(old.get(p), new.get(p))]
    roots: dict[str, list[str]] = {}
    for p in changed:
        roots.setdefault(_root(p, old, new), []).append(p)
    return tuple(_merged(_folded(roots), old, new))


def _equal(a: Any, b: Any) -> bool:
    if is_number(a) and is_number(b):
        return bool(abs(a - b) <= SAME * max(1.0, abs(a), abs(b)))
    return bool(a == b)


def _root(path: str, old: dict[str, Any], new: dict[str, Any]) -> str:
    """The item that is there on one side only, or the path itself."""
    if path in old and path in new:
        return path
    other = new if path in old else old
    prefixes = [path[: m.end()] for m in re.finditer(r"\]", path)]
    return next((q for q in prefixes if not any(p.startswith(q) for p in other)), path)


def _folded(roots: dict[str, list[str]]) -> dict[str, list[str]]:
    """Records that a name picked go under the name when that changed."""
    out = {k: list(v) for k, v in roots.items()}
    for start, names in PICKED:
        picker = next((k for n in names for k in out if k.startswith(n)), None)
        for k in [k for k in out if k.startswith(start)] if picker else []:
            out[str(picker)] += out.pop(k)
    return out


def _merged(roots: dict[str, list[str]], old: dict[str, Any], new: dict[str, Any]) -> list[Cause]:
    """One cause for each key of a file: an edge's shape is one, whatever of it changed."""
    out: dict[tuple[str, str], Cause] = {}
    for root, covers in roots.items():
        words = key_of(root, new.get(root, old.get(root)))
        cause = Cause(words.file, words.key, _shown(old, root), _shown(new, root), _unit(root), tuple(covers))
        before = out.get((words.file, words.key))
        if before is not None:
            cause = Cause(words.file, words.key, "as it was", "as it is now", "", (*before.covers, *covers))
        out[words.file, words.key] = cause
    return list(out.values())


def _shown(side: dict[str, Any], root: str) -> Any:
    """A value in short: a table that does not vary by its value, a size given without its name, an item by being there."""
    if root not in side:
        return "there" if any(p.startswith(root) for p in side) else None
    value = side[root]
    if (
        isinstance(value, list)
        and value
        and all(isinstance(r, list) and len(r) == 3 and isinstance(r[0], str) for r in value)
    ):
        values = {r[2] for r in value}
        return values.pop() if len(values) == 1 else [[r[1], r[2]] for r in value]
    if root.endswith(".given") and isinstance(value, list):
        return value[1]
    return value


def _unit(root: str) -> str:
    """Unit of an input, as `inputs` carries it."""
    last = root.rpartition(".")[2].split("[")[0]
    ends = {"mm": "mm", "mm2": "mm2", "mpa": "MPa", "n": "N"}
    angles = ("bend_angle", "slot_angle", "grain", "flange_angle")
    plain = last in ("n", "k_factor", "count", "tables", "kind", "value", "prestrain", "shore_a", "number")
    if root.endswith(".value") and "_mpa" in root:
        return "MPa"
    if last.split("_")[-1] in ends and "_" in last:
        return ends[last.split("_")[-1]]
    if last in angles:
        return "deg"
    return "mm" if root.startswith("part.") and not plain and _is_length(last) else ""


def _is_length(last: str) -> bool:
    lengths = (
        "thickness",
        "width",
        "bend_radius",
        "diameter",
        "pin_fit",
        "slot",
        "given",
        "set_back",
        "gap",
        "trim",
        "at",
        "contour",
        "flange_width",
        "web_flatness",
        "hole_position",
        "hole_diameter",
    )
    return last in lengths
