"""Parts made from files: a file's import begun, and what it made put into the shop."""

from __future__ import annotations

import json
from typing import Any

from starlette.concurrency import run_in_threadpool as aside
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from ribwright.errors import Fault, InputError
from ribwright.ports import JobAsk
from ribwright.web.asked import body_of
from ribwright.web.bench import Bench, bench_of
from ribwright.web.jobs_api import checked_options, shown
from ribwright.web.replies import Refused, reply
from ribwright.work.desk import Job
from ribwright.work.importing import SLOW

KIND = "import-file"
LONGEST_NAME, LONGEST_OPTION, LONGEST_OPTIONS = 120, 8_000, 30_000  # a drawing may have a hundred layers


async def begin(request: Request) -> Response:
    """A job, of the file in the body."""
    bench, at = bench_of(request), request.path_params
    content, options = await request.body(), _options(request.query_params.get("options", ""))
    job = await aside(_begun, bench, at["shop"], at["file"], content, options)
    return await shown(bench.desk, job)


def _begun(bench: Bench, shop: str, file: str, content: bytes, options: dict[str, str]) -> Job:
    folder = bench.shelf.folder(shop)
    if len(file) > LONGEST_NAME or not file.isprintable():
        raise InputError([Fault("the name", "file", repr(file)[:100], f"at most {LONGEST_NAME} letters")])
    if not content:
        raise InputError([Fault(file, "the file", "an empty file", "a table of ordinates or a drawing")])
    if file.lower().endswith(SLOW):
        options = {**options, "slow": "yes"}
    ask = JobAsk(file, "", str(folder), KIND, options, content)
    return bench.desk.take(ask, bench.texts.source(content, folder))


def _options(text: str) -> dict[str, str]:
    try:
        options = json.loads(text or "{}") if len(text) <= LONGEST_OPTIONS else None
    except (ValueError, RecursionError):
        options = None
    if not isinstance(options, dict):
        allowed = f"a JSON object of at most {LONGEST_OPTIONS} letters"
        raise Refused(400, Fault("request", "options", f"{text!r}"[:60], allowed))
    return checked_options(options, LONGEST_OPTION)


async def take(request: Request) -> Response:
    """The draft of the new part."""
    await body_of(request)
    bench, at = bench_of(request), request.path_params
    return reply(await aside(_taken, bench, at["shop"], bench.desk.job(at["job"])), 201)


def _taken(bench: Bench, shop: str, job: Job) -> dict[str, Any]:
    answer = bench.desk.answer(job) if job.kind == KIND else None
    made = json.loads(answer) if answer else {}
    if not made.get("text"):
        raise InputError([Fault("job", "the import", "no part file", "an import whose faults are gone")])
    tables = {name: bench.desk.file(job, name) for name in made["tables"]}
    return bench.drafts.new(shop, made["number"], made["text"], "", "", tables)


ROUTES = [
    Route("/api/shops/{shop}/imports/{file}", begin, methods=["POST"]),
    Route("/api/shops/{shop}/imported/{job}", take, methods=["POST"]),
]
