"""What a wrong part file is answered with: sentences, every fault at once; and files that cannot be read at all."""

import re
from pathlib import Path

import pytest

from adapters.part_samples import RIB, SQUARE_CLOCKWISE, changed, sentences
from ribwright.adapters.part_toml import parse_part, read_part
from ribwright.adapters.reading import Reader
from ribwright.errors import Fault, InputError

# -- what a wrong file is answered with -----------------------------------------------------------------

FAULTS = [
    # the file's own words: (text, put in its place, the key, words of the sentence)
    ('units = "in"\n', "", "units", ["found nothing", '"in", "mm"']),
    ('units = "in"', 'units = "inch"', "units", ['"inch"', "did you mean 'in'"]),
    ("thickness = 0.0250", "thicknes = 0.0250", "sheet.thicknes", ["not known", "did you mean 'thickness'"]),
    ("thickness = 0.0250", "", "sheet.thickness", ["found nothing"]),
    ("thickness = 0.0250", 'thickness = "20 gauge"', "sheet.thickness", ["thickness itself"]),
    ("thickness = 0.0250", "thickness = 0.8", "sheet.thickness", ["20.32 mm", 'units = "in"']),
    ("thickness = 0.0250", "thickness = 0.0025", "sheet.thickness", ["0.0635 mm", 'units = "in"']),
    ("thickness = 0.0250", "thickness = -1", "sheet.thickness", ["above 0"]),
    ("thickness = 0.0250", "thickness = nan", "sheet.thickness", ["finite"]),
    ("thickness = 0.0250", "thickness = true", "sheet.thickness", ["found true"]),
    ("grain = 0.0", 'grain = "along"', "sheet.grain", ['"any"']),
    ('number = "Q7-2199-1"', 'number = " "', "part.number", ["not blank"]),
    ('number = "Q7-2199-1"', "number = 7", "part.number", ["found 7"]),
    ('hand = "none"', 'hand = "lefty"', "part.hand", ["did you mean 'left'"]),
    ('hand = "none"', 'hand = "left"\nopposite = "Q7-2199-1"', "part.opposite", ["of its own"]),
    ("date = 2031-03-10", 'date = "soon"', "approval.date", ["2031-09-01"]),
    ("[block]", "[blok]", "blok", ["did you mean 'block'"]),
    ("[approval]", "[[approval]]", "approval", ["a table [approval]"]),
    ("[[corner]]", "[corner]", "corner", ["[[corner]]"]),
    ("[block]", "[return_flange]\n[block]", "return_flange", ["not built yet"]),
    # loops
    (
        "[-0.4, 2.0], [0.0, 0.0]",
        "[-0.4, 2.0], [0.05, 0.0]",
        "web.edge[4].spline",
        ["(0.05, 0)", "0.05 in from the start"],
    ),
    ("to = [20.0, 4.0]", "to = [20.0, 0.0]", "web.edge[2].to", ["again, (20, 0) in", "without length"]),
    ("through = [10.0, 5.0]", "through = [10.0, 4.0]", "web.edge[3].through", ["three points in a line", "(10, 4) in"]),
    ("through = [10.0, 5.0]", "through = [10.0, -3.0]", "web", ["crosses or touches itself at ("]),
    ("to = [20.0, 4.0]", "to = [20.0, 4.0, 0.0]", "web.edge[2].to", ["a point [x, y]"]),
    ("to = [20.0, 4.0]", "to = [20.0, inf]", "web.edge[2].to", ["finite"]),
    ("to = [20.0, 4.0]", "to = [20.0, 1e9]", "web.edge[2].to", ["under 3937 in"]),
    ("to = [20.0, 4.0]\n", "", "web.edge[2].to", ["exactly one of to, spline, ordinates"]),
    ("to = [20.0, 4.0]", "to = [20.0, 4.0]\nspline = [[20.0, 4.0]]", "web.edge[2].to", ["to and spline"]),
    ("to = [20.0, 4.0]", 'to = [20.0, 4.0]\ntangent = "end"', "web.edge[2].tangent", ["spline only"]),
    ('name = "rear"', 'name = "lower"', "web.edge[2].name", ["the name of web.edge[1] too"]),
    ('name = "access lower"', 'name = "rear"', "cutout[1].edge[2].name", ["the name of web.edge[2] too"]),
    ("spline = [[-0.4, 2.0], [0.0, 0.0]]", 'ordinates = "front.csv"', "web.edge[4].ordinates", ["front.csv"]),
    (
        "[-0.4, 2.0], [0.0, 0.0]]",
        "[-0.4, 2.0], [-0.4, 2.0], [0.0, 0.0]]",
        "web.edge[4].spline",
        ["again, (-0.4, 2) in"],
    ),
    ('flange = "spar"', 'flange = "spare"', "web.edge[2].flange", ['"spare"', "did you mean 'spar'"]),
    # cutouts and holes
    ("start = [12.0, 1.0]", "start = [12.0, 1.5]", "cutout[1].edge[2].to", ["edges close"]),
    ("through = [14.0, 3.0]", "through = [14.0, 4.95]", "cutout[1]", ["crosses or touches the outline at ("]),
    ("at = [4.0, 2.0]", "at = [4.0, 0.9]", "hole[1].at", ["0.9 in from the outline at (4, 0) in", "the radius 1 in"]),
    ("at = [4.0, 2.0]", "at = [40.0, 2.0]", "hole[1].at", ["outside the web"]),
    ("at = [8.0, 2.0]", "at = [4.5, 2.0]", "hole[2].at", ['over the hole "L1" at (4, 2) in']),
    ("at = [8.0, 2.0]", "at = [14.0, 2.0]", "hole[2].at", ['over the cutout "access"']),
    ('name = "P2"', 'name = "P1"', "hole[3].name", ["hole[2] too"]),
    ("cut_diameter = 1.5", "", "hole[1].cut_diameter", ["none of them", "exactly one of"]),
    ("cut_diameter = 1.5", "cut_diameter = 1.5\nrim_diameter = 1.8", "hole[1].cut_diameter", ["and rim_diameter"]),
    ("cut_diameter = 1.5", "cut_diameter = 2.5", "hole[1].cut_diameter", ["less than the diameter 2 in"]),
    ("pin_fit = 0.003", "rim_diameter = 0.003", "hole[2].rim_diameter", ['"lightening" only']),
    ('kind = "tooling"', 'kind = "locating"', "hole[2].kind", ['"tooling"']),
    # flanges, corners, rivets, tolerances
    (
        "bend_angle = 90",
        "bend_angle = 180",
        "flange.spar.bend_angle",
        ["between 0 and 180 degrees, neither", "found 180"],
    ),
    ("bend_angle = 90", "bend_angle = 0", "flange.spar.bend_angle", ["found 0"]),
    ('["40 %", 88]', '["140 %", 88]', "flange.skin.bend_angle[2]", ['"0 %" to "100 %"']),
    ('["end", 97]', '["ende", 97]', "flange.skin.bend_angle[3]", ["did you mean 'end'"]),
    ('["end", 97]', '["40 %", 97]', "flange.skin.bend_angle", ["each place along the edge once"]),
    ("width = 0.625", "width = 0", "flange.skin.width", ["above 0"]),
    ('width = "5/8 in"', "width = 0.1", "flange.spar.width", ["0.115 in", "the bend itself takes"]),
    ('bend_radius = "0.09 in"', "bend_radius = -0.09", "flange.spar.bend_radius", ["above 0"]),
    ('turn = "down"', 'turn = "dwon"', "flange.spar.turn", ["did you mean 'down'"]),
    ('flutes = "plan"', 'flutes = "drawn"', "flange.skin.flutes", ["[[flute]]"]),
    ('at = ["rear", "lower"]', 'at = ["lower", "upper"]', "corner[1].at", ["do not meet", "front or rear"]),
    ('at = ["rear", "lower"]', 'at = ["rear", "lover"]', "corner[1].at", ["did you mean 'lower'"]),
    ('at = ["rear", "lower"]', 'at = "lower"', "corner[1].at", ["the names of two edges"]),
    ("diameter = 0.19", "gap = 0.19", "corner[1].gap", ['relief = "hole"']),
    ('edge = "upper"', 'edge = "uper"', "rivets[1].edge", ["did you mean 'upper'"]),
    ('edge = "upper"', 'edge = "front"', "rivets[1].on", ["which has none"]),
    ("count = 15", "count = 15.5", "rivets[1].count", ["a whole number"]),
    ("contour = 0.03", "contour = [0.03]", "tolerance.contour", ["[minus, plus]"]),
    ("contour = 0.03", "contor = 0.03", "tolerance.contor", ["did you mean 'contour'"]),
    ("contour = 0.03", "contour = -0.03", "tolerance.contour", ["above 0"]),
    ("trim = 0.05", "trim = -0.05", "blank.trim", ["at least 0 in"]),
    ('undercut = "constant-per-edge"', 'undercut = "constant"', "block.undercut", ['"constant-per-edge"']),
]


@pytest.mark.parametrize(("old", "new", "key", "words"), FAULTS, ids=[f"{f[2]}: {f[1][:30]!r}" for f in FAULTS])
def test_a_mistake_is_named_with_its_place_and_what_is_allowed(old, new, key, words):
    said = sentences(changed((old, new)))
    mine = [s for s in said if s.startswith(f"rib.part.toml: {key}: found ")]
    assert len(mine) == 1, said
    assert all(word in mine[0] for word in words), mine[0]


def test_all_mistakes_are_named_at_once():
    text = changed(
        ("thickness = 0.0250", "thicknes = 0.0250"),
        ('hand = "none"', 'hand = "lefty"'),
        ("at = [4.0, 2.0]", "at = [40.0, 2.0]"),
        ('edge = "upper"', 'edge = "uper"'),
    )
    said = sentences(text)
    for key in ("sheet.thicknes:", "sheet.thickness:", "part.hand:", "hole[1].at:", "rivets[1].edge:"):
        assert sum(key in s for s in said) == 1
    assert len(said) == 5


@pytest.mark.parametrize("kind", ['kind = "locating"', ""])
def test_a_hole_of_unknown_kind_is_not_also_blamed_for_its_sizes(kind):
    assert len(sentences(changed(('kind = "lightening"', kind)))) == 1
    assert len(sentences(changed(('kind = "tooling"', kind)))) == 1


def test_a_corner_without_relief_is_named():
    assert [s.split(": ")[1] for s in sentences(changed(('relief = "hole"', "")))] == ["corner[1].relief"]


def test_a_file_without_units_is_not_also_blamed_for_its_numbers():
    said = sentences(changed(('units = "in"\n', "")))
    assert len(said) == 1


def test_a_cutout_outside_the_web_is_refused():
    away = changed(
        ("start = [12.0, 1.0]", "start = [12.0, 31.0]"),
        ("through = [14.0, 3.0], to = [16.0, 1.0]", "through = [14.0, 33.0], to = [16.0, 31.0]"),
        ("to = [12.0, 1.0]", "to = [12.0, 31.0]"),
    )
    assert any("cutout[1]: found a cutout outside the web, its start (12, 31) in" in s for s in sentences(away))


def test_cutouts_that_overlap_are_refused():
    second = """
[[cutout]]
name = "second"
start = [13.0, 0.5]
edge = [{ name = "s1", to = [15.0, 0.5] }, { name = "s2", to = [14.0, 2.0] }, { name = "s3", to = [13.0, 0.5] }]
"""
    said = sentences(RIB + second)
    assert len(said) == 1
    assert 'cutout[2]: found a cutout that meets the cutout "access"' in said[0]


def test_splines_that_take_their_direction_from_each_other_are_refused():
    ring = (
        SQUARE_CLOCKWISE.split("edge = [")[0]
        + """
edge = [
  { name = "one", spline = [[30, 30], [60, 0]], tangent = "both" },
  { name = "two", spline = [[30, -30], [0, 0]], tangent = "start" },
]
"""
    )
    assert any("web.edge[1].tangent" in s and "from each other" in s for s in sentences(ring))


def test_crossing_beads_are_refused_by_name():
    bead = '[[bead]]\npoints = [[{}], [{}]]\nsection = "vee"\nwidth = 0.3\ndepth = 0.1\n'
    crossing = RIB + bead.format("9, 1", "11, 3") + bead.format("9, 3", "11, 1")
    assert any("bead[2].points" in s and "not built yet" in s for s in sentences(crossing))
    apart = RIB + bead.format("9, 1", "11, 1") + bead.format("9, 3", "11, 3")
    assert len(parse_part(apart).beads) == 2


ODD_VALUES = [
    "true",
    "-1",
    "0",
    "1e300",
    "nan",
    "inf",
    "[]",
    "[[]]",
    "[1, 2]",
    '""',
    '"1/0 in"',
    '"start"',
    "{}",
    "2031-01-01",
]
ODD_VALUES += ["1" * 400, "[[1, 2], [3]]", "[[{}]]", '["a", "b"]', "{ x = 1 }", "[{}]"]
VALUES = [n for n, line in enumerate(RIB.splitlines()) if " = " in line]


@pytest.mark.parametrize("value", ODD_VALUES)
def test_any_value_at_any_key_is_read_or_refused_in_sentences(value):
    for n in VALUES:
        lines = RIB.splitlines()
        lines[n] = f"{lines[n].split(' = ')[0]} = {value}"
        faults = faults_of("\n".join(lines))
        assert all(f.found and f.allowed and f.key for f in faults), faults


def faults_of(text: str) -> tuple[Fault, ...]:
    """The faults of a text, none when it is right; any other error is a mistake of ours and comes through."""
    try:
        parse_part(text)
    except InputError as error:
        return error.faults
    return ()


# -- files that cannot be read at all -------------------------------------------------------------------

UNREADABLE = [
    (b"", "an empty file"),
    (b"# only a comment\r\n", "an empty file"),
    (RIB.encode("utf-16"), "UTF-16"),
    (b'units = "in"\ntitle = "\xe9"\n', "line 2: found a byte that is not UTF-8 (0xe9)"),
    (b'units = "in"\nthickness = 0,025\n', "line 2"),
    (b'units = "in"\nunits = "mm"\n', "line 2"),
    (b'units = "in"\nordinates = "loft\\upper.csv"\n', "single quotes"),
    (b'units = "in', "TOML"),
    (b"a = " + b"[" * 5000, "nested too deeply"),
]


@pytest.mark.parametrize(("content", "words"), UNREADABLE, ids=[u[1] for u in UNREADABLE])
def test_a_file_that_is_no_part_file_is_refused_in_a_sentence(tmp_path, content, words):
    file = tmp_path / "rib.part.toml"
    file.write_bytes(content)
    with pytest.raises(InputError) as error:
        read_part(file)
    assert words in str(error.value)
    assert str(file) in str(error.value)


def test_a_missing_file_and_a_folder_are_refused_in_a_sentence(tmp_path):
    with pytest.raises(InputError, match="no such file"):
        read_part(tmp_path / "nowhere.part.toml")
    with pytest.raises(InputError, match="a folder"):
        read_part(tmp_path)


def test_line_ends_and_a_byte_order_mark_of_another_system_do_no_harm(tmp_path):
    file = tmp_path / "rib.part.toml"
    file.write_bytes(b"\xef\xbb\xbf" + RIB.replace("\n", "\r\n").encode())
    assert read_part(file) == parse_part(RIB)


ORDINATES = [
    ("x, y\n1, 2\n0, zero\n", "line 3, y: found 'zero'"),
    ("x, y\n1, 2\n0\n", "line 3, y: found nothing"),
    ("x, y\n1, nan\n", "line 2, y: found 'nan'"),
    ("x, z\n1, 2\n", "line 1: found columns x, z"),
    ("1, 2, 3\n", "line 1: found 3 columns without names"),
    ("# units = cm\nx, y\n0, 0\n", "line 1, units: found 'cm'"),
    ("# nothing\n", "found no rows"),
    ("x, y\n", "found 0 rows"),
]


@pytest.mark.parametrize(("table", "words"), ORDINATES, ids=[o[1] for o in ORDINATES])
def test_a_wrong_ordinate_table_is_named_with_its_line(tmp_path, table, words):
    (tmp_path / "front.csv").write_text(table)
    file = tmp_path / "rib.part.toml"
    file.write_text(changed(("spline = [[-0.4, 2.0], [0.0, 0.0]]", 'ordinates = "front.csv"')))
    with pytest.raises(InputError) as error:
        read_part(file)
    assert words in str(error.value)
    assert "front.csv" in str(error.value)


def test_a_missing_ordinate_table_is_named(tmp_path):
    file = tmp_path / "rib.part.toml"
    file.write_text(changed(("spline = [[-0.4, 2.0], [0.0, 0.0]]", 'ordinates = "front.csv"')))
    with pytest.raises(InputError, match=r"front\.csv: the file: found no such file"):
        read_part(file)


# -- the manual -----------------------------------------------------------------------------------------

MANUAL = (Path(__file__).parents[2] / "docs" / "PART_FILE.md").read_text()


def test_the_whole_part_file_of_the_manual_reads():
    text = MANUAL.split("```toml\n# Q7-2150-1.part.toml\n")[1].split("```")[0]
    part = parse_part(text, "docs/PART_FILE.md")
    assert part.edge("front").end_dir == pytest.approx((1.0, 0.0))
    assert part.tolerance["edge.upper.contour"] == pytest.approx((0.508, 0.508))
    assert part.notes == ()


def test_every_key_of_a_part_file_stands_in_the_manual(monkeypatch):
    asked = set()

    def noted(reader: Reader, key: str) -> bool:
        asked.add(key)
        reader.asked.append(key)
        return key in reader.table

    monkeypatch.setattr(Reader, "has", noted)
    empty = "".join(f"[[{kind}]]\n" for kind in ("notch", "flute", "joggle", "bead"))
    faults_of(RIB + empty)
    assert {"undercut", "corner_radius", "slot_angle", "web_flatness"} < asked
    assert not [key for key in asked if not re.search(rf"\b{key}\b", MANUAL)]
