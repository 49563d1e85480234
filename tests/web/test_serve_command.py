"""`ribwright serve` as a person starts it: says where, serves, ends on Ctrl-C with nothing left behind."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import httpx
import pytest
from click.testing import CliRunner

from ribwright.cli import main
from served import SMALL


def _start(*words: str) -> subprocess.Popen[str]:
    command = [sys.executable, "-u", "-m", "ribwright", "serve", "--no-open", *words]
    # a test runner in the background may have told its children to pass Ctrl-C over
    restore = (lambda: signal.signal(signal.SIGINT, signal.default_int_handler)) if os.name != "nt" else None
    return subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, preexec_fn=restore)


def _page(server: subprocess.Popen[str]) -> str:
    assert server.stdout is not None
    line = server.stdout.readline()
    found = re.search(r"http://\S+", line)
    assert found, line + (server.stderr.read() if server.stderr else "")
    return found[0]


@pytest.mark.skipif(os.name == "nt", reason="signals of another system")
def test_it_says_where_it_serves_and_ends_on_ctrl_c_with_its_processes(tmp_path: Path) -> None:
    server = _start("--data", str(tmp_path / "new"), "--port", "0")
    page = _page(server)
    told = httpx.get(f"{page}api/about", trust_env=False).json()
    assert (told["first"], told["data"]) == (True, str(tmp_path / "new"))
    children = _children(server.pid)
    assert len(children) >= 1
    second = _start("--data", str(tmp_path / "new"), "--port", "0")
    assert second.wait(20) == 2
    assert second.stderr is not None
    assert "another ribwright serve has open" in second.stderr.read()
    with httpx.stream("GET", f"{page}api/shops", trust_env=False):
        server.send_signal(signal.SIGINT)
        assert server.wait(10) == 0
    assert server.stderr is not None
    assert server.stderr.read() == ""
    time.sleep(0.5)
    assert not [
        pid
        for pid in children
        if Path(f"/proc/{pid}/cmdline").exists() and b"spawn" in Path(f"/proc/{pid}/cmdline").read_bytes()
    ]


def _children(pid: int) -> list[int]:
    listed = subprocess.run(["ps", "-o", "pid=", "--ppid", str(pid)], capture_output=True, text=True).stdout
    return [int(word) for word in listed.split()]


@pytest.mark.skipif(os.name == "nt", reason="signals of another system")
def test_its_processes_compute_and_one_that_is_killed_fails_its_job_and_is_replaced(tmp_path: Path) -> None:
    server = _start("--data", str(tmp_path), "--port", "0")
    try:
        with httpx.Client(
            base_url=_page(server), headers={"X-Ribwright": "page"}, timeout=60.0, trust_env=False
        ) as client:
            client.post("/api/shops", json={"name": "mine", "units": "mm"})
            client.post("/api/shops/mine/parts", json={"name": "S-1", "text": SMALL})

            def order(kind: str, **options: str) -> dict[str, Any]:
                body = {"shop": "mine", "part": "S-1", "kind": kind, "options": options}
                made: dict[str, Any] = client.post("/api/jobs", json=body).json()
                return made

            def ended(job: dict[str, Any]) -> dict[str, Any]:
                until = time.monotonic() + 120.0
                while job["state"] in ("queued", "running"):
                    assert time.monotonic() < until
                    time.sleep(0.1)
                    job = client.get(f"/api/jobs/{job['id']}").json()
                return job

            job = ended(order("check"))
            assert (job["state"], job["result"]["part"]["number"]) == ("done", "S-1")
            long = order("forecast", pressure="7 MPa")
            while client.get(f"/api/jobs/{long['id']}").json()["early"] is None:
                time.sleep(0.05)
            assert len(_children(server.pid)) >= 2
            for pid in _children(server.pid):
                if b"spawn_main" in Path(f"/proc/{pid}/cmdline").read_bytes():
                    os.kill(pid, signal.SIGKILL)
            died = ended(long)
            assert (died["state"], "ended while at work" in died["faults"][0]["say"]) == ("failed", True)
            assert died["early"]
            # the other process was killed as well, while it had nothing to do
            again = ended(order("check", method="handbook"))
            assert again["state"] == "done"
            assert ended(order("forecast", pressure="7 MPa", forecast_model="closed-form"))["state"] == "done"
    finally:
        server.terminate()
        assert server.wait(10) == 0


@pytest.mark.skipif(os.name == "nt", reason="signals of another system")
def test_open_to_the_network_it_prints_a_token_and_what_that_means(tmp_path: Path) -> None:
    server = _start("--data", str(tmp_path), "--port", "0", "--host", "0.0.0.0")
    try:
        page = _page(server)
        assert server.stdout is not None
        token, means = server.stdout.readline(), server.stdout.readline()
        assert re.fullmatch(r"Token: \S{20,}\n", token)
        assert "can read and change every part" in means
        assert "Nothing is encrypted" in means
        local = re.sub(r"//[^:/]+", "//127.0.0.1", page)
        assert httpx.get(f"{local}api/shops", trust_env=False).status_code == 401
        with httpx.Client(base_url=local, trust_env=False) as client:
            body = {"token": token.split()[1]}
            assert client.post("/api/enter", json=body, headers={"X-Ribwright": "page"}).status_code == 200
            assert client.get("/api/shops").json() == []
    finally:
        server.terminate()
        assert server.wait(10) == 0


def test_a_place_that_cannot_be_is_refused_with_a_sentence(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    cases = {
        ("--data", str(tmp_path / "file")): "--data",
        ("--data", str(tmp_path), "--host", "203.0.113.7"): "--host, --port",
        ("--data", str(tmp_path), "--host", "no.such.name.invalid"): "--host, --port",
    }
    for words, key in cases.items():
        done = CliRunner().invoke(main, ["serve", "--no-open", *words])
        assert done.exit_code == 2, done.output
        assert f"ribwright: command line: {key}: found" in done.stderr
