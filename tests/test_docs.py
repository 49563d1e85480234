"""The pages stay true: findings, commands, links, folders and decisions are held against what is there."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import click
import pytest

import ribwright
from reference.continuum_case import CASES
from reference.continuum_record import recorded
from ribwright.cli import main

ROOT = Path(__file__).parents[1]
SOURCE = Path(ribwright.__file__).parent
DOCS = ROOT / "docs"
PAGES = sorted([ROOT / "README.md", *DOCS.rglob("*.md"), *(ROOT / "examples").rglob("*.md")])
TEXT_FILES = sorted(
    p
    for p in [ROOT / "README.md", *(q for top in ("src", "docs", "tests") for q in (ROOT / top).rglob("*"))]
    if p.suffix in (".py", ".md", ".toml", ".csv")
)
COUNTS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
KEBAB = re.compile(r"[a-z]+(-[a-z]+)+")


def _of_root(path: Path) -> str:
    return str(path.relative_to(ROOT))


# ---------------------------------------------------------------- findings


def _words(node: ast.expr) -> list[str]:
    """The texts an argument can be: a literal, or either side of a condition."""
    if isinstance(node, ast.IfExp):
        return _words(node.body) + _words(node.orelse)
    return [node.value] if isinstance(node, ast.Constant) else []


def _codes_of(path: Path) -> Iterator[tuple[str, str]]:
    """(code, severity) of every Finding made in a file."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for function in (n for n in ast.walk(tree) if isinstance(n, ast.FunctionDef)):
        for call in (n for n in ast.walk(function) if isinstance(n, ast.Call)):
            if not (isinstance(call.func, ast.Name) and call.func.id == "Finding"):
                continue
            codes, severities = _words(call.args[0]), _words(call.args[1])
            if not codes:  # a loop over a table of codes: they stand in the same function
                texts = [n.value for n in ast.walk(function) if isinstance(n, ast.Constant)]
                codes = [t for t in texts if isinstance(t, str) and KEBAB.fullmatch(t)]
            assert codes, f"{path.name}:{call.lineno}: no code found"
            if len(codes) == len(severities):
                yield from zip(codes, severities, strict=True)
            else:
                yield from ((c, s) for c in codes for s in severities)


def _codes_in_source() -> dict[str, set[str]]:
    found: dict[str, set[str]] = {}
    for path in sorted((SOURCE / "stages").rglob("*.py")):
        for code, severity in _codes_of(path):
            found.setdefault(code, set()).add(severity)
    return found


def _rows_of_findings() -> list[list[str]]:
    text = (DOCS / "FINDINGS.md").read_text(encoding="utf-8")
    rows = [line for line in text.splitlines() if line.startswith("| `")]
    return [[cell.strip() for cell in row.strip("|").split("|")] for row in rows]


def test_every_finding_of_the_source_stands_in_the_list_and_the_other_way_round() -> None:
    listed = {row[0].strip("`"): set(row[1].split(", ")) for row in _rows_of_findings()}
    assert listed == _codes_in_source()


def test_a_code_is_listed_once_and_says_what_to_do_and_from_where() -> None:
    rows = _rows_of_findings()
    codes = [row[0] for row in rows]
    assert len(codes) == len(set(codes)) > 50
    for row in rows:
        assert len(row) == 5, row[0]
        assert all(row), row[0]


def test_a_code_that_was_given_up_is_not_used_again() -> None:
    _, _, given_up = (DOCS / "FINDINGS.md").read_text(encoding="utf-8").partition("## Given up")
    assert given_up
    assert not set(re.findall(r"`([a-z-]+)`", given_up)) & set(_codes_in_source())


# ---------------------------------------------------------------- commands


@pytest.mark.parametrize("name", sorted(main.commands))
def test_every_command_stands_in_the_readme_and_has_help_with_an_example(name: str) -> None:
    command = main.commands[name]
    assert f"`ribwright {name} " in (ROOT / "README.md").read_text(encoding="utf-8")
    assert command.help
    assert f"ribwright {name} " in (command.epilog or "")
    for option in command.params:
        if isinstance(option, click.Option):
            assert option.help, f"{name} --{option.name}"


def test_the_readme_names_no_command_that_is_not_there() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    assert set(re.findall(r"`ribwright ([a-z]+)", text)) == set(main.commands)


# ---------------------------------------------------------------- links and folders


@pytest.mark.parametrize("page", PAGES, ids=_of_root)
def test_every_link_to_a_file_leads_somewhere_inside_the_project(page: Path) -> None:
    for target in re.findall(r"\]\(([^)\s]+)\)", page.read_text(encoding="utf-8")):
        if re.match(r"[a-z]+:", target) or target.startswith("#"):
            continue
        file = (page.parent / target.split("#")[0]).resolve()
        assert file.exists(), f"{_of_root(page)}: {target}"
        assert file.is_relative_to(ROOT.resolve()), f"{_of_root(page)}: {target}"


def test_every_folder_of_the_source_stands_in_the_architecture() -> None:
    text = (DOCS / "ARCHITECTURE.md").read_text(encoding="utf-8")
    folders = {_name(p) for p in SOURCE.rglob("*") if p.is_dir() and p.name != "__pycache__"}
    assert set(re.findall(r"^\| `([a-z_/]+/)` \|", text, re.MULTILINE)) == folders


def _name(folder: Path) -> str:
    return folder.relative_to(SOURCE).as_posix() + "/"


def test_the_picture_of_the_layers_is_the_one_that_is_proved() -> None:
    tree = ast.parse((Path(__file__).parent / "test_layers.py").read_text(encoding="utf-8"))
    rows = next(n.value for n in tree.body if isinstance(n, ast.Assign) and getattr(n.targets[0], "id", "") == "ROWS")
    picture = (DOCS / "ARCHITECTURE.md").read_text(encoding="utf-8").split("```")[1]
    drawn = [line.split("  ")[0] for line in picture.splitlines() if line and not line.startswith("---")]
    assert [set(line.split(", ")) for line in drawn] == ast.literal_eval(rows)


@pytest.mark.parametrize("page", ["NAMES.md", "ARCHITECTURE.md", "LIMITS.md", "FINDINGS.md"])
def test_every_source_file_a_page_names_is_there(page: str) -> None:
    text = (DOCS / page).read_text(encoding="utf-8")
    named = set(re.findall(r"`((?:[a-z_]+/)*[a-z_]+\.py)`", text))
    places = (SOURCE, ROOT, SOURCE / "documents", SOURCE / "adapters")
    assert named
    assert [n for n in sorted(named) if not any((place / n).is_file() for place in places)] == []


# ---------------------------------------------------------------- what was compared


def test_what_the_section_model_was_held_against_is_what_its_kept_table_has() -> None:
    cases = [CASES[name] for name in recorded()]
    # another mesh or another block's hardness is no other flange
    straight = {(c.sheet.name, c.radius, c.pressure, c.undercut, c.end_face) for c in cases if not c.around}
    discs, holes = ([c for c in cases if c.around == kind] for kind in ("disc", "hole"))
    words = f"{COUNTS[len(straight)]} runs of straight flanges, {COUNTS[len(discs)]} disc, {COUNTS[len(holes)]} hole"
    assert words in (DOCS / "LIMITS.md").read_text(encoding="utf-8")
    assert f"curved ({COUNTS[len(discs)]} disc and {COUNTS[len(holes)]} hole" in (DOCS / "FINDINGS.md").read_text(
        "utf-8"
    )


# ---------------------------------------------------------------- decisions, paths


def test_decisions_are_numbered_without_gaps_and_have_their_four_parts() -> None:
    pages = sorted((DOCS / "decisions").glob("*.md"))
    assert [int(p.name[:4]) for p in pages] == list(range(1, len(pages) + 1))
    for page in pages:
        text = page.read_text(encoding="utf-8")
        assert text.startswith(f"# {page.name[:4]} "), page.name
        parts = re.findall(r"^\*\*(\w+)\.\*\*", text, re.MULTILINE)
        assert parts == ["Status", "Context", "Decision", "Consequences"], page.name


def test_a_decision_that_is_named_exists() -> None:
    numbers = {p.name[:4] for p in (DOCS / "decisions").glob("*.md")}
    for path in TEXT_FILES:
        named = set(re.findall(r"\bdecision (\d{4})\b", path.read_text(encoding="utf-8")))
        assert named <= numbers, f"{_of_root(path)}: {named - numbers}"


@pytest.mark.parametrize("path", TEXT_FILES, ids=_of_root)
def test_no_file_names_a_place_outside_the_project(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    # folders of somebody's machine; put together here so that this file does not name them itself
    homes = "|".join(("work", "home", "root", "tmp", "mnt", "Users"))
    assert re.findall(rf"(?<![\w.)\]}}>-])/(?:{homes})/", text) == []
    for up in re.findall(r"(?:\.\./)+[\w./-]*", text):
        assert (path.parent / up).resolve().is_relative_to(ROOT.resolve()), up
