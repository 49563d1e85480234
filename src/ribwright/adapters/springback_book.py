"""springback.jsonl, the springback book beside shop.toml: one JSON object a line, and lines are only ever added.

An observation has the keys of KEYS, with what was forecast under `foretold`; a line {"withdraw": ID, "by": ..., "why": ...} takes one out
of the reckoning. Every line says the version of its form; words are one line of plain text. The reader tells every fault with its line; a
last line without its end is a write that was cut off, and is told as one. Nothing is added that could not be read again. Adding holds a
lock on the file from the reading of what is there to the last byte, so that two who add at once both keep theirs; what a failed write left
is taken back.
"""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import asdict, dataclass, replace
from datetime import date as day
from hashlib import sha256
from io import FileIO
from pathlib import Path
from typing import Any

from ribwright.adapters.plain_words import ONE_LINE, one_line
from ribwright.adapters.toml_text import LONGEST, read_text
from ribwright.errors import Clash, Fault, InputError, capped, nearest
from ribwright.shop.springback_book import FAMILIES, Book, Foretold, Observation, Withdrawn

NAME = "springback.jsonl"
KIND = "a springback book"
FORM = 1
MOST_TOLD, LONGEST_WORD = 20, 200
ID_DIGITS = 12


@dataclass(frozen=True)
class Key:
    """One key of a line: the field it fills, its kind ("word", "number", "count", "yes-no", "day", "triple"), limits of a number;
    `empty` whether it may be "" or null."""

    field: str
    kind: str = "number"
    low: float = 0.0
    high: float = 1e4
    empty: bool = False


def _word(field: str, empty: bool = True) -> Key:
    return Key(field, "word", empty=empty)


KEYS = {
    "part": _word("part", False), "revision": _word("revision"), "hand": _word("hand"), "serial": _word("serial", False),
    "lot": _word("lot"), "material": _word("material", False), "thickness_mm": Key("thickness", low=1e-3, high=50.0),
    "place": _word("place", False), "hole": Key("hole", "yes-no"), "along_mm": Key("along", low=-1e5, high=1e5),
    "radius_mm": Key("radius", high=500.0), "angle_deg": Key("angle", low=1.0, high=179.0),
    "curvature_per_mm": Key("curvature", low=-10.0, high=10.0), "press": _word("press"),
    "pressure_mpa": Key("pressure", high=1e3, empty=True), "pad_shore_a": Key("pad_shore", high=100.0, empty=True),
    "pad_thickness_mm": Key("pad_thickness", high=1e4, empty=True), "block": _word("block"),
    "undercut_deg": Key("undercut", low=-45.0, high=90.0), "measured_deg": Key("measured", low=-90.0, high=200.0),
    "u_deg": Key("u", low=1e-6, high=45.0), "gauge": _word("gauge"), "readings": Key("readings", "count", 1, 1e7),
    "date": Key("date", "day"), "by": _word("by"),
}  # fmt: skip
_ANGLE = (-180.0, 360.0)
FORETOLD = {
    "value_deg": Key("value", "number", *_ANGLE), "low_deg": Key("low", "number", *_ANGLE),
    "high_deg": Key("high", "number", *_ANGLE), "springback_deg": Key("springback", "number", -90.0, 180.0),
    "sd_model_deg": Key("sd_model", high=90.0), "sd_piece_deg": Key("sd_piece", high=90.0),
    "sd_tooling_deg": Key("sd_tooling", high=90.0), "family": Key("family", "family"), "model": _word("model"),
    "told_deg": Key("told", "triple", *_ANGLE), "corrected_by_pieces": Key("corrected_by", "count", 0, 1e7),
    "fingerprint": _word("fingerprint"), "ribwright": _word("version"),
}  # fmt: skip
WITHDRAWN = {
    "withdraw": _word("id", False), "by": _word("by", False), "why": _word("why", False),
    "date": Key("date", "day", empty=True),
}  # fmt: skip
HEAD = ("springback_book", "id", "foretold")


def read_book(path: Path, name: str = "") -> Book:
    """The book in a file; an empty one where there is no such file. InputError with every fault and its line."""
    if not path.exists() and not path.is_symlink():
        return Book(file=name or str(path))
    return parse_book(read_text(path, KIND), name or str(path))


def parse_book(text: str, file: str) -> Book:
    """The same from the text itself."""
    faults: list[Fault] = []
    seen: dict[str, int] = {}
    rows, out = list[Observation](), list[Withdrawn]()
    for n, line, whole in _lines(text):
        if not whole:
            allowed = "a whole line: this write was cut off, and nothing of it counts; delete what is left of it"
            faults.append(Fault(file, f"line {n}, the last one", repr(line[:60]), allowed))
            continue
        item = _object(line, f"line {n}", file, faults)
        if item is None:
            continue
        before = len(faults)
        if "withdraw" in item:
            w = _withdrawn(item, f"line {n}", file, faults)
            if w is not None and w.id not in seen:
                faults.append(
                    Fault(file, f"line {n}, withdraw", repr(w.id), "the id of an observation of a line above")
                )
            elif w is not None:
                out.append(w)
            continue
        o = _observation(item, f"line {n}", file, faults)
        if o is None or len(faults) > before:
            continue
        if o.id in seen:
            faults.append(Fault(file, f"line {n}, id", repr(o.id), f"an id of its own; line {seen[o.id]} has it"))
            continue
        seen[o.id] = n
        rows.append(o)
    if faults:
        raise InputError(capped(faults, MOST_TOLD))
    return Book(tuple(rows), tuple(out), file)


def append(path: Path, new: tuple[Observation, ...], name: str = "") -> tuple[Observation, ...]:
    """The observations at the end of the book, all of them or none, under the ids they are returned with.

    Clash where one is in the book already (piece, place and day are the same); InputError where the book cannot be read."""
    named: tuple[Observation, ...] = ()

    def lines(book: Book) -> list[str]:
        nonlocal named
        if again := book.twice(new):
            allowed = "a measurement that the book has not; one that was wrong is withdrawn first (ribwright learn --withdraw ID)"
            raise Clash(
                [Fault(name or str(path), _called(o), f"kept already, measured on {o.date}", allowed) for o in again]
            )
        taken = {o.id for o in book.observations}
        named = tuple(replace(o, id=id_of(o, taken)) for o in new)
        faults = list[Fault]()
        for o in named:
            _observation(_body(o), _called(o), book.file, faults)
        if faults:
            raise InputError(capped(faults, MOST_TOLD))
        return [observation_line(o) for o in named]

    _add(path, name, lines)
    return named


def withdraw(path: Path, w: Withdrawn, name: str = "") -> None:
    """A line that takes an observation out. InputError where no standing observation has that id."""

    def lines(book: Book) -> list[str]:
        if w.id not in {o.id for o in book.standing}:
            ids = [o.id for o in book.standing]
            gone = next((x for x in reversed(book.withdrawn) if x.id == w.id), None)
            found = repr(w.id) if gone is None else f"{w.id}, withdrawn already by {gone.by} ({gone.why})"
            raise InputError(
                [
                    Fault(
                        book.file,
                        "withdraw",
                        found,
                        "the id of an observation that stands in it",
                        "" if gone else nearest(w.id, ids),
                    )
                ]
            )
        said = {"springback_book": FORM, **{key: getattr(w, k.field) for key, k in WITHDRAWN.items()}}
        faults = list[Fault]()
        _withdrawn(said, f"withdraw {w.id}", book.file, faults)
        if faults:
            raise InputError(faults)
        return [json.dumps(said, ensure_ascii=False)]

    _add(path, name, lines)


def id_of(o: Observation, taken: set[str] | frozenset[str] = frozenset()) -> str:
    """Digits of what the observation says; others where they are `taken`: one that was withdrawn may be kept again."""
    said = json.dumps(asdict(replace(o, id="")), sort_keys=True, ensure_ascii=False)
    found = sha256(said.encode(errors="backslashreplace")).hexdigest()[:ID_DIGITS]
    while found in taken:
        found = sha256((said + found).encode(errors="backslashreplace")).hexdigest()[:ID_DIGITS]
    return found


def observation_line(o: Observation) -> str:
    """An observation as its line, without the end of the line."""
    return json.dumps(_body(o), ensure_ascii=False, allow_nan=False)


def _body(o: Observation) -> dict[str, Any]:
    """What the line holds."""
    body: dict[str, Any] = {"springback_book": FORM, "id": o.id}
    body |= {key: getattr(o, k.field) for key, k in KEYS.items()}
    told = {key: getattr(o.foretold, k.field) for key, k in FORETOLD.items()}
    return body | {"foretold": told | {"told_deg": list(o.foretold.told)}}


def _called(o: Observation) -> str:
    where = f"hole {o.place}" if o.hole else f"edge {o.place} at {o.along:.1f} mm"
    return f"{o.part} {o.serial}, {where}"


# ---------------------------------------------------------------- adding


def _add(path: Path, name: str, lines: Callable[[Book], list[str]]) -> None:
    """Adds what `lines` says of the book as it stands, read and written under one lock."""
    lines(read_book(path, name))  # what is refused now leaves no file behind
    # unbuffered: a buffer whose write failed is written once more when the file is closed, behind what was taken back
    with path.open("a+b", buffering=0) as file, _locked(file):
        file.seek(0)
        raw = file.readall()
        size = len(raw)
        try:
            text = raw.decode("utf-8")
        except UnicodeDecodeError:
            read_book(path, name)  # says where
            raise
        text = text.removeprefix("\ufeff")  # as the reader of texts does
        added = "".join(line + "\n" for line in lines(parse_book(text, name or str(path))))
        if size + len(added.encode()) > LONGEST:
            found = f"{size / 1e6:.0f} MB, and {len(added.encode())} bytes to come"
            raise InputError(
                [
                    Fault(
                        name or str(path),
                        "the file",
                        found,
                        f"at most {LONGEST / 1e6:.0f} MB, which is what can be read",
                    )
                ]
            )
        try:
            left = memoryview(added.encode())
            while left:
                left = left[file.write(left) :]
            os.fsync(file.fileno())
        except BaseException as broken:
            with suppress(OSError):
                file.truncate(size)
            if isinstance(broken, OSError):  # one of a write has no name of its own
                raise OSError(broken.errno, broken.strerror, str(path)) from None
            raise


@contextmanager
def _locked(file: FileIO) -> Iterator[None]:
    """Holds the file against every other process that asks for it; waits for its turn. The two systems have a module each for this."""
    if os.name == "nt":
        import msvcrt

        locking: Any = msvcrt
        file.seek(0)
        locking.locking(file.fileno(), locking.LK_LOCK, 1)
        try:
            yield
        finally:
            file.seek(0)
            locking.locking(file.fileno(), locking.LK_UNLCK, 1)
    else:
        import fcntl

        fcntl.flock(file.fileno(), fcntl.LOCK_EX)
        try:
            yield
        finally:
            fcntl.flock(file.fileno(), fcntl.LOCK_UN)


# ---------------------------------------------------------------- reading a line


def _lines(text: str) -> Iterator[tuple[int, str, bool]]:
    """(number, line, whether it has its end) of every line that is not empty. Only the line feed ends one: words may hold others."""
    rows = text.split("\n")
    for n, line in enumerate(rows, 1):
        if line.strip():
            yield n, line.strip(), n < len(rows)


def _object(line: str, at: str, file: str, faults: list[Fault]) -> dict[str, Any] | None:
    def refuse(word: str) -> float:
        raise ValueError(f"the number {word}")

    def once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        said: dict[str, Any] = {}
        for key, value in pairs:
            if key in said:
                raise ValueError(f"the key {key[:40]!r} twice")
            said[key] = value
        return said

    try:
        item = json.loads(line, parse_constant=refuse, object_pairs_hook=once)
    except (ValueError, RecursionError) as broken:
        faults.append(Fault(file, at, f"no JSON ({broken})"[:120], "one JSON object a line"))
        return None
    if not isinstance(item, dict):
        faults.append(Fault(file, at, f"a JSON {type(item).__name__}", "one JSON object a line"))
        return None
    if item.get("springback_book") != FORM or isinstance(item["springback_book"], bool):
        found = repr(item.get("springback_book", "nothing"))[:40]
        faults.append(
            Fault(file, f"{at}, springback_book", found, f"{FORM}, the form of a line that this version reads")
        )
        return None
    return item


def _observation(item: dict[str, Any], at: str, file: str, faults: list[Fault]) -> Observation | None:
    _unknown(item, (*HEAD, *KEYS), at, file, faults)
    before = len(faults)
    own = _read(item, KEYS | {"id": _word("id", False)}, at, file, faults)
    told = item.get("foretold")
    if not isinstance(told, dict):
        faults.append(
            Fault(
                file, f"{at}, foretold", "nothing" if told is None else repr(told)[:40], "an object: what was forecast"
            )
        )
        return None
    _unknown(told, tuple(FORETOLD), f"{at}, foretold", file, faults)
    forecast = _read(told, FORETOLD, f"{at}, foretold", file, faults)
    return None if len(faults) > before else Observation(**own, foretold=Foretold(**forecast))


def _withdrawn(item: dict[str, Any], at: str, file: str, faults: list[Fault]) -> Withdrawn | None:
    _unknown(item, ("springback_book", *WITHDRAWN), at, file, faults)
    before = len(faults)
    own = _read({"date": "", **item}, WITHDRAWN, at, file, faults)
    return None if len(faults) > before else Withdrawn(**own)


def _unknown(item: dict[str, Any], keys: tuple[str, ...], at: str, file: str, faults: list[Fault]) -> None:
    unknown = [key for key in item if key not in keys]
    faults += [
        Fault(
            file,
            f"{at}, {key}"[:120],
            "an unknown key",
            "the keys of docs/SPRINGBACK_BOOK.md",
            nearest(key[:LONGEST_WORD], keys),
        )
        for key in unknown[:MOST_TOLD]
    ]


def _read(item: dict[str, Any], keys: dict[str, Key], at: str, file: str, faults: list[Fault]) -> dict[str, Any]:
    """Field -> value for every key that can be read."""
    out: dict[str, Any] = {}
    for key, k in keys.items():
        value = item.get(key, item)  # nothing is called by the item itself
        good, allowed = _fits(value, k)
        if good:
            out[k.field] = tuple(value) if k.kind == "triple" else value
        else:
            found = "nothing" if value is item else repr(value)[:60]
            faults.append(Fault(file, f"{at}, {key}", found, allowed))
    return out


def _fits(value: Any, k: Key) -> tuple[bool, str]:
    """(whether a value is what the key holds, what that is in words)."""
    if k.kind == "word":
        least = 0 if k.empty else 1
        good = isinstance(value, str) and least <= len(value) <= LONGEST_WORD and one_line(value)
        return good, f"{least} to {LONGEST_WORD} characters {ONE_LINE}"
    if k.kind == "yes-no":
        return isinstance(value, bool), "true or false"
    if k.kind == "family":
        return isinstance(value, str) and value in FAMILIES, "one of " + ", ".join(FAMILIES)
    if k.kind == "day":
        return isinstance(value, str) and (_is_day(value) or (k.empty and not value)), "a day like 2031-03-12"
    if k.kind == "triple":
        three = isinstance(value, list) and len(value) == 3 and all(_number(x, k) for x in value)
        return bool(three and value[1] <= value[0] <= value[2]), "three numbers: value, low, high"
    if k.kind == "count":
        return _number(value, k) and isinstance(value, int), f"a whole number, {k.low:g} to {k.high:g}"
    empty = " or null" if k.empty else ""
    return _number(value, k) or (k.empty and value is None), f"a number, {k.low:g} to {k.high:g}{empty}"


def _number(value: Any, k: Key) -> bool:
    # no NaN or infinity lies within limits; a whole number of any length can be held against them
    return isinstance(value, int | float) and not isinstance(value, bool) and k.low <= value <= k.high


def _is_day(text: str) -> bool:
    try:
        return day.fromisoformat(text).isoformat() == text
    except ValueError:
        return False
