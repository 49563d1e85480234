"""The set-up speaks of the block as it is cut, and of the same place on both hands."""

from __future__ import annotations

import numpy as np
import pytest

from building import EXAMPLES, box, example_shop, job_of
from documents.sample import sample_plan
from ribwright.stages.plan import make_plan

SHOP = example_shop()
HOLE = (
    '[[hole]]\nname = "L"\nkind = "lightening"\nat = [100, 50]\ndiameter = 44\ncut_diameter = 26\nbend_angle = 45\n'
    'bend_radius = 3\nturn = "down"\n'
)


@pytest.mark.parametrize("mode", ["varying", "constant-per-edge", "none"])
def test_a_flange_that_closes_comes_out_as_the_block_answer_says(mode: str) -> None:
    text = box(angle='[["start", 80], ["end", 97]]', flanges=(True, False, False, False), width=20) + HOLE
    plan = make_plan(job_of(text + f'[block]\nundercut = "{mode}"\n', SHOP), SHOP.press("P2"))
    assert plan.setup is not None
    for r in plan.setup.reached:
        assert r.closes
        assert r.wall is not None
        assert r.released is not None
        if "hole" in r.flange.where:
            (recess,) = plan.block.recesses
            wall, out = recess.wall_angle, recess.released
        else:
            (edge,) = plan.block.edges
            order = np.argsort(edge.along)
            along = float(str(r.flange.where["along_mm"]))
            wall = float(np.interp(along, edge.along[order], edge.under.wall[order]))
            rows = (edge.out.angle, edge.out.low, edge.out.high)
            out = tuple(float(np.interp(along, edge.along[order], x[order])) for x in rows)
        assert r.wall == pytest.approx(wall, abs=0.01)
        assert r.released.value == pytest.approx(out[0], abs=0.01)
        assert r.released.high == pytest.approx(out[2], abs=0.02)


def test_both_hands_of_a_pair_name_the_same_place_of_each_flange() -> None:
    assert (EXAMPLES / "Q7-2105-2.part.toml").exists()
    places = []
    for name in ("Q7-2105-1", "Q7-2105-2"):
        setup = sample_plan(name, "P2").setup
        assert setup is not None
        places.append(
            {str(r.flange.where.get("edge", r.flange.where.get("hole"))): r.flange.where for r in setup.reached}
        )
    assert places[0].keys() == places[1].keys()
    for name, where in places[0].items():
        assert places[1][name].get("along_mm", 0.0) == pytest.approx(where.get("along_mm", 0.0), abs=1e-6)
