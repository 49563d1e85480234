"""Solids of random blocks: how many are sound, how near their volume is to our own integral, how long, how much memory.

    python benchmarks/solids.py [--blocks 60] [--seed 0] [--json]

Each block is built by the kernel in its own process, written as STEP, read back and judged as `ribwright block --out`
does. Refused ones are listed with their reason. The blocks: tests/random_blocks.py. The true-fillet way of making the
same solids was tried and left; docs/decisions/0013 says with what result.
"""

from __future__ import annotations

import argparse
import json
import statistics
import sys
import time
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT / "tests"))


def one(seed: int) -> dict[str, Any]:
    """Plan and build one block."""
    from building import job_of
    from random_blocks import RandomBlock
    from ribwright.adapters.write_solid import Making
    from ribwright.documents.identity import identity_of
    from ribwright.documents.solid_model import block_model
    from ribwright.stages.plan import make_plan

    plan = make_plan(job_of(RandomBlock(seed).text()))
    start = time.perf_counter()
    model = block_model(plan, identity_of(plan, "0" * 16))
    ours = time.perf_counter() - start
    made = Making(model, "step").finish()
    walls = [float(f(e.under.deg)) for e in plan.block.edges for f in (min, max)]
    return {
        "seed": seed,
        "refused": made.refused or None,
        "stopped_by": sorted({f.code for f in plan.findings if f.severity == "stop"}),
        "undercut_deg": [min(walls, default=0.0), max(walls, default=0.0)],
        "off": abs(made.kernel_volume / made.volume - 1) if made.kernel_volume and made.volume else None,
        "valid": made.valid,
        "faces": made.faces,
        "levels": made.levels,
        "bytes": len(made.content or b""),
        "sections_s": ours,
        "seconds": time.perf_counter() - start,
        "peak_mb": made.peak_mb,
    }


def main() -> None:
    """Build and print."""
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("--blocks", type=int, default=60)
    options.add_argument("--seed", type=int, default=0, help="the first seed")
    options.add_argument("--json", action="store_true")
    asked = options.parse_args()
    rows = []
    for seed in range(asked.seed, asked.seed + asked.blocks):
        row = one(seed)
        rows.append(row)
        if not asked.json:
            said = (
                row["refused"] or f"sound, volume off by {row['off']:.1e}, {row['faces']} faces, {row['levels']} levels"
            )
            print(f"{seed:4} {row['seconds']:5.2f} s  {said}", flush=True)
    taken = [r for r in rows if not r["refused"]]
    result = {
        "blocks": len(rows),
        "sound": len(taken),
        "worst_off": max((r["off"] for r in taken), default=None),
        "median_seconds": statistics.median(r["seconds"] for r in rows),
        "worst_seconds": max(r["seconds"] for r in rows),
        "peak_mb": max((r["peak_mb"] or 0.0 for r in rows), default=None),
        "refused": [{k: r[k] for k in ("seed", "refused", "stopped_by")} for r in rows if r["refused"]],
    }
    if asked.json:
        print(json.dumps({**result, "rows": rows}, indent=1))
        return
    print(
        f"{result['sound']} of {result['blocks']} sound, volume within {result['worst_off']:.1e}; "
        f"{result['median_seconds']:.2f} s ({result['worst_seconds']:.2f} s at worst), {result['peak_mb']:.0f} MB"
    )


if __name__ == "__main__":
    main()
