"""The springback book against shops whose truth is not its own model: error, band and coverage after 0, 1, 3 and 10 measured pieces.

    python benchmarks/springback_book.py [--json] [--shops 300] [--first 0] [--second]

Beside the book, on the same shops: no learning, the plain mean of the residuals, the last piece alone. The shops are simulated
(tests/shop_of_truth.py; --second: tests/second_shop_of_truth.py, other rules, not looked at before); no formed part was compared.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))


def rows(table: Callable[..., dict[str, Any]], seeds: range) -> list[dict[str, Any]]:
    import book_study as study

    out = []
    for case in study.CASES:
        out += [table(seeds, n, case) for n in (0, 1, 3, 10)]
    for gross in (study.SLIP, study.WIDE):
        out += [table(seeds, n, case, gross) for case in ("same lot", "next lot") for n in (3, 10)]
    return out


def many(seeds: range) -> list[dict[str, Any]]:
    import book_study as study
    import shop_of_truth

    return [
        study.many(shop_of_truth, seeds[: max(len(seeds) // 3, 1)], *size) for size in ((20, 20), (40, 10), (60, 20))
    ]


def tried(second: bool, seeds: range) -> tuple[list[dict[str, Any]], list[dict[str, Any]]]:
    """Rows of the trial, and of shops with many parts (the first generator alone)."""
    if second:
        import second_book_study

        return rows(second_book_study.table, seeds), []
    import book_study
    import shop_of_truth

    return rows(partial(book_study.table, shop_of_truth), seeds), many(seeds)


def main() -> None:
    words = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    words.add_argument("--json", action="store_true")
    words.add_argument("--shops", type=int, default=300)
    words.add_argument("--first", type=int, default=0)
    words.add_argument("--second", action="store_true")
    asked = words.parse_args()
    began = time.perf_counter()
    seeds = range(asked.first, asked.first + asked.shops)
    found, wide = tried(asked.second, seeds)
    took = time.perf_counter() - began
    if asked.json:
        print(
            json.dumps(
                {"second": asked.second, "shops": asked.shops, "seconds": took, "rows": found, "many_parts": wide},
                indent=1,
            )
        )
        return
    which = "second" if asked.second else "first"
    print(
        f"{which} generator, {asked.shops} shops from seed {asked.first}, {took:.0f} s. Errors rms [deg], half bands [deg]"
    )
    print(
        "                                     |  next piece: error       band  held |  next block within 0.5 deg      held | named"
    )
    print(
        "case        pieces gross             | book  none  mean  last   90 %       | book   none   mean   last        | gross other"
    )
    for r in found:
        error = " ".join(f"{r[way]['rms']:5.2f}" for way in ("book", "none", "mean", "last"))
        block = " ".join(f"{100 * r[way]['block_within_half']:4.0f} %" for way in ("book", "none", "mean", "last"))
        named = f"{100 * r['gross_named']:4.0f} %" if r["gross"] else "      "
        print(
            f"{r['case']:11s} {r['pieces']:5d}  {r['gross']:17s} |{error}  {r['band_half']:5.2f} {100 * r['coverage']:4.0f} % "
            f"| {block} {100 * r['block_coverage']:4.0f} % | {named} {100 * r['others_named']:4.1f} %"
        )
    if wide:
        print(
            "Parts not measured, of alloys that were: error rms, half band, held; the book, an offset alone, no learning"
        )
    for r in wide:
        said = "   ".join(
            f"{r[w]['rms']:.2f} {r[w]['band_half']:.2f} {100 * r[w]['coverage']:.0f} %"
            for w in ("book", "offset", "none")
        )
        print(f"{r['pieces']:4d} pieces of {r['flanges']:3d} parts, {r['shops']} shops: {said}   {r['chosen']}")


if __name__ == "__main__":
    main()
