"""How much is taken at once: bytes of a request, seconds it may take to arrive, requests at a time."""

from __future__ import annotations

import asyncio
import re
import time

from starlette.datastructures import Headers
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from ribwright.errors import Fault
from ribwright.web.replies import Refused, faulty

MOST_BYTES, MOST_UPLOAD_BYTES = 2_000_000, 20_000_000
ARRIVES_WITHIN_S = 20.0
PIECE = 65_536
MOST_REQUESTS, MOST_STREAMS = 32, 24
# the addresses that take files; a shop or a part may be called "files", too
_UPLOAD = re.compile(r"/api/shops/[^/]+/(files|imports)/[^/]+")
_BUSY = Fault("request", "the server", "more requests at a time than it takes", "asking again in a second")


class Limits:
    """ASGI middleware: 413 for a body that is too long, told or not; 408 for one that does not arrive; 503 when too many ask at once."""

    def __init__(self, app: ASGIApp, arrives_within_s: float = ARRIVES_WITHIN_S, most: int = MOST_REQUESTS):
        self.app, self.arrives_within_s = app, arrives_within_s
        self.most = {"request": most, "stream": MOST_STREAMS}
        self.now = {"request": 0, "stream": 0}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        kind = "stream" if scope["path"].endswith("/events") else "request"
        if self.now[kind] >= self.most[kind]:
            await faulty([_BUSY], 503, {"Retry-After": "1"})(scope, receive, send)
            return
        upload = scope["method"] == "POST" and _UPLOAD.fullmatch(scope["path"])
        most = MOST_UPLOAD_BYTES if upload else MOST_BYTES
        told = Headers(scope=scope).get("content-length", "0")
        if not told.isascii() or not told.isdigit() or int(told) > most:
            await faulty([_too_long(f"{told} bytes", most)], 413)(scope, receive, send)
            return
        self.now[kind] += 1
        try:
            await self.app(scope, self._bounded(receive, most), _in_pieces(send))
        finally:
            self.now[kind] -= 1

    def _bounded(self, receive: Receive, most: int) -> Receive:
        """`receive` that counts bytes and seconds until the body is there."""
        size, complete, until = 0, False, time.monotonic() + self.arrives_within_s

        async def bounded() -> Message:
            nonlocal size, complete
            if complete:
                return await receive()
            try:
                message = await asyncio.wait_for(receive(), max(0.0, until - time.monotonic()))
            except TimeoutError:
                found = f"not all there after {self.arrives_within_s:g} s"
                raise Refused(
                    408, Fault("request", "body", found, "one that arrives at once"), {"Connection": "close"}
                ) from None
            size += len(message.get("body", b""))
            complete = not message.get("more_body", False)
            if size > most:
                raise Refused(413, _too_long(f"over {most} bytes", most), {"Connection": "close"})
            return message

        return bounded


def _in_pieces(send: Send) -> Send:
    """`send` of long bodies in pieces, so that who does not read them makes them wait, not lie in memory."""

    async def pieces(message: Message) -> None:
        body = message.get("body", b"")
        if message["type"] != "http.response.body" or len(body) <= PIECE:
            await send(message)
            return
        for at in range(0, len(body), PIECE):
            more = at + PIECE < len(body) or message.get("more_body", False)
            await send({**message, "body": body[at : at + PIECE], "more_body": more})

    return pieces


def _too_long(found: str, most: int) -> Fault:
    return Fault("request", "body", found, f"at most {most / 1e6:g} MB")
