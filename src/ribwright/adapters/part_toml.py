"""The part file (`NAME.part.toml`, see docs/PART_FILE.md) read into a `Part`, or refused with every fault at once."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from ribwright.adapters import part_checks as checks
from ribwright.adapters import part_details as details
from ribwright.adapters import part_features as features
from ribwright.adapters.part_joggles import check_joggles
from ribwright.adapters.part_loops import DrawnLoop, read_loop, turned_loop
from ribwright.adapters.reading import MOST_FAULTS, Notebook, Reader
from ribwright.adapters.toml_text import parse_toml, read_text
from ribwright.errors import Fault, InputError, capped
from ribwright.features.part import (
    Approval,
    Bead,
    Corner,
    Flange,
    Flute,
    Hole,
    Joggle,
    Notch,
    Part,
    Rivets,
    SheetCall,
)

LINES = ("outside-mold-line", "inside-mold-line", "bend-tangent-line")
HANDS = ("left", "right", "none")
UNDERCUTS = ("varying", "constant-per-edge", "none")
DETAILS = ("notch", "flute", "joggle", "bead")
THINNEST_MM, THICKEST_MM = 0.1, 12.0


def read_part(path: Path) -> Part:
    """The part of a file. InputError with all faults when it is missing, unreadable or wrong."""
    path = Path(path)
    return parse_part(read_text(path, "a part file"), str(path), path.parent)


def parse_part(text: str, file: str = "the part", base: Path | None = None) -> Part:
    """The part of a text. `file` names it in the faults; ordinate files are sought beside `base`.

    Raises
    ------
    InputError
        With every fault of the text, each with its key and what is allowed there.
    """
    draft, book = drafted(parse_toml(text, file, "a part file"), file, base)
    if book.faults:
        raise InputError(capped(book.faults, MOST_FAULTS))
    return part_of(draft, book)


def drafted(table: dict[str, Any], file: str, base: Path | None) -> tuple[Draft, Notebook]:
    """What could be read of the tables, and the notebook with every fault: for those who show a part that is not right yet."""
    top = Reader(Notebook(file), table)
    _read_units(top)
    draft = _read_tables(top, base)
    top.unknown_keys(features.REFUSED)
    _check(draft, top)
    return draft, top.book


def part_faults(text: str, file: str) -> list[Fault]:
    """What `parse_part` would find wrong with a text that has no files beside it."""
    try:
        parse_part(text, file)
    except InputError as wrong:
        return list(wrong.faults)
    return []


@dataclass
class Draft:
    """What the tables say, each read by itself; what has a fault is nan, "" or missing."""

    head: dict[str, str] = field(default_factory=dict)
    approval: Approval = field(default_factory=Approval)
    sheet: SheetCall | None = None
    line: str = LINES[0]
    loops: list[DrawnLoop] = field(default_factory=list)
    flanges: dict[str, Flange] = field(default_factory=dict)
    corners: list[tuple[str, Corner]] = field(default_factory=list)
    holes: list[tuple[str, Hole]] = field(default_factory=list)
    rivets: list[tuple[str, Rivets]] = field(default_factory=list)
    tolerance: features.Tolerances = field(default_factory=dict)
    notches: list[tuple[str, Notch]] = field(default_factory=list)
    flutes: list[tuple[str, Flute]] = field(default_factory=list)
    joggles: list[tuple[str, Joggle]] = field(default_factory=list)
    beads: list[tuple[str, Bead]] = field(default_factory=list)
    undercut: str = UNDERCUTS[0]
    trim: float = 0.0
    side_up: str = ""
    notes: list[str] = field(default_factory=list)


def _read_units(top: Reader) -> None:
    word = top.choice("units", ("in", "mm"))
    # without its unit no bare length can be judged: the rest is read for its form only
    if top.table.get("units") == word:
        top.book.units = "in" if word == "in" else "mm"


def _read_tables(top: Reader, base: Path | None) -> Draft:
    draft = Draft()
    tolerance = draft.tolerance
    _read_part_table(top, draft)
    _read_approval(top, draft)
    _read_sheet(top, draft)
    _read_loops(top, base, draft)
    draft.flanges = {n: features.read_flange(r, n, tolerance) for n, r in top.named("flange").items()}
    draft.corners = [(r.path, features.read_corner(r, tolerance)) for r in top.tables("corner")]
    draft.holes = [(r.path, features.read_hole(r, tolerance)) for r in top.tables("hole")]
    draft.rivets = [(r.path, features.read_rivets(r, tolerance)) for r in top.tables("rivets")]
    if (table := top.table_at("tolerance")) is not None:
        tolerance.update(features.read_tolerances(table))
    draft.notches = [(r.path, details.read_notch(r, tolerance)) for r in top.tables("notch")]
    draft.flutes = [(r.path, details.read_flute(r, tolerance)) for r in top.tables("flute")]
    draft.joggles = [(r.path, details.read_joggle(r, tolerance)) for r in top.tables("joggle")]
    draft.beads = [(r.path, details.read_bead(r, tolerance)) for r in top.tables("bead")]
    _read_blank_and_block(top, draft)
    return draft


def _read_part_table(top: Reader, draft: Draft) -> None:
    table = top.table_at("part", required=True)
    if table is None:
        return
    draft.head = {
        "number": table.text("number"),
        "revision": table.text("revision"),
        "title": table.text("title", ""),
        "hand": table.choice("hand", HANDS, "none"),
        "opposite": table.text("opposite", ""),
    }
    if draft.head["opposite"] and draft.head["opposite"] == draft.head["number"]:
        table.fault("opposite", f'"{draft.head["opposite"]}", the number of this part', "a number of its own")
    table.unknown_keys()


def _read_approval(top: Reader, draft: Draft) -> None:
    table = top.table_at("approval")
    if table is not None:
        draft.approval = Approval(table.text("data", ""), table.text("by", ""), table.date("date", ""))
        table.unknown_keys()


def _read_sheet(top: Reader, draft: Draft) -> None:
    table = top.table_at("sheet", required=True)
    if table is None:
        return
    thickness = table.length("thickness", positive=True)
    if 0 < thickness < THINNEST_MM or thickness >= THICKEST_MM:
        book = table.book
        limits = f"from {book.show(THINNEST_MM)} to under {book.show(THICKEST_MM)}"
        found = f"{book.typed[table.key('thickness')]} = {thickness:.4g} mm"
        table.fault("thickness", found, f'{limits}; is units = "{book.units}" what the drawing is in?')
    draft.sheet = SheetCall(
        table.text("material"),
        thickness,
        table.text("formed_in", "as bought"),
        table.text("final", ""),
        _grain(table, draft),
    )
    table.unknown_keys()


def _grain(table: Reader, draft: Draft) -> float | None:
    if not table.has("grain"):
        draft.notes.append("The part file does not say the grain direction; it is taken as any.")
        return None
    if isinstance(table.table["grain"], str) and not any(c.isdigit() for c in table.table["grain"]):
        table.choice("grain", ("any",))
        return None
    return table.angle("grain")


def _read_loops(top: Reader, base: Path | None, draft: Draft) -> None:
    web = top.table_at("web", required=True)
    if web is not None:
        draft.loops.append(read_loop(web, "web", base, draft.notes, draft.tolerance))
        # the line matters only where a flange leaves it
        flanged = any(e.edge.flange for e in draft.loops[0].edges)
        draft.line = web.choice("line", LINES, None if flanged else LINES[0])
        web.unknown_keys()
    for table in top.tables("cutout"):
        draft.loops.append(read_loop(table, table.text("name"), base, draft.notes, draft.tolerance))
        features.keep_balloon(table)
        table.unknown_keys()


def _read_blank_and_block(top: Reader, draft: Draft) -> None:
    if (blank := top.table_at("blank")) is not None:
        draft.trim = blank.length("trim", 0.0, least=0.0)
        draft.side_up = blank.text("side_up", "")
        for key in ("tooling_tabs", "pilot_holes"):
            if blank.has(key):
                draft.notes.append(f"blank.{key} is read, but not drawn on the blank yet.")
        blank.unknown_keys()
    if (block := top.table_at("block")) is not None:
        draft.undercut = block.choice("undercut", UNDERCUTS, UNDERCUTS[0])
        block.unknown_keys()


def _check(draft: Draft, top: Reader) -> None:
    """Holds the tables against one another."""
    book = top.book
    checks.check_edge_names(book, draft.loops)
    cutouts = [(f"{loop.path}.name", loop.name) for loop in draft.loops]
    checks.check_names(book, "cutout", cutouts)
    checks.check_names(book, "hole", [(f"{key}.name", hole.name) for key, hole in draft.holes])
    checks.check_flange_names(book, draft.loops, draft.flanges)
    checks.check_rivets(book, draft.rivets, draft.loops)
    draft.corners = [(key, replace(c, at=checks.travel_corner(book, key, c, draft.loops))) for key, c in draft.corners]
    checks.check_corners_once(book, draft.corners)
    if draft.sheet is not None:
        for flange in draft.flanges.values():
            checks.check_width(book, flange, draft.sheet.thickness)
    checks.check_places(book, draft.loops, draft.holes)
    _check_details(draft, top)


def _check_details(draft: Draft, top: Reader) -> None:
    edges = tuple(e.edge.name for loop in draft.loops for e in loop.edges)
    on_edges: list[tuple[str, Notch | Flute | Joggle]] = [*draft.notches, *draft.flutes, *draft.joggles]
    for path, thing in on_edges:
        checks.known_name(top.book, f"{path}.edge", thing.edge, edges, "an edge")
    check_joggles(top.book, draft.joggles, draft.loops)
    checks.check_beads(top.book, [(path, bead.points) for path, bead in draft.beads])
    checks.check_flutes(top.book, draft.flutes, draft.loops, draft.flanges)
    drawn = bool(draft.flutes)
    for name, flange in draft.flanges.items():
        if flange.flutes == "drawn" and not drawn:
            top.book.fault(
                f"flange.{name}.flutes", '"drawn" without a [[flute]] table', 'a [[flute]] for each, "plan" or "none"'
            )


def part_of(draft: Draft, book: Notebook) -> Part:
    """The part of a draft without faults."""
    assert draft.sheet is not None
    notes = draft.notes
    loops = [turned_loop(loop, loop.path == "web", notes) for loop in draft.loops]
    used = {e.flange for loop in loops for e in loop.edges}
    notes += [f"The flange {name!r} is not on any edge." for name in draft.flanges if name not in used]
    turned = {e.name for loop in loops if loop.turned for e in loop.edges}
    return Part(
        **draft.head,
        drawn=True,
        units=str(book.units),
        line=draft.line,
        sheet=draft.sheet,
        outer=loops[0],
        cutouts=tuple(loops[1:]),
        flanges=draft.flanges,
        # like the edges, a corner of a turned loop is named in the order of travel
        corners=tuple(replace(c, at=c.at[::-1]) if c.at[0] in turned else c for _, c in draft.corners),
        holes=tuple(hole for _, hole in draft.holes),
        rivets=tuple(row for _, row in draft.rivets),
        tolerance=draft.tolerance,
        approval=draft.approval,
        block_undercut=draft.undercut,
        trim=draft.trim,
        side_up=draft.side_up,
        notches=tuple(notch for _, notch in draft.notches),
        flutes=tuple(flute for _, flute in draft.flutes),
        joggles=tuple(joggle for _, joggle in draft.joggles),
        beads=tuple(bead for _, bead in draft.beads),
        typed=book.typed,
        notes=tuple(notes),
    )
