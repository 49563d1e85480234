"""Who may ask: only the page that came from this server, at an address that is this server's own.

Any page that a browser has open can send requests to this machine, and a name that its owner points here makes them look like ours. So a
request must name our own address (Host), come from our own page (Origin, Sec-Fetch-Site), and what changes anything must carry a header
that no foreign page can send unasked.
"""

from __future__ import annotations

from dataclasses import dataclass
from ipaddress import ip_address

from starlette.datastructures import Headers
from starlette.types import ASGIApp, Receive, Scope, Send

from ribwright.errors import Fault
from ribwright.web.replies import faulty

PAGE_HEADER, PAGE = "x-ribwright", "page"
READING = ("GET", "HEAD")
OWN_SITES = ("same-origin", "none")
LOOPBACK = ("127.0.0.1", "localhost", "::1")


@dataclass(frozen=True)
class Address:
    """Where the server listens: `names` the host names it goes by, `any_ip` also every numeric address (it listens to the network; a
    number cannot be pointed elsewhere, as a name can)."""

    port: int
    names: frozenset[str]
    any_ip: bool = False

    def is_own(self, host: str) -> bool:
        """Whether a Host header names this server."""
        name, port = split_host(host)
        if port != self.port:
            return False
        return name in self.names or (self.any_ip and _is_ip(name))


def split_host(host: str) -> tuple[str, int]:
    """(name in small letters, port) of a Host header; port 80 where none stands, -1 where it is no number."""
    name, colon, port = host.strip().lower().rpartition(":")
    if not colon or port.endswith("]"):
        name, port = host.strip().lower(), "80"
    if name.startswith("[") and name.endswith("]"):
        name = name[1:-1]
    return name, int(port) if port.isascii() and port.isdigit() and len(port) < 6 else -1


def _is_ip(name: str) -> bool:
    try:
        ip_address(name)
    except ValueError:
        return False
    return True


class Guard:
    """ASGI middleware: 403 for whoever may not ask."""

    def __init__(self, app: ASGIApp, address: Address):
        self.app, self.address = app, address

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            return
        fault = refusal(scope["method"], Headers(scope=scope), self.address)
        if fault is None:
            await self.app(scope, receive, send)
        else:
            await faulty([fault], 403)(scope, receive, send)


def refusal(method: str, headers: Headers, address: Address) -> Fault | None:
    """Why a request is turned away; None where it is not."""
    hosts = headers.getlist("host")
    if len(hosts) != 1 or not address.is_own(hosts[0]):
        own = ", ".join(f"{n}:{address.port}" for n in sorted(address.names))
        return Fault("request", "Host", _shown(hosts), f"the address of this server: {own}")
    origins = headers.getlist("origin")
    if origins and origins != [f"http://{hosts[0]}"]:
        return Fault("request", "Origin", _shown(origins), "the page of this server")
    sites = headers.getlist("sec-fetch-site")
    if sites and (len(sites) > 1 or sites[0] not in OWN_SITES):
        return Fault(
            "request", "Sec-Fetch-Site", _shown(sites), "the page of this server, or an address typed by a person"
        )
    if method not in READING and headers.getlist(PAGE_HEADER) != [PAGE]:
        return Fault(
            "request",
            "X-Ribwright",
            _shown(headers.getlist(PAGE_HEADER)),
            f"{PAGE}, as the page of this server sends it",
        )
    return None


def _shown(values: list[str]) -> str:
    return ", ".join(repr(v)[:80] for v in values) or "nothing"
