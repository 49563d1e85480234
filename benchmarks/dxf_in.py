"""How fast and how right drawings are read: every variant of the known rib, and files of about 10 MB beside the library's own load.

    python benchmarks/dxf_in.py [--json] [--mb 10]

The peer is `ezdxf.readfile` of the same file in the same run: what reading costs before anything is made of it.
"""

from __future__ import annotations

import argparse
import json
import re
import sys
import tempfile
import time
from collections.abc import Callable
from math import cos, pi, sin
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT / "tests"))

import ezdxf  # noqa: E402

from drawn_judged import judged  # noqa: E402
from drawn_rib import WIDTH, Drawn, loose, misses, part_of  # noqa: E402
from drawn_variants import Variant, variants  # noqa: E402
from ribwright.errors import InputError  # noqa: E402
from ribwright.wiring import DiskFiles  # noqa: E402
from ribwright.work.import_dxf import DxfOptions, imported  # noqa: E402

LINE_BYTES = 165  # of a LINE in R2010


def lines_aside(n: int) -> Drawn:
    """The rib, and n lines on a layer without a role: a drawing with all its views."""
    d = loose(Drawn())
    for i in range(n):
        a = i * 0.37
        d.line((700 + 90 * cos(a), 90 * sin(a)), (700 + 90 * cos(a + 0.3), 90 * sin(a + 0.3)), "VIEWS")
    return d


def blocks_aside(n: int) -> Drawn:
    """The rib, and n / 8 blocks of 8 lines beside it."""
    d = loose(Drawn())
    block = d.doc.blocks.new("SYMBOL")
    for i in range(8):
        block.add_line((i, 0), (i + 1, (i % 3) - 1), dxfattribs={"layer": "VIEWS"})
    for i in range(n // 8):
        d.space.add_blockref(
            "SYMBOL", (700 + i, 10 * (i % 7)), dxfattribs={"layer": "VIEWS", "xscale": -1 if i % 2 else 1}
        )
    return d


def duplicates(n: int) -> Drawn:
    """The rib drawn over and over, n lines and arcs in all."""
    d = Drawn()
    for i in range(n // 13):
        loose(d, i, holes=False)
    for x, y, size in ((120.0, 50.0, 60.0), (400.0, 45.0, 25.4), (450.0, 60.0, 4.7625)):
        d.circle(x, y, size)
    return d


def chords(n: int) -> Drawn:
    """An oval of n chords on the contour's layer, every one an entity."""
    d = Drawn()
    points = [(250 + 250 * cos(2 * pi * i / n), 60 * sin(2 * pi * i / n)) for i in range(n)]
    for a, b in zip(points, points[1:] + points[:1], strict=True):
        d.line(a, b)
    return d


def polyline(n: int) -> str:
    """The same oval as one polyline, put into the text: the library's own making of one takes the square of its length."""
    d = Drawn()
    d.polyline(((0.0, 0.0, 0.0), (1.0, 0.0, 0.0)))
    rows = "".join(f" 10\n{250 + 250 * cos(2 * pi * i / n)!r}\n 20\n{60 * sin(2 * pi * i / n)!r}\n" for i in range(n))
    return re.sub(
        r"(AcDbPolyline\n 90\n)2(\n 70\n1\n)(?:.*\n)*?(?=  0\nENDSEC)", rf"\g<1>{n}\g<2>{rows}", d.text(), count=1
    )


BIG: dict[str, tuple[Callable[[int], Drawn | str], float, DxfOptions]] = {
    "rib among lines of other views": (lines_aside, 1.0, DxfOptions((WIDTH,))),
    "rib among blocks": (blocks_aside, 7.0, DxfOptions((WIDTH,))),
    "rib drawn over and over": (duplicates, 1.0, DxfOptions((WIDTH,))),
    "outline of chords": (chords, 1.0, DxfOptions((WIDTH,), curves=True)),
    "outline of one polyline": (polyline, 3.6, DxfOptions((WIDTH,), curves=True)),
}


def big(name: str, megabytes: float, folder: Path) -> dict[str, Any]:
    """One large file read by the library alone and by us; seconds on the wall, and of the processor, which others do not disturb."""
    make, share, options = BIG[name]
    path = folder / "big.dxf"
    made = make(int(megabytes * 1e6 / LINE_BYTES * share))
    path.write_text(made if isinstance(made, str) else made.text())
    start, cpu = time.perf_counter(), time.process_time()
    entities = len(ezdxf.readfile(path).modelspace())
    library, library_cpu = time.perf_counter() - start, time.process_time() - cpu
    said: dict[str, Any] = {}
    text = ""
    start, cpu = time.perf_counter(), time.process_time()
    try:
        done = imported(DiskFiles(), path, options)
        said, text = {"edges": done.json["import"]["edges"]}, done.text
    except InputError as refusal:
        said = {"refused": refusal.faults[0].sentence().replace(str(path), "")[:200]}
    ours, ours_cpu = time.perf_counter() - start, time.process_time() - cpu
    if "rib" in name and text:
        said["miss_mm"] = misses(part_of(text))
    return {
        "file": name,
        "mb": path.stat().st_size / 1e6,
        "entities": entities,
        "library_s": library,
        "ours_s": ours,
        "library_cpu_s": library_cpu,
        "ours_cpu_s": ours_cpu,
        "times": ours_cpu / library_cpu,
        **said,
    }


def run(megabytes: float) -> dict[str, Any]:
    """Everything."""
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made)
        rows = [_row(v, folder) for v in variants()]
        imported_first = [big(name, megabytes, folder) for name in BIG]
    read = [r["miss_mm"] for r in rows if r["miss_mm"] is not None]
    return {
        "variants": rows,
        "as_they_must": sum(not r["wrong"] for r in rows),
        "read": len(read),
        "refused": len(rows) - len(read),
        "large": imported_first,
    }


def _row(variant: Variant, folder: Path) -> dict[str, Any]:
    start = time.perf_counter()
    came = judged(variant, folder)
    return {
        "variant": variant.name,
        "wrong": came.wrong,
        "miss_mm": came.miss,
        "allowed_mm": None if variant.refused else variant.within,
        "said": came.said,
        "seconds": time.perf_counter() - start,
    }


def main() -> None:
    """The table, or JSON."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--json", action="store_true")
    parser.add_argument("--mb", type=float, default=10.0)
    asked = parser.parse_args()
    told = run(asked.mb)
    if asked.json:
        print(json.dumps(told, indent=1))
        return
    for r in told["variants"]:
        came = (
            "refused: " + r["said"][:110] if r["miss_mm"] is None else f"read within {r['miss_mm']:.1e} mm; {r['said']}"
        )
        print(f"{'BAD ' if r['wrong'] else 'ok  '}{r['variant']}: {came}{r['wrong']}")
    print(
        f"\n{told['as_they_must']} of {len(told['variants'])} as they must be: {told['read']} read, {told['refused']} refused\n"
    )
    for r in told["large"]:
        more = {k: v for k, v in r.items() if k in ("edges", "miss_mm", "refused")}
        print(
            f"{r['file']}: {r['mb']:.1f} MB, {r['entities']} entities: ours {r['ours_s']:.2f} s, the library's load alone "
            f"{r['library_s']:.2f} s; of the processor {r['ours_cpu_s']:.2f} s and {r['library_cpu_s']:.2f} s; {more}"
        )


if __name__ == "__main__":
    main()
