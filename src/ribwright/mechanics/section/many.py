"""Many runs of the section model side by side: the compiled walk lets go of the interpreter, so threads share the cores."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait
from typing import TypeVar

Made = TypeVar("Made")
TICK_S = 0.2  # how often a waiting caller looks up: a cancelled run ends within it and one step of a ramp


class Cancelled(Exception):
    """The caller asked to stop; nothing of the list is answered."""


def run_all(
    runs: Sequence[Callable[[], Made]],
    threads: int = 2,
    on_done: Callable[[int, int], bool] | None = None,
    on_stop: Callable[[], None] | None = None,
) -> list[Made]:
    """Results of the runs, in their order. `on_done(done, all)` after every run and every tick may answer False to stop:
    what has not begun is dropped and `Cancelled` raised. The first error of a run is raised; the others are dropped.
    `on_stop()`, before the runs that have begun are waited for, may have them end sooner."""
    if not runs:
        return []
    with ThreadPoolExecutor(max(1, min(threads, len(runs)))) as pool:
        futures: list[Future[Made]] = [pool.submit(run) for run in runs]
        left: set[Future[Made]] = set(futures)
        try:
            while left:
                done, left = wait(left, TICK_S, FIRST_COMPLETED)
                for future in done:
                    future.result()
                if on_done is not None and not on_done(len(runs) - len(left), len(runs)):
                    raise Cancelled
        except BaseException:
            for future in left:
                future.cancel()
            if on_stop is not None:
                on_stop()
            raise
        return [future.result() for future in futures]
