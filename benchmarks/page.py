"""The page: start of the server, first useful screen, weight, a 400-point outline dragged, the block turned in three dimensions.

    python benchmarks/page.py [--runs 5] [--chromium /usr/bin/chromium] [--json]

Wants the development packages (playwright) and a Chromium, which draws by software here. Frames are the times
between two calls of requestAnimationFrame while a point is dragged by the mouse, or the block is turned by a key a frame; the peer is the
same loop, in the same run, on a page that redraws one bare SVG line of 400 points (for the block: that does nothing), so that the
machine's own load shows.
"""

from __future__ import annotations

import argparse
import json
import math
import os
import socket
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.request
from pathlib import Path
from typing import Any

FLAGS = ["--headless=new", "--no-sandbox", "--no-first-run", "--disable-background-networking", "--disable-component-update",
         "--disable-sync", "--disable-gpu"]  # fmt: skip
SIZES = ((1280, 800), (1920, 1080))
FRAMES = 90
POINTS = 400
SHOP, PART = "Example shop", "Outline 400"
BROUGHT = """() => ["resource", "navigation"].flatMap((kind) => performance.getEntriesByType(kind))
  .filter((r) => !r.name.includes("/api/")).map((r) => [r.transferSize, r.decodedBodySize])"""
WATCH = """() => { window.watching = true; window.frames = []; window.tasks = []; let last = performance.now();
  new PerformanceObserver((l) => tasks.push(...l.getEntries().map((e) => e.duration))).observe({type: "longtask"});
  const next = (now) => { frames.push(now - last); last = now; if (watching) requestAnimationFrame(next); };
  requestAnimationFrame(next); }"""
LOOP = """async (n) => { const t = []; let last = performance.now();
  for (let i = 0; i < n; i++) { await new Promise(requestAnimationFrame); const now = performance.now(); t.push(now - last); last = now; }
  return t; }"""
PEER_LINE = """<svg viewBox="0 0 1000 400" width="1000" height="400"><path fill="none" stroke="black"/></svg>"""
PEER_LOOP = """async (n) => { const path = document.querySelector("path"), t = []; let last = performance.now();
  for (let i = 0; i < n; i++) {
    path.setAttribute("d", "M" + Array.from({length: 400}, (_, k) => `${k * 2.5},${200 + 150 * Math.sin(k / 40 + i / 10)}`).join("L"));
    await new Promise(requestAnimationFrame); const now = performance.now(); t.push(now - last); last = now; }
  return t; }"""


def spline_part() -> str:
    """A part whose upper edge is a spline of 400 points."""
    last = POINTS - 1
    points = [
        [round(254 - 254 * k / last, 4), round(60 + 14 * math.sin(math.pi * k / last), 4)] for k in range(1, POINTS)
    ]
    return f"""units = "mm"
[part]
number = "{PART}"
revision = "A"
[sheet]
material = "2024-O clad"
formed_in = "O"
final = "T42"
thickness = 0.8
[web]
line = "outside-mold-line"
start = [0.0, 0.0]
[[web.edge]]
name = "lower"
to = [254.0, 0.0]
[[web.edge]]
name = "rear"
to = [254.0, 60.0]
[[web.edge]]
name = "upper"
spline = {json.dumps(points)}
flange = "skin"
[[web.edge]]
name = "front"
to = [0.0, 0.0]
[flange.skin]
width = 14
bend_angle = 90
bend_radius = 2.4
"""


def started(data: Path) -> tuple[subprocess.Popen[bytes], str, float]:
    """(server, address, seconds until it answers)."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    begun = time.perf_counter()
    words = [sys.executable, "-m", "ribwright", "serve", "--data", str(data), "--port", str(port), "--no-open"]
    server = subprocess.Popen(words, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    url = f"http://127.0.0.1:{port}"
    while True:
        try:
            urllib.request.urlopen(f"{url}/api/about", timeout=2).close()
            return server, url, time.perf_counter() - begun
        except OSError:
            if time.perf_counter() - begun > 120 or server.poll() is not None:
                raise
            time.sleep(0.02)


def resident_mb(pid: int) -> float:
    """Resident memory of a process and its children [MB]; nan where /proc is not."""
    if not Path("/proc").exists():
        return float("nan")
    kids = [p for p in Path("/proc").iterdir() if p.name.isdigit() and _parent(p) == pid]
    pages = int((Path("/proc") / str(pid) / "statm").read_text().split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") / 1e6 + sum(resident_mb(int(p.name)) for p in kids)


def _parent(process: Path) -> int:
    try:
        return int((process / "stat").read_text().rsplit(")", 1)[1].split()[1])
    except (OSError, IndexError):
        return -1


def ask(url: str, path: str, body: Any) -> Any:
    """One POST as the page makes it."""
    head = {"X-Ribwright": "page", "Content-Type": "application/json"}
    request = urllib.request.Request(f"{url}{path}", json.dumps(body).encode(), head, method="POST")
    with urllib.request.urlopen(request, timeout=60) as answer:
        return json.load(answer)


def first_screen(browser: Any, url: str, size: tuple[int, int], runs: int) -> dict[str, float]:
    """Seconds from asking for the page to the list of parts; the server warm, the browser's cache empty, then full."""
    took: dict[str, list[float]] = {"first": [], "again": []}
    for _ in range(runs):
        context = browser.new_context(viewport={"width": size[0], "height": size[1]})
        page = context.new_page()
        for which in took:
            page.goto("about:blank")
            begun = time.perf_counter()
            page.goto(url, wait_until="commit")
            page.get_by_text("Q7-2102-1").first.wait_for()
            took[which].append(time.perf_counter() - begun)
        context.close()
    return {f"{which}_s": round(statistics.median(t), 3) for which, t in took.items()}


def weight(browser: Any, url: str) -> dict[str, float]:
    """Kilobytes that each sheet brings, as sent and as unpacked, when it is the first one opened."""
    found = {}
    for name, part in (
        ("start", ""),
        ("part", "Q7-2102-1/part"),
        ("blank", "Q7-2102-1/blank"),
        ("forecast", "Q7-2102-1/forecast"),
        ("packet", "Q7-2102-1/packet"),
    ):
        page = browser.new_context().new_page()
        page.goto(f"{url}/#/{SHOP}/{part}" if part else url)
        page.locator("main h2:visible, main [role=tab]").first.wait_for()
        page.wait_for_timeout(500)
        rows = page.evaluate(BROUGHT)
        found[name] = {
            "sent_kb": round(sum(r[0] for r in rows) / 1e3, 1),
            "unpacked_kb": round(sum(r[1] for r in rows) / 1e3, 1),
            "files": len(rows),
        }
        page.context.close()
    return found


def told(frames: list[float]) -> dict[str, float]:
    """Of times between frames [ms]."""
    rows = sorted(frames[5:])
    return {
        "median_ms": round(statistics.median(rows), 1),
        "p95_ms": round(rows[int(0.95 * len(rows))], 1),
        "max_ms": round(rows[-1], 1),
    }


def dragged(browser: Any, url: str, size: tuple[int, int]) -> dict[str, Any]:
    """A point of the 400-point edge dragged, one move a frame."""
    say("outline of 400 points")
    page = browser.new_context(viewport={"width": size[0], "height": size[1]}).new_page()
    page.goto(f"{url}/#/{SHOP}/{PART}/part")
    page.get_by_role("group", name="Everything in this part").get_by_role("button", name="upper").click()
    handles = page.locator(".part-handle")
    handles.first.wait_for(state="attached")
    box = handles.nth(handles.count() // 2).bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.evaluate(WATCH)
    for i in range(FRAMES):
        page.mouse.move(x + 20 * math.sin(i / 9), y - 20 + 20 * math.cos(i / 9))
    frames, tasks = page.evaluate("() => { watching = false; return [frames, tasks]; }")
    shown = handles.count()
    page.mouse.up()
    page.goto("about:blank")
    page.set_content(PEER_LINE)
    peer = page.evaluate(PEER_LOOP, FRAMES)
    page.context.close()
    return {"ours": told(frames), "tasks_over_50_ms": len(tasks), "peer_bare_line": told(peer), "handles": shown}


def turned(browser: Any, url: str, size: tuple[int, int]) -> dict[str, Any]:
    """The block turned in three dimensions by the arrow keys, one step a frame."""
    say("block turned")
    page = browser.new_context(viewport={"width": size[0], "height": size[1]}).new_page()
    page.goto(f"{url}/#/{SHOP}/Q7-2102-1/blank")
    page.get_by_role("tab", name="In three dimensions").click()
    canvas = page.locator("canvas").first
    canvas.wait_for()
    page.wait_for_function("() => !document.querySelector('.frame-job')", timeout=120_000)
    page.wait_for_timeout(1000)
    frames = page.evaluate(
        """async (n) => { const t = [], at = document.querySelector("canvas"), el = at.closest("[tabindex]") ?? at;
        let last = performance.now();
        for (let i = 0; i < n; i++) {
          el.dispatchEvent(new KeyboardEvent("keydown", {key: "ArrowLeft", bubbles: true}));
          await new Promise(requestAnimationFrame);
          await new Promise((f) => setTimeout(f));
          const now = performance.now();
          t.push(now - last);
          last = now; }
        return t; }""",
        FRAMES,
    )
    page.goto("about:blank")
    peer = page.evaluate(LOOP, FRAMES)
    page.context.close()
    return {"ours": told(frames), "peer_nothing": told(peer)}


def say(words: str) -> None:
    """What is being measured."""
    print(words, "...", file=sys.stderr, flush=True)


def main() -> None:
    """Measures and prints."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("--runs", type=int, default=5)
    asked.add_argument("--chromium", default="/usr/bin/chromium")
    asked.add_argument("--json", action="store_true")
    options = asked.parse_args()
    from playwright.sync_api import sync_playwright

    with tempfile.TemporaryDirectory() as folder:
        server, url, start = started(Path(folder) / "data")
        try:
            ask(url, "/api/shops", {"name": SHOP, "example": True})
            ask(url, f"/api/shops/{SHOP.replace(' ', '%20')}/parts", {"name": PART, "text": spline_part()})
            with sync_playwright() as playwright:
                browser = playwright.chromium.launch(executable_path=options.chromium, args=FLAGS)
                say("weight")
                found: dict[str, Any] = {
                    "server_start_s": round(start, 2),
                    "weight": weight(browser, url),
                    "load": os.getloadavg(),
                }
                for size in SIZES:
                    name = f"{size[0]}x{size[1]}"
                    say(name)
                    found[name] = {
                        "first_useful_screen": first_screen(browser, url, size, options.runs),
                        "outline_400_points_dragged": dragged(browser, url, size),
                        "block_turned": turned(browser, url, size),
                    }
                found["resident_mb"] = round(resident_mb(server.pid), 0)
                browser.close()
        finally:
            server.terminate()
            server.wait(20)
    print(json.dumps(found, indent=1 if not options.json else None))


if __name__ == "__main__":
    main()
