"""The bench sheet of the hand-finishing list: moves in their order, cautions before them, boxes; the same on the screen."""

from __future__ import annotations

from dataclasses import replace

import pytest

from documents.inspected import inspection_of
from documents.print_room import unreadable
from documents.sample import outside, said, sample_identity, sample_plan
from ribwright.documents import handwork_screen, handwork_sheet
from ribwright.documents.edge_ends import ends_of
from ribwright.documents.hand_picture import hand_picture, letter_of
from ribwright.documents.page import Document, Text
from ribwright.documents.sheets import SHEET_NAMES, packet_sheets
from ribwright.stages.found import Found, Judged, judge
from ribwright.stages.hand_angles import CLAMPED, EDGES, PAST_WALL
from ribwright.stages.hand_list import HandList
from ribwright.stages.handwork import expected_handwork, handwork
from ribwright.units import Unit


def row(quantity: str, value: float, nominal: float, where: dict[str, object], tol: float, unit: str = "mm") -> Judged:
    gauge = "G-02" if unit == "deg" else "G-05"
    return judge(
        Found(quantity, where, value, nominal, unit, 0.1 if unit == "deg" else 0.03, "", gauge), (tol, tol), "guarded"
    )


MEASURED = [
    row("flange_width", 16.9, 15.875, {"edge": "lower", "along_mm": 100.0}, 0.762),
    row("flange_angle", 87.6, 90.0, {"edge": "upper", "along_mm": 60.0}, 1.0, "deg"),
    row("flange_angle", 87.1, 90.0, {"edge": "upper", "along_mm": 150.0}, 1.0, "deg"),
    row("flange_angle", 89.05, 90.0, {"edge": "rear", "along_mm": 20.0}, 1.0, "deg"),
    row("web_flatness", 2.1, 0.0, {"loop": "web"}, 0.762),
    row("hole_position", 0.6, 0.0, {"hole": "L2", "axis": "x"}, 0.254),
]


def measured() -> HandList:
    return handwork(sample_plan("Q7-2301-1"), MEASURED)


def sheet(hands: HandList, paper: str = "letter", part: str = "Q7-2301-1", press: str = "P2") -> Document:
    plan = sample_plan(part, press)
    return handwork_sheet.document(plan, sample_identity(plan), paper, hands)


def lines(hands: HandList, first: Unit) -> list[str]:
    return handwork_screen.lines(hands, first, ends_of(sample_plan("Q7-2301-1")))


def test_the_moves_stand_in_their_order_each_caution_before_its_move() -> None:
    told = said(sheet(measured()))
    parts = (
        "Not by hand", "A person decides before any move", "Look before you move", "Where", "Rework may be allowed by: J. Heron",
        "Eye protection on", "Look which way it bows first", "Flatten the web by 0.083 in", "Set it on the block",
        "Set the flange closed by at most 2.9 deg",
        "File along the edge", "Trim the edge to its line by 0.040 in", "Found at the bench", "Re-inspection",
    )  # fmt: skip
    places = [told.find(p) for p in parts]
    assert -1 not in places, parts[places.index(-1)]
    assert places == sorted(places)


def test_each_move_says_tool_stop_strain_and_what_is_measured_again() -> None:
    told = said(sheet(measured()))
    for words in (
        "dead blow mallet over the form block", "Stop at 90 deg: G-02 reads 89.1 to 90.9 deg",
        "Push it to 93.2 deg (3.2 deg past the target, 6.1 deg from where it stands)", "Accumulated strain",
        "bend of upper with a magnifying glass", "J. Heron", "finer gauge", "scrap, or a person decides",
        "Not compared with a real formed part",
    ):  # fmt: skip
        assert words in told, words


def test_the_sheet_accepts_nothing_and_defers_to_the_shop() -> None:
    told = said(sheet(measured()))
    assert "The shop's procedures and the tools' manuals come first" in told
    assert "this list accepts nothing" in told
    assert "airworthy" not in told.lower()


@pytest.mark.parametrize("paper", ["letter", "a4"])
@pytest.mark.parametrize(("part", "press"), [("Q7-2301-1", "P1"), ("Q7-3205-1", "P2"), ("Q7-2102-1", "P1")])
def test_nothing_is_printed_past_the_page(part: str, press: str, paper: str) -> None:
    made = sheet(expected_handwork(sample_plan(part, press)), paper, part, press)
    assert [outside(page) for page in made.pages] == [[]] * len(made.pages)
    assert [outside(page) for page in sheet(measured(), paper).pages] == [[]] * len(sheet(measured(), paper).pages)


def test_the_packet_has_the_expected_list_with_a_press_and_not_without() -> None:
    with_press, without = sample_plan("Q7-2301-1", "P1"), sample_plan("Q7-2301-1", "")
    made = {d.name: d for d in packet_sheets(with_press, sample_identity(with_press), "letter")}
    assert set(made) <= set(SHEET_NAMES)
    assert "before the press: measure the piece first" in said(made["hand-finishing"])
    assert "hand-finishing" not in [d.name for d in packet_sheets(without, sample_identity(without), "letter")]


def test_an_empty_list_is_no_sheet_of_the_packet(monkeypatch: pytest.MonkeyPatch) -> None:
    from ribwright.documents import sheets

    plan = sample_plan("Q7-2301-1", "P2")
    empty = replace(expected_handwork(plan), moves=(), beyond=(), look=())
    monkeypatch.setattr(sheets, "expected_handwork", lambda _: empty)
    assert "hand-finishing" not in [d.name for d in packet_sheets(plan, sample_identity(plan), "letter")]


def test_the_screen_tells_the_same_in_the_same_order() -> None:
    told = lines(measured(), "in")
    heads = [x.strip() for x in told if x.strip()[:2] in ("1.", "2.", "3.")]
    assert [h.split(" by ")[0] for h in heads] == [
        "1. flatten the web",
        "2. set the flange closed",
        "3. trim the edge to its line",
    ]
    assert told[0] == "Hand-finishing list: 3 moves, 18 min"  # 6 + 2 x 1.5 + 3 of the shop, 3 x 2 to measure again
    assert any("hole position, hole L2" in x and "person decides" in x for x in told)


def test_what_is_not_known_is_said_so_on_both() -> None:
    plan = sample_plan("Q7-2301-1")
    silent = replace(
        plan,
        job=replace(
            plan.job, shop=replace(plan.job.shop, hand_times={}, rules=replace(plan.job.shop.rules, rework_by=""))
        ),
    )
    hands = handwork(silent, MEASURED)
    assert "minutes not known" in lines(hands, "in")[0]
    for told in (" ".join(lines(hands, "in")), said(sheet(hands))):
        assert "not named in shop.toml" in told
    assert "not known" in said(sheet(hands))


def test_nothing_to_do_is_one_line() -> None:
    plan = sample_plan("Q7-2301-1")
    good = [row("flange_angle", 90.1, 90.0, {"edge": "upper", "along_mm": 60.0}, 1.0, "deg")]
    assert lines(handwork(plan, good), "in")[-1].strip() == "Nothing to move."


def test_the_piece_that_was_measured_is_named_on_its_sheet() -> None:
    plan = sample_plan("Q7-2301-1")
    told = said(
        handwork_sheet.document(plan, sample_identity(plan), "a4", measured(), ("001", "L-0247", "FB-1", "2031-03-12"))
    )
    assert all(word in told for word in ("001", "L-0247", "FB-1", "2031-03-12", "measured on"))


def test_each_place_has_its_own_amount_so_that_none_is_set_by_the_worst_one() -> None:
    told = said(sheet(measured()))
    assert "It stands at 87.1 deg there. By place: 2.4 deg at 2.4 in (60 mm), 2.9 deg at 5.9 in (150 mm)." in told
    assert "It stands at 0.665 in (16.90 mm)." in told


def test_of_many_places_the_ends_and_the_worst_are_told_and_how_many_lie_between() -> None:
    many = [
        row("flange_angle", 87.5 - (i == 4), 90.0, {"edge": "upper", "along_mm": 30.0 * i}, 1.0, "deg")
        for i in range(1, 10)
    ]
    told = " ".join(lines(handwork(sample_plan("Q7-2301-1"), many), "mm"))
    assert (
        "2.5 deg at 30 mm (1.2 in), 3.5 deg at 120 mm (4.7 in), 2.5 deg at 270 mm (10.6 in), and 6 places between"
        in told
    )


def test_a_place_is_told_from_the_end_that_its_edge_starts_at() -> None:
    hands = measured()
    for told in (said(sheet(hands)), " ".join(lines(hands, "in"))):
        assert "edge upper, 2.4 in (60 mm) to 5.9 in (150 mm) from the REAR end, most at 5.9 in (150 mm)" in told
        assert "edge lower, at 3.9 in (100 mm) from the FRONT end" in told


def test_the_plan_bears_the_number_of_each_move_at_its_place_and_a_letter_where_hands_do_not_help() -> None:
    plan, hands = sample_plan("Q7-2301-1"), measured()
    drawn = hand_picture(plan, hands, 187.0)
    words = [i.text for i in drawn.items if isinstance(i, Text)]
    placed = [str(m.order) for m in hands.moves if "edge" in m.where or "hole" in m.where]
    letters = [letter_of(k) for k in range(len(hands.beyond))]
    assert placed
    assert letters == ["A"]
    assert sorted(w for w in words if w in {*placed, *letters}) == sorted([*placed, *letters])
    assert words.count("0") == 4  # a start mark an edge
    assert {"upper", "lower", "front", "rear"} <= set(words)


def test_nobody_signs_after_the_work_and_a_name_is_no_permission() -> None:
    told = said(sheet(measured()))
    assert "REWORK ALLOWED BY" not in told
    assert told.index("Rework may be allowed by: J. Heron") < told.index("Set the flange closed")
    assert told.count("allowed by") == 2  # the sentence and its box


def test_a_flange_that_the_blocks_wall_stops_is_not_told_to_be_struck_home_on_it() -> None:
    hands = measured()
    past = replace(hands.moves[1], tool=PAST_WALL.format(90.4), cautions=(CLAMPED, EDGES))
    told = said(sheet(replace(hands, moves=(past,))))
    assert "stops the flange short" in told
    assert "clamp the web on the block with this bend standing free just past the block's edge" in told
    assert "Set it on the block" not in told
    assert "Keep the web clamped flat up to the bend" in told


@pytest.mark.parametrize("paper", ["letter", "a4"])
@pytest.mark.parametrize(("part", "press"), [("Q7-2301-1", "P2"), ("Q7-3205-1", "P3"), ("Q7-2105-1", "P2")])
def test_the_plan_can_be_read(part: str, press: str, paper: str) -> None:
    plan = sample_plan(part, press)
    made = sheet(handwork(plan, inspection_of(plan).judged), paper, part, press)
    assert [outside(page) for page in made.pages] == [[]] * len(made.pages)
    assert [unreadable(page) for page in made.pages] == [[]] * len(made.pages)
