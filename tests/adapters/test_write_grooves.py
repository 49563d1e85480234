"""Blocks with grooves through the solid kernel: in the web face, and down the walls."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from building import box, job_of
from random_blocks import RandomBlock
from ribwright.adapters.write_solid import VOLUME_SHARE, Making
from ribwright.documents.solid_model import MadeSolid, SolidModel
from ribwright.geometry.groove_profile import groove_profile
from ribwright.stages.blank import make_blank
from ribwright.stages.block import Block, make_block
from ribwright.stages.groove import FaceGroove, Groove, wall_groove
from ribwright.stages.job import Job
from ribwright.stages.solid import Body, block_body

pytest.importorskip("OCP", reason="the extra [step] is not installed")
BENT = [[60, 40], [90, 35], [120, 60], [150, 60]]


def block_of(text: str) -> tuple[Job, Block]:
    job = job_of(text)
    return job, make_block(job, make_blank(job))


def grooved(text: str, grooves: tuple[Groove, ...]) -> Body:
    job, block = block_of(text)
    return block_body(job, replace(block, grooves=grooves))


def made(body: Body, kind: str) -> MadeSolid:
    return Making(SolidModel(body, "n", "p", ("l",), "s", "ribwright", "stl"), kind).finish()


def face_groove(path: list[list[float]], *section: float) -> FaceGroove:
    profile = groove_profile(*section)
    assert profile is not None
    return FaceGroove("bead 1", np.array(path, float), profile)


def flutes(block: Block, width: float = 8.0, depth: float = 2.0) -> tuple[Groove, ...]:
    out = []
    for wall in (w for loop in block.walls.loops for w in loop if w.leans):
        for k, share in enumerate((0.35,)):
            s = share * wall.edge.curve.length
            (angle,), (radius,) = wall.at(np.array([s]))
            begins = radius * (1 - np.cos(angle)) + 0.5
            out.append(
                wall_groove(block.walls, f"flute {k}", wall.edge.edge.name, s, begins, block.height - 1.6, width, depth)
            )
    return tuple(out)


@pytest.mark.parametrize(
    ("path", "section", "kind"),
    [
        (BENT, (12, 3, 2), "step"),
        (BENT, (12, 4, 0.5, 0.0), "stl"),
        pytest.param(BENT[:2], (12, 3, 2), "stl", marks=pytest.mark.slow),
        pytest.param(BENT, (12, 3, 0), "step", marks=pytest.mark.slow),
    ],
)
def test_a_groove_in_the_web_face_takes_off_what_its_own_integral_says(
    path: list[list[float]], section: tuple[float, ...], kind: str
) -> None:
    plain, body = grooved(box(), ()), grooved(box(), (face_groove(path, *section),))
    assert body.volume < plain.volume - 500
    solid = made(body, kind)
    assert solid.refused == ""
    assert solid.kernel_volume == pytest.approx(body.volume, rel=VOLUME_SHARE)


@pytest.mark.parametrize("seed", [0, *(pytest.param(n, marks=pytest.mark.slow) for n in (1, 16))])
def test_grooves_down_curved_and_leaning_walls_take_off_what_their_own_integral_says(seed: int) -> None:
    """Beside the same block without: what the kernel cut is what our level cuts say, within a thousandth. 0: the plain box."""
    text = RandomBlock(seed).text() if seed else box()
    job, block = block_of(text)
    cut = flutes(block)
    body = block_body(job, replace(block, grooves=cut))
    solid, plain = made(body, "step"), made(block_body(job, block), "step")
    assert solid.refused == plain.refused == ""
    assert plain.kernel_volume is not None
    assert solid.kernel_volume is not None
    assert plain.kernel_volume - solid.kernel_volume == pytest.approx(sum(g.volume for g in cut), rel=1e-3)


def test_a_groove_down_a_plane_wall_is_a_part_of_a_cone() -> None:
    """Square wall: level cuts are circular segments that grow with the distance from the cone's point."""
    _, block = block_of(box())
    wall = block.walls.loops[0][0]
    g = flutes(block)[0]
    z = np.linspace(-g.apex[2], block.height, 4001)
    share = (z + g.apex[2]) / (g.apex[2] - g.end[2])
    out = (
        g.apex[:2]
        + share[:, None] * (g.end - g.apex)[:2]
        - np.array([wall.line(x).point(np.array([70.0]))[0] for x in z])
    ) @ -g.inward
    radius = share * g.profile.bottom
    height = np.maximum(share * g.profile.depth - out, 0.0)
    half = np.arccos(np.clip(1 - height / np.maximum(radius, 1e-12), -1, 1))
    segment = radius**2 * (half - np.sin(half) * np.cos(half))
    assert g.volume == pytest.approx(float(np.trapezoid(segment, z)), rel=1e-3)


def test_a_groove_that_breaks_out_or_runs_into_another_is_no_solid() -> None:
    assert "breaks through a wall" in grooved(box(), (face_groove([[60, 40], [198, 40]], 12, 3, 2),)).why_not[0]
    two = (face_groove([[60, 40], [140, 40]], 12, 3, 2), face_groove([[100, 48], [100, 80]], 12, 3, 2))
    assert "runs into" in grooved(box(), two).why_not[0]
    assert "turns too sharply" in grooved(box(), (face_groove([[60, 40], [140, 40], [60, 41]], 12, 3, 2),)).why_not[0]


def test_up_and_down_blocks_have_their_grooves_mirrored_with_them() -> None:
    groove = face_groove(BENT, 12, 3, 2)
    up = grooved(box(extra='turn = "up"\n'), (groove,))
    assert up.mirrored
    assert up.face_grooves[0].path[:, 0] == pytest.approx(-groove.path[:, 0])
