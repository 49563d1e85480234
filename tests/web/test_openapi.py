"""Everything that the server answers, asked with what fits and with what does not: an answer or a sentence, never a crash."""

from __future__ import annotations

import json
from typing import Any
from urllib.parse import quote

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from starlette.routing import Route

from ribwright.web.app import ROUTES
from ribwright.web.openapi import REFUSALS, TABLE, document
from served import SMALL, Served

KNOWN = {
    "shop": ["mine"],
    "part": ["S-1"],
    "file": ["shop.toml", "S-1.part.toml"],
    "job": ["0" * 16],
    "name": ["job-card.pdf"],
}
JUNK = st.one_of(
    st.none(), st.booleans(), st.integers(), st.floats(allow_nan=False, allow_infinity=False), st.text(max_size=20),
    st.lists(st.text(max_size=3), max_size=3), st.dictionaries(st.text(max_size=5), st.text(max_size=5), max_size=3),
)  # fmt: skip
PATHS = [
    "flange.skin.width",
    "web.edge[2].to",
    "web.edge[9]",
    "web.start",
    "hole[1]",
    "part.title",
    "corner[1].at",
    "a.b.c",
    "",
    "[",
    "flange",
]
VALUES = st.one_of(
    JUNK, st.just([10.0, 2.0]), st.just({"name": "h", "at": [10, 10], "kind": "plain", "diameter": 5.0}), st.just(SMALL)
)
OPS = st.fixed_dictionaries(
    {"op": st.sampled_from(["set", "remove", "add", "insert", "rename", "split", "fly"]), "path": st.sampled_from(PATHS)},
    optional={
        "typed": st.one_of(st.sampled_from(["12.50", "true", "-1", "1e400", "nan", "'x'", '"', "\n"]), st.text(max_size=8), JUNK),
        "value": VALUES, "table": VALUES, "to": st.one_of(st.sampled_from(["left", "skin", "new"]), JUNK), "at": VALUES,
        "before": st.one_of(st.integers(-2, 9), JUNK),
    },
)  # fmt: skip


def _values(schema: dict[str, Any], key: str) -> st.SearchStrategy[Any]:
    """What fits a schema, what nearly does, and junk."""
    if key == "revision":
        return st.one_of(st.just("now"), st.just("now"), st.just("now"), st.text(max_size=5), JUNK)
    if key == "ops":
        return st.one_of(st.lists(OPS, max_size=3), st.lists(OPS, max_size=3), JUNK)
    if key == "options":
        names = st.sampled_from(["press", "model", "method", "paper", "number", "pressure", "undercut", "place", "odd"])
        words = st.one_of(
            st.sampled_from(["P1", "section", "closed-form", "inverse", "7 MPa", "blank"]), st.text(max_size=5), JUNK
        )
        return st.one_of(st.dictionaries(names, words, max_size=3), JUNK)
    if "enum" in schema:
        return st.one_of(st.sampled_from(schema["enum"]), JUNK)
    if key in KNOWN:
        return st.one_of(st.sampled_from(KNOWN[key]), st.text(max_size=10), JUNK)
    return st.one_of(st.just(SMALL), st.text(max_size=30), st.booleans(), JUNK)


def test_the_table_is_what_the_server_has() -> None:
    routes = {
        (method.lower(), r.path.replace(":path", ""))
        for r in ROUTES
        if isinstance(r, Route)
        for method in r.methods or ()
    }
    assert {(m, p) for m, p in routes if m != "head"} == {(m, p) for m, p, *_ in TABLE}


def test_the_document_is_served_as_it_is(server: Served) -> None:
    told = server.get("/api/openapi.json")
    assert told == json.loads(json.dumps(document()))
    assert told["openapi"].startswith("3.1")


@pytest.mark.parametrize(
    ("method", "path", "body"), [(m, p, b) for m, p, _, b, _ in TABLE], ids=lambda x: x if isinstance(x, str) else ""
)
@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_whatever_is_asked_is_answered_or_refused_with_a_sentence(
    server: Served, method: str, path: str, body: Any, data: st.DataObject
) -> None:
    for name in [part[1:-1] for part in path.split("/") if part.startswith("{")]:
        value = data.draw(st.one_of(st.sampled_from(KNOWN[name]), st.text(min_size=1, max_size=12)), label=name)
        path = path.replace(f"{{{name}}}", quote(value.encode("utf-8", "replace"), safe=""))
    content: bytes | None = None
    if body == "raw":
        content = data.draw(st.one_of(st.binary(max_size=60), st.just(SMALL.encode())), label="raw")
    elif body is not None:
        sent = data.draw(
            st.one_of(st.fixed_dictionaries({}, optional={k: _values(s, k) for k, s in body.items()}), JUNK),
            label="body",
        )
        if isinstance(sent, dict) and sent.get("revision") == "now":
            sent["revision"] = server.bench.drafts.view("mine", "S-1")["revision"]
        content = json.dumps(sent).encode()
    answer = server.ask(method.upper(), path, content=content)
    assert answer.status_code in (200, 201) or str(answer.status_code) in REFUSALS, (answer.status_code, answer.text)
    if answer.status_code == 409 and "draft" in answer.json():
        assert answer.json()["draft"]["revision"]
    if answer.status_code >= 400:
        for fault in answer.json()["faults"]:
            assert fault["say"]
            assert fault["allowed"]


@pytest.mark.parametrize("path", [p for m, p, *_ in TABLE if m == "get"])
def test_other_methods_are_refused(server: Served, path: str) -> None:
    address = path.replace("{shop}", "mine").replace("{part}", "S-1").replace("{file}", "shop.toml")
    address = address.replace("{job}", "0" * 16).replace("{name}", "x")
    for method in ("PUT", "DELETE", "PATCH", "TRACE"):
        assert server.ask(method, address).status_code in (403, 405)
    for method in ("OPTIONS",):
        refused = server.client.request(method, address, headers={"Origin": "http://evil.example"})
        assert refused.status_code == 403
