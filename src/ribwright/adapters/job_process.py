"""A process of its own for jobs: it stays warm, can be cancelled, may die, and never outlives the server.

The server's side is `JobProcess`; `serve` runs in the process. Between them goes a pipe: orders and cancels one way; progress and one
last word for each order the other way. When the pipe ends the server is gone, however it went, and the process ends itself.
"""

from __future__ import annotations

import _thread
import multiprocessing
import os
import queue
import signal
import threading
import traceback
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from multiprocessing.connection import Connection
from types import FrameType
from typing import Any

from ribwright.errors import InputError, NotConverged
from ribwright.ports import JobAsk, JobEnd

Do = Callable[[JobAsk, Callable[..., None]], JobEnd]
GRACE_S = 1.5  # what a cancelled job has to stop by itself and hand over what it had


class JobProcess:
    """One process and the pipe to it. `do` does an order there, `warm` loads what it will need; both are functions of a module, which the
    process imports. `run` belongs to one thread; `cancel` and `close` to any."""

    def __init__(self, do: Do, warm: Callable[[], None], grace_s: float = GRACE_S):
        self.do, self.warm, self.grace_s = do, warm, grace_s
        self._context = multiprocessing.get_context("spawn")
        self._lock = threading.Lock()
        self._number = self._cancelled = 0
        self._running = False
        self._closed = False
        self._start()

    def _start(self) -> None:
        pipe, far = self._context.Pipe()
        process = self._context.Process(
            target=serve, args=(far, self.do, self.warm), name="ribwright jobs", daemon=True
        )
        try:
            process.start()
        except BaseException:
            pipe.close()
            raise
        finally:
            far.close()
        self._pipe, self._process = pipe, process

    @property
    def pid(self) -> int:
        """The process's number."""
        return self._process.pid or 0

    def run(self, ask: JobAsk, tell: Callable[[dict[str, Any]], None]) -> JobEnd:
        """The order done, telling of progress. A process that dies, or says what cannot be read, ends it as `died`, and another is started
        in its place; where none can be, the next order tries again."""
        try:
            return self._run(ask, tell)
        except (EOFError, OSError):
            end = JobEnd("died")
        except Exception as broken:  # what bytes that are no message raise has many names
            end = JobEnd("died", words=f"a process that could not be understood ({type(broken).__name__})")
        try:
            self._again()
        except Exception:
            traceback.print_exc()
        return end

    def _run(self, ask: JobAsk, tell: Callable[[dict[str, Any]], None]) -> JobEnd:
        if not self._process.is_alive():  # ended while it had nothing to do
            self._again()
        with self._lock:
            self._number += 1
            number = self._number
            self._running = True
        try:
            self._send(("run", number, ask))
            while True:
                kind, of, what = self._pipe.recv()
                if of == number and kind == "end":
                    end: JobEnd = what
                    return end
                if of == number:
                    tell(what)
        finally:
            with self._lock:
                self._running = False

    def cancel(self) -> None:
        """Asks the running job to stop as Ctrl-C would; one that does not within the grace is ended with its process."""
        with self._lock:
            number, process = self._number, self._process
            if not self._running or self._cancelled == number:
                return
            self._cancelled = number
        with suppress(OSError):
            self._send(("cancel", number, None))
        late = threading.Timer(self.grace_s, self._end, (number, process))
        late.daemon = True
        late.start()

    def close(self) -> None:
        """Ends the process; no other takes its place."""
        self._closed = True
        self._process.terminate()
        self._process.join(2.0)
        if self._process.is_alive():
            self._process.kill()

    def _send(self, what: Any) -> None:
        with self._lock:
            self._pipe.send(what)

    def _end(self, number: int, process: Any) -> None:
        with self._lock:
            still = self._running and self._number == number
        if still:
            process.kill()

    def _again(self) -> None:
        """Another process in the place of this one, which may still be at work."""
        self._process.kill()
        self._process.join(2.0)
        with suppress(OSError):
            self._pipe.close()
        if not self._closed:
            self._start()


# ---------------------------------------------------------------- within the process


@dataclass
class _Now:
    """Which order is being done, whether somebody wants it stopped, and whether a message is on its way: one that is cut short would
    spoil all that come after it, so that an interrupt waits for its end. All sending is done by the main thread."""

    number: int = 0
    stop: int = 0
    sending: bool = False

    def on_signal(self, number: int, frame: FrameType | None) -> None:
        # Ctrl-C at the terminal goes to this process too: only a cancel of the running order counts
        self.interrupted()

    def interrupted(self) -> None:
        """KeyboardInterrupt, once, where the running order is to stop and no message is on its way."""
        if self.number and self.stop == self.number and not self.sending:
            self.stop = 0
            raise KeyboardInterrupt

    def send(self, pipe: Connection, what: Any) -> None:
        """The whole message, then what was put off meanwhile."""
        self.sending = True
        try:
            pipe.send(what)
        finally:
            self.sending = False
        self.interrupted()


def serve(pipe: Connection, do: Do, warm: Callable[[], None]) -> None:
    """Does one order after the other, until the server is gone."""
    now = _Now()
    signal.signal(signal.SIGINT, now.on_signal)
    orders: queue.SimpleQueue[tuple[int, JobAsk]] = queue.SimpleQueue()
    threading.Thread(target=_listen, args=(pipe, orders, now), daemon=True).start()
    warm()
    while True:
        number, ask = orders.get()
        end = _done(pipe, number, ask, now, do)
        try:
            now.send(pipe, ("end", number, end))
        except OSError:
            os._exit(1)


def _listen(pipe: Connection, orders: queue.SimpleQueue[tuple[int, JobAsk]], now: _Now) -> None:
    """Hears orders and cancels. Never returns."""
    while True:
        try:
            what, number, ask = pipe.recv()
        except Exception:  # the server is gone, or what came is no message
            os._exit(1)
        if what == "run":
            orders.put((number, ask))
        elif number == now.number:
            now.stop = number
            _interrupt()


def _interrupt() -> None:
    """Has the main thread's handler run, which raises there; where a signal can be sent to a thread it also ends its waiting."""
    if hasattr(signal, "pthread_kill"):
        signal.pthread_kill(threading.main_thread().ident or 0, signal.SIGINT)
    else:
        _thread.interrupt_main()


def _done(pipe: Connection, number: int, ask: JobAsk, now: _Now, do: Do) -> JobEnd:
    """The last word on an order."""

    def tell(words: str, done: int | None = None, of: int | None = None, early: dict[str, Any] | None = None) -> None:
        with suppress(OSError):
            now.send(pipe, ("tell", number, {"words": words, "done": done, "of": of, "early": early}))

    try:
        try:
            now.number = number
            return do(ask, tell)
        finally:
            now.number = 0
    except KeyboardInterrupt:
        return JobEnd("cancelled")
    except InputError as wrong:
        return JobEnd("wrong", faults=wrong.faults)
    except NotConverged as unfinished:
        return JobEnd("unfinished", words=f"did not converge: {unfinished}")
    except Exception as broken:
        traceback.print_exc()
        return JobEnd("broken", words=f"{type(broken).__name__}: {broken}"[:300])
