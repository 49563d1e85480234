"""Who may enter when the server is open to the network: whoever has the token, and then the cookie that is given for it."""

from __future__ import annotations

import hmac
import secrets
import time
from collections import OrderedDict
from collections.abc import Callable

from starlette.datastructures import Headers
from starlette.requests import Request, cookie_parser
from starlette.responses import Response
from starlette.routing import Route
from starlette.types import ASGIApp, Receive, Scope, Send

from ribwright.errors import Fault
from ribwright.version import __version__
from ribwright.web.asked import body_of, needed
from ribwright.web.replies import Refused, faulty, reply

LONGEST_WAIT_S = 60.0
MOST_DOUBLED = 10  # the longest wait is reached before; a power of many more is past what a number holds
MOST_ADDRESSES = 1000
_ASKED = Fault(
    "request", "token", "none, or not the right one", "the token that the server printed when it was started"
)


class Door:
    """The token, the cookie it is changed for, and how long each address has to wait after wrong tries."""

    def __init__(self, token: str, port: int, clock: Callable[[], float] = time.monotonic):
        self.token, self.cookie, self.clock = token, f"ribwright-{port}", clock
        self.pass_word = secrets.token_urlsafe(32)
        self._wrong: OrderedDict[str, tuple[int, float]] = OrderedDict()

    def knows(self, headers: Headers) -> bool:
        """Whether a request carries the cookie."""
        given = cookie_parser(headers.get("cookie", "")).get(self.cookie, "")
        return hmac.compare_digest(given.encode(), self.pass_word.encode())

    def waits(self, address: str) -> float:
        """Seconds that an address still has to wait."""
        return max(0.0, self._wrong.get(address, (0, 0.0))[1] - self.clock())

    def try_token(self, token: str, address: str) -> bool:
        """Whether the token is right. Refused with 429, without looking at it, while the address has to wait."""
        times, wait = self._wrong.get(address, (0, 0.0))[0], self.waits(address)
        if wait > 0:
            fault = Fault("request", "token", f"{times} wrong ones", f"another try in {wait:.0f} s")
            raise Refused(429, fault, {"Retry-After": str(int(wait) + 1)})
        if hmac.compare_digest(token.encode("utf-8", "replace"), self.token.encode()):
            self._wrong.pop(address, None)
            return True
        self._wrong[address] = (times + 1, self.clock() + min(LONGEST_WAIT_S, 0.5 * 2.0 ** min(times, MOST_DOUBLED)))
        self._wrong.move_to_end(address)
        while len(self._wrong) > MOST_ADDRESSES:
            self._wrong.popitem(last=False)
        return False


class Entrance:
    """ASGI middleware: without the cookie nothing of the API answers but the way in; the page itself, which asks for the token, does."""

    def __init__(self, app: ASGIApp, door: Door):
        self.app, self.door = app, door

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        path = scope["path"]
        if not path.startswith("/api/") or path == "/api/enter" or self.door.knows(Headers(scope=scope)):
            await self.app(scope, receive, send)
        elif path == "/api/about":
            await reply({"version": __version__, "data": "", "first": False, "entered": False})(scope, receive, send)
        else:
            await faulty([_ASKED], 401)(scope, receive, send)


async def enter(request: Request) -> Response:
    """The cookie for the token."""
    door: Door | None = request.app.state.door
    body = await body_of(request, token=str)
    address = request.client.host if request.client else ""
    if door is not None:
        if not door.try_token(needed(body, "token"), address):
            return faulty([_ASKED], 401)
        answer = reply({"entered": True})
        answer.set_cookie(door.cookie, door.pass_word, httponly=True, samesite="strict", path="/")
        return answer
    return reply({"entered": True})


ROUTES = [Route("/api/enter", enter, methods=["POST"])]
