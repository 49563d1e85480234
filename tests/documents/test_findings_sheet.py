"""The findings sheet: every finding once on the picture and once in the list, nothing over anything else."""

from __future__ import annotations

import itertools
from dataclasses import replace

import pytest

from building import RandomPart, box, example_shop, job_of
from documents.sample import outside, said, sample_identity, sample_plan, texts_of
from documents.variants import EVERY, planned
from ribwright.adapters.write_pdf import write_pdf
from ribwright.documents import findings_sheet
from ribwright.documents.badges import WORDS, Placed
from ribwright.documents.edge_patterns import CARE, CHANGE, FLUTE, NOTCH, OK, PRESS, STRENGTH, UNKNOWN, drawn
from ribwright.documents.finding_places import pattern_of, spot_of, stretches
from ribwright.documents.findings_picture import Picture, findings_picture
from ribwright.documents.judged_words import place_words
from ribwright.documents.layout import content_width
from ribwright.documents.margin_bar import margin_bar
from ribwright.documents.page import Circle, Document, Line, Polyline, Text
from ribwright.documents.sheets import packet_sheets
from ribwright.stages.finding import Finding
from ribwright.stages.plan import Plan, make_plan

WIDTH = content_width("letter")
CURVED = box(t=0.8, radius=2.4, width="{w}").replace('name = "south"\n', 'name = "south"\nthrough = [100, {y}]\n')
Box = tuple[float, float, float, float]


def sheet(plan: Plan, paper: str = "letter") -> Document:
    return findings_sheet.document(plan, sample_identity(plan), paper)


def random_plan(seed: int) -> Plan:
    shop = example_shop()
    return make_plan(job_of(RandomPart(seed).text(), shop), shop.press("P1"))


def crowded() -> Plan:
    """The nose rib with thirty findings at one edge and ten at one hole."""
    plan = sample_plan("Q7-2101-1", "P1")
    more = [Finding(f"made-up-{k}", "warn", f"Finding {k}.", where={"edge": "nose"}) for k in range(30)]
    more += [Finding(f"made-up-too-{k}", "note", f"Hole finding {k}.", where={"hole": "L1"}) for k in range(10)]
    return replace(plan, findings=(*plan.findings, *more))


PLANS = {
    **EVERY,
    "centre rib on a small press": lambda: sample_plan("Q7-2102-1", "P1"),
    "nose rib on a small press": lambda: sample_plan("Q7-2101-1", "P1"),
    "crowded": crowded,
}
MANY = {**PLANS, **{f"random {k}": (lambda k=k: random_plan(k)) for k in range(8)}}


@pytest.mark.parametrize("paper", ["letter", "a4"])
@pytest.mark.parametrize("case", PLANS)
def test_every_page_renders_and_nothing_prints_past_it(case, paper):
    document = sheet(PLANS[case](), paper)
    assert document.name == "findings"
    assert write_pdf(document) == write_pdf(document)
    # the sentence of a stop stands in the upper margin, 3.4 mm from the edge
    assert [outside(page, 3.4) for page in document.pages] == [[]] * len(document.pages)


# ---------------------------------------------------------------- the picture


def meet(a: Box, b: Box) -> bool:
    return a[0] < b[2] - 1e-9 and b[0] < a[2] - 1e-9 and a[1] < b[3] - 1e-9 and b[1] < a[3] - 1e-9


@pytest.mark.parametrize("case", MANY)
def test_every_finding_stands_once_on_the_picture_with_its_rank(case):
    plan = MANY[case]()
    pic = findings_picture(plan, WIDTH)
    assert sorted(b.number for b in pic.badges) == list(range(1, len(plan.findings) + 1))
    for b in pic.badges:
        assert b.severity == plan.findings[b.number - 1].severity
    printed = [t.text for t in pic.piece.items if isinstance(t, Text) and t.text.isdigit()]
    assert sorted(map(int, printed)) == sorted(b.number for b in pic.badges)


@pytest.mark.parametrize("case", MANY)
def test_no_badge_and_no_name_lies_on_another_and_none_is_off_the_picture(case):
    pic = findings_picture(MANY[case](), WIDTH)
    boxes = [*pic.names, *(b.box for b in pic.badges)]
    assert [(a, b) for a, b in itertools.combinations(boxes, 2) if meet(a, b)] == []
    for left, bottom, right, top in boxes:
        assert left >= -1e-9
        assert right <= WIDTH + 1e-9
        assert -pic.piece.height - 1e-9 <= bottom
        assert top <= 1e-9


def anchors(pic: Picture) -> dict[int, Placed]:
    return {b.number: b for b in pic.badges if b.anchor is not None}


def test_a_finding_of_one_place_points_to_it_and_one_of_the_whole_job_to_none():
    plan = sample_plan("Q7-2102-1", "P1")
    pointed = anchors(findings_picture(plan, WIDTH))
    for number, f in enumerate(plan.findings, 1):
        assert (number in pointed) == any(k in f.where for k in ("edge", "hole", "corner", "flange")), f.code


def test_a_place_along_an_edge_is_counted_from_its_start_as_typed():
    """The loop typed clockwise: the reader turns it, the place stays where the person counts to."""
    text = box(w=200, h=100)
    back = text[: text.index("[[web.edge]]")] + "".join(
        f'[[web.edge]]\nname = "{n}"\nto = {to}\nflange = "f"\n'
        for n, to in (("west", [0, 100]), ("north", [200, 100]), ("east", [200, 0]), ("south", [0, 0]))
    ) + text[text.index("[flange.f]") :]  # fmt: skip
    for part, x in ((text, 30.0), (back, 170.0)):
        spot = spot_of(make_plan(job_of(part)), Finding("x", "warn", "", where={"edge": "south", "along_mm": 30.0}))
        assert spot is not None
        assert spot.at == pytest.approx((x, 0.0))
        assert spot.out == pytest.approx((0.0, -1.0))


# ---------------------------------------------------------------- patterns


def patterns(text: str, edge: str = "south") -> list[str]:
    return [s.pattern for s in stretches(make_plan(job_of(text))) if s.name == edge]


def test_an_edge_that_wrinkles_is_drawn_for_flutes_only_where_it_wrinkles():
    found = patterns(CURVED.format(w=18, y=-14))
    assert FLUTE in found
    assert found[0] != FLUTE
    assert found[-1] != FLUTE
    assert NOTCH not in found


def test_an_edge_that_folds_asks_for_notches():
    assert NOTCH in patterns(CURVED.format(w=24, y=-80))


def test_an_edge_that_splits_asks_for_a_change():
    assert CHANGE in patterns(CURVED.format(w=18, y=45))
    assert patterns(CURVED.format(w=18, y=45), "north") == [OK]


def test_a_limit_nobody_knows_is_drawn_as_not_known():
    text = CURVED.format(w=18, y=45).replace('material = "2024-O"', 'material = "2024-O"\nformed_in = "W"')
    assert UNKNOWN in patterns(text)


def test_what_stays_open_has_a_pattern_of_its_own():
    plan = sample_plan("Q7-2102-1", "P1")
    found = {s.name: s.pattern for s in stretches(plan)}
    assert found["L1"] == PRESS
    assert found["lower"] == CARE


@pytest.mark.parametrize("seed", range(6))
def test_the_stretches_of_an_edge_follow_each_other_from_end_to_end(seed):
    plan = random_plan(seed)
    for loop in plan.blank.laid:
        for e in loop.edges:
            mine = [s.points for s in stretches(plan) if s.name == e.edge.name]
            assert mine[0][0] == pytest.approx(e.curve.point([0.0])[0], abs=1e-9)
            assert mine[-1][-1] == pytest.approx(e.curve.point([e.curve.length])[0], abs=1e-6)
            for a, b in itertools.pairwise(mine):
                assert a[-1] == pytest.approx(b[0])


def test_each_pattern_is_another_drawing_in_black():
    """Told apart without colour or grey: by marks, number of lines, dashes or weight."""
    seen = set()
    for p in STRENGTH:
        items = drawn([(0.0, 0.0), (40.0, 0.0)], p)
        strokes = [i.stroke for i in items if isinstance(i, Line | Polyline)]
        assert all(s is not None and s.grey == 0.0 for s in strokes)
        kinds = tuple(sorted({type(i).__name__ for i in items}))
        seen.add((kinds, len(strokes), strokes[0].dash, strokes[0].width))
    assert len(seen) == len(STRENGTH)


def test_a_finding_that_nobody_has_named_yet_is_drawn_by_its_severity():
    assert pattern_of(Finding("new-code", "stop", "")) == CHANGE
    assert pattern_of(Finding("new-code", "warn", "")) == CARE
    assert pattern_of(Finding("new-code", "note", "")) == OK


# ---------------------------------------------------------------- the lists


@pytest.mark.parametrize("case", ["centre rib on a small press", "nose rib", "repair rib, no press"])
def test_the_list_tells_every_finding_in_rank_with_what_to_try(case):
    plan = PLANS[case]()
    text = said(sheet(plan)).replace("\n", " ")
    for f in plan.findings:
        assert f.say.split(":")[0][:40] in text
        assert not f.try_ or f.try_[:40] in text
    marks = [t for t in texts_of(sheet(plan)) if t.split("  ")[0] in WORDS.values()]
    assert [m.split("  ")[0] for m in marks] == [WORDS[f.severity] for f in plan.findings]


def test_every_flanged_edge_and_hole_has_its_line_of_margin_also_where_it_holds():
    plan = sample_plan("RX-0007", "")
    texts = texts_of(sheet(plan))
    for e in plan.block.edges:
        assert f"edge {e.edge}" in texts
    for h in plan.blank.holes:
        assert f"hole {h.hole.name}" in texts


def test_the_tolerances_stand_with_their_chances_and_what_is_not_forecast_says_so():
    text = said(sheet(sample_plan()))
    for words in ("47 %", "no forecast for this yet", "springback formula 1.50", "flange angle", "web flatness"):
        assert words in text


def test_without_a_tolerance_the_sheet_cannot_judge():
    part = sample_plan("Q7-2101-1").job.part
    text = said(sheet(planned(replace(part, tolerance={}))))
    assert "not given" in text
    assert "± 1 deg" not in text


@pytest.mark.parametrize("margin", [-3.0, -0.4, 0.4, 3.0])
def test_a_bar_lies_on_the_side_of_its_sign_and_black_is_missing(margin):
    items = margin_bar(0.0, 0.0, 52.0, margin)
    zero = next(i.x0 for i in items if isinstance(i, Line) and i.x0 == i.x1)
    bar = next(i for i in items if isinstance(i, Polyline) and len(i.points) == 4)
    xs = [x for x, _ in bar.points]
    assert (max(xs) <= zero + 1e-9) == (margin < 0)
    assert bar.fill == (0.0 if margin < 0 else 1.0)
    assert (abs(margin) > 1) == any(isinstance(i, Polyline) and len(i.points) == 3 for i in items)
    assert any(isinstance(i, Text) and i.text == f"{margin:+.2f}" for i in items)


def test_a_margin_nobody_knows_has_no_bar():
    items = margin_bar(0.0, 0.0, 52.0, None)
    assert [i.text for i in items if isinstance(i, Text)] == ["not judged"]
    assert len(items) == 1


def test_a_stop_crosses_every_page_and_leaves_the_list_readable():
    plan = sample_plan("Q7-2101-1", "P1")
    bare, crossed = sheet(plan), packet_sheet(plan)
    for before, after in zip(bare.pages, crossed.pages, strict=True):
        words = [i.text for i in after.items if isinstance(i, Text)]
        assert {"STOP:", "VOID"} <= set(words)
        assert {i.text for i in before.items if isinstance(i, Text)} <= set(words)


def packet_sheet(plan):
    made = packet_sheets(plan, sample_identity(plan), "letter")
    return next(d for d in made if d.name == "findings")


def test_severities_differ_in_shape_and_word():
    pic = findings_picture(sample_plan("Q7-2102-1", "P1"), WIDTH)
    numbers = {t.text: t for t in pic.piece.items if isinstance(t, Text) and t.text.isdigit()}
    by = {b.severity: b for b in pic.badges}
    assert numbers[str(by["stop"].number)].grey == 1.0  # white on a black octagon
    shapes = {
        s: next(
            i for i in pic.piece.items
            if (isinstance(i, Polyline) and i.closed and abs(sum(x for x, _ in i.points) / len(i.points) - b.x) < 1e-6
                and abs(sum(y for _, y in i.points) / len(i.points) - b.y) < 1e-6)
            or (isinstance(i, Circle) and (i.cx, i.cy) == (b.x, b.y))
        )
        for s, b in by.items()
    }  # fmt: skip
    assert len(shapes["stop"].points) == 8
    assert len(shapes["warn"].points) == 4
    assert isinstance(shapes["note"], Circle)


@pytest.mark.parametrize(
    ("where", "words"),
    [
        ({"edge": "upper", "along_mm": 12.3}, "edge upper, at 12 mm (0.5 in)"),
        ({"hole": "H", "edge": "upper"}, "hole H"),
        ({"hole": ["P1", "P2"]}, "holes P1, P2"),
        ({"corner": ["a", "b"]}, "corner a/b"),
        ({"key": "approval"}, "part file: approval"),
        ({"block_material": "OAK"}, "block material OAK"),
        ({"edge": "", "along_mm": None}, "edge "),
        ({}, "whole job"),
        ({"loop": "web"}, "web"),
    ],
)
def test_a_place_reads_as_a_person_says_it(where, words):
    assert place_words(where) == words


def test_a_source_is_cited_without_the_address_of_a_copy():
    from ribwright.documents.judged_words import cited

    assert cited("Book table 3, public copy at some.net; two rows also at other-place.com") == "Book table 3"
    assert cited("Book, copy at a.com (part four)") == "Book (part four)"
    assert cited("ASM Handbook 14B, rubber-pad forming") == "ASM Handbook 14B, rubber-pad forming"
    assert ".com" not in said(sheet(sample_plan("Q7-2103-1", "P2")))


def test_places_stand_in_both_units_the_shops_first():
    from ribwright.documents.judged_words import place_words

    assert place_words({"edge": "upper", "along_mm": 74.0}, "in") == "edge upper, at 2.9 in (74 mm)"
    assert place_words({"edge": "upper", "along_mm": 74.0}, "mm") == "edge upper, at 74 mm (2.9 in)"


def test_a_chance_is_told_as_chance_and_wanted_and_help_that_is_none_is_not_a_number():
    text = said(sheet(sample_plan("Q7-4410-1", "P2")))
    assert "chance inside" in text
    assert "limit 50 %" not in text
    assert "comes back once" not in text


def test_a_part_has_one_note_on_the_band_of_its_undercut():
    for case in (("Q7-2102-1", "P2"), ("Q7-3205-1", "P3")):
        assert sum(f.code == "band-over-tolerance" for f in sample_plan(*case).findings) <= 1
    notes = [f for f in sample_plan("Q7-4410-1", "P2").findings if f.code == "band-over-tolerance"]
    assert len(notes) == 1
    assert "Also: " in notes[0].say
