"""Drafts: nothing typed is lost, nobody writes over anybody, a file is whole or as it was."""

from __future__ import annotations

import os
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ribwright.adapters.data_folder import DataFolder
from ribwright.errors import Clash, InputError, Missing
from ribwright.wiring import DraftTexts
from ribwright.work.drafts import MOST_STEP_BYTES, MOST_STEPS, Draft, Drafts, Stale, digest, step
from served import SMALL

WIDER = [{"op": "set", "path": "flange.skin.width", "typed": "20.0"}]


@pytest.fixture
def drafts(tmp_path: Path) -> Drafts:
    return _opened(tmp_path, new=True)


def _opened(data: Path, new: bool = False) -> Drafts:
    shelf = DataFolder(data)
    made = Drafts(shelf, DraftTexts())
    if new:
        shelf.make_shop("mine", {"shop.toml": b'units = "mm"\nname = "mine"\n'})
        made.new("mine", "S-1", SMALL, "", "")
    return made


def _file(d: Drafts) -> str:
    return d.shelf.read("mine", "S-1.part.toml").decode()


def test_a_new_part_is_its_file_and_has_nothing_to_undo(drafts: Drafts) -> None:
    view = drafts.view("mine", "S-1")
    assert view["text"] == SMALL == _file(drafts)
    assert (view["saved"], view["can_undo"], view["can_redo"], view["faults"]) == (True, False, False, [])
    assert view["sketch"]["loops"][0]["name"] == "web"


def test_an_edit_changes_the_draft_and_not_the_file_until_it_is_saved(drafts: Drafts) -> None:
    view = drafts.edit("mine", "S-1", drafts.view("mine", "S-1")["revision"], WIDER)
    assert "width = 20.0" in view["text"]
    assert view["saved"] is False
    assert _file(drafts) == SMALL
    saved = drafts.save("mine", "S-1", view["revision"])
    assert saved["saved"] is True
    assert _file(drafts) == view["text"]


def test_undo_and_redo_walk_through_every_step_also_after_the_server_was_started_again(
    drafts: Drafts, tmp_path: Path
) -> None:
    texts = [SMALL]
    view = drafts.view("mine", "S-1")
    for width in ("16.0", "17.0", "18.0"):
        view = drafts.edit(
            "mine", "S-1", view["revision"], [{"op": "set", "path": "flange.skin.width", "typed": width}]
        )
        texts.append(view["text"])
    again = _opened(tmp_path)
    view = again.view("mine", "S-1")
    for text in reversed(texts[:-1]):
        view = again.undo("mine", "S-1", view["revision"])
        assert view["text"] == text
    assert (view["can_undo"], view["can_redo"], view["saved"]) == (False, True, True)
    for text in texts[1:]:
        view = again.redo("mine", "S-1", view["revision"])
        assert view["text"] == text
    assert again.redo("mine", "S-1", view["revision"])["text"] == texts[-1]


def test_a_change_after_an_undo_takes_away_what_was_undone(drafts: Drafts) -> None:
    view = drafts.edit("mine", "S-1", drafts.view("mine", "S-1")["revision"], WIDER)
    view = drafts.undo("mine", "S-1", view["revision"])
    view = drafts.write("mine", "S-1", view["revision"], SMALL + "# more\n")
    assert (view["can_undo"], view["can_redo"]) == (True, False)


def test_a_change_meant_for_an_older_revision_is_refused_with_the_draft_as_it_is(drafts: Drafts) -> None:
    first = drafts.view("mine", "S-1")["revision"]
    now = drafts.edit("mine", "S-1", first, WIDER)
    for change in (drafts.undo, drafts.redo, drafts.save, drafts.drop):
        with pytest.raises(Stale) as stale:
            change("mine", "S-1", first)
        assert stale.value.view == now
    with pytest.raises(Stale):
        drafts.write("mine", "S-1", first, "gone")
    assert drafts.view("mine", "S-1") == now


def test_an_edit_that_cannot_be_done_changes_nothing(drafts: Drafts) -> None:
    before = drafts.view("mine", "S-1")
    with pytest.raises(InputError):
        drafts.edit("mine", "S-1", before["revision"], [*WIDER, {"op": "remove", "path": "hole[7]"}])
    assert drafts.view("mine", "S-1") == before


def test_what_an_edit_left_as_it_was_is_noted_with_its_answer_and_not_later(drafts: Drafts) -> None:
    rivets = '[[rivets]]\nedge = "front"\npitch = 20.0\nedge_distance = 8.0\ndiameter = 3.2\n'
    view = drafts.write("mine", "S-1", drafts.view("mine", "S-1")["revision"], SMALL + rivets)
    split = [{"op": "split", "path": "web.edge[1]", "at": [40.0, 0.0]}]
    view = drafts.edit("mine", "S-1", view["revision"], split)
    assert any("rivets" in note for note in view["notes"])
    assert 'name = "front 2"' in view["text"]
    assert not any("rivets" in note for note in drafts.view("mine", "S-1")["notes"])


def test_dropping_goes_back_to_the_file_and_can_be_undone(drafts: Drafts) -> None:
    wide = drafts.edit("mine", "S-1", drafts.view("mine", "S-1")["revision"], WIDER)
    dropped = drafts.drop("mine", "S-1", wide["revision"])
    assert (dropped["text"], dropped["saved"]) == (SMALL, True)
    assert drafts.undo("mine", "S-1", dropped["revision"])["text"] == wide["text"]


def test_a_draft_without_changes_follows_its_file_and_keeps_its_steps(drafts: Drafts) -> None:
    view = drafts.edit("mine", "S-1", drafts.view("mine", "S-1")["revision"], WIDER)
    view = drafts.save("mine", "S-1", view["revision"])
    by_hand = SMALL + "# by hand\n"
    drafts.shelf.write("mine", "S-1.part.toml", by_hand.encode())
    now = drafts.view("mine", "S-1")
    assert (now["text"], now["saved"], now["file_changed"]) == (by_hand, True, False)
    assert now["revision"] != view["revision"]
    assert drafts.undo("mine", "S-1", now["revision"])["text"] == view["text"]


def test_a_file_that_was_changed_beside_the_draft_is_not_written_over_unasked(drafts: Drafts) -> None:
    view = drafts.edit("mine", "S-1", drafts.view("mine", "S-1")["revision"], WIDER)
    drafts.shelf.write("mine", "S-1.part.toml", b"# by hand\n")
    assert drafts.view("mine", "S-1")["file_changed"] is True
    with pytest.raises(Stale):
        drafts.save("mine", "S-1", view["revision"])
    assert _file(drafts) == "# by hand\n"
    saved = drafts.save("mine", "S-1", view["revision"], over=True)
    assert _file(drafts) == saved["text"] == view["text"]


def test_a_draft_whose_file_went_away_is_still_there_and_can_be_saved(drafts: Drafts, tmp_path: Path) -> None:
    view = drafts.edit("mine", "S-1", drafts.view("mine", "S-1")["revision"], WIDER)
    (tmp_path / "mine" / "S-1.part.toml").unlink()
    assert drafts.view("mine", "S-1")["text"] == view["text"]
    drafts.save("mine", "S-1", view["revision"], over=True)
    assert _file(drafts) == view["text"]


def test_a_save_that_fails_leaves_file_and_draft_as_they_were(
    drafts: Drafts, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    view = drafts.edit("mine", "S-1", drafts.view("mine", "S-1")["revision"], WIDER)

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space"):
        drafts.save("mine", "S-1", view["revision"])
    monkeypatch.undo()
    assert _file(drafts) == SMALL
    assert drafts.view("mine", "S-1") == view
    assert [p.name for p in (tmp_path / "mine").iterdir() if p.name.endswith(".part")] == []


def test_a_kept_draft_that_is_none_is_passed_over(drafts: Drafts, tmp_path: Path) -> None:
    drafts.edit("mine", "S-1", drafts.view("mine", "S-1")["revision"], WIDER)
    for broken in ("", "{", "[]", '{"text": 1}', '{"text": "x", "count": 1, "base": "", "undo": [[1]], "redo": []}'):
        (tmp_path / "mine" / ".drafts" / "S-1.json").write_text(broken)
        assert drafts.view("mine", "S-1")["text"] == SMALL


def test_a_name_that_is_taken_is_refused_in_whatever_letter_case(drafts: Drafts) -> None:
    for name in ("S-1", "s-1"):
        with pytest.raises(Clash):
            drafts.new("mine", name, None, "mm", "")
    with pytest.raises(Missing, match=r"did you mean 'S-1\.part\.toml'"):
        drafts.view("mine", "S-11")


def test_a_part_to_begin_with_says_what_is_still_missing(drafts: Drafts) -> None:
    view = drafts.new("mine", "new one", None, "in", 'N"1\\')
    assert view["text"].startswith('units = "in"')
    assert any(f["key"].startswith("web.edge") for f in view["faults"])
    assert not any("line" in f["key"] for f in view["faults"])  # it is TOML


def test_names_that_the_shop_does_not_know_are_faults_of_the_draft(drafts: Drafts) -> None:
    view = drafts.write("mine", "S-1", drafts.view("mine", "S-1")["revision"], SMALL.replace("2024-T3", "2024-T33"))
    (fault,) = view["faults"]
    assert (fault["key"], fault["nearest"]) == ("sheet.material", "2024-T3")
    assert fault["line"] == 8


def test_faults_of_the_shop_file_are_shown_with_its_name(drafts: Drafts) -> None:
    drafts.shelf.write("mine", "shop.toml", b'units = "ft"\nname = "mine"\n')
    (fault,) = drafts.view("mine", "S-1")["faults"]
    assert (fault["file"], fault["key"]) == ("shop.toml", "units")


@given(st.text(max_size=40), st.text(max_size=40))
def test_a_step_is_the_stretch_that_differs_and_leads_back_and_forth(old: str, new: str) -> None:
    at, was, now = step(old, new)
    assert old[:at] + now + old[at + len(was) :] == new
    assert new[:at] + was + new[at + len(now) :] == old
    d = Draft(old, 0, digest(old)).changed(new)
    if old != new:
        assert d.undone().text == old
        assert d.undone().redone().text == new
        assert not (was and now and (was[0] == now[0] or was[-1] == now[-1]))


def test_steps_are_bounded_and_the_oldest_go() -> None:
    d = Draft("", 0, digest(""))
    for n in range(MOST_STEPS + 20):
        d = d.changed(str(n))
    assert len(d.undo) == MOST_STEPS
    for _ in range(MOST_STEPS):
        d = d.undone()
    assert d.text == "19"


def test_the_view_tells_that_a_file_beside_the_part_has_changed(drafts: Drafts) -> None:
    before = drafts.view("mine", "S-1")["beside"]
    assert drafts.view("mine", "S-1")["beside"] == before
    (drafts.shelf.folder("mine") / "upper.csv").write_text("x, y\n0, 0\n")
    assert drafts.view("mine", "S-1")["beside"] != before


def test_steps_are_bounded_by_their_text_too_and_the_last_always_stays() -> None:
    d = Draft("", 0, digest(""))
    for sign in "abcdef":
        d = d.changed(sign * 1_000_000)
    # five steps take two million bytes each, from one text to the next
    assert len(d.undo) == MOST_STEP_BYTES // 2_000_000
    assert d.undone().text == "e" * 1_000_000
    d = d.changed("ä" * MOST_STEP_BYTES)
    assert len(d.undo) == 1


def test_of_two_that_make_the_same_part_at_once_one_is_told_that_the_name_is_taken(drafts: Drafts) -> None:
    def make(n: int) -> str:
        name = ("S-2", "s-2")[n % 2]
        text = f"{SMALL}# {n}\n"
        try:
            return str(drafts.new("mine", name, text, "", "")["text"])
        except Clash:
            return ""

    with ThreadPoolExecutor(8) as pool:
        made = [text for text in pool.map(make, range(16)) if text]
    (name,) = (p for p in drafts.shelf.parts("mine") if p != "S-1")
    assert made == [drafts.shelf.read("mine", f"{name}.part.toml").decode()]
