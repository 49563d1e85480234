"""The table of everything that the server answers, as OpenAPI; `tests/web` holds it against the routes and asks all of it."""

from __future__ import annotations

from typing import Any

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from ribwright.version import __version__
from ribwright.web.guard import PAGE_HEADER
from ribwright.web.replies import reply
from ribwright.work.jobs import KINDS

TEXT = {"type": "string"}
FLAG = {"type": "boolean"}
OPS = {"type": "array", "items": {"type": "object"}, "maxItems": 500}
REVISION = {"revision": TEXT}
# method, path, what it does, the body's keys (None: no body; "raw": bytes), those that must be there
_DRAFT = "/api/shops/{shop}/parts/{part}/draft"
TABLE: tuple[tuple[str, str, str, Any, tuple[str, ...]], ...] = (
    ("get", "/api/about", "version, data folder, whether there is a shop yet, whether one has entered", None, ()),
    ("post", "/api/enter", "the cookie for the token of a server that is open to the network", {"token": TEXT}, ()),
    ("get", "/api/openapi.json", "this table", None, ()),
    ("get", "/api/shops", "every shop with its parts and presses", None, ()),
    ("post", "/api/shops", "a new shop", {"name": TEXT, "example": FLAG, "units": {"enum": ["in", "mm"]}}, ("name",)),
    ("get", "/api/shops/{shop}/choices", "names that a part of the shop may use", None, ()),
    ("get", "/api/shops/{shop}/files/{file}", "a file of the shop", None, ()),
    ("post", "/api/shops/{shop}/files/{file}", "a file brought into the shop", "raw", ()),
    (
        "post",
        "/api/shops/{shop}/parts",
        "a new part",
        {"name": TEXT, "text": TEXT, "units": TEXT, "number": TEXT},
        ("name",),
    ),
    ("get", _DRAFT, "the draft of a part", None, ()),
    ("post", f"{_DRAFT}/edit", "edits, all or none", REVISION | {"ops": OPS}, ("revision", "ops")),
    ("post", f"{_DRAFT}/text", "the whole text", REVISION | {"text": TEXT}, ("revision", "text")),
    ("post", f"{_DRAFT}/undo", "a step back", REVISION, ("revision",)),
    ("post", f"{_DRAFT}/redo", "a step forth", REVISION, ("revision",)),
    ("post", f"{_DRAFT}/save", "the draft into its file", REVISION | {"over": FLAG}, ("revision",)),
    ("post", f"{_DRAFT}/drop", "back to what the file says", REVISION, ("revision",)),
    (
        "post",
        "/api/jobs",
        "a job begun, or the same one where it is on its way or kept",
        {
            "shop": TEXT,
            "part": TEXT,
            "kind": {"enum": sorted(KINDS)},
            "options": {"type": "object", "additionalProperties": TEXT},
        },
        ("shop", "part", "kind"),
    ),
    (
        "post",
        "/api/shops/{shop}/imports/{file}",
        "the import of a file begun; its options as JSON in the query `options`",
        "raw",
        (),
    ),
    ("post", "/api/shops/{shop}/imported/{job}", "the part file that an import made, into the shop", {}, ()),
    ("get", "/api/jobs/{job}", "a job as it stands", None, ()),
    ("get", "/api/jobs/{job}/events", "the same on each change, as server-sent events", None, ()),
    ("post", "/api/jobs/{job}/cancel", "a job stopped", {}, ()),
    ("get", "/api/jobs/{job}/files/{name}", "a file of a job", None, ()),
)
REFUSALS = {
    "400": "no JSON, or not of its form",
    "401": "the token is asked for",
    "403": "not our own page",
    "404": "nothing of that name",
    "405": "another method, or a name with a slash in it",
    "408": "the body did not arrive in time",
    "409": "taken, or changed meanwhile",
    "413": "too long",
    "422": "wrong input: faults",
    "429": "too many jobs or tries",
    "503": "too many requests at a time",
}
_FAULTS = {
    "type": "object",
    "required": ["faults"],
    "properties": {
        "faults": {
            "type": "array",
            "items": {
                "type": "object",
                "required": ["file", "key", "found", "allowed", "nearest", "say"],
                "properties": dict.fromkeys(("file", "key", "found", "allowed", "nearest", "say"), TEXT),
            },
        }
    },
}


def document() -> dict[str, Any]:
    """The table as an OpenAPI document."""
    paths: dict[str, dict[str, Any]] = {}
    for method, path, words, body, must in TABLE:
        paths.setdefault(path, {})[method] = _operation(method, path, words, body, must)
    return {
        "openapi": "3.1.0",
        "info": {"title": "ribwright", "version": __version__},
        "paths": paths,
        "components": {"schemas": {"Faults": _FAULTS}},
    }


def _operation(method: str, path: str, words: str, body: Any, must: tuple[str, ...]) -> dict[str, Any]:
    names = [part[1:-1] for part in path.split("/") if part.startswith("{")]
    parameters = [{"name": n, "in": "path", "required": True, "schema": TEXT} for n in names]
    if method != "get":
        parameters.append({"name": PAGE_HEADER, "in": "header", "required": True, "schema": {"const": "page"}})
    refused = {"$ref": "#/components/schemas/Faults"}
    out: dict[str, Any] = {
        "summary": words,
        "parameters": parameters,
        "responses": {
            "2XX": {"description": words},
            **{
                k: {"description": w, "content": {"application/json": {"schema": refused}}} for k, w in REFUSALS.items()
            },
        },
    }
    if body is not None:
        kind = "application/octet-stream" if body == "raw" else "application/json"
        schema = (
            TEXT
            if body == "raw"
            else {"type": "object", "properties": body, "required": list(must), "additionalProperties": False}
        )
        out["requestBody"] = {"content": {kind: {"schema": schema}}}
    return out


async def _table(request: Request) -> Response:
    return reply(document())


ROUTES = [Route("/api/openapi.json", _table)]
