"""A family of parts from one: its members made, planned, shown in one table, and one pattern of locating pins for all proposed.

Everything is planned before anything is written: members, their tables and the table of the family come onto the disk together, or not.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Protocol, cast

from ribwright.documents.family_screen import table_csv
from ribwright.errors import Fault, InputError
from ribwright.features.family import FamilyTable, Member
from ribwright.features.part import Part
from ribwright.ports import Files, Keeper
from ribwright.stages import answers
from ribwright.stages.family_pins import CommonPins, common_pins, judged
from ribwright.stages.family_row import family_row
from ribwright.stages.finding import has_stop
from ribwright.stages.plan import Plan
from ribwright.version import __version__
from ribwright.work.asking import Progress, Request, plan_of, silent
from ribwright.work.targets import check_folder

ENDING = ".family.csv"
TABLE = "family-table.csv"


class FamilyFiles(Files, Protocol):
    """Besides the files of a plan: the table of a family, and its members made from the part at a path."""

    def family(self, path: Path) -> FamilyTable: ...
    def family_members(self, table: FamilyTable, base: Path) -> tuple[Member, ...]: ...


@dataclass(frozen=True, eq=False)
class FamilyMade:
    """The answer, exit status (1 where a member is stopped), the unit the shop reads first, what was written."""

    json: dict[str, Any]
    status: int
    first: str
    written: tuple[Path, ...]


class _Held:
    """Files of a plan of which some parts are on no disk yet."""

    def __init__(self, files: Files, parts: dict[Path, Part]):
        self._files, self._parts = files, parts

    def part(self, path: Path) -> Part:
        return self._parts[path] if path in self._parts else self._files.part(path)

    def __getattr__(self, name: str) -> Any:
        return getattr(self._files, name)


def default_folder(path: Path) -> Path:
    """NAME-family beside NAME.family.csv."""
    return path.with_name(path.name.removesuffix(".csv").removesuffix(".family") + "-family")


def family(
    files: FamilyFiles, path: Path, request: Request, out: Path, keeper: Keeper, say: Progress = silent
) -> FamilyMade:
    """The family of the table at `path`; `request` says shop, press, method and model for all, its part is not looked at. InputError where
    table or base is wrong, or where another file stands where a member is to go."""
    check_folder(out, keeper)
    table = files.family(path)
    base = path.parent / table.base.replace("\\", "/")
    members = files.family_members(table, base)
    made = _texts(members, out)
    _check_free(made, base)
    shop = request.shop or files.nearest_shop(base)
    held = cast(Files, _Held(files, {out / m.name: m.part for m in members}))
    plans: list[Plan] = []
    rows: list[dict[str, Any]] = []
    for i, part in enumerate([base, *(out / m.name for m in members)]):
        say(f"planning {i + 1} of {len(members) + 1}")
        plan, identity = plan_of(held, replace(request, part=part, shop=shop), say)
        plans.append(plan)
        whose = {"base": i == 0, "file": part.name, "changes": dict(members[i - 1].cells) if i else {}}
        rows.append(
            {**whose, **family_row(plan, identity.fingerprint), "findings": [f.as_json() for f in plan.findings]}
        )
    say("looking for pins that all take")
    pins = judged(common_pins(plans), plans)
    told: dict[str, Any] = answers.tidy(
        {"file": path.name, "base": base.name, "members": rows, "pins": pins_answer(pins)}
    )
    first = identity.first
    made[out / TABLE] = table_csv(told, first).encode()
    keeper.keep(made)
    status = 1 if any(has_stop(p.findings) for p in plans) else 0
    return FamilyMade({"ribwright": __version__, "family": told}, status, first, tuple(sorted(made)))


def pins_answer(common: CommonPins) -> dict[str, Any]:
    """The proposal of common pins."""
    p = common.pattern
    return {
        "outcome": "none" if p is None else "all" if common.all else "some",
        "drawn_on": p.source if p else None,
        "drawn_nearer": p.share if p else None,
        "holes": [
            {
                "name": h.name,
                "diameter_mm": h.diameter,
                "pin_fit_mm": h.pin_fit,
                "slot_mm": h.slot,
                "from_first_mm": list(d),
            }
            for h, d in zip(p.holes, p.offsets, strict=True)
        ]
        if p
        else [],
        "parts": [
            {
                "number": t.number,
                "takes": t.first is not None,
                "as_drawn": t.as_drawn,
                "first_at_mm": None if t.first is None else list(t.first),
                "why": t.why or None,
                "look": t.look or None,
            }
            for t in common.parts
        ],
    }


def _texts(members: tuple[Member, ...], out: Path) -> dict[Path, bytes]:
    made = {out / m.name: m.text.encode() for m in members}
    return made | {out / name: content for m in members for name, content in m.tables.items()}


def _check_free(made: dict[Path, bytes], base: Path) -> None:
    """InputError for every file that is there with another content: somebody may have filled it in, or it is drawn by itself."""
    taken = [p for p, content in made.items() if p.exists() and (not p.is_file() or p.read_bytes() != content)]
    if taken:
        allowed = "another folder with --out, or that file moved away: what stands in it would be lost"
        raise InputError(
            [Fault("command line", "--out", f"{str(p)!r}, which is there with another content", allowed) for p in taken]
        )
