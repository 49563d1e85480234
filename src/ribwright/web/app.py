"""The whole of the server, from the outside in: headers, guard, entrance, limits, then the routes and the files of the page."""

from __future__ import annotations

import mimetypes
import traceback
from pathlib import Path

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from ribwright.errors import Fault
from ribwright.web import drafts_api, entering, imports_api, jobs_api, openapi, shops_api
from ribwright.web.bench import Bench
from ribwright.web.entering import Door, Entrance
from ribwright.web.guard import Address, Guard
from ribwright.web.headers import SafeHeaders
from ribwright.web.limits import ARRIVES_WITHIN_S, Limits
from ribwright.web.replies import faulty, handlers

STATIC = Path(__file__).parent / "static"
# what the system's own table says may be anything
KINDS = {
    ".js": "text/javascript",
    ".mjs": "text/javascript",
    ".css": "text/css",
    ".svg": "image/svg+xml",
    ".json": "application/json",
}


ROUTES = [
    *shops_api.ROUTES,
    *drafts_api.ROUTES,
    *jobs_api.ROUTES,
    *imports_api.ROUTES,
    *entering.ROUTES,
    *openapi.ROUTES,
]


async def _nothing(request: Request) -> Response:
    raise HTTPException(404)


class PageFiles(StaticFiles):
    """The files of the page: looked at again each time, sent only when they changed."""

    def file_response(self, *args: object, **kwargs: object) -> Response:
        answer = super().file_response(*args, **kwargs)  # type: ignore[arg-type]
        answer.headers["Cache-Control"] = "no-cache"
        return answer


class NoCrash:
    """ASGI middleware: what no one foresaw is told in the server's window, and to the page in one sentence."""

    def __init__(self, app: ASGIApp):
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        begun = False

        async def watched(message: Message) -> None:
            nonlocal begun
            begun = begun or message["type"] == "http.response.start"
            await send(message)

        try:
            await self.app(scope, receive, watched)
        except Exception as broken:
            traceback.print_exc()
            if begun:
                raise
            fault = Fault(
                "the server", "the program", f"{type(broken).__name__}", "asking again; a fault of the program"
            )
            await faulty([fault], 500)(scope, receive, send)


def application(
    bench: Bench,
    address: Address,
    door: Door | None = None,
    static: Path = STATIC,
    arrives_within_s: float = ARRIVES_WITHIN_S,
) -> ASGIApp:
    """The server as an ASGI application. `door`: where it is open to the network."""
    for end, kind in KINDS.items():
        mimetypes.add_type(kind, end)
    files = Mount("/", PageFiles(directory=static, html=True, check_dir=False), name="page")
    inner = Starlette(routes=[*ROUTES, Route("/api/{rest:path}", _nothing), files], exception_handlers=handlers())
    inner.router.redirect_slashes = False
    inner.state.bench, inner.state.door = bench, door
    app: ASGIApp = Limits(inner, arrives_within_s)
    app = app if door is None else Entrance(app, door)
    return SafeHeaders(NoCrash(Guard(app, address)))
