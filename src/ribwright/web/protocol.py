"""HTTP with patience that ends: a connection that does not send its whole request head in time is closed."""

from __future__ import annotations

import asyncio
from typing import Any

from uvicorn.protocols.http.h11_impl import H11Protocol

HEAD_WITHIN_S = 10.0


class PatientProtocol(H11Protocol):
    """The library's protocol waits for ever for a head that comes byte by byte; this one does not."""

    head_within_s = HEAD_WITHIN_S

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        super().connection_made(transport)
        self._head_timer = self.loop.call_later(self.head_within_s, self._too_slow)

    def data_received(self, data: bytes) -> None:
        before = self.cycle
        super().data_received(data)
        if self.cycle is not before and self.cycle is not None:
            self._head_timer.cancel()
        elif (self.cycle is None or self.cycle.response_complete) and self._head_timer.cancelled():
            # the beginning of another head on a connection that is kept
            self._head_timer = self.loop.call_later(self.head_within_s, self._too_slow)

    def connection_lost(self, exc: Exception | None) -> None:
        self._head_timer.cancel()
        super().connection_lost(exc)

    def _too_slow(self) -> None:
        if self.transport is not None and not self.transport.is_closing():
            self.transport.close()


def protocol(head_within_s: float = HEAD_WITHIN_S) -> Any:
    """The protocol with another patience."""
    return type("PatientProtocol", (PatientProtocol,), {"head_within_s": head_within_s})
