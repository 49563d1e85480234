"""Drafts of parts: looked at, edited, taken back, saved."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from starlette.concurrency import run_in_threadpool as aside
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from ribwright.errors import Fault, InputError, capped
from ribwright.web.asked import MOST_FAULTS, body_of, needed
from ribwright.web.bench import bench_of
from ribwright.web.replies import reply

MOST_OPS = 500


async def new_part(request: Request) -> Response:
    body = await body_of(request, name=str, text=str, units=str, number=str)
    drafts, shop = bench_of(request).drafts, request.path_params["shop"]
    units, number = body["units"] or "", body["number"] or ""
    return reply(await aside(drafts.new, shop, needed(body, "name"), body["text"], units, number), 201)


async def view(request: Request) -> Response:
    at = request.path_params
    return reply(await aside(bench_of(request).drafts.view, at["shop"], at["part"]))


async def edit(request: Request) -> Response:
    body = await body_of(request, revision=str, ops=list)
    ops = needed(body, "ops")
    if len(ops) > MOST_OPS:
        raise InputError([Fault("request", "ops", f"{len(ops)} of them", f"at most {MOST_OPS}")])
    faults = [
        Fault("request", f"ops[{i}]", f"a {type(o).__name__}", "an object")
        for i, o in enumerate(ops, 1)
        if not isinstance(o, dict)
    ]
    if faults:
        raise InputError(capped(faults, MOST_FAULTS))
    return await _changed(request, bench_of(request).drafts.edit, needed(body, "revision"), ops)


async def write(request: Request) -> Response:
    body = await body_of(request, revision=str, text=str)
    return await _changed(request, bench_of(request).drafts.write, needed(body, "revision"), needed(body, "text"))


async def save(request: Request) -> Response:
    body = await body_of(request, revision=str, over=bool)
    return await _changed(request, bench_of(request).drafts.save, needed(body, "revision"), bool(body["over"]))


async def undo(request: Request) -> Response:
    return await _plain(request, bench_of(request).drafts.undo)


async def redo(request: Request) -> Response:
    return await _plain(request, bench_of(request).drafts.redo)


async def drop(request: Request) -> Response:
    return await _plain(request, bench_of(request).drafts.drop)


async def _plain(request: Request, change: Callable[..., dict[str, Any]]) -> Response:
    body = await body_of(request, revision=str)
    return await _changed(request, change, needed(body, "revision"))


async def _changed(request: Request, change: Callable[..., dict[str, Any]], *what: Any) -> Response:
    at = request.path_params
    return reply(await aside(change, at["shop"], at["part"], *what))


_DRAFT = "/api/shops/{shop}/parts/{part}/draft"
ROUTES = [
    Route("/api/shops/{shop}/parts", new_part, methods=["POST"]),
    Route(_DRAFT, view),
    *(
        Route(f"{_DRAFT}/{f.__name__ if f is not write else 'text'}", f, methods=["POST"])
        for f in (edit, write, undo, redo, save, drop)
    ),
]
