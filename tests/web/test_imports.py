"""A part made from a file by the page: the command's own import, nothing written before a person takes it."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path
from typing import Any
from urllib.parse import quote

import pytest

import drawn_variants
from ribwright.wiring import DiskFiles
from ribwright.work.desk import LONG, lane_of
from ribwright.work.importing import imported
from ribwright.work.jobs import kind_of
from served import Served

TABLE = Path(__file__).parents[2] / "examples" / "ordinates" / "Q7-2102.csv"


def _asked(server: Served, name: str, content: bytes, **options: str) -> Any:
    query = quote(json.dumps(options), safe="")
    return server.ask("POST", f"/api/shops/mine/imports/{quote(name, safe='')}?options={query}", content=content)


def _read(server: Served, name: str, content: bytes, **options: str) -> Any:
    answer = _asked(server, name, content, **options)
    assert answer.status_code == 200, answer.text
    return server.ended(answer.json()["id"])


def _drawing() -> bytes:
    text = drawn_variants.variants()[3].text
    return text.encode() if isinstance(text, str) else text


def test_an_import_answers_what_the_command_answers_of_the_same_file(server: Served) -> None:
    options = {"length": "50 in=chord", "take": "1", "first": "5", "last": "36", "number": "N-1"}
    job = _read(server, TABLE.name, TABLE.read_bytes(), **options)
    typed = {"length": ("50 in=chord",), "take": ("1",), "first": "5", "last": "36"}
    want = imported(DiskFiles(), TABLE, Path("N-1.part.toml"), typed)
    got = job["result"]
    assert got["text"] == want.text
    assert got["findings"] == json.loads(json.dumps([f.as_json() for f in want.findings]))
    told = json.loads(json.dumps(want.told))
    assert got["import"] == {**told, "table": {**told["table"], "file": TABLE.name}}
    assert {f["name"] for f in job["files"]} == set(want.files)
    for name, content in want.files.items():
        assert server.ask("GET", f"/api/jobs/{job['id']}/files/{name}").content == content


def test_what_an_import_made_becomes_a_part_with_its_tables_once(server: Served) -> None:
    job = _read(server, TABLE.name, TABLE.read_bytes(), number="T-1", length="50 in=chord")
    assert not server.bench.shelf.has("mine", "T-1.part.toml")  # nothing is written before it is taken
    taken = server.ask("POST", f"/api/shops/mine/imported/{job['id']}", {})
    assert taken.status_code == 201
    assert taken.json()["part"] == "T-1"
    assert taken.json()["sketch"]["loops"][0]["closed"]
    assert {f["key"] for f in taken.json()["faults"]} == {"part.revision", "sheet.material", "sheet.thickness"}
    table = tomllib.loads(taken.json()["text"])["web"]["edge"][0]["ordinates"]
    assert server.bench.shelf.read("mine", table)
    again = server.ask("POST", f"/api/shops/mine/imported/{job['id']}", {})
    assert again.status_code == 409
    assert "T-1" in again.json()["faults"][0]["found"]


def test_where_a_table_of_that_name_is_there_nothing_of_the_part_is_written(server: Served) -> None:
    job = _read(server, TABLE.name, TABLE.read_bytes(), number="T-2", length="50 in=chord")
    server.bench.shelf.write("mine", job["files"][0]["name"], b"x, y\n")
    refused = server.ask("POST", f"/api/shops/mine/imported/{job['id']}", {})
    assert refused.status_code == 409
    assert not server.bench.shelf.has("mine", "T-2.part.toml")
    assert server.bench.shelf.read("mine", job["files"][0]["name"]) == b"x, y\n"


def test_a_drawing_says_its_layers_while_it_still_wants_a_length(server: Served) -> None:
    content = _drawing()
    first = _read(server, "rib.dxf", content)["result"]
    assert first["text"] == ""
    assert {layer["name"]: layer["role"] for layer in first["layers"]} == {"WEB": "web", "HOLE": "hole"}
    assert any("in inches" in f["say"] for f in first["faults"])
    assert not any("--" in f["say"] for f in first["faults"])  # words of the command line are none of the page
    job = _read(server, "rib.dxf", content, length="500 mm = width", role="HOLE=ignore\nWEB=web", number="D-1")
    assert job["result"]["faults"] == []
    assert job["result"]["import"]["roles"] == {"WEB": "web", "HOLE": "ignore"}
    taken = server.ask("POST", f"/api/shops/mine/imported/{job['id']}", {})
    assert taken.status_code == 201
    assert taken.json()["sketch"]["holes"] == []


def test_a_part_is_not_made_of_what_has_faults_nor_of_another_job(server: Served) -> None:
    job = _read(server, "rib.dxf", _drawing())
    refused = server.ask("POST", f"/api/shops/mine/imported/{job['id']}", {})
    assert refused.status_code == 422
    assert "no part file" in refused.json()["faults"][0]["found"]
    plan = server.ended(server.job("check")["id"])
    assert server.ask("POST", f"/api/shops/mine/imported/{plan['id']}", {}).status_code == 422


@pytest.mark.parametrize(
    ("name", "content"),
    [("a.csv", b"x,y\n1,\xff\n"), ("a.dxf", b"nothing"), ("a.pdf", b"%PDF"), ("a.csv", b"\x00" * 40), ("noend", b"x")],
)
def test_a_file_that_nobody_can_read_is_told_without_where_it_lay(server: Served, name: str, content: bytes) -> None:
    job = _read(server, name, content)
    faults = job["result"]["faults"] if job["result"] else job["faults"]
    assert faults
    for fault in faults:
        assert "tmp" not in json.dumps(fault)
        assert fault["allowed"]


def test_a_solid_is_the_command_s_import_too_in_the_lane_of_long_jobs(server: Served, tmp_path: Path) -> None:
    pytest.importorskip("OCP", reason="the extra [step] is not installed")
    from step_models import boxed
    from step_solids import step_of

    file = step_of(boxed(), tmp_path)
    want = imported(DiskFiles(), file, Path("B-1.part.toml"), {})
    job = _read(server, file.name, file.read_bytes(), number="B-1")
    assert job["result"]["faults"] == []
    assert job["result"]["text"] == want.text
    assert lane_of(kind_of("import-file", {}), {"slow": "yes"}) == LONG
    taken = server.ask("POST", f"/api/shops/mine/imported/{job['id']}", {})
    assert taken.status_code == 201
    assert len(taken.json()["sketch"]["flanges"]) == len(want.told["flanges"])


def test_wrong_options_names_and_an_empty_file_are_refused_in_a_sentence(server: Served) -> None:
    content = TABLE.read_bytes()
    assert _asked(server, "a.csv", content, odd="1").status_code == 422
    assert _asked(server, "a" * 200 + ".csv", content).status_code == 422
    assert _asked(server, "a.csv", b"").status_code == 422
    assert server.ask("POST", "/api/shops/mine/imports/a.csv?options=[1]", content=content).status_code == 400
    assert server.ask("POST", "/api/shops/mine/imports/a.csv?options={", content=content).status_code == 400
    assert _asked(server, "a.csv", content, take="x" * 9000).status_code == 422
    # the kind without its file, by the way of other jobs
    failed = server.ask("POST", "/api/jobs", {"shop": "mine", "part": "S-1", "kind": "import-file", "options": {}})
    assert failed.json()["state"] == "failed"


def test_the_same_bytes_with_the_same_words_are_one_result_and_other_words_another(server: Served) -> None:
    content = TABLE.read_bytes()
    one, two = (_read(server, TABLE.name, content, number="K-1")["key"] for _ in range(2))
    assert one == two
    assert _read(server, TABLE.name, content, number="K-2")["key"] != one
    assert _read(server, TABLE.name, content + b"\n", number="K-1")["key"] != one
