"""The body of a request read strictly: JSON of the keys that are meant, of their kinds."""

from __future__ import annotations

import json
from typing import Any

from starlette.requests import Request

from ribwright.errors import Fault, InputError, capped
from ribwright.web.replies import Refused

MOST_FAULTS = 20  # told of one request
WORDS = {str: "a text", bool: "true or false", list: "a list", dict: "an object"}


async def body_of(request: Request, **kinds: type) -> dict[str, Any]:
    """The object in a request's body; of `kinds` those that are missing are None. Refused with 400 where it is no such object."""
    raw = await request.body()
    try:
        body = json.loads(raw) if raw.strip() else {}
    except (ValueError, RecursionError) as broken:
        raise Refused(400, Fault("request", "body", f"no JSON ({broken})"[:120], "a JSON object")) from None
    if not isinstance(body, dict):
        raise Refused(400, Fault("request", "body", f"a JSON {type(body).__name__}", "a JSON object"))
    faults = [
        Fault("request", key, f"a {type(body[key]).__name__}", WORDS[kind])
        for key, kind in kinds.items()
        if body.get(key) is not None and not isinstance(body[key], kind)
    ]
    allowed = ", ".join(kinds) or "an object without keys"
    faults += [Fault("request", key[:60], "a key that is not asked for", allowed) for key in body if key not in kinds]
    if faults:
        raise InputError(capped(faults, MOST_FAULTS))
    return {key: body.get(key) for key in kinds}


def needed(body: dict[str, Any], key: str) -> Any:
    """A value that must be there."""
    if body[key] is None:
        raise InputError([Fault("request", key, "nothing", "a value")])
    return body[key]
