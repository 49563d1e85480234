"""The workbench started as a person starts it, and Debian's Chromium to drive its page.

Without a Chromium these tests are skipped; where RIBWRIGHT_CHROMIUM names one (as in .ci/run) it must work.
"""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

NAMES = ("chromium", "chromium-browser", "google-chrome", "chrome")
FLAGS = [
    "--headless=new",
    "--no-sandbox",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-quic",
    "--disable-gpu",  # sheets and three dimensions alike by the processor
]
START_S = 90


@dataclass(frozen=True)
class Workbench:
    """A server at work: its address and its data folder."""

    url: str
    data: Path


def started(data: Path, log: Path) -> tuple[subprocess.Popen[bytes], Workbench]:
    """`ribwright serve` on a free port, answering."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    command = [sys.executable, "-m", "ribwright", "serve", "--data", str(data), "--port", str(port), "--no-open"]
    with log.open("wb") as out:
        process = subprocess.Popen(command, stdout=out, stderr=subprocess.STDOUT)
    bench = Workbench(f"http://127.0.0.1:{port}", data)
    ends = time.monotonic() + START_S
    while time.monotonic() < ends and process.poll() is None:
        try:
            with urllib.request.urlopen(f"{bench.url}/api/about", timeout=2):
                return process, bench
        except OSError:
            time.sleep(0.1)
    process.kill()
    raise AssertionError(f"the server did not answer:\n{log.read_text()}")


@pytest.fixture(scope="module")
def workbench(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Workbench]:
    """A server with an empty data folder."""
    folder = tmp_path_factory.mktemp("workbench")
    process, bench = started(folder / "data", folder / "server.log")
    yield bench
    process.terminate()
    process.wait(timeout=20)


@pytest.fixture(scope="session")
def browser() -> Iterator[object]:
    """Chromium, software rendering."""
    named = os.environ.get("RIBWRIGHT_CHROMIUM", "")
    found = named or next(filter(None, map(shutil.which, NAMES)), "")
    if not found:
        pytest.skip("no Chromium on this machine")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=found, args=FLAGS)
        yield chromium
        chromium.close()


@pytest.fixture(params=[(1280, 800), (1920, 1080)], ids=lambda size: f"{size[0]}x{size[1]}")
def size(request: pytest.FixtureRequest) -> tuple[int, int]:
    """Window sizes that the page is made for."""
    return request.param


@pytest.fixture
def page(browser, size: tuple[int, int]) -> Iterator[object]:
    """A fresh page; what it complains about fails the test, as does any request that leaves this machine."""
    context = browser.new_context(viewport={"width": size[0], "height": size[1]}, accept_downloads=True)
    page = context.new_page()
    page.set_default_timeout(30_000)
    wrong: list[str] = []
    page.on("pageerror", lambda error: wrong.append(f"error: {error}"))
    page.on(
        "console", lambda m: wrong.append(f"console: {m.text}") if m.type == "error" and "409" not in m.text else None
    )
    page.on(
        "request",
        lambda r: (
            wrong.append(f"asked {r.url}") if not r.url.startswith(("http://127.0.0.1:", "data:", "blob:")) else None
        ),
    )
    yield page
    context.close()
    assert wrong == []
