"""The mesh of the formed mid-surface: how fast, and how its area comes in with the element size.

    python benchmarks/formed_mesh.py [--triangles 10000 40000] [--random 200] [--seed 0] [--refusals 170] [--json]

The part for the figures is the demonstration's nose rib (P1's), at the sizes that give about these triangles. The random ones are
those of the tests' two families (`tests/building.py`, `tests/random_blocks.py`) at 4 mm: how many are meshed, how many refused and
why. --refusals: that many seeds of each of three families (`tests/relieved_parts.py` besides), nothing meshed; each refusal, and each
part that is not refused, is judged again by `tests/claimed_twice.py`, brute force on the layout. CPU seconds of the mesh alone, blank
laid out before; the first run, which loads libraries, is not counted.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from collections import Counter
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT / "tests"))
PART = "Q7-2101-1.part.toml"


def rib() -> Any:
    """The job of the demonstration's nose rib."""
    from building import EXAMPLES, example_shop
    from ribwright.adapters.facts_toml import load_catalogue
    from ribwright.adapters.part_toml import parse_part
    from ribwright.stages.job import take_in

    part = parse_part((EXAMPLES / PART).read_text(encoding="utf-8"), PART, EXAMPLES)
    return take_in(part, example_shop(), load_catalogue(), PART)


def timed(job: Any, blank: Any, size: float) -> tuple[Any, float]:
    """(mesh, CPU seconds)."""
    from ribwright.stages.formed_mesh import mesh_part

    start = time.process_time()
    made = mesh_part(job, blank, size)
    return made, time.process_time() - start


def speed(wanted: list[int]) -> list[dict[str, float]]:
    """Size, triangles and CPU seconds near each count of triangles."""
    from ribwright.stages.blank import make_blank

    job = rib()
    blank = make_blank(job)
    made, _ = timed(job, blank, 3.0)
    rows, size, count = [], 3.0, len(made.mesh.triangles)
    for n in wanted:
        for _ in range(3):
            size *= (count / n) ** 0.55
            made, _ = timed(job, blank, size)
            count = len(made.mesh.triangles)
        runs = sorted(timed(job, blank, size)[1] for _ in range(3))
        rows.append({"size_mm": round(size, 3), "triangles": count, "cpu_s": round(runs[1], 3)})
    return rows


def random_parts(count: int, seed: int) -> dict[str, Any]:
    """How many of `count` random parts are meshed, and the codes that stop the others."""
    from building import RandomPart, job_of
    from random_blocks import RandomBlock
    from ribwright.stages.blank import make_blank
    from ribwright.stages.formed_mesh import mesh_part

    meshed, why, wrong = 0, Counter[str](), []
    for k in range(count):
        kind = (RandomPart, RandomBlock)[k % 2]
        job = job_of(kind(seed + k).text())
        made = mesh_part(job, make_blank(job), 4.0)
        if made.mesh is None:
            why.update({f.code for f in made.findings})
        else:
            meshed += 1
            m = made.mesh
            if m.flat_areas.min() <= 0 or len(m.loops) != 1 + len(job.part.cutouts) + len(job.part.holes):
                wrong.append(f"{kind.__name__} {seed + k}")
    return {"asked": count, "meshed": meshed, "refused": dict(why), "wrong": wrong}


JUDGED = {"blank-crosses-itself": "crosses", "flat-overlap": "twice", "formed-overlap": "through"}


def refusals(count: int, seed: int) -> dict[str, Any]:
    """Of `count` seeds of each family: how many are refused and why; each verdict against the brute-force one."""
    from building import RandomPart, job_of
    from claimed_twice import CLAIMED_MM2, judged
    from random_blocks import RandomBlock
    from relieved_parts import RelievedPart
    from ribwright.stages.blank import make_blank
    from ribwright.stages.flat_faults import flat_faults
    from ribwright.stages.formed_faults import formed_faults

    sets, said, confirmed, differ = Counter[str](), Counter[str](), Counter[str](), []
    for kind in (RandomPart, RandomBlock, RelievedPart):
        for k in range(seed, seed + count):
            job = job_of(kind(k).text())
            blank = make_blank(job)
            codes = {f.code for f in (*flat_faults(blank), *formed_faults(job, blank)) if f.severity == "stop"}
            j = judged(job, blank)
            saw = {"crosses": j.crosses, "twice": j.twice > CLAIMED_MM2, "through": j.through}
            sets[" + ".join(sorted(codes)) or "none"] += 1
            for code, what in JUDGED.items():
                said[code] += code in codes
                confirmed[code] += code in codes and saw[what]
                if (code in codes) != saw[what]:
                    differ.append(f"{kind.__name__} {k}: {code} {'said' if code in codes else 'not said'}")
            if bool(codes) != j.bad:
                differ.append(f"{kind.__name__} {k}: refused as {sorted(codes)}, judged {j}")
    return {
        "parts": 3 * count,
        "by_reasons": dict(sets),
        "said": dict(said),
        "confirmed": dict(confirmed),
        "differ": differ,
    }


def main() -> None:
    """Run and print."""
    p = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    p.add_argument("--triangles", type=int, nargs="*", default=[10_000, 40_000])
    p.add_argument("--random", type=int, default=200)
    p.add_argument("--seed", type=int, default=0)
    p.add_argument("--refusals", type=int, default=0)
    p.add_argument("--json", action="store_true")
    a = p.parse_args()
    if a.refusals:
        print(json.dumps(refusals(a.refusals, a.seed), indent=1))
        return
    out = {"speed": speed(a.triangles), "random": random_parts(a.random, a.seed)}
    if a.json:
        print(json.dumps(out))
        return
    for row in out["speed"]:
        print(f"{row['triangles']:7d} triangles of {row['size_mm']} mm: {row['cpu_s']} s")
    r = out["random"]
    print(f"{r['meshed']} of {r['asked']} random parts meshed; refused {r['refused']}; wrong {r['wrong']}")


if __name__ == "__main__":
    main()
