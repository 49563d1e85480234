"""The data folder and what is kept in it: names, the example shop, files brought in, results that make room."""

from __future__ import annotations

import os
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from ribwright.adapters.data_folder import DataFolder, checked_file, checked_name
from ribwright.adapters.data_lock import take
from ribwright.adapters.kept_results import KeptResults
from ribwright.errors import Clash, InputError
from ribwright.wiring import example_shop
from served import SMALL, Served

EXAMPLES = Path(__file__).parents[2] / "examples" / "dabchick"


def test_the_packaged_example_is_the_example_byte_for_byte() -> None:
    told = {p.name: p.read_bytes() for p in EXAMPLES.iterdir() if p.suffix in (".toml", ".csv")}
    assert example_shop() == told


@pytest.mark.parametrize("name", ["Q7-2102-1", "a", "Tip rib 2", "v1.2", "Rippe_ä", "x" * 80, "部品"])
def test_a_name_of_letters_digits_and_a_few_signs_is_taken(name: str) -> None:
    assert checked_name(name, "part") == name


@pytest.mark.parametrize(
    "name",
    ["", ".", "..", ".x", " x", "x ", "x.", "a/b", "a\\b", "a:b", "a\nb", "x" * 81, "部" * 70, "CON", "nul.x", "COM¹",
     "lpt³.x", "e\u0301", "a*", "\ud800"],
)  # fmt: skip
def test_any_other_name_is_refused(name: str) -> None:
    with pytest.raises(InputError):
        checked_name(name, "part")


@pytest.mark.parametrize("name", ["shop.toml", "a.csv", "Q7.part.toml"])
def test_a_shop_holds_three_kinds_of_file(name: str) -> None:
    assert checked_file(name) == name


@pytest.mark.parametrize(
    "name", ["x.toml", "x.py", ".part.toml", ".csv", "x.part.toml.exe", "a/b.csv", "nul.csv", "x..part.toml"]
)
def test_any_other_file_is_refused(name: str) -> None:
    with pytest.raises(InputError):
        checked_file(name)


def test_an_example_shop_is_made_and_listed_and_its_parts_have_no_faults(server: Served) -> None:
    made = server.post("/api/shops", {"name": "shown", "example": True})
    assert {p["id"] for p in made["presses"]} == {"P1", "P2", "P3"}
    assert {"name": "Q7-2102-1", "number": "Q7-2102-1", "revision": "B", "title": "Centre rib", "draft": False} in made[
        "parts"
    ]
    for part in made["parts"]:
        view = server.get(f"/api/shops/shown/parts/{part['name']}/draft")
        assert view["saved"] is True
        assert view["faults"] == [], part["name"]
    assert server.ask("POST", "/api/shops", {"name": "SHOWN"}).status_code == 409
    choices = server.get("/api/shops/shown/choices")
    assert "2024-T3 clad" in choices["materials"]
    assert "T3" in choices["tempers"]
    assert choices["radius_tables"]
    assert choices["relief_rules"]


def test_a_part_and_a_table_are_brought_in_and_taken_out_again(server: Served) -> None:
    for name, content in (("in.csv", b"x,y\n1,2\n"), ("in.part.toml", SMALL.encode())):
        assert server.ask("POST", f"/api/shops/mine/files/{name}", content=content).status_code == 201
        out = server.ask("GET", f"/api/shops/mine/files/{name}")
        assert (out.content, out.headers["content-disposition"]) == (content, "attachment")
    again = server.ask("POST", "/api/shops/mine/files/in.part.toml", content=b"other")
    assert again.status_code == 409
    assert server.ask("POST", "/api/shops/mine/files/in.part.toml?over=1", content=SMALL.encode()).status_code == 201


def test_a_shop_file_with_faults_is_not_taken(server: Served) -> None:
    before = server.ask("GET", "/api/shops/mine/files/shop.toml").content
    refused = server.ask("POST", "/api/shops/mine/files/shop.toml", content=b'units = "ft"\nnam = 1\n')
    assert (refused.status_code, len(refused.json()["faults"])) == (422, 3)
    assert server.ask("POST", "/api/shops/mine/files/shop.toml", content=b"\xff").status_code == 422
    assert server.ask("GET", "/api/shops/mine/files/shop.toml").content == before


def test_the_oldest_results_make_room_by_count_and_by_size(tmp_path: Path) -> None:
    results = KeptResults(tmp_path, most=3, most_bytes=10_000)
    keys = [f"{n:032x}" for n in range(6)]
    for n, key in enumerate(keys[:4]):
        results.keep(key, b"{}", 0, "mm", {"a": b"x"})
        os.utime(tmp_path / ".results" / key, (n + 1, n + 1))
    assert [results.found(k) is not None for k in keys[:4]] == [False, True, True, True]
    results.keep(keys[4], b"{}", 0, "mm", {"a": b"x" * 9_900})
    assert results.found(keys[4]) is not None
    assert sum((tmp_path / ".results" / k).exists() for k in keys) <= 3
    results.keep(keys[5], b"{}", 0, "mm", {"big": b"x" * 50_000})
    # the youngest stays, however large: somebody is about to look at it
    assert [p.name for p in (tmp_path / ".results").iterdir()] == [keys[5]]
    assert results.file(keys[5], "big") == b"x" * 50_000


def test_a_result_that_is_half_there_is_none(tmp_path: Path) -> None:
    results = KeptResults(tmp_path)
    key = "a" * 32
    results.keep(key, b"{}", 0, "mm", {})
    (tmp_path / ".results" / key / "head.json").write_text("{")
    assert results.found(key) is None
    for wrong in ("../x", "A" * 32, ""):
        with pytest.raises(ValueError, match="hex"):
            results.found(wrong)


@pytest.mark.parametrize(
    ("file", "content"),
    [
        ("answer.json", b'{"n":'),
        ("answer.json", b'{"n":2}'),
        ("head.json", b"[1e999]"),
        ("head.json", b'{"status":1e999,"first":"mm","answer":"","files":[]}'),
        ("file-0", b"ab"),
        ("answer.json", None),
        ("file-0", None),
    ],
)
def test_a_result_that_is_not_as_it_was_kept_is_none_is_gone_and_is_kept_anew(
    tmp_path: Path, file: str, content: bytes | None
) -> None:
    results, key = KeptResults(tmp_path), "a" * 32
    for ask in (lambda: results.found(key), lambda: results.answer(key), lambda: results.file(key, "a")):
        results.keep(key, b'{"n":1}', 0, "mm", {"a": b"abc"})
        assert ask() is not None
        spoilt = tmp_path / ".results" / key / file
        spoilt.unlink() if content is None else spoilt.write_bytes(content)
        assert ask() is None
        assert list((tmp_path / ".results").iterdir()) == []


def test_a_file_of_a_result_that_was_changed_is_not_handed_out(tmp_path: Path) -> None:
    results, key = KeptResults(tmp_path), "a" * 32
    results.keep(key, b"{}", 0, "mm", {"a": b"abc"})
    (tmp_path / ".results" / key / "file-0").write_bytes(b"abd")
    assert results.file(key, "a") is None
    assert results.found(key) is None


def test_what_stands_in_the_place_of_a_result_makes_way_for_it(tmp_path: Path) -> None:
    results, key = KeptResults(tmp_path), "a" * 32
    place = tmp_path / ".results" / key
    place.mkdir(parents=True)
    (place / "answer.json").write_text("{")
    results.keep(key, b"{}", 0, "mm", {})
    assert results.answer(key) == b"{}"


@pytest.mark.skipif(os.name == "nt", reason="links need a right there")
def test_a_folder_of_results_that_is_a_link_is_refused(tmp_path: Path) -> None:
    elsewhere, key = tmp_path / "elsewhere", "a" * 32
    elsewhere.mkdir()
    KeptResults(elsewhere).keep(key, b"{}", 0, "mm", {"a": b"x"})
    data = tmp_path / "data"
    data.mkdir()
    (data / ".results").symlink_to(elsewhere / ".results")
    results = KeptResults(data)
    assert (results.found(key), results.answer(key), results.file(key, "a")) == (None, None, None)
    with pytest.raises(OSError, match="is a link"):
        results.keep("b" * 32, b"{}", 0, "mm", {})
    assert [p.name for p in (elsewhere / ".results").iterdir()] == [key]


def test_one_server_a_data_folder(tmp_path: Path) -> None:
    lock = take(tmp_path)
    program = f"from pathlib import Path; from ribwright.adapters.data_lock import take; take(Path({str(tmp_path)!r}))"
    other = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True)
    assert "another ribwright serve has open" in other.stderr
    lock.close()
    assert subprocess.run([sys.executable, "-c", program], capture_output=True).returncode == 0


def test_links_are_no_shops(tmp_path: Path) -> None:
    (tmp_path / "real").mkdir()
    (tmp_path / "data").mkdir()
    (tmp_path / "data" / "linked").symlink_to(tmp_path / "real", target_is_directory=True)
    folder = DataFolder(tmp_path / "data")
    assert folder.shops() == []
    with pytest.raises(InputError, match="not a link"):
        folder.folder("linked")
    with pytest.raises(Clash):
        folder.make_shop("linked", {"shop.toml": b""})


@pytest.mark.parametrize("name", ["shop.toml", "Shop.toml", "a.csv", "a.part.toml"])
def test_a_shop_is_not_named_like_one_of_its_files(name: str, server: Served) -> None:
    refused = server.ask("POST", "/api/shops", {"name": name})
    assert (refused.status_code, refused.json()["faults"][0]["key"]) == (422, "shop")


def test_a_pipe_in_a_shop_is_told_and_keeps_nobody_waiting(tmp_path: Path) -> None:
    folder = DataFolder(tmp_path)
    folder.make_shop("mine", {"shop.toml": b'units = "mm"\n'})
    drafts = tmp_path / "mine" / ".drafts"
    drafts.mkdir()
    for pipe in (tmp_path / "mine" / "p.part.toml", tmp_path / "mine" / "p.csv", drafts / "q.json"):
        os.mkfifo(pipe)
    assert folder.parts("mine") == []
    for touch in (
        lambda: folder.read("mine", "p.part.toml"),
        lambda: folder.read("mine", "p.csv"),
        lambda: folder.write("mine", "p.csv", b""),
        lambda: folder.draft("mine", "q"),
    ):
        with pytest.raises(InputError, match="not a regular file"):
            touch()


def test_of_two_that_make_the_same_shop_or_bring_the_same_file_at_once_one_does(server: Served) -> None:
    def made(n: int) -> int:
        return server.ask("POST", "/api/shops", {"name": ("twin", "TWIN")[n % 2]}).status_code

    def brought(n: int) -> int:
        return server.ask("POST", "/api/shops/mine/files/twin.csv", content=f"x,y\n1,{n}\n".encode()).status_code

    for ask in (made, brought):
        with ThreadPoolExecutor(8) as pool:
            assert sorted(pool.map(ask, range(8))) == [201] + [409] * 7


@pytest.mark.parametrize(
    ("name", "content"), [("shop.toml", b'units = "mm"\nname = "other"\n'), ("over.csv", b"x,y\n1,2\n"), ("over.part.toml", b"# x\n")]
)  # fmt: skip
def test_no_file_that_is_there_is_written_over_unasked(name: str, content: bytes, server: Served) -> None:
    server.ask("POST", "/api/shops", {"name": "kept", "units": "mm"})
    server.ask("POST", f"/api/shops/kept/files/{name}", content=content)
    before = server.ask("GET", f"/api/shops/kept/files/{name}").content
    refused = server.ask("POST", f"/api/shops/kept/files/{name}", content=content + b"\n")
    assert (refused.status_code, refused.json()["faults"][0]["key"]) == (409, "file")
    assert server.ask("GET", f"/api/shops/kept/files/{name}").content == before
    assert server.ask("POST", f"/api/shops/kept/files/{name}?over=1", content=content + b"\n").status_code == 201
    assert server.ask("GET", f"/api/shops/kept/files/{name}").content == content + b"\n"


def test_a_part_too_long_to_be_read_is_listed_with_why(server: Served) -> None:
    server.ask("POST", "/api/shops", {"name": "long", "units": "mm"})
    server.ask("POST", "/api/shops/long/files/long.part.toml", content=b"#" * 1_500_000)
    (shop,) = (s for s in server.get("/api/shops") if s["name"] == "long")
    assert shop["parts"][0]["title"] == "(not read: 1.50 MB; allowed: a part file of at most 1 MB)"
    assert "1.50 MB" in server.get("/api/shops/long/parts/long/draft")["faults"][0]["say"]
