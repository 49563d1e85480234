"""The desk that takes jobs: three queues, so that what is quick never waits for what is not; results kept; two alike are one.

Thread-safe. A job is told about by whole snapshots (`Job`); whoever listens hears that there is a new one.
"""

from __future__ import annotations

import secrets
import threading
import time
import traceback
from collections import OrderedDict
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field, replace
from functools import partial
from pathlib import Path
from typing import Any

from ribwright.errors import Fault, InputError, Missing
from ribwright.ports import Files, JobAsk, JobEnd, Results, Worker
from ribwright.shop.shop import UNDERCUT_MODELS
from ribwright.work.jobs import JobKind, Order, kind_of

QUICK, PLANS, LONG = LANES = ("quick", "plans", "long")
QUEUED, RUNNING, DONE, FAILED, CANCELLED = "queued", "running", "done", "failed", "cancelled"
OVER = (DONE, FAILED, CANCELLED)
CLOSED_FORM = UNDERCUT_MODELS[0]
MOST_REMEMBERED = 300
MOST_WAITING = 40
FULL = Fault("job", "the queue", f"{MOST_WAITING} jobs that wait", "fewer: cancel some, or wait")
UNFINISHED = 3
MOST_CANCELS = 300  # ten a second: a worker that has not stopped by then does not listen


class Full(Exception):
    """More jobs wait than are taken."""


@dataclass(frozen=True, eq=False)
class Job:
    """A job as it stands. `answer`: JSON text where it is not kept under its key (cancelled on the way)."""

    id: str
    key: str
    kind: str
    state: str = QUEUED
    words: str = ""
    done: int | None = None
    of: int | None = None
    early: dict[str, Any] | None = None
    status: int | None = None
    answer: bytes | None = None
    faults: tuple[Fault, ...] = ()
    files: tuple[tuple[str, int], ...] = ()
    kept: bool = False

    @property
    def over(self) -> bool:
        """True when nothing more will be heard of it."""
        return self.state in OVER


@dataclass(eq=False)
class _Lane:
    """A worker with what waits for it, by the jobs' ids in their order; made when something first does."""

    make: Callable[[], Worker]
    waiting: dict[str, JobAsk] = field(default_factory=dict)
    worker: Worker | None = None
    running: str = ""


def lane_of(kind: JobKind, options: dict[str, str]) -> str:
    """Which worker takes an order: `long` (a forecast, a packet), `plans` (a plan by the section model, some seconds, with what is opened
    or drawn of it), or `quick`."""
    if kind.long(options):
        return LONG
    return PLANS if options.get("press") and options.get("model") != CLOSED_FORM else QUICK


class Desk:
    """Takes jobs for a worker a lane. `make` makes one for the lane of that name: the quick one at once, the others when first needed;
    `results` keeps what they made."""

    def __init__(self, make: Callable[[str], Worker], results: Results):
        self.results = results
        self._lock = threading.RLock()
        self._come = threading.Condition(self._lock)
        self._jobs: OrderedDict[str, Job] = OrderedDict()
        self._ears: dict[str, list[Callable[[], None]]] = {}
        self._asks: dict[str, JobAsk] = {}
        self._unwanted: set[str] = set()
        self._closed = False
        self._lanes = {name: _Lane(partial(make, name)) for name in LANES}
        self._lanes[QUICK].worker = make(QUICK)
        for lane in self._lanes.values():
            threading.Thread(target=self._work, args=(lane,), daemon=True).start()

    def take(self, ask: JobAsk, files: Files) -> Job:
        """The job: begun, or the same one that is on its way, or done at once where its result is kept. Wrong input is a failed job;
        InputError where kind or options are none of ours."""
        # what reads a part for planning loads much; the server is there before
        from ribwright.work.jobs.keys import key_of

        kind = kind_of(ask.kind, ask.options)
        order = Order(Path(ask.part), None, ask.options)
        try:
            key = key_of(files, kind, order)
        except InputError as wrong:
            return self._put(Job(_new_id(), "", kind.name, FAILED, faults=wrong.faults))
        kept = self.results.found(key)
        with self._lock:
            if kept is not None:
                return self._put(Job(_new_id(), key, kind.name, DONE, status=kept.status, files=kept.files, kept=True))
            for job in self._jobs.values():
                if job.key == key and not job.over and job.id not in self._unwanted:
                    return job
            self._supersede(ask, kind.name)
            lane = self._lanes[lane_of(kind, ask.options)]
            if len(lane.waiting) >= MOST_WAITING:
                raise Full
            job = self._put(Job(_new_id(), key, kind.name))
            self._asks[job.id] = ask
            lane.waiting[job.id] = ask
            self._come.notify_all()
            return job

    def job(self, job_id: str) -> Job:
        """The job as it stands. Missing where there is none of that number, or none any more."""
        with self._lock:
            job = self._jobs.get(job_id)
        if job is None:
            raise Missing([Fault("job", "id", repr(job_id)[:60], "a job of this server since it was started")])
        return job

    def answer(self, job: Job) -> bytes | None:
        """The result as JSON text; None where there is none, or none any more."""
        if job.answer is not None or job.state != DONE:
            return job.answer
        return self.results.answer(job.key)

    def file(self, job: Job, name: str) -> bytes:
        """A file of the result. Missing where there is none of that name."""
        content = self.results.file(job.key, name) if job.state == DONE else None
        if content is None:
            there = ", ".join(n for n, _ in job.files) or "none"
            raise Missing([Fault("job", "file", repr(name)[:100], there)])
        return content

    def cancel(self, job_id: str) -> Job:
        """Stops a job: one that waits at once, one that runs within two seconds."""
        job = self.job(job_id)
        with self._lock:
            job = self._jobs[job_id]
            if job.over:
                return job
            if job.state == QUEUED:
                self._change(job_id, state=CANCELLED, words="cancelled")
                return self._jobs[job_id]
            self._unwanted.add(job_id)
            running = next((x for x in self._lanes.values() if x.running == job_id), None)
        if running is not None:
            threading.Thread(target=self._stop, args=(running, job_id), daemon=True).start()
        return self.job(job_id)

    @staticmethod
    def _stop(lane: _Lane, job_id: str) -> None:
        """Until it has stopped, but not for ever: a worker that has not begun yet hears nothing."""
        for _ in range(MOST_CANCELS):
            if lane.running != job_id:
                return
            if lane.worker is not None:
                with suppress(Exception):  # of one that is ending
                    lane.worker.cancel()
            time.sleep(0.1)

    def listen(self, job_id: str, ear: Callable[[], None]) -> Callable[[], None]:
        """Calls `ear`, from some thread, whenever the job changes, until what this returns is called."""
        with self._lock:
            self._ears.setdefault(job_id, []).append(ear)

        def stop() -> None:
            with self._lock:
                ears = self._ears.get(job_id, [])
                if ear in ears:
                    ears.remove(ear)
                if not ears:
                    self._ears.pop(job_id, None)

        return stop

    def close(self) -> None:
        """Ends the workers with what they are at."""
        with self._lock:
            self._closed = True
            for waiting in [i for lane in self._lanes.values() for i in lane.waiting]:
                self._change(waiting, state=CANCELLED, words="cancelled: the server ends")
            self._come.notify_all()
            made = [lane.worker for lane in self._lanes.values() if lane.worker is not None]
        for worker in made:
            worker.close()

    # ------------------------------------------------------------ within

    def _work(self, lane: _Lane) -> None:
        """One job after the other, until the desk is closed; whatever one of them comes to, the next is done."""
        while True:
            with self._lock:
                self._come.wait_for(lambda: lane.waiting or self._closed)
                if self._closed:
                    return
                job_id = next(iter(lane.waiting))
                ask = lane.waiting.pop(job_id)
                lane.running = job_id
                self._change(job_id, state=RUNNING, words="begun")
            end = self._end_of(lane, job_id, ask)
            with self._lock:
                lane.running = ""
            try:
                self._ended(job_id, end)
            except Exception as broken:  # an end that cannot be kept is no end of the lane
                self._ended(job_id, _broke(broken))

    def _end_of(self, lane: _Lane, job_id: str, ask: JobAsk) -> JobEnd:
        """What the lane's worker says last of a job; a worker that cannot be made, or raises, is a job that failed."""
        try:
            with self._lock:
                worker = lane.worker = lane.worker or lane.make()
            return worker.run(ask, lambda told: self._told(job_id, told))
        except BaseException as broken:  # nobody else hears of it in this thread, and the lane goes on
            traceback.print_exc()
            return _broke(broken)

    def _told(self, job_id: str, told: dict[str, Any]) -> None:
        with self._lock:
            early = told["early"] if told["early"] is not None else self._jobs[job_id].early
            self._change(job_id, words=told["words"], done=told["done"], of=told["of"], early=early)

    def _ended(self, job_id: str, end: JobEnd) -> None:
        """What a job came to. A result is kept under the key that it was made under."""
        with self._lock:
            unwanted = job_id in self._unwanted
            self._unwanted.discard(job_id)
        change = _change_of(end, unwanted)
        if end.outcome == "made" and end.answer is not None:
            try:
                self.results.keep(end.key, end.answer, end.status, end.first, end.files)
                change |= {"key": end.key, "files": tuple((n, len(b)) for n, b in end.files.items())}
            except OSError as full:
                # shown once and not kept, rather than lost
                change |= {"answer": end.answer, "words": f"not kept: {full.strerror or full}"}
        with self._lock:
            self._change(job_id, **change)

    def _supersede(self, ask: JobAsk, kind: str) -> None:
        """Stops the same question about an older text where nobody listens any more: its page has gone on."""
        for job_id, old in list(self._asks.items()):
            same = (old.folder, old.part, old.kind, old.options) == (ask.folder, ask.part, kind, ask.options)
            if same and old.text != ask.text and not self._ears.get(job_id):
                self.cancel(job_id)

    def _put(self, job: Job) -> Job:
        with self._lock:
            self._jobs[job.id] = job
            over = [i for i, j in self._jobs.items() if j.over]
            for old in over[: max(0, len(self._jobs) - MOST_REMEMBERED)]:
                del self._jobs[old]
        return job

    def _change(self, job_id: str, **changes: Any) -> None:
        if job_id in self._jobs:
            self._jobs[job_id] = replace(self._jobs[job_id], **changes)
            if self._jobs[job_id].over:
                self._asks.pop(job_id, None)
                for lane in self._lanes.values():
                    lane.waiting.pop(job_id, None)
            for ear in self._ears.get(job_id, []):
                ear()


def _change_of(end: JobEnd, unwanted: bool) -> dict[str, Any]:
    """The changes that the last word on a job makes."""
    if end.outcome == "cancelled" or (end.outcome == "died" and unwanted):
        words = "cancelled; what had been computed is in the answer" if end.answer else "cancelled"
        return {"state": CANCELLED, "words": words, "answer": end.answer, "status": UNFINISHED}
    if end.outcome == "made":
        return {"state": DONE, "words": "done", "status": end.status, "done": None, "of": None}
    if end.outcome == "wrong":
        return {"state": FAILED, "words": "the input is wrong", "faults": end.faults, "status": 2}
    if end.outcome == "unfinished":
        fault = Fault("job", "the computation", end.words, "another method, or other numbers")
        return {"state": FAILED, "words": end.words, "faults": (fault,), "status": UNFINISHED}
    found = end.words or "a process that ended while at work"
    fault = Fault("job", "the program", found, "asking once more; that it fails again is a fault of the program")
    return {"state": FAILED, "words": fault.sentence(), "faults": (fault,), "status": UNFINISHED}


def _broke(broken: BaseException) -> JobEnd:
    """The end of a job that the program broke at."""
    return JobEnd("broken", words=f"the program broke: {type(broken).__name__}: {broken}"[:300])


def _new_id() -> str:
    return secrets.token_hex(8)
