"""Shops, what may be chosen in one, its files."""

from __future__ import annotations

from functools import partial
from typing import Any

from starlette.concurrency import run_in_threadpool as aside
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from ribwright.version import __version__
from ribwright.web.asked import body_of, needed
from ribwright.web.bench import bench_of
from ribwright.web.replies import reply
from ribwright.work import shelves

UPLOAD_TYPES = "text/plain; charset=utf-8"


async def about(request: Request) -> Response:
    bench = bench_of(request)
    first = not await aside(bench.shelf.shops)
    return reply({"version": __version__, "data": str(bench.data), "first": first, "entered": True})


async def shops(request: Request) -> Response:
    bench = bench_of(request)
    return reply(await aside(shelves.shops, bench.shelf, bench.texts))


async def new_shop(request: Request) -> Response:
    bench = bench_of(request)
    body = await body_of(request, name=str, example=bool, units=str)
    files = await aside(bench.example) if body["example"] else None
    make = partial(shelves.new_shop, bench.shelf, bench.texts, needed(body, "name"), body["units"] or "in", files)
    return reply(await aside(make), 201)


async def choices(request: Request) -> Response:
    bench = bench_of(request)
    return reply(await aside(shelves.choices, bench.shelf, bench.texts, request.path_params["shop"]))


async def bring(request: Request) -> Response:
    bench, at = bench_of(request), request.path_params
    content, over = await request.body(), request.query_params.get("over") == "1"
    made: dict[str, Any] = await aside(shelves.bring, bench.shelf, bench.texts, at["shop"], at["file"], content, over)
    return reply(made, 201)


async def take_out(request: Request) -> Response:
    bench, at = bench_of(request), request.path_params
    content = await aside(bench.shelf.read, at["shop"], at["file"])
    return Response(content, media_type=UPLOAD_TYPES, headers={"Content-Disposition": "attachment"})


ROUTES = [
    Route("/api/about", about),
    Route("/api/shops", shops),
    Route("/api/shops", new_shop, methods=["POST"]),
    Route("/api/shops/{shop}/choices", choices),
    Route("/api/shops/{shop}/files/{file}", take_out),
    Route("/api/shops/{shop}/files/{file}", bring, methods=["POST"]),
]
