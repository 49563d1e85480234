"""Starting and ending the server."""

from __future__ import annotations

import secrets
import signal
import socket
import threading
import webbrowser
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from importlib import import_module
from ipaddress import ip_address
from pathlib import Path
from typing import Any

import uvicorn

from ribwright.errors import Fault, InputError
from ribwright.web.app import application
from ribwright.web.bench import Bench
from ribwright.web.entering import Door
from ribwright.web.guard import LOOPBACK, Address
from ribwright.web.protocol import PatientProtocol

PORT = 8357
MOST_CONNECTIONS = 600
TOKEN_MEANS = (
    "Open to the network: anybody who has this token and reaches this machine can read and change every part here. "
    "Nothing is encrypted on the way."
)


@dataclass(frozen=True)
class Place:
    """Where to listen, as asked. `port` None: the usual one, or any that is free."""

    host: str = "127.0.0.1"
    port: int | None = None
    open_page: bool = True

    @property
    def is_loopback(self) -> bool:
        """Whether only this machine reaches it."""
        try:
            return self.host == "localhost" or ip_address(self.host).is_loopback
        except ValueError:
            return False


@contextmanager
def bench_over(data: Path) -> Iterator[Bench]:
    """Everything that the requests work with, over a data folder, which is made where it is not there and is ours alone meanwhile.
    InputError where it cannot be written into, Clash where another server has it."""
    from ribwright import wiring
    from ribwright.work.drafts import Drafts

    try:
        data.mkdir(parents=True, exist_ok=True)
        lock = wiring.lock_of(data)
    except OSError as broken:
        found = f"{str(data)!r}, {(broken.strerror or str(broken)).lower()}"
        raise InputError([Fault("command line", "--data", found, "a folder that can be written into")]) from None
    try:
        shelf, texts = wiring.shelf_of(data), wiring.DraftTexts()
        desk = wiring.desk_of(data)
        try:
            yield Bench(data.resolve(), shelf, texts, Drafts(shelf, texts), desk, wiring.example_shop)
        finally:
            desk.close()
    finally:
        lock.close()


def listening(place: Place) -> socket.socket:
    """A socket that listens. InputError where that cannot be."""
    tries = (PORT, 0) if place.port is None else (place.port,)
    for port in tries:
        try:
            return _socket(place.host, port)
        except (OSError, OverflowError) as broken:
            why = getattr(broken, "strerror", None) or str(broken)
    found = f"{place.host} port {tries[0]}: {why}"
    raise InputError(
        [Fault("command line", "--host, --port", found, "an address of this machine and a port that is free")]
    )


def _socket(host: str, port: int) -> socket.socket:
    kind = socket.AF_INET6 if ":" in host else socket.AF_INET
    return socket.create_server((host, port), family=kind, backlog=256)


def address_of(place: Place, port: int) -> Address:
    """The names that the server answers to."""
    names = {*LOOPBACK, place.host.lower()}
    if not place.is_loopback:
        own = socket.gethostname().lower()
        names |= {own, f"{own}.local"}
    return Address(port, frozenset(names - {"0.0.0.0", "::"}), any_ip=not place.is_loopback)


class _Server(uvicorn.Server):
    """Ends on Ctrl-C and on being asked to, and leaves it at that."""

    @contextmanager
    def capture_signals(self) -> Iterator[None]:
        if threading.current_thread() is not threading.main_thread():
            yield
            return
        numbers = [getattr(signal, n) for n in ("SIGINT", "SIGTERM", "SIGHUP", "SIGBREAK") if hasattr(signal, n)]
        before = {n: signal.signal(n, self.handle_exit) for n in numbers if signal.getsignal(n) is not signal.SIG_IGN}
        try:
            yield
        finally:
            for n, handler in before.items():
                signal.signal(n, handler)


def serve(bench: Bench, place: Place, say: Callable[[str], None]) -> None:
    """Serves until it is told to end. Says where, and the token where one is needed."""
    with listening(place) as sock:
        port = sock.getsockname()[1]
        door = None if place.is_loopback else Door(secrets.token_urlsafe(16), port)
        app: Any = application(bench, address_of(place, port), door)
        host = place.host if place.host not in ("0.0.0.0", "::") else socket.gethostname()
        page = f"http://{f'[{host}]' if ':' in host else host}:{port}/"
        say(f"ribwright serves {bench.data} at {page} (Ctrl-C ends it)")
        if door is not None:
            say(f"Token: {door.token}\n{TOKEN_MEANS}")
        if place.open_page:
            threading.Timer(0.3, webbrowser.open, (page,)).start()
        # the page is there at once; what the first order needs is loaded while a person looks at it
        threading.Thread(target=import_module, args=("ribwright.work.jobs.keys",), daemon=True).start()
        _Server(config_of(app)).run(sockets=[sock])


def config_of(app: Any, http: Any = PatientProtocol) -> uvicorn.Config:
    """How the library is to serve: nothing told about itself, nothing taken from proxies, no sockets of another kind."""
    return uvicorn.Config(
        app,
        http=http,
        ws="none",
        lifespan="off",
        access_log=False,
        log_level="error",
        server_header=False,
        proxy_headers=False,
        limit_concurrency=MOST_CONNECTIONS,
        timeout_keep_alive=15,
        timeout_graceful_shutdown=1,
        h11_max_incomplete_event_size=32_768,
    )
