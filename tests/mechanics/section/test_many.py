"""Runs side by side: order, cancelling, errors."""

from __future__ import annotations

import threading
import time
from threading import Event

import pytest

from ribwright.mechanics.section.many import Cancelled, run_all


def test_results_come_in_the_order_of_the_runs_whatever_order_they_end_in() -> None:
    def run(i: int) -> int:
        time.sleep(0.02 * (3 - i))
        return i

    assert run_all([lambda i=i: run(i) for i in range(4)], threads=4) == [0, 1, 2, 3]
    assert run_all([], threads=4) == []


def test_two_runs_are_under_way_at_once() -> None:
    meeting = threading.Barrier(2, timeout=5.0)
    assert run_all([lambda: meeting.wait() >= 0] * 2, threads=2) == [True, True]


def test_progress_counts_up_to_all() -> None:
    seen: list[tuple[int, int]] = []

    def on_done(done: int, whole: int) -> bool:
        seen.append((done, whole))
        return True

    run_all([lambda: None] * 5, on_done=on_done)
    assert seen[-1] == (5, 5)
    assert [d for d, _ in seen] == sorted(d for d, _ in seen)


def test_a_no_drops_what_has_not_begun() -> None:
    begun: list[int] = []

    def run(i: int) -> None:
        begun.append(i)
        time.sleep(0.05)

    with pytest.raises(Cancelled):
        run_all([lambda i=i: run(i) for i in range(20)], threads=2, on_done=lambda done, _: done < 2)
    assert len(begun) < 8


def test_runs_that_have_begun_hear_of_the_stop_before_they_are_waited_for() -> None:
    stop = Event()

    def run() -> None:
        assert stop.wait(20.0)

    def interrupted(done: int, whole: int) -> bool:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        run_all([run, run], threads=2, on_done=interrupted, on_stop=stop.set)
    assert stop.is_set()


def test_the_error_of_a_run_is_raised() -> None:
    def fails() -> None:
        raise ValueError("no")

    with pytest.raises(ValueError, match="no"):
        run_all([lambda: None, fails, lambda: None])
