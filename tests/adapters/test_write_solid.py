"""Solids through the kernel's process: sound, named, read by another reader, refused when not."""

from __future__ import annotations

import json
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely
from steputils import p21

from building import EXAMPLES, box, example_shop, job_of
from random_blocks import RandomBlock
from ribwright.adapters import write_solid
from ribwright.adapters.facts_toml import load_catalogue
from ribwright.adapters.part_toml import read_part
from ribwright.adapters.write_solid import VOLUME_SHARE, Making, corners_of, judged, request
from ribwright.documents.identity import identity_of
from ribwright.documents.solid_model import MadeSolid, SolidModel, block_model, solid_models
from ribwright.geometry.bspline import basis
from ribwright.geometry.mesh import enclosed, read_stl
from ribwright.stages.job import take_in
from ribwright.stages.plan import Plan, make_plan
from ribwright.stages.solid import CURVE_MM, Loft

pytest.importorskip("OCP", reason="the extra [step] is not installed")
PRINT = "0123456789abcdef"


def plan_of(name: str) -> Plan:
    """A random block by its number, a box, or an example part."""
    if name.isdigit():
        return make_plan(job_of(RandomBlock(int(name)).text()))
    if name == "box":
        return make_plan(job_of(box()))
    part = read_part(EXAMPLES / f"{name}.part.toml")
    return make_plan(take_in(part, example_shop(), load_catalogue(), name))


def model_of(name: str) -> SolidModel:
    plan = plan_of(name)
    return block_model(plan, identity_of(plan, PRINT))


def made_of(model: SolidModel, kind: str = "step") -> MadeSolid:
    return Making(model, kind).finish()


@pytest.mark.parametrize("name", ["box", "Q7-2101-1", "1", "16"])
def test_a_solid_is_valid_and_has_the_volume_of_our_own_integral(name: str) -> None:
    """Taken only when the STEP file read back is valid and agrees likewise."""
    made = made_of(model_of(name))
    assert made.refused == ""
    assert made.valid
    assert made.kernel_volume == pytest.approx(made.volume, rel=VOLUME_SHARE)
    # chords of the rounding lie inside the arc
    assert made.kernel_volume < made.volume
    assert made.peak_mb is None or made.peak_mb < 400


def test_equal_solids_are_equal_bytes() -> None:
    model = model_of("box")
    assert made_of(model).content == made_of(model).content


def test_another_reader_finds_every_corner_on_our_own_sections_and_our_names() -> None:
    """The STEP file as a plain parser of ISO 10303-21 sees it: vertices are the corners of the level sections, the
    circles of bores and pins; product and header carry the identity and the stop."""
    plan = plan_of("Q7-2101-1")
    model = block_model(plan, identity_of(plan, PRINT))
    content = made_of(model).content
    assert content is not None
    file = p21.loads(content.decode("ascii"))
    things = {ref: i.entity for ref, i in file.data[0].instances.items() if p21.is_simple_entity_instance(i)}

    def place(ref: str) -> tuple[float, ...]:
        return tuple(things[ref].params[1])

    vertices = np.array([place(e.params[1]) for e in things.values() if e.name == "VERTEX_POINT"])
    loft = model.body.outside
    assert isinstance(loft, Loft)
    ends = np.array([[*p[0], -z] for z, level in zip(loft.depths, loft.poles, strict=True) for p in level])
    bores = []
    for bore in model.body.bores:
        p = bore.profile
        rows = {p.start, p.rim, p.wall, (p.vent, p.wall[1]), (p.vent, p.height)}
        bores += [[bore.at[0] + r, bore.at[1], -z] for r, z in rows]
    ours = np.array([*ends, *bores])
    gaps = np.linalg.norm(vertices[:, None] - ours[None], axis=2)
    assert gaps.min(axis=1).max() < 1e-4
    assert gaps.min(axis=0).max() < 1e-4
    # every level curve, evaluated from the file's own knots and poles, runs along the exact walls of its depth
    seen = 0
    for e in (e for e in things.values() if e.name == "B_SPLINE_CURVE_WITH_KNOTS"):
        poles = np.array([place(r) for r in e.params[2]])
        if (
            poles.shape[1] == 3
            and e.params[1] == 3
            and np.ptp(poles[:, 2]) < 1e-9
            and len(poles) == len(e.params[7]) + 2
        ):
            walls = plan.block.walls.at(-float(poles[0, 2]))[0]
            knots = np.array(e.params[7], float)
            points = basis(knots, np.linspace(knots[0], knots[-1], 40)) @ poles[:, :2]
            exact = [s.wall.line(-float(poles[0, 2])).point(np.linspace(s.s0, s.s1, 2001)) for s in walls.spans]
            assert (
                np.max(shapely.distance(shapely.LinearRing(np.concatenate(exact)), shapely.points(points)))
                < CURVE_MM + 1e-4
            )
            seen += 1
    assert seen >= len(loft.depths)
    product = next(e for e in things.values() if e.name == "PRODUCT")
    assert product.params[0] == "Q7-2101-1"
    assert product.params[1].startswith("STOP: The free edge of nose")
    assert "Q7-2101-1 rev B, left hand - " + PRINT in product.params[1]
    said = " ".join(file.header.entities["FILE_DESCRIPTION"].params[0])
    assert "web face at z = 0" in said
    assert sum(e.name == "MANIFOLD_SOLID_BREP" for e in things.values()) == 1


@pytest.mark.parametrize("name", ["RX-0007", "1"])
def test_an_stl_file_is_closed_and_holds_the_volume(name: str) -> None:
    model = model_of(name)
    made = made_of(model, "stl")
    assert made.refused == ""
    assert made.content is not None
    closed, volume = enclosed(read_stl(made.content))
    assert closed
    assert volume == pytest.approx(made.volume, rel=2e-4)
    assert made.content[:80].decode().startswith(model.stl[:20])


def test_a_ring_is_a_solid_of_its_own() -> None:
    hole = (
        '[[hole]]\nname = "L 1"\nkind = "lightening"\nat = [100, 50]\ndiameter = 40\ncut_diameter = 30\nbend_angle = 45\n'
        'bend_radius = 3\nturn = "up"\n'
    )
    plan = make_plan(job_of(box() + hole))
    models = solid_models(plan, identity_of(plan, PRINT), "block")
    assert list(models) == ["block", "block-ring-L-1"]
    made = made_of(models["block-ring-L-1"])
    assert made.refused == ""
    assert made.kernel_volume == pytest.approx(made.volume, rel=1e-9)


def test_letters_beyond_ascii_and_apostrophes_survive() -> None:
    model = replace(model_of("box"), product="Rippe Flügel 'links'", shop="Blechwerk Süd")
    content = made_of(model).content
    assert content is not None
    assert b"PRODUCT('T-1','Rippe Fl\\X2\\00FC\\X0\\gel ''links'''" in content


# ---------------------------------------------------------------- refusals


def _report(**changed: object) -> dict[str, object]:
    v = 1000.0
    return {
        "valid": True, "volume_mm3": v, "faces": 6, "read_back_valid": True, "read_back_volume_mm3": v, "corners": [], **changed,
    }  # fmt: skip


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({"valid": False}, "invalid"),
        ({"volume_mm3": 1000.2}, "off our own integral"),
        ({"read_back_volume_mm3": 999.8}, "read back"),
        ({"read_back_valid": False}, "read back"),
        ({"error": "no ruled faces"}, "no ruled faces"),
    ],
)
def test_what_fails_one_of_the_gates_is_refused(changed: dict[str, object], says: str, tmp_path: Path) -> None:
    body = replace(model_of("box").body, volume=1000.0)
    file = tmp_path / "solid.step"
    file.write_bytes(b"whole")
    assert judged(body, _report(), file, "step").content == b"whole"
    refused = judged(body, _report(**changed), file, "step")
    assert refused.content is None
    assert says in refused.refused


def test_a_level_that_is_not_of_this_block_is_refused_by_the_volume() -> None:
    """One level a hundredth too large: a valid solid, but not this block's."""
    model = model_of("box")
    loft = model.body.outside
    assert isinstance(loft, Loft)
    poles = list(loft.poles)
    poles[-2] = tuple(p * 1.01 for p in poles[-2])
    body = replace(model.body, outside=replace(loft, poles=tuple(poles)))
    assert "off our own integral" in made_of(replace(model, body=body)).refused


def test_a_corner_off_our_sections_is_refused(tmp_path: Path) -> None:
    """A shift of a level leaves the volume as it is: corners are held against our own too."""
    model = model_of("box")
    corners = corners_of(model.body)
    body = replace(model.body, volume=1000.0)
    file = tmp_path / "solid.step"
    file.write_bytes(b"whole")
    assert judged(body, _report(corners=corners.tolist()), file, "step").content == b"whole"
    corners[3, 0] += 0.01
    assert "corner" in judged(body, _report(corners=corners.tolist()), file, "step").refused


def test_a_body_with_a_reason_starts_no_process() -> None:
    model = model_of("box")
    refused = made_of(replace(model, body=replace(model.body, why_not=("the outline crosses itself",))))
    assert (refused.content, refused.refused) == (None, "the outline crosses itself")
    assert not refused.passing


def test_a_kernel_that_dies_or_hangs_is_a_refusal_and_leaves_nothing_behind(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    model = model_of("box")
    fake = tmp_path / "python"
    for script, says in (("exit 7", "status 7"), ("exec sleep 60", "did not end")):
        fake.write_text(f"#!/bin/sh\n{script}\n")
        fake.chmod(0o755)
        monkeypatch.setattr(sys, "executable", str(fake))
        monkeypatch.setattr(write_solid, "LIMIT_S", 0.3)
        making = Making(model, "step")
        folder = Path(making._folder.name)
        refused = making.finish()
        assert says in refused.refused
        # the same body may be made the next time
        assert refused.passing
        assert not folder.exists()


def test_what_a_broken_kernel_says_last_is_told(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    fake = tmp_path / "python"
    fake.write_text(
        "#!/bin/sh\necho Traceback >&2\necho 'ImportError: libGL.so.1: no such file' >&2\necho >&2\nexit 1\n"
    )
    fake.chmod(0o755)
    monkeypatch.setattr(sys, "executable", str(fake))
    refused = made_of(model_of("box")).refused
    assert refused == "the solid kernel ended without an answer (status 1): ImportError: libGL.so.1: no such file"


def test_the_request_is_plain_json() -> None:
    asked = request(model_of("16"), "step", Path("somewhere"))
    assert json.loads(json.dumps(asked)) == asked


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(60))
def test_random_blocks_are_sound(seed: int) -> None:
    """Bevels of 84 to 97 deg, kinks, hollow splines, undercut from 0 to past 10 deg, cutouts, recesses, pins. None of
    the sixty is refused: a solid that can be made is made."""
    model = model_of(str(seed))
    made = made_of(model)
    assert not model.body.why_not
    assert made.refused == ""
    assert made.kernel_volume == pytest.approx(made.volume, rel=VOLUME_SHARE)
