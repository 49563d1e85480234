"""HTTP with patience that ends: for who does not send the whole head of a request, and for who does not read the answer."""

from __future__ import annotations

import asyncio
from typing import Any

from uvicorn.protocols.http.h11_impl import H11Protocol

HEAD_WITHIN_S = 10.0
READ_WITHIN_S = 30.0


class PatientProtocol(H11Protocol):
    """The library's protocol waits for ever for both; this one does not."""

    head_within_s = HEAD_WITHIN_S
    read_within_s = READ_WITHIN_S
    _head_timer: asyncio.TimerHandle
    _read_timer: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        super().connection_made(transport)
        self._head_timer = self.loop.call_later(self.head_within_s, self._give_up)

    def data_received(self, data: bytes) -> None:
        before = self.cycle
        super().data_received(data)
        if self.cycle is not before and self.cycle is not None:
            self._head_timer.cancel()
        elif (self.cycle is None or self.cycle.response_complete) and self._head_timer.cancelled():
            # the beginning of another head on a connection that is kept
            self._head_timer = self.loop.call_later(self.head_within_s, self._give_up)

    def pause_writing(self) -> None:
        """What was sent is not being read."""
        super().pause_writing()
        self._read_timer = self.loop.call_later(self.read_within_s, self._give_up)

    def resume_writing(self) -> None:
        self._stop_read_timer()
        super().resume_writing()

    def connection_lost(self, exc: Exception | None) -> None:
        self._head_timer.cancel()
        self._stop_read_timer()
        super().connection_lost(exc)

    def timeout_keep_alive_handler(self) -> None:
        # the library would wait until the last of an answer was read
        self._give_up()

    def _stop_read_timer(self) -> None:
        if self._read_timer is not None:
            self._read_timer.cancel()
            self._read_timer = None

    def _give_up(self) -> None:
        if self.transport is not None:
            self.transport.abort()


def protocol(head_within_s: float = HEAD_WITHIN_S, read_within_s: float = READ_WITHIN_S) -> Any:
    """The protocol with another patience."""
    more = {"head_within_s": head_within_s, "read_within_s": read_within_s}
    return type("PatientProtocol", (PatientProtocol,), more)
