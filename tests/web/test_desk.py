"""The desk of jobs: two alike are one, what is kept is not computed again, whatever happens has an end."""

from __future__ import annotations

import json
import threading
import time
from collections.abc import Callable, Iterator
from io import BytesIO
from pathlib import Path
from typing import Any
from zipfile import ZipFile

import pytest

from ribwright.adapters.draft_files import DraftJobFiles
from ribwright.adapters.kept_results import KeptResults
from ribwright.documents.solid_model import MadeSolid, SolidModel
from ribwright.errors import InputError, Missing
from ribwright.ports import JobAsk, JobEnd
from ribwright.stages.develop import DEFAULT
from ribwright.web.jobs_api import _text
from ribwright.wiring import DraftTexts, PaperWriters
from ribwright.work.desk import CANCELLED, DONE, FAILED, LONG, MOST_WAITING, PLANS, QUICK, Desk, Full, Job, lane_of
from ribwright.work.jobs import KINDS, Order, kind_of
from ribwright.work.jobs.doing import done
from ribwright.work.jobs.keys import key_of
from served import SMALL, Served, served, with_small


class Held:
    """A worker that does nothing until it is let go, then answers; a cancel lets it go too."""

    def __init__(self) -> None:
        self.go, self.asked = threading.Event(), []
        self.end: Callable[[JobAsk, str], JobEnd] = lambda ask, key: JobEnd(
            "made", key, b'{"n":1}', 1, "in", {"a.txt": b"abc"}
        )
        self.cancelled = False

    def run(self, ask: JobAsk, tell: Callable[[dict[str, Any]], None]) -> JobEnd:
        self.asked.append(ask)
        tell({"words": "at it", "done": 1, "of": 3, "early": {"quick": 1}})
        assert self.go.wait(20.0)
        if self.cancelled:
            self.cancelled = False
            return JobEnd("cancelled", answer=b'{"half":true}')
        files = DraftTexts().files(ask.text, Path(ask.folder))
        key = key_of(files, kind_of(ask.kind, ask.options), Order(Path(ask.part), None, ask.options))
        return self.end(ask, key)

    def cancel(self) -> None:
        self.cancelled = True
        self.go.set()

    def close(self) -> None:
        self.go.set()


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "shop.toml").write_text('units = "mm"\nname = "mine"\n')
    return tmp_path / "mine"


@pytest.fixture
def held() -> Held:
    return Held()


@pytest.fixture
def desk(shop: Path, held: Held) -> Iterator[Desk]:
    made = Desk(lambda lane: held if lane == QUICK else Held(), KeptResults(shop.parent))
    yield made
    held.go.set()
    made.close()


def _take(desk: Desk, shop: Path, text: str = SMALL, kind: str = "plan", **options: str) -> Job:
    return desk.take(JobAsk("S-1.part.toml", text, str(shop), kind, options), DraftTexts().files(text, shop))


def _until(desk: Desk, job: Job, *states: str) -> Job:
    for _ in range(400):
        if desk.job(job.id).state in states:
            return desk.job(job.id)
        time.sleep(0.02)
    raise AssertionError(desk.job(job.id).state)


def test_a_job_tells_how_far_it_is_and_then_what_came_of_it(desk: Desk, shop: Path, held: Held) -> None:
    heard = threading.Event()
    job = _take(desk, shop)
    stop = desk.listen(job.id, heard.set)
    job = _until(desk, job, "running")
    while desk.job(job.id).words == "begun":
        time.sleep(0.01)
    job = desk.job(job.id)
    assert (job.words, job.done, job.of, job.early) == ("at it", 1, 3, {"quick": 1})
    held.go.set()
    job = _until(desk, job, DONE)
    assert heard.is_set()
    stop()
    assert (job.status, job.files, desk.answer(job)) == (1, (("a.txt", 3),), b'{"n":1}')
    assert desk.file(job, "a.txt") == b"abc"
    with pytest.raises(Missing):
        desk.file(job, "b.txt")


def test_two_alike_that_are_on_their_way_are_one_job(desk: Desk, shop: Path, held: Held) -> None:
    first = _take(desk, shop)
    assert _take(desk, shop).id == first.id
    assert _take(desk, shop, SMALL + "\n# a comment is no other part\n").id == first.id
    other = _take(desk, shop, method="handbook")
    assert other.id != first.id
    held.go.set()
    _until(desk, first, DONE)
    _until(desk, other, DONE)
    assert len(held.asked) == 2


def test_a_kept_result_is_there_at_once_also_after_the_server_was_started_again(
    desk: Desk, shop: Path, held: Held
) -> None:
    held.go.set()
    _until(desk, _take(desk, shop), DONE)
    again = Desk(lambda lane: Held(), KeptResults(shop.parent))
    job = _take(again, shop)
    assert (job.state, job.kept, again.answer(job), again.file(job, "a.txt")) == (DONE, True, b'{"n":1}', b"abc")
    again.close()


def test_what_was_typed_is_part_of_the_key_and_comments_are_not(shop: Path) -> None:
    def key(text: str, **options: str) -> str:
        return key_of(
            DraftTexts().files(text, shop), kind_of("plan", options), Order(Path("S-1.part.toml"), None, options)
        )

    base = key(SMALL)
    assert key("# so\n" + SMALL) == base
    assert key(SMALL, model="", method="default") == base
    assert key(SMALL.replace("thickness = 1.0", "thickness = 1.00")) != base  # papers print it as typed
    assert key(SMALL.replace("1.0\n", "1.1\n")) != base
    assert key(SMALL, method="handbook") != base
    (shop / "shop.toml").write_text('units = "in"\nname = "mine"\n')
    assert key(SMALL) != base


def test_a_packet_with_the_solid_kernel_is_another_than_one_without(
    shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def keys() -> list[str]:
        orders = [(kind_of(k, {}), Order(Path("S-1.part.toml"))) for k in ("packet", "plan")]
        return [key_of(DraftTexts().files(SMALL, shop), kind, order) for kind, order in orders]

    monkeypatch.setattr("ribwright.adapters.kernel_there.kernel_installed", lambda: True)
    packet, plan = keys()
    monkeypatch.setattr("ribwright.adapters.kernel_there.kernel_installed", lambda: False)
    assert keys()[0] != packet
    assert keys()[1] == plan


class Falls:
    """A solid kernel that falls over, or refuses."""

    def __init__(self, passing: bool) -> None:
        self.passing = passing

    def installed(self) -> bool:
        return True

    def start(self, model: SolidModel, kind: str) -> Falls:
        return self

    def finish(self) -> MadeSolid:
        return MadeSolid(None, 1.0, refused="it fell", passing=self.passing)

    def cancel(self) -> None:
        """Nothing runs."""


@pytest.mark.parametrize("passing", [True, False])
def test_a_packet_whose_solid_was_refused_for_a_reason_that_passes_is_not_found_again(
    shop: Path, passing: bool
) -> None:
    files = DraftJobFiles(SMALL, shop, PaperWriters(), Falls(passing))
    ask = JobAsk("S-1.part.toml", SMALL, str(shop), "packet", {})
    end = done(ask, files, lambda *_, **__: None)
    asked = key_of(files, kind_of("packet", {}), Order(Path(ask.part)))
    assert (end.outcome, "answers.json" in end.files, len(end.key)) == ("made", True, 32)
    assert (end.key != asked) == passing


def test_wrong_input_is_a_failed_job_with_every_fault(desk: Desk, shop: Path) -> None:
    job = _take(desk, shop, SMALL.replace("15.0", "-15.0").replace("80.0, 50.0", "80.0"))
    assert (job.state, len(job.faults)) == (FAILED, 2)
    job = _take(desk, shop, press="P9")
    assert (job.state, job.faults[0].key) == (FAILED, "press")


@pytest.mark.parametrize("name", KINDS)
def test_each_kind_lies_in_the_file_of_its_name(name: str) -> None:
    assert kind_of(name, {}).name == name


def test_the_method_of_an_order_that_names_none_is_the_default_of_the_plan() -> None:
    assert Order(Path("S-1.part.toml")).request().method == DEFAULT


def test_a_kind_or_an_option_that_is_none_is_refused(desk: Desk, shop: Path) -> None:
    with pytest.raises(InputError, match="did you mean 'plan'"):
        _take(desk, shop, kind="plans")
    with pytest.raises(InputError, match="did you mean 'press'"):
        _take(desk, shop, pres="P2")


def test_a_job_that_waits_is_cancelled_at_once_and_never_begun(desk: Desk, shop: Path, held: Held) -> None:
    first = _take(desk, shop)
    waiting = _take(desk, shop, method="handbook")
    assert desk.cancel(waiting.id).state == CANCELLED
    held.go.set()
    _until(desk, first, DONE)
    time.sleep(0.1)
    assert len(held.asked) == 1


def test_a_job_that_runs_is_cancelled_and_what_it_had_is_shown_and_not_kept(desk: Desk, shop: Path) -> None:
    job = _until(desk, _take(desk, shop), "running")
    desk.cancel(job.id)
    job = _until(desk, job, CANCELLED)
    assert (desk.answer(job), job.status) == (b'{"half":true}', 3)
    assert KeptResults(shop.parent).found(job.key) is None
    assert _take(desk, shop).id != job.id


def test_a_job_whose_process_died_has_failed_with_a_sentence_and_the_next_is_done(
    desk: Desk, shop: Path, held: Held
) -> None:
    answers = held.end
    held.end = lambda ask, key: JobEnd("died")
    held.go.set()
    job = _until(desk, _take(desk, shop), FAILED)
    assert "ended while at work" in job.faults[0].sentence()
    held.end = answers
    assert _until(desk, _take(desk, shop), DONE).status == 1


def test_a_result_that_cannot_be_kept_is_shown_all_the_same(shop: Path, held: Held) -> None:
    class FullDisk(KeptResults):
        def keep(self, *_: Any, **__: Any) -> None:
            raise OSError(28, "No space left on device")

    desk = Desk(lambda lane: held, FullDisk(shop.parent))
    held.go.set()
    job = _until(desk, _take(desk, shop), DONE)
    assert desk.answer(job) == b'{"n":1}'
    assert "No space" in job.words
    desk.close()


def test_the_same_question_about_an_older_text_is_dropped_when_nobody_listens(
    desk: Desk, shop: Path, held: Held
) -> None:
    running = _until(desk, _take(desk, shop), "running")
    stop = desk.listen(running.id, lambda: None)
    followed = _take(desk, shop, SMALL.replace("15.0", "16.0"))
    stop_too = desk.listen(followed.id, lambda: None)
    _take(desk, shop, SMALL.replace("15.0", "17.0"))
    assert not desk.job(running.id).over
    stop()
    stop_too()
    newest = _take(desk, shop, SMALL.replace("15.0", "18.0"))
    assert desk.job(followed.id).state == CANCELLED
    _until(desk, running, CANCELLED)
    held.go.set()
    assert _until(desk, newest, DONE)


def test_more_jobs_than_are_taken_are_refused(desk: Desk, shop: Path) -> None:
    _until(desk, _take(desk, shop), "running")
    for n in range(MOST_WAITING):
        _take(desk, shop, SMALL, kind="explain", number=f"blank.{n}")
    with pytest.raises(Full):
        _take(desk, shop, SMALL, kind="explain", number="one more")


def test_what_was_cancelled_or_superseded_waits_no_longer_and_keeps_no_place(desk: Desk, shop: Path) -> None:
    stop = desk.listen(_until(desk, _take(desk, shop), "running").id, lambda: None)
    waiting = [_take(desk, shop, kind="explain", number=f"blank.{n}") for n in range(MOST_WAITING)]
    desk.cancel(waiting[0].id)
    dropped = _take(desk, shop, SMALL.replace("15.0", "16.0"))
    # the newer text takes the place of the older one
    newest = _take(desk, shop, SMALL.replace("15.0", "17.0"))
    assert (desk.job(dropped.id).state, newest.state) == (CANCELLED, "queued")
    with pytest.raises(Full):
        _take(desk, shop, kind="explain", number="one more")
    stop()


class Raising(Held):
    """A worker that raises the first time."""

    def __init__(self, what: BaseException) -> None:
        super().__init__()
        self.what: BaseException | None = what
        self.go.set()

    def run(self, ask: JobAsk, tell: Callable[[dict[str, Any]], None]) -> JobEnd:
        what, self.what = self.what, None
        if what is not None:
            raise what
        return super().run(ask, tell)


@pytest.mark.parametrize("what", [ZeroDivisionError("by nought"), SystemExit(3), MemoryError()])
def test_whatever_a_worker_raises_its_job_has_failed_and_the_next_is_done(shop: Path, what: BaseException) -> None:
    worker = Raising(what)
    desk = Desk(lambda lane: worker, KeptResults(shop.parent))
    job = _until(desk, _take(desk, shop), FAILED)
    assert f"the program broke: {type(what).__name__}" in job.faults[0].sentence()
    assert _until(desk, _take(desk, shop), DONE).status == 1
    desk.close()


def test_a_worker_that_cannot_be_made_is_a_failed_job_and_is_made_for_the_next(shop: Path, held: Held) -> None:
    tries: list[str] = []

    def make(lane: str) -> Held:
        tries.append(lane)
        if tries.count(LONG) == 1 and lane == LONG:
            raise OSError(11, "no more processes")
        return held

    held.go.set()
    desk = Desk(make, KeptResults(shop.parent))
    job = _until(desk, _take(desk, shop, kind="forecast", pressure="7 MPa"), FAILED)
    assert "no more processes" in job.faults[0].sentence()
    assert _until(desk, _take(desk, shop, kind="forecast", pressure="7 MPa"), DONE)
    desk.close()


def test_an_end_that_cannot_be_kept_for_any_reason_is_no_end_of_the_lane(desk: Desk, shop: Path, held: Held) -> None:
    answers = held.end
    held.end = lambda ask, key: JobEnd("made", "no key", b"{}")
    held.go.set()
    assert "the program broke" in _until(desk, _take(desk, shop), FAILED).words
    held.end = answers
    assert _until(desk, _take(desk, shop), DONE)


def test_a_worker_that_does_not_listen_is_not_told_for_ever(
    desk: Desk, shop: Path, held: Held, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("ribwright.work.desk.MOST_CANCELS", 2)
    told: list[int] = []

    def deaf() -> None:
        told.append(1)
        raise OSError("the pipe is closed")

    monkeypatch.setattr(held, "cancel", deaf)
    before = set(threading.enumerate())
    job = _until(desk, _take(desk, shop), "running")
    desk.cancel(job.id)
    for thread in set(threading.enumerate()) - before:
        thread.join(10.0)
        assert not thread.is_alive()
    assert (len(told), desk.job(job.id).state) == (2, "running")


def test_jobs_that_wait_when_the_server_ends_are_cancelled(shop: Path, held: Held) -> None:
    desk = Desk(lambda lane: held, KeptResults(shop.parent))
    running = _until(desk, _take(desk, shop), "running")
    waiting = _take(desk, shop, method="handbook")
    desk.close()
    assert desk.job(waiting.id).state == CANCELLED
    assert _until(desk, running, DONE)


def test_an_answer_that_was_garbled_is_said_to_be_lost_and_made_anew(desk: Desk, shop: Path, held: Held) -> None:
    held.go.set()
    job = _until(desk, _take(desk, shop), DONE)
    (shop.parent / ".results" / job.key / "answer.json").write_bytes(b'{"n":')
    said = json.loads(_text(desk, job))
    assert (said["state"], said["result"], "not kept any longer" in said["faults"][0]["say"]) == ("failed", None, True)
    again = _take(desk, shop)
    assert not again.kept
    assert desk.answer(_until(desk, again, DONE)) == b'{"n":1}'


def test_what_is_long_does_not_keep_what_is_quick_waiting(shop: Path, held: Held) -> None:
    quick = Held()
    quick.go.set()
    desk = Desk(lambda lane: quick if lane == QUICK else held, KeptResults(shop.parent))
    long = _until(desk, _take(desk, shop, kind="forecast", pressure="7 MPa"), "running")
    assert _until(desk, _take(desk, shop), DONE)
    assert desk.job(long.id).state == "running"
    desk.close()
    held.go.set()


def test_plans_by_the_section_model_have_a_lane_of_their_own_with_what_is_opened_of_them() -> None:
    def lane(kind: str, **options: str) -> str:
        return lane_of(kind_of(kind, options), options)

    assert lane("plan") == lane("plan", press="P1", model="closed-form") == lane("explain", number="x") == QUICK
    assert (
        lane("plan", press="P1")
        == lane("explain", press="P1", model="section")
        == lane("block-view", press="P1")
        == PLANS
    )
    assert lane("forecast") == lane("packet", press="P1") == lane("explain", number="forecast.worst") == LONG


def test_a_worker_is_made_when_something_first_waits_for_it(shop: Path) -> None:
    made: list[str] = []

    def make(lane: str) -> Held:
        made.append(lane)
        worker = Held()
        worker.go.set()
        return worker

    desk = Desk(make, KeptResults(shop.parent))
    _until(desk, _take(desk, shop), DONE)
    assert made == [QUICK]
    _until(desk, _take(desk, shop, kind="forecast", pressure="7 MPa"), DONE)
    assert made == [QUICK, LONG]
    desk.close()


# ---------------------------------------------------------------- over HTTP, by the real kinds


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    with served(tmp_path_factory.mktemp("data")) as running:
        yield with_small(running)


def test_a_plan_is_the_answer_of_the_command_and_is_kept(server: Served) -> None:
    import ribwright

    job = server.job("plan")
    assert (job["state"], job["kept"]) == ("done", False)
    again = server.post("/api/jobs", {"shop": "mine", "part": "S-1", "kind": "plan", "options": {}})
    assert (again["state"], again["kept"]) == ("done", True)
    assert again["result"] == job["result"]
    said = ribwright.blank(server.data / "mine" / "S-1.part.toml")
    assert said["fingerprint"] == job["result"]["fingerprint"]
    assert said["blank"] == job["result"]["blank"]


def test_a_number_of_the_plan_opens(server: Served) -> None:
    listed = server.job("explain")["result"]["numbers"]
    path = next(n["path"] for n in listed if n["path"].startswith("blank."))
    opened = server.job("explain", {"number": path})
    assert opened["state"] == "done", opened["faults"]
    assert opened["result"]["explanation"]["path"] == path


def test_a_forecast_has_the_quick_answer_early_and_the_draft_is_what_is_computed(server: Served) -> None:
    here = server.get("/api/shops/mine/parts/S-1/draft")
    body = {"revision": here["revision"], "ops": [{"op": "set", "path": "flange.skin.width", "typed": "18.0"}]}
    view = server.post("/api/shops/mine/parts/S-1/draft/edit", body)
    assert view["saved"] is False
    job = server.job("forecast", {"pressure": "7 MPa", "forecast_model": "closed-form"})
    assert job["state"] == "done", job["faults"]
    flange = job["result"]["inputs"]["part"]["flanges"]["skin"]
    assert "18.0" in str(flange)
    refused = server.job("forecast")
    assert (refused["state"], refused["status"]) == ("failed", 2)
    assert "--pressure" in refused["faults"][0]["say"]


def test_a_packet_is_the_files_of_the_command_with_a_picture_of_each_sheet(server: Served, tmp_path: Path) -> None:
    import ribwright

    server.post(
        "/api/shops/mine/parts/S-1/draft/save", {"revision": server.get("/api/shops/mine/parts/S-1/draft")["revision"]}
    )
    job = server.job("packet", {"paper": "a4"})
    names = {f["name"] for f in job["files"]}
    ribwright.packet(server.data / "mine" / "S-1.part.toml", out=tmp_path, paper="a4")
    kept = {p.name for p in tmp_path.iterdir()}
    (zipped,) = (n for n in names if n.endswith(".zip"))
    assert {n for n in names if "/" not in n} == kept | {zipped}
    with ZipFile(BytesIO(server.ask("GET", f"/api/jobs/{job['id']}/files/{zipped}").content)) as z:
        assert {n.removeprefix("S-1-packet/") for n in z.namelist()} == kept
        assert z.read("S-1-packet/blank.dxf") == (tmp_path / "blank.dxf").read_bytes()
    assert {n for n in names if "/" in n} == {
        f"preview/{n.removesuffix('.pdf')}.svg" for n in kept if n.endswith(".pdf")
    }
    for name in ("answers.json", "blank.dxf"):
        assert server.ask("GET", f"/api/jobs/{job['id']}/files/{name}").content == (tmp_path / name).read_bytes()
    wrong = server.job("packet", {"paper": "a5"})
    assert (wrong["state"], "letter" in wrong["faults"][0]["say"]) == ("failed", True)
