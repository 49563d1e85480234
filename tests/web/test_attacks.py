"""What strangers can send to this machine, and what they get; after each the server still answers."""

from __future__ import annotations

import http.client
import socket
import threading
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from pathlib import Path

import httpx
import pytest

from served import PAGE, SMALL, Served, served, with_small

DRAFT = "/api/shops/mine/parts/S-1/draft"


@pytest.fixture(autouse=True)
def _alive_afterwards(server: Served) -> Iterator[None]:
    yield
    assert server.get("/api/about")["entered"] is True
    assert "S-1" in server.get(DRAFT)["text"]


def test_a_page_of_another_site_reads_nothing(server: Served) -> None:
    for origin in ("http://evil.example", "null", f"https://127.0.0.1:{server.port}", "http://127.0.0.1:1"):
        refused = server.ask("GET", "/api/shops", headers={"Origin": origin})
        assert refused.status_code == 403
        assert refused.json()["faults"][0]["key"] == "Origin"
        assert "access-control-allow-origin" not in refused.headers


def test_a_page_of_another_site_changes_nothing_even_with_the_pages_header(server: Served) -> None:
    before = server.get(DRAFT)
    body = {"revision": before["revision"], "text": "gone"}
    refused = server.ask("POST", f"{DRAFT}/text", body, headers={"Origin": "http://evil.example"})
    assert refused.status_code == 403
    assert server.get(DRAFT)["text"] == before["text"]


def test_a_request_that_the_browser_marks_as_foreign_is_refused(server: Served) -> None:
    for site in ("cross-site", "same-site", "anything"):
        assert server.ask("GET", "/api/shops", headers={"Sec-Fetch-Site": site}).status_code == 403
    for site in ("same-origin", "none"):
        assert server.ask("GET", "/api/shops", headers={"Sec-Fetch-Site": site}).status_code == 200


def test_a_name_that_was_pointed_here_is_refused(server: Served) -> None:
    hosts = ("evil.example", f"evil.example:{server.port}", "127.0.0.1:1", "127.0.0.1", f"127.0.0.1.evil.example:{server.port}",
             f"localhost:{server.port}.", f"localhost:0{server.port}0", "")  # fmt: skip
    for host in hosts:
        assert server.ask("GET", "/api/shops", headers={"Host": host}).status_code in (400, 403), host
    for host in (f"localhost:{server.port}", f"LOCALHOST:{server.port}", f"[::1]:{server.port}"):
        assert server.ask("GET", "/api/shops", headers={"Host": host}).status_code == 200, host


def test_two_host_headers_are_refused(server: Served) -> None:
    head = (
        f"GET /api/shops HTTP/1.1\r\nHost: 127.0.0.1:{server.port}\r\nHost: evil.example\r\nConnection: close\r\n\r\n"
    )
    assert server.raw(head.encode()).split(b"\r\n")[0].split()[1] in (b"400", b"403")


def test_a_form_of_another_page_that_cannot_send_the_header_changes_nothing(server: Served) -> None:
    answer = server.client.post("/api/shops", content=b'{"name":"theirs"}', headers={"Content-Type": "text/plain"})
    assert answer.status_code == 403
    assert answer.json()["faults"][0]["key"] == "X-Ribwright"
    assert [s["name"] for s in server.get("/api/shops")] == ["mine"]


def test_no_name_in_an_address_leads_out_of_the_data_folder(server: Served) -> None:
    (server.data.parent / "secret.part.toml").write_text(SMALL)
    (server.data.parent / "secret.csv").write_text("x,y\n1,2\n")
    (server.data / "mine" / ".drafts").mkdir(exist_ok=True)
    outs = (
        "..",
        "%2e%2e",
        "..%2f..",
        "%2e%2e%2f",
        "..%5c..",
        ".drafts",
        ".",
        "%00",
        "a%00b",
        "%2fetc",
        "C:",
        "a:b",
        "~",
    )
    outs += ("mine%2f..", "con", "x" * 200)
    for out in outs:
        for path in (
            f"/api/shops/{out}/choices",
            f"/api/shops/{out}/parts/S-1/draft",
            f"/api/shops/mine/parts/{out}/draft",
            f"/api/shops/mine/parts/{out}secret/draft",
            f"/api/shops/mine/files/{out}",
            f"/api/shops/mine/files/{out}%2fsecret.csv",
            f"/api/shops/{out}/files/secret.csv",
            f"/api/jobs/{out}",
            f"/api/jobs/{out}/files/{out}",
            f"/{out}/app.py",
            f"/{out}/{out}/web/app.py",
        ):
            head = f"GET {path} HTTP/1.1\r\nHost: 127.0.0.1:{server.port}\r\nConnection: close\r\n\r\n"
            answer = server.raw(head.encode())
            assert answer.split()[1] in (b"400", b"403", b"404", b"422"), (path, answer[:200])
            assert b"1,2" not in answer
            assert b"def " not in answer


def test_no_name_in_a_body_leads_out_of_the_data_folder(server: Served) -> None:
    before = sorted(p.relative_to(server.data.parent) for p in server.data.parent.rglob("*"))
    names = (
        "../theirs",
        "..",
        ".hidden",
        "a/b",
        "a\\b",
        "/etc",
        "",
        " ",
        "x\0y",
        "nul",
        "aux.x",
        "ends.",
        "x" * 81,
        "\ud800",
    )
    for name in (*names, "ü" * 150):
        assert server.ask("POST", "/api/shops", {"name": name}).status_code == 422, name
        assert server.ask("POST", "/api/shops/mine/parts", {"name": name}).status_code == 422, name
        job = {"shop": "mine", "part": name, "kind": "plan", "options": {}}
        assert server.ask("POST", "/api/jobs", job).status_code in (404, 422), name
    after = sorted(p.relative_to(server.data.parent) for p in server.data.parent.rglob("*"))
    assert before == after


def test_a_link_in_the_data_folder_is_not_followed(server: Served, tmp_path: Path) -> None:
    (tmp_path / "outside.part.toml").write_text(SMALL)
    links = {"linked.part.toml": tmp_path / "outside.part.toml", "linked.csv": tmp_path / "outside.part.toml"}
    for name, target in links.items():
        (server.data / "mine" / name).symlink_to(target)
    (server.data / "linked").symlink_to(tmp_path, target_is_directory=True)
    try:
        assert server.ask("GET", "/api/shops/mine/parts/linked/draft").status_code in (404, 422)
        assert server.ask("GET", "/api/shops/mine/files/linked.csv").status_code in (404, 422)
        assert server.ask("GET", "/api/shops/linked/choices").status_code in (404, 422)
        assert server.ask("POST", "/api/shops/mine/files/linked.csv", content=b"x,y\n").status_code == 422
        assert [s["name"] for s in server.get("/api/shops")] == ["mine"]
        assert "outside" not in str(server.get("/api/shops"))
    finally:
        for link in (*(server.data / "mine" / n for n in links), server.data / "linked"):
            link.unlink()


def test_ordinates_of_a_draft_are_read_from_its_shop_alone(server: Served) -> None:
    (server.data.parent / "secret.csv").write_text("x,y\n80,0\n40,SECRET\n0,0\n")
    here = server.get(DRAFT)
    whole = str(server.data.parent / "secret.csv")
    for name in ("../secret.csv", "../../secret.csv", whole, "/etc/passwd", "..\\\\secret.csv", "shop.toml"):
        text = SMALL.replace("to = [80.0, 0.0]", f'ordinates = "{name}"')
        view = server.post(f"{DRAFT}/text", {"revision": here["revision"], "text": text})
        (fault,) = [f for f in view["faults"] if f["key"] == "web.edge[1].ordinates"]
        assert "in the shop's folder" in fault["say"]
        assert "SECRET" not in str(view["faults"])
        assert "root:" not in str(view["faults"])
        job = server.job("plan")
        assert job["state"] == "failed"
        assert "SECRET" not in str(job)
        here = server.post(f"{DRAFT}/undo", {"revision": view["revision"]})


def test_a_script_in_a_title_is_text_on_every_paper_and_would_not_run(server: Served) -> None:
    evil = "</text></svg><script>alert(1)</script><img src=x onerror=alert(1)>"
    server.post("/api/shops/mine/parts", {"name": "evil", "text": SMALL.replace("Small angle", evil)})
    job = server.job("packet", part="evil")
    assert job["state"] == "done", job["faults"]
    pictures = [f["name"] for f in job["files"] if f["name"].endswith(".svg")]
    assert len(pictures) > 5
    for name in pictures:
        picture = server.ask("GET", f"/api/jobs/{job['id']}/files/{name}")
        assert picture.headers["content-type"] == "image/svg+xml"
        assert "sandbox" in picture.headers["content-security-policy"]
        assert "script-src" not in picture.headers["content-security-policy"]
        assert "default-src 'none'" in picture.headers["content-security-policy"]
        assert "<script" not in picture.text
        assert "<img" not in picture.text
    card = server.ask("GET", f"/api/jobs/{job['id']}/files/job-card.pdf?download=1")
    assert card.content.startswith(b"%PDF")
    assert card.headers["content-disposition"].startswith("attachment")
    assert card.headers["x-content-type-options"] == "nosniff"


def test_every_answer_says_that_only_our_own_scripts_run(server: Served) -> None:
    for path in ("/", "/api/about", "/api/nothing", "/nothing.js", DRAFT):
        headers = server.ask("GET", path).headers
        assert "script-src 'self'" in headers["content-security-policy"]
        assert "unsafe" not in headers["content-security-policy"]
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["referrer-policy"] == "no-referrer"
        assert headers["cross-origin-resource-policy"] == "same-origin"
        assert headers["cross-origin-opener-policy"] == "same-origin"


def test_a_file_brought_in_that_is_too_long_is_refused_by_its_told_length(server: Served) -> None:
    head = (
        f"POST /api/shops/mine/files/big.csv HTTP/1.1\r\nHost: 127.0.0.1:{server.port}\r\nX-Ribwright: page\r\n"
        "Content-Length: 20000001\r\nConnection: close\r\n\r\n"
    )
    assert server.raw(head.encode()).split()[1] == b"413"
    assert not (server.data / "mine" / "big.csv").exists()


def test_a_file_brought_in_piece_by_piece_that_grows_too_long_is_refused(server: Served) -> None:
    def pieces() -> Iterator[bytes]:
        for _ in range(2500):
            yield b"1,2\n" * 2500

    try:
        refused = server.ask("POST", "/api/shops/mine/files/big.csv", content=pieces())
        assert refused.status_code == 413
    except httpx.TransportError:
        pass  # the connection was closed before all was sent
    assert not (server.data / "mine" / "big.csv").exists()


def test_an_edit_that_is_too_long_is_refused(server: Served) -> None:
    here = server.get(DRAFT)
    body = {"revision": here["revision"], "text": "#" * 2_100_000}
    assert server.ask("POST", f"{DRAFT}/text", body).status_code == 413
    assert server.get(DRAFT)["revision"] == here["revision"]


def test_five_hundred_requests_at_once_are_answered_or_told_to_come_again(server: Served) -> None:
    paths = [("/api/shops", DRAFT, "/api/about")[n % 3] for n in range(500)]

    def asked(path: str) -> int:
        # a connection of its own each: what many threads do to one pool of connections is not the server's doing
        line = http.client.HTTPConnection("127.0.0.1", server.port, timeout=60.0)
        try:
            line.request("GET", path)
            return line.getresponse().status
        finally:
            line.close()

    with ThreadPoolExecutor(500) as pool:
        statuses = list(pool.map(asked, paths))
    assert set(statuses) <= {200, 503}
    assert statuses.count(200) > 50


def test_a_head_that_comes_byte_by_byte_is_cut_off_and_keeps_nobody_waiting(server: Served) -> None:
    slow = [socket.create_connection(("127.0.0.1", server.port), 30.0) for _ in range(40)]
    for sock in slow:
        sock.sendall(b"GET /api/about HTTP/1.1\r\nHost: 127.0.0.1")
    assert server.get("/api/about")["entered"] is True
    for sock in slow:
        while sock.recv(1000):  # until the server closes it; a server that waits lets this time out
            pass
        sock.close()


def test_a_second_head_on_a_kept_connection_is_cut_off_too(server: Served) -> None:
    with socket.create_connection(("127.0.0.1", server.port), 30.0) as sock:
        sock.sendall(f"GET /api/about HTTP/1.1\r\nHost: 127.0.0.1:{server.port}\r\n\r\n".encode())
        assert b"200 OK" in sock.recv(65536)
        sock.sendall(b"GET /api/ab")
        while sock.recv(65536):
            pass


def test_a_body_that_does_not_arrive_is_given_up(server: Served) -> None:
    head = f"POST {DRAFT}/text HTTP/1.1\r\nHost: 127.0.0.1:{server.port}\r\nX-Ribwright: page\r\nContent-Length: 1000\r\n\r\n{{"
    assert server.raw(head.encode()).split()[1] == b"408"


def test_an_answer_that_nobody_reads_is_given_up(server: Served) -> None:
    assert server.ask("POST", "/api/shops/mine/files/large.csv", content=b"1,2\n" * 4_500_000).status_code == 201
    before = server.connections
    head = f"GET /api/shops/mine/files/large.csv HTTP/1.1\r\nHost: 127.0.0.1:{server.port}\r\n\r\n".encode()
    deaf = [socket.create_connection(("127.0.0.1", server.port), 30.0) for _ in range(5)]
    for sock in deaf:
        sock.sendall(head)
        assert sock.recv(10)
    until = time.monotonic() + 60.0
    while server.connections > before:
        assert time.monotonic() < until
        time.sleep(0.1)
    for sock in deaf:
        sock.close()
    (server.data / "mine" / "large.csv").unlink()


def test_what_is_no_http_is_refused(server: Served) -> None:
    for sent in (
        b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03",
        b"hello\r\n\r\n",
        b"GET / HTTP/9.9\r\n\r\n",
        b"\0" * 100,
    ):
        assert server.raw(sent, 3.0)[:12] in (b"", b"HTTP/1.1 400", b"HTTP/1.1 403")


def test_a_head_without_end_is_refused(server: Served) -> None:
    head = f"GET /api/about HTTP/1.1\r\nHost: 127.0.0.1:{server.port}\r\nX: ".encode() + b"y" * 200_000
    with suppress(ConnectionError):  # closed while we were sending
        assert server.raw(head, 3.0)[:12] in (b"", b"HTTP/1.1 400", b"HTTP/1.1 431")


def test_a_body_that_is_no_json_or_not_of_its_form_is_refused_with_a_sentence(server: Served) -> None:
    for content in (b"{", b"[]", b"1" * 5000, b"[" * 100_000, b"\xff", b"null", b'"x"'):
        refused = server.client.post("/api/shops", content=content, headers=PAGE)
        assert refused.status_code == 400, content[:20]
        assert refused.json()["faults"][0]["say"]
    for body in ({"name": 5}, {"nome": "x"}, {"name": ["x"]}, {}, {"name": "x", "units": "ft"}):
        assert server.ask("POST", "/api/shops", body).status_code == 422, body


def test_streams_that_are_never_read_do_not_keep_requests_out(server: Served) -> None:
    job = server.job("check")
    assert job["state"] == "done"
    socks = []
    for _ in range(40):
        sock = socket.create_connection(("127.0.0.1", server.port), 30.0)
        sock.sendall(f"GET /api/jobs/{job['id']}/events HTTP/1.1\r\nHost: 127.0.0.1:{server.port}\r\n\r\n".encode())
        socks.append(sock)
    assert server.get("/api/about")["entered"] is True
    for sock in socks:
        sock.close()


def test_a_server_open_to_the_network_answers_nothing_without_its_token(tmp_path: Path) -> None:
    with served(tmp_path, open_to_network=True) as open_one:
        told = open_one.get("/api/about")
        assert (told["entered"], told["data"], told["first"]) == (False, "", False)
        closed = (("GET", "/api/shops"), ("POST", "/api/shops"), ("GET", "/api/jobs/x"), ("GET", "/api/openapi.json"))
        for method, path in closed:
            assert open_one.ask(method, path).status_code == 401
        assert open_one.ask("GET", "/").status_code in (200, 404)
        wrong = open_one.ask("POST", "/api/enter", {"token": "wrong"})
        assert wrong.status_code == 401
        assert "set-cookie" not in wrong.headers
        right = open_one.ask("POST", "/api/enter", {"token": "right-token"})
        while right.status_code == 429:
            time.sleep(0.2)
            right = open_one.ask("POST", "/api/enter", {"token": "right-token"})
        assert right.status_code == 200
        cookie = right.headers["set-cookie"].lower()
        assert "httponly" in cookie
        assert "samesite=strict" in cookie
        assert "right-token" not in cookie
        assert open_one.get("/api/about")["entered"] is True
        with_small(open_one)
        assert open_one.ask("GET", "/api/shops", headers={"Origin": "http://evil.example"}).status_code == 403
        assert open_one.ask("GET", "/api/shops", headers={"Host": f"evil.example:{open_one.port}"}).status_code == 403
        assert open_one.ask("GET", "/api/shops", headers={"Host": f"192.168.7.7:{open_one.port}"}).status_code == 200


def test_many_wrong_tokens_at_once_are_looked_at_once(tmp_path: Path) -> None:
    with served(tmp_path, open_to_network=True) as open_one:
        statuses: list[int] = []

        def one() -> None:
            statuses.append(open_one.ask("POST", "/api/enter", {"token": "x"}).status_code)

        threads = [threading.Thread(target=one) for _ in range(30)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert statuses.count(401) <= 5  # each that is looked at doubles the wait
        assert statuses.count(429) >= 25


def test_of_a_hundred_thousand_wrong_keys_twenty_are_told(server: Served) -> None:
    many = {f"k{n}": 1 for n in range(100_000)}
    options = {f"k{n}": "" for n in range(100_000)}
    for body in (many, {"shop": "mine", "part": "S-1", "kind": "check", "options": many},
                 {"shop": "mine", "part": "S-1", "kind": "check", "options": options}):  # fmt: skip
        refused = server.ask("POST", "/api/jobs", body)
        faults = refused.json()["faults"]
        assert (refused.status_code, len(faults)) == (422, 20)
        assert faults[-1]["found"] == "and 99981 more faults"


def test_a_shop_or_part_called_files_takes_no_longer_edits_than_another(server: Served) -> None:
    body = {"revision": "0", "text": "#" * 2_100_000}
    for path in (
        "/api/shops/files/parts/files/draft/text",
        "/api/shops/mine/parts/files/files/draft",
        "/api/jobs/x/files/y",
    ):
        assert server.ask("POST", path, body).status_code == 413, path
