"""Answers and faults as HTTP."""

from __future__ import annotations

import json
from collections.abc import Iterable
from math import isfinite
from typing import Any

from starlette.requests import ClientDisconnect, Request
from starlette.responses import Response

from ribwright.errors import Clash, Fault, InputError, Missing
from ribwright.work.desk import FULL, Full
from ribwright.work.drafts import Stale
from ribwright.work.shelves import told


class Refused(Exception):
    """A request that is turned away before anybody does anything: a status and why."""

    def __init__(self, status: int, fault: Fault, headers: dict[str, str] | None = None):
        super().__init__(fault.sentence())
        self.status, self.fault, self.headers = status, fault, headers


def reply(body: Any, status: int = 200) -> Response:
    """Plain values as JSON."""
    return Response(json_bytes(body), status, media_type="application/json")


def json_bytes(body: Any) -> bytes:
    """Plain values as JSON on one line. A number that is none is null; half a letter is a question mark: neither has a form there."""
    try:
        text = json.dumps(body, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    except ValueError:
        text = json.dumps(_finite(body), ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    return text.encode("utf-8", "replace")


def _finite(value: Any) -> Any:
    if isinstance(value, dict):
        return {k: _finite(v) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return [_finite(v) for v in value]
    return None if isinstance(value, float) and not isfinite(value) else value


def faulty(faults: Iterable[Fault], status: int, headers: dict[str, str] | None = None) -> Response:
    """Faults as JSON."""
    answer = reply({"faults": [told(f) for f in faults]}, status)
    answer.headers.update(headers or {})
    return answer


def _wrong(request: Request, error: Exception) -> Response:
    assert isinstance(error, InputError)
    status = 404 if isinstance(error, Missing) else 409 if isinstance(error, Clash) else 422
    return faulty(error.faults, status)


def _stale(request: Request, error: Exception) -> Response:
    assert isinstance(error, Stale)
    found = (
        "a draft that was changed meanwhile" if not error.view["file_changed"] else "a file that was changed meanwhile"
    )
    fault = Fault(
        f"{error.view['part']}", "revision", found, f"the draft as it stands now, revision {error.view['revision']}"
    )
    return reply({"faults": [told(fault)], "draft": error.view}, 409)


def _refused(request: Request, error: Exception) -> Response:
    assert isinstance(error, Refused)
    return faulty([error.fault], error.status, error.headers)


def _full(request: Request, error: Exception) -> Response:
    return faulty([FULL], 429, {"Retry-After": "2"})


def _http(request: Request, error: Exception) -> Response:
    status = int(getattr(error, "status_code", 400))
    words = {404: "an address of this server", 405: "another method"}.get(status, "a request of the page")
    found = f"{request.method} {request.url.path}"[:200]
    return faulty([Fault("request", "address", found, words)], status, getattr(error, "headers", None))


def _disk(request: Request, error: Exception) -> Response:
    why = getattr(error, "strerror", None) or str(error)
    return faulty([Fault("the data folder", "the file", why, "a place that can be written and read")], 409)


def _gone(request: Request, error: Exception) -> Response:
    return Response(status_code=400)


def handlers() -> dict[Any, Any]:
    """What is answered for each error that is raised on purpose."""
    from starlette.exceptions import HTTPException

    return {
        InputError: _wrong,
        Stale: _stale,
        Refused: _refused,
        Full: _full,
        HTTPException: _http,
        OSError: _disk,
        ClientDisconnect: _gone,
    }
