"""Drafts: a part as it is being written, with its way back and forth, until it is saved into its file.

A draft remembers the text, a number that rises with every change, what the file held when they were last equal, and its steps. A step is
the one stretch of text that differs: where it begins, what stood there, what stands there now.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass, replace
from hashlib import sha256
from typing import Any

from ribwright.errors import Clash, Fault, InputError, Missing
from ribwright.ports import PartTexts, Shelf
from ribwright.work.shelves import PART_END, shop_of, take_names, told
from ribwright.work.texts import as_text_of

MOST_STEPS, MOST_STEP_BYTES = 500, 8_000_000
LONGEST_TEXT = 2_000_000
Step = tuple[int, str, str]
STARTER = """units = "{units}"

[part]
number = "{number}"
revision = "-"
title = ""
hand = "none"

[sheet]
material = ""
thickness = {thickness}

[web]
line = "outside-mold-line"
start = [0.0, 0.0]
"""


class Stale(Exception):
    """The draft is not what the change was meant for; `view` is what it is now."""

    def __init__(self, view: dict[str, Any]):
        super().__init__("the draft has been changed meanwhile")
        self.view = view


@dataclass(frozen=True)
class Draft:
    """A draft as it stands. `base`: digest of the file when text and file were last equal; `count` rises with every change."""

    text: str
    count: int
    base: str
    undo: tuple[Step, ...] = ()
    redo: tuple[Step, ...] = ()

    @property
    def revision(self) -> str:
        """Names this state: no other text of this part has it."""
        return f"{self.count}-{digest(self.text)[:8]}"

    def changed(self, text: str) -> Draft:
        """With another text; the step can be undone, what had been undone is gone."""
        if text == self.text:
            return self
        undo = _last_steps((*self.undo, step(self.text, text)))
        return replace(self, text=text, count=self.count + 1, undo=undo, redo=())

    def undone(self) -> Draft:
        """One step back."""
        *rest, (at, was, now) = self.undo
        text = self.text[:at] + was + self.text[at + len(now) :]
        return replace(self, text=text, count=self.count + 1, undo=tuple(rest), redo=(*self.redo, (at, was, now)))

    def redone(self) -> Draft:
        """The step that was last undone, again."""
        *rest, (at, was, now) = self.redo
        text = self.text[:at] + now + self.text[at + len(was) :]
        return replace(self, text=text, count=self.count + 1, redo=tuple(rest), undo=(*self.undo, (at, was, now)))


def digest(text: str) -> str:
    """A text's name."""
    return sha256(text.encode("utf-8", "surrogatepass")).hexdigest()


def step(old: str, new: str) -> Step:
    """The stretch that differs between two texts."""
    most = min(len(old), len(new))
    head = _same(lambda n: old[:n] == new[:n], most)
    tail = _same(lambda n: n == 0 or old[-n:] == new[-n:], most - head)
    return head, old[head : len(old) - tail], new[head : len(new) - tail]


def _last_steps(steps: tuple[Step, ...]) -> tuple[Step, ...]:
    """The last of them that there is room for, by their number and by their text; the very last always."""
    room, first = MOST_STEP_BYTES, len(steps)
    while first > max(len(steps) - MOST_STEPS, 0):
        room -= sum(len(t.encode("utf-8", "surrogatepass")) for t in steps[first - 1][1:])
        if room < 0 and first < len(steps):
            break
        first -= 1
    return steps[first:]


def _same(alike: Callable[[int], bool], most: int) -> int:
    """The longest length at which two texts are alike; shorter ones are alike too."""
    low, high = 0, most
    while low < high:
        middle = (low + high + 1) // 2
        low, high = (middle, high) if alike(middle) else (low, middle - 1)
    return low


class Drafts:
    """The drafts of a data folder; one change of a part at a time."""

    def __init__(self, shelf: Shelf, texts: PartTexts):
        self.shelf, self.texts = shelf, texts
        self._locks: dict[tuple[str, str], threading.RLock] = {}
        self._lock = threading.Lock()

    def view(self, shop: str, part: str) -> dict[str, Any]:
        """What the page shows of a draft."""
        return self._view(shop, part, self._read(shop, part))

    def text(self, shop: str, part: str) -> str:
        """The draft's text, which is what jobs compute."""
        return self._read(shop, part).text

    def new(
        self, shop: str, part: str, text: str | None, units: str, number: str, tables: dict[str, bytes] | None = None
    ) -> dict[str, Any]:
        """A new part in a file of its own: the text given, or one to begin with. `tables`: files of ordinates that it names, written with
        it, all or none. Clash where a name is taken."""
        file = part + PART_END
        taken = Fault("the shop", "part", f"{part!r}, which is there already", "a name of its own")
        if self.shelf.has(shop, file):
            raise Clash([taken])
        if text is None:
            units = units or shop_of(self.shelf, self.texts, shop)[0].units or "mm"
            if units not in ("in", "mm"):
                raise InputError([Fault("the part", "units", repr(units), "in or mm")])
            said = {"number": _toml(number or part), "units": units, "thickness": "0.032" if units == "in" else "0.8"}
            text = STARTER.format(**said)
        with self._held(shop, part):
            try:
                self.shelf.write_new(shop, {**(tables or {}), file: _bytes(text)})
            except Clash:
                if tables:
                    raise
                raise Clash([taken]) from None
            self.shelf.keep_draft(shop, part, None)
            return self.view(shop, part)

    def edit(self, shop: str, part: str, revision: str, ops: list[dict[str, Any]]) -> dict[str, Any]:
        """The draft with the edits done, all or none; first among its notes, this once, what they left as it was."""
        said: list[str] = []

        def change(d: Draft) -> Draft:
            text, notes = self.texts.edited(d.text, ops, part + PART_END)
            said.extend(notes)
            return d.changed(_bounded(text))

        view = self._change(shop, part, revision, change)
        return view | {"notes": [*said, *view["notes"]]}

    def write(self, shop: str, part: str, revision: str, text: str) -> dict[str, Any]:
        """The draft with another text."""
        return self._change(shop, part, revision, lambda d: d.changed(_bounded(text)))

    def undo(self, shop: str, part: str, revision: str) -> dict[str, Any]:
        """One step back; at the beginning nothing happens."""
        return self._change(shop, part, revision, lambda d: d.undone() if d.undo else d)

    def redo(self, shop: str, part: str, revision: str) -> dict[str, Any]:
        """One step forth again; at the end nothing happens."""
        return self._change(shop, part, revision, lambda d: d.redone() if d.redo else d)

    def drop(self, shop: str, part: str, revision: str) -> dict[str, Any]:
        """Back to what the file says. That is a step too, and can be undone."""

        def to_file(d: Draft) -> Draft:
            disk = self._disk(shop, part)
            return replace(d.changed(disk), base=digest(disk))

        return self._change(shop, part, revision, to_file)

    def save(self, shop: str, part: str, revision: str, over: bool = False) -> dict[str, Any]:
        """The draft into its file. Stale where somebody changed the file since, unless `over`."""
        with self._held(shop, part):
            d = self._expected(shop, part, revision)
            disk = self._disk(shop, part)
            if digest(disk) not in (d.base, digest(d.text)) and not over:
                raise Stale(self._view(shop, part, d))
            self.shelf.write(shop, part + PART_END, _bytes(d.text))
            d = replace(d, base=digest(d.text))
            self._keep(shop, part, d)
            return self._view(shop, part, d)

    # ------------------------------------------------------------ within

    def _change(self, shop: str, part: str, revision: str, change: Callable[[Draft], Draft]) -> dict[str, Any]:
        with self._held(shop, part):
            before = self._expected(shop, part, revision)
            after = change(before)
            if after != before:
                self._keep(shop, part, after)
            return self._view(shop, part, after)

    def _expected(self, shop: str, part: str, revision: str) -> Draft:
        d = self._read(shop, part)
        if revision != d.revision:
            raise Stale(self._view(shop, part, d))
        return d

    def _held(self, shop: str, part: str) -> threading.RLock:
        with self._lock:
            return self._locks.setdefault((shop.casefold(), part.casefold()), threading.RLock())

    def _disk(self, shop: str, part: str) -> str:
        try:
            return as_text_of(self.shelf.read(shop, part + PART_END), part + PART_END)
        except Missing:
            # a draft may outlive its file: it is saved again
            if self.shelf.draft(shop, part) is None:
                raise
            return ""

    def _read(self, shop: str, part: str) -> Draft:
        """The draft kept, or the file as one without steps. A kept draft that changed nothing follows its file."""
        disk, kept = self._disk(shop, part), self.shelf.draft(shop, part)
        fresh = Draft(disk, 0, digest(disk))
        if kept is None:
            return fresh
        try:
            steps = [tuple((int(a), str(w), str(n)) for a, w, n in kept[k]) for k in ("undo", "redo")]
            d = Draft(str(kept["text"]), int(kept["count"]), str(kept["base"]), *steps)
        except (KeyError, TypeError, ValueError):
            return fresh
        if digest(d.text) == d.base and d.text != disk:
            d = replace(d.changed(disk), base=digest(disk))
        return d

    def _keep(self, shop: str, part: str, d: Draft) -> None:
        kept = {"text": d.text, "count": d.count, "base": d.base, "undo": d.undo, "redo": d.redo}
        self.shelf.keep_draft(shop, part, kept)

    def _view(self, shop: str, part: str, d: Draft) -> dict[str, Any]:
        disk = self._disk(shop, part)
        file, folder = part + PART_END, self.shelf.folder(shop)
        found = self.texts.sketched(d.text, file, folder)
        faults = list(found.faults)
        known, wrong = shop_of(self.shelf, self.texts, shop)
        faults += [told(f) | {"line": None} for f in wrong]
        if found.part is not None and not wrong:
            files = self.texts.files(d.text, folder)
            faults += self.texts.said(take_names(files, found.part, known, file), d.text, file)
        return {
            "shop": shop,
            "part": part,
            "text": d.text,
            "revision": d.revision,
            "beside": self.shelf.beside(shop),
            "saved": d.text == disk,
            "file_changed": digest(disk) not in (d.base, digest(d.text)),
            "can_undo": bool(d.undo),
            "can_redo": bool(d.redo),
            "faults": faults,
            "notes": found.notes,
            "sketch": found.sketch,
        }


def _bounded(text: str) -> str:
    if len(text) > LONGEST_TEXT:
        raise InputError([Fault("the draft", "text", f"{len(text)} letters", f"at most {LONGEST_TEXT}")])
    _bytes(text)
    return text


def _bytes(text: str) -> bytes:
    try:
        return text.encode()
    except UnicodeEncodeError:
        raise InputError(
            [Fault("the draft", "text", "half a letter (a lone surrogate)", "text that is UTF-8")]
        ) from None


def _toml(word: str) -> str:
    """The word within a basic string."""
    return "".join(c if c.isprintable() and c not in '"\\' else "-" for c in word)
