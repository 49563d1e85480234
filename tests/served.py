"""A server of the workbench within the tests' own process, and workers that stand in for its processes."""

from __future__ import annotations

import json
import socket
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import httpx

from ribwright import wiring
from ribwright.adapters.data_folder import DataFolder
from ribwright.adapters.kept_results import KeptResults
from ribwright.errors import InputError
from ribwright.ports import JobAsk, JobEnd
from ribwright.web.app import application
from ribwright.web.bench import Bench
from ribwright.web.entering import Door
from ribwright.web.guard import LOOPBACK, Address
from ribwright.web.protocol import protocol
from ribwright.web.serving import _Server, config_of
from ribwright.work.desk import Desk
from ribwright.work.drafts import Drafts

PAGE = {"X-Ribwright": "page"}
SMALL = """units = "mm"
[part]
number = "S-1"
revision = "A"
title = "Small angle"
hand = "none"
[sheet]
material = "2024-T3"
thickness = 1.0
[web]
line = "outside-mold-line"
start = [0.0, 0.0]
[[web.edge]]
name = "front"
to = [80.0, 0.0]
flange = "skin"
[[web.edge]]
name = "right"
to = [80.0, 50.0]
[[web.edge]]
name = "back"
to = [0.0, 50.0]
[[web.edge]]
name = "left"
to = [0.0, 0.0]
[flange.skin]
turn = "down"
width = 15.0
bend_angle = 90.0
bend_radius = 3.0
"""


class Here:
    """Does jobs in this process; a job once begun cannot be cancelled."""

    def run(self, ask: JobAsk, tell: Callable[[dict[str, Any]], None]) -> JobEnd:
        def told(words: str, done: int | None = None, of: int | None = None, early: Any = None) -> None:
            tell({"words": words, "done": done, "of": of, "early": early})

        try:
            return wiring.do_job(ask, told)
        except InputError as wrong:
            return JobEnd("wrong", faults=wrong.faults)

    def cancel(self) -> None:
        """Not here."""

    def close(self) -> None:
        """Nothing to close."""


@dataclass
class Served:
    """A running server: `ask` sends what the page would send."""

    port: int
    data: Path
    bench: Bench
    client: httpx.Client
    running: _Server
    door: Door | None = None

    @property
    def connections(self) -> int:
        """How many connections it has open."""
        return len(self.running.server_state.connections)

    def ask(self, method: str, path: str, body: Any = None, **more: Any) -> httpx.Response:
        """A request as the page makes it."""
        headers = (PAGE if method != "GET" else {}) | more.pop("headers", {})
        if body is not None:
            more["content"] = json.dumps(body)
        return self.client.request(method, path, headers=headers, **more)

    def get(self, path: str) -> Any:
        """The JSON of an address that answers."""
        answer = self.ask("GET", path)
        assert answer.status_code == 200, answer.text
        return answer.json()

    def post(self, path: str, body: Any) -> Any:
        """The JSON of a change that is done."""
        answer = self.ask("POST", path, body)
        assert answer.status_code in (200, 201), answer.text
        return answer.json()

    def job(self, kind: str, options: dict[str, str] | None = None, shop: str = "mine", part: str = "S-1") -> Any:
        """A job from its order to its end."""
        made = self.post("/api/jobs", {"shop": shop, "part": part, "kind": kind, "options": options or {}})
        return self.ended(made["id"])

    def ended(self, job_id: str) -> Any:
        """The last of a job's events."""
        last = None
        with self.client.stream("GET", f"/api/jobs/{job_id}/events") as stream:
            for line in stream.iter_lines():
                if line.startswith("data: "):
                    last = json.loads(line[6:])
        return last

    def raw(self, sent: bytes, wait_s: float = 10.0) -> bytes:
        """What the server sends back to these bytes, until it closes or nothing comes."""
        with socket.create_connection(("127.0.0.1", self.port), wait_s) as sock:
            sock.sendall(sent)
            out = b""
            try:
                while more := sock.recv(65536):
                    out += more
            except TimeoutError:
                pass
            return out


@contextmanager
def served(
    data: Path, worker: Callable[[], Any] = Here, open_to_network: bool = False, arrives_within_s: float = 20.0,
    head_within_s: float = 10.0, read_within_s: float = 30.0,
) -> Iterator[Served]:  # fmt: skip
    """A server over a data folder, on a port of its own."""
    shelf, texts = DataFolder(data), wiring.DraftTexts()
    desk = Desk(lambda lane: worker(), KeptResults(data))
    bench = Bench(data, shelf, texts, Drafts(shelf, texts), desk, wiring.example_shop)
    with socket.create_server(("127.0.0.1", 0)) as sock:
        port = sock.getsockname()[1]
        door = Door("right-token", port) if open_to_network else None
        address = Address(port, frozenset(LOOPBACK), any_ip=open_to_network)
        app = application(bench, address, door, arrives_within_s=arrives_within_s)
        server = _Server(config_of(app, protocol(head_within_s, read_within_s)))
        thread = threading.Thread(target=server.run, kwargs={"sockets": [sock]}, daemon=True)
        thread.start()
        with httpx.Client(base_url=f"http://127.0.0.1:{port}", timeout=30.0, trust_env=False) as client:
            yield Served(port, data, bench, client, server, door)
        server.should_exit = True
        thread.join(5.0)
        desk.close()


def with_small(s: Served) -> Served:
    """The same with a shop `mine` and the part S-1 in it."""
    s.post("/api/shops", {"name": "mine", "units": "mm"})
    s.post("/api/shops/mine/parts", {"name": "S-1", "text": SMALL})
    return s
