"""Jobs: begun, watched, cancelled, their files taken out."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from contextlib import suppress
from mimetypes import guess_type
from typing import Any
from urllib.parse import quote

from starlette.concurrency import run_in_threadpool as aside
from starlette.requests import Request
from starlette.responses import Response, StreamingResponse
from starlette.routing import Route

from ribwright.errors import Fault, InputError, capped
from ribwright.ports import JobAsk
from ribwright.web.asked import MOST_FAULTS, body_of, needed
from ribwright.web.bench import Bench, bench_of
from ribwright.web.replies import json_bytes
from ribwright.work.desk import DONE, FAILED, Desk, Job
from ribwright.work.shelves import PART_END, told

LONGEST_OPTION = 400
QUIET_S = 15.0  # a line of comment after so long: a reader that is gone is noticed
# a file of a job is shown as if from nowhere: whatever stands in it, no script of it runs and none reaches the page
SHOWN = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; frame-ancestors 'self'"
SANDBOX = f"{SHOWN}; sandbox"
# browsers show a PDF by a part of their own, which a sandbox keeps from starting; no script of a PDF is of our origin
PDF = f"{SHOWN}; object-src 'self'"
TYPES = {".dxf": "image/vnd.dxf", ".step": "model/step", ".json": "application/json", ".csv": "text/csv; charset=utf-8"}
LOST = Fault("job", "the result", "not kept any longer", "asking once more")


async def take(request: Request) -> Response:
    body = await body_of(request, shop=str, part=str, kind=str, options=dict)
    options = checked_options(body["options"] or {}, LONGEST_OPTION)
    bench = bench_of(request)
    job = await aside(_taken, bench, needed(body, "shop"), needed(body, "part"), needed(body, "kind"), options)
    return await shown(bench.desk, job)


def checked_options(options: dict[Any, Any], longest: int) -> dict[str, str]:
    """The options of a job. InputError where one is no text, or longer."""
    faults = [
        Fault("request", f"options.{str(k)[:60]}", f"{v!r}"[:60], f"a text of at most {longest} letters")
        for k, v in options.items()
        if not isinstance(v, str) or len(v) > longest
    ]
    if faults:
        raise InputError(capped(faults, MOST_FAULTS))
    return options


def _taken(bench: Bench, shop: str, part: str, kind: str, options: dict[str, str]) -> Job:
    text, folder = bench.drafts.text(shop, part), bench.shelf.folder(shop)
    ask = JobAsk(part + PART_END, text, str(folder), kind, options)
    return bench.desk.take(ask, bench.texts.files(text, folder))


async def look(request: Request) -> Response:
    desk = bench_of(request).desk
    return await shown(desk, desk.job(request.path_params["job"]))


async def cancel(request: Request) -> Response:
    desk = bench_of(request).desk
    return await shown(desk, desk.cancel(request.path_params["job"]))


async def events(request: Request) -> Response:
    desk = bench_of(request).desk
    job = desk.job(request.path_params["job"])
    headers = {"Cache-Control": "no-store", "X-Accel-Buffering": "no"}
    return StreamingResponse(_events(desk, job.id), media_type="text/event-stream", headers=headers)


async def _events(desk: Desk, job_id: str) -> AsyncIterator[bytes]:
    """The job on each change, until it is over."""
    changed, loop = asyncio.Event(), asyncio.get_running_loop()

    def ear() -> None:
        with suppress(RuntimeError):  # the server is ending
            loop.call_soon_threadsafe(changed.set)

    stop = desk.listen(job_id, ear)
    try:
        while True:
            changed.clear()
            job = desk.job(job_id)
            yield b"data: " + await aside(_text, desk, job) + b"\n\n"
            if job.over:
                return
            try:
                await asyncio.wait_for(changed.wait(), QUIET_S)
            except TimeoutError:
                yield b": still at it\n\n"
    finally:
        stop()


async def file(request: Request) -> Response:
    desk, name = bench_of(request).desk, request.path_params["name"]
    content = await aside(desk.file, desk.job(request.path_params["job"]), name)
    end = f".{name.rpartition('.')[2]}"
    kind = TYPES.get(end) or guess_type(name)[0] or "application/octet-stream"
    way = "attachment" if request.query_params.get("download") == "1" else "inline"
    headers = {
        "Content-Disposition": f"{way}; filename*=UTF-8''{quote(name.rpartition('/')[2], safe='')}",
        "Content-Security-Policy": PDF if end == ".pdf" else SANDBOX,
        "Cache-Control": "no-cache",
    }
    return Response(content, media_type=kind, headers=headers)


async def shown(desk: Desk, job: Job) -> Response:
    """A job as it stands."""
    return Response(await aside(_text, desk, job), media_type="application/json")


def _text(desk: Desk, job: Job) -> bytes:
    """The job as JSON text on one line; its answer is put in as it is kept."""
    answer = desk.answer(job)
    lost = job.state == DONE and answer is None
    head = {
        "id": job.id,
        "key": job.key,
        "kind": job.kind,
        "state": FAILED if lost else job.state,
        "words": job.words,
        "done": job.done,
        "of": job.of,
        "early": job.early,
        "status": job.status,
        "kept": job.kept,
        "faults": [told(f) for f in ((LOST,) if lost else job.faults)],
        "files": [{"name": n, "bytes": b} for n, b in job.files],
    }
    return json_bytes(head)[:-1] + b',"result":' + (answer or b"null") + b"}"


ROUTES = [
    Route("/api/jobs", take, methods=["POST"]),
    Route("/api/jobs/{job}", look),
    Route("/api/jobs/{job}/events", events),
    Route("/api/jobs/{job}/cancel", cancel, methods=["POST"]),
    Route("/api/jobs/{job}/files/{name:path}", file),
]
