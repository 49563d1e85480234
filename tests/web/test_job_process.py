"""A process of jobs: it answers, tells, stops when told, may die, and ends with its server."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

import job_work
from ribwright.adapters.job_process import JobProcess
from ribwright.ports import JobAsk


@pytest.fixture(scope="module")
def process() -> Iterator[JobProcess]:
    made = JobProcess(job_work.do, job_work.warm, grace_s=3.0)
    yield made
    made.close()


def _ask(kind: str) -> JobAsk:
    return JobAsk("S-1.part.toml", '{"whole":true}', ".", kind, {})


def _nothing(_: dict[str, Any]) -> None:
    pass


def _cancelled_on_word(process: JobProcess, kind: str) -> Any:
    """The end of a job that is cancelled as soon as it tells something."""
    return process.run(_ask(kind), lambda _: threading.Timer(0.2, process.cancel).start())


def test_an_order_is_answered_with_its_files_and_told_about(process: JobProcess) -> None:
    heard: list[dict[str, Any]] = []
    end = process.run(_ask("answer"), heard.append)
    assert (end.outcome, end.answer, len(end.files["a.txt"])) == ("made", b'{"whole":true}', 3_000_000)
    assert heard == [{"words": "begun", "done": 1, "of": 2, "early": {"soon": True}}]


def test_wrong_input_no_answer_and_what_nobody_foresaw_are_ends_like_others(process: JobProcess) -> None:
    pid = process.pid
    assert process.run(_ask("wrong"), _nothing).faults[0].key == "key"
    assert "no balance" in process.run(_ask("unfinished"), _nothing).words
    broken = process.run(_ask("?"), _nothing)
    assert (broken.outcome, "nobody foresaw" in broken.words) == ("broken", True)
    assert process.pid == pid


def test_a_cancelled_order_hands_over_what_it_had_and_the_process_goes_on(process: JobProcess) -> None:
    pid = process.pid
    end = _cancelled_on_word(process, "wait")
    assert (end.outcome, end.answer) == ("cancelled", b'{"half":true}')
    assert process.run(_ask("answer"), _nothing).outcome == "made"
    assert process.pid == pid


def test_an_order_that_does_not_stop_ends_with_its_process_and_another_takes_its_place(process: JobProcess) -> None:
    pid = process.pid
    assert _cancelled_on_word(process, "deaf").outcome == "died"
    assert process.run(_ask("answer"), _nothing).outcome == "made"
    assert process.pid != pid


def test_a_cancel_in_the_middle_of_a_message_lets_it_end(process: JobProcess) -> None:
    pid = process.pid
    for _ in range(5):
        heard: list[int] = []

        def slow(told: dict[str, Any], heard: list[int] = heard) -> None:
            heard.append(told["done"])
            if len(heard) == 3:
                process.cancel()
            time.sleep(0.05)  # the process has to wait in the middle of its next message

        end = process.run(_ask("talk"), slow)
        assert (end.outcome, end.answer) == ("cancelled", b'{"half":true}')
        assert len(heard) >= 3
    assert process.run(_ask("answer"), _nothing).outcome == "made"
    assert process.pid == pid


def test_a_process_whose_words_cannot_be_read_is_replaced(process: JobProcess) -> None:
    pid = process.pid
    end = process.run(_ask("garble"), _nothing)
    assert (end.outcome, "could not be understood" in end.words) == ("died", True)
    assert process.run(_ask("answer"), _nothing).outcome == "made"
    assert process.pid != pid
    assert os.name == "nt" or not _lives(pid)


def test_where_no_process_can_be_started_the_order_has_died_and_the_next_tries_again(
    process: JobProcess, monkeypatch: pytest.MonkeyPatch
) -> None:
    def none() -> None:
        raise OSError(11, "no more processes")

    with monkeypatch.context() as m:
        m.setattr(process, "_start", none)
        assert process.run(_ask("die"), _nothing).outcome == "died"
        assert process.run(_ask("answer"), _nothing).outcome == "died"
    assert process.run(_ask("answer"), _nothing).outcome == "made"


def test_a_cancel_of_nothing_stops_no_later_order(process: JobProcess) -> None:
    process.cancel()
    assert process.run(_ask("answer"), _nothing).outcome == "made"


def test_a_process_that_dies_by_itself_or_is_killed_is_replaced(process: JobProcess) -> None:
    assert process.run(_ask("die"), _nothing).outcome == "died"
    assert process.run(_ask("answer"), _nothing).outcome == "made"
    os.kill(process.pid, signal.SIGKILL if hasattr(signal, "SIGKILL") else signal.SIGTERM)
    time.sleep(0.5)
    assert process.run(_ask("answer"), _nothing).outcome == "made"


@pytest.mark.skipif(os.name == "nt", reason="signals of another system")
def test_ctrl_c_at_the_terminal_does_not_end_it(process: JobProcess) -> None:
    assert process.run(_ask("answer"), _nothing).outcome == "made"
    pid = process.pid
    os.kill(pid, signal.SIGINT)
    assert process.run(_ask("answer"), _nothing).outcome == "made"
    assert process.pid == pid


@pytest.mark.skipif(os.name == "nt", reason="signals of another system")
def test_it_ends_when_its_server_is_killed() -> None:
    program = (
        "import job_work, time\n"
        "from ribwright.adapters.job_process import JobProcess\n"
        "if __name__ == '__main__':\n"
        "    p = JobProcess(job_work.do, job_work.warm); print(p.pid, flush=True); time.sleep(60)\n"
    )
    tests = Path(__file__).parents[1]
    server = subprocess.Popen(
        [sys.executable, "-c", program], stdout=subprocess.PIPE, env=os.environ | {"PYTHONPATH": str(tests)}, text=True
    )
    assert server.stdout is not None
    pid = int(server.stdout.readline())
    time.sleep(1.0)
    assert _lives(pid)
    server.kill()
    server.wait()
    for _ in range(50):
        if not _lives(pid):
            return
        time.sleep(0.1)
    pytest.fail("the process is still there")


def _lives(pid: int) -> bool:
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    stat = Path(f"/proc/{pid}/stat")
    # a dead process that nobody has asked after yet is dead
    return not (stat.exists() and stat.read_text().rpartition(")")[2].split()[0] == "Z")
