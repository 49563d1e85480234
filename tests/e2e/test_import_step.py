"""A solid of a formed part becomes its part file: solids that the kernel alone made are recovered, and what is none is refused.

The solids and what they were made from stand in `step_models`; `step_solids` makes them without anything of ours.
"""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner, Result

pytest.importorskip("OCP", reason="the extra [step] is not installed")

import step_judged
from ribwright.adapters import kernel_there, read_step
from ribwright.adapters.facts_toml import load_catalogue
from ribwright.adapters.part_toml import part_faults, read_part
from ribwright.cli import main
from ribwright.errors import InputError
from ribwright.shop.shop import Shop
from ribwright.stages.blank import make_blank
from ribwright.stages.job import take_in
from ribwright.stages.solid_proof import SAID_MM, Proof, proved
from ribwright.stages.solid_ring import Seen
from ribwright.work.import_step import SolidOptions, _confirmed, _recognised
from ribwright.work.imported import Imported
from step_judged import Here, Judge, filled, read_here
from step_models import MODELS, boxed, chain
from step_odd import bar, channel, dimpled, pan, pierced, plates, ribbed, tube
from step_solids import Flange, Model, placed, solid_of, step_of, write

Of = Callable[[str], tuple[Model, Imported]]
QUICK = ("boxed", "arched", "both_ways", "ended")  # the others in the slow run
PROVED_MM = 0.02  # what is left of the proof where the part is exact: the curved triangles' own miss


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("solids")


@pytest.fixture(scope="module")
def box_file(files: Path) -> Path:
    return step_of(boxed(), files)


def run(*words: object) -> Result:
    return CliRunner().invoke(main, ["import", *map(str, words)], catch_exceptions=False)


@pytest.fixture(scope="module")
def imported(files: Path) -> Callable[[str], tuple[Model, Imported]]:
    """A model by its name, read back; each once."""

    @cache
    def of(name: str) -> tuple[Model, Imported]:
        model = MODELS[name]()
        return model, read_here(step_of(model, files))

    return of


def refused(path: Path, **options: object) -> str:
    with pytest.raises(InputError) as wrong:
        read_here(path, **options)
    return " ".join(f.sentence() for f in wrong.value.faults)


# ---- formed parts


@pytest.mark.parametrize("name", [n if n in QUICK else pytest.param(n, marks=pytest.mark.slow) for n in MODELS])
def test_a_solid_gives_back_the_part_it_was_made_from(name: str, imported: Of) -> None:
    """Within 0.01 mm and 0.01 deg: drawn lines all along, widths, radii, angles, holes, reliefs; in any frame and unit."""
    model, made = imported(name)
    assert Judge(filled(made.text), model).wrong == []
    assert made.told["left_out"] == []
    assert max(made.told["proof"][way]["most_mm"] for way in ("solid_on_part", "part_on_solid")) < PROVED_MM


@pytest.mark.slow
def test_lines_arcs_and_splines_are_recovered_as_what_they_are(imported: Of) -> None:
    names = ("arched", "waved", "bevelled")
    kinds = {name: [e.kind for e in filled(imported(name)[1].text).outer.edges] for name in names}
    assert kinds["arched"] == ["arc", "line", "arc", "line"]
    assert kinds["waved"].count("spline") == 1
    # a tangent line that wanders with its bevel still has a straight mold line
    assert kinds["bevelled"] == ["line"] * 4


def test_only_revision_and_material_are_left_to_fill_in(box_file: Path) -> None:
    text = read_here(box_file).text
    assert {f.key for f in part_faults(text, "t")} == {"part.revision", "sheet.material"}


# ---- the proof can fail


@pytest.fixture(scope="module")
def box_seen(box_file: Path, imported: Of) -> tuple[Seen, str]:
    """The box as it is seen, and the text of its part file."""
    return _recognised(Here().solid(box_file), SolidOptions())[0], imported("boxed")[1].text


def _proof(view: Seen, text: str) -> Proof:
    job = take_in(filled(text), Shop(), load_catalogue(), "t")
    return proved(view, job, make_blank(job), ())


@pytest.mark.parametrize(
    ("was", "becomes", "way", "least"),
    [
        ("width       = 15.0", "width       = 15.3", "part", 0.29),
        ("width       = 15.0", "width       = 14.7", "solid", 0.29),
        # 10.5 mm of straight flange behind the bend, turned by a degree
        ("bend_angle  = 90.0", "bend_angle  = 91.0", "part", 0.15),
        ("bend_radius = 3.0", "bend_radius = 3.4", "solid", 0.1),
        ("diameter = 6.0", "diameter = 5.0", "part", 0.49),
        ("to      = [210.0, 105.0]", "to      = [210.0, 105.2]", "solid", 0.15),
    ],
)
def test_a_part_file_that_is_wrong_is_seen_to_be_by_as_much(
    was: str, becomes: str, way: str, least: float, box_seen: tuple[Seen, str]
) -> None:
    """The file as it was written is proved to less than PROVED_MM, by `test_a_solid_gives_back_the_part_it_was_made_from`."""
    view, text = box_seen
    assert was in text
    assert least > SAID_MM > PROVED_MM
    assert getattr(_proof(view, text.replace(was, becomes)), way).mm > least


# ---- what is not understood


def test_a_hole_in_a_flange_and_a_dimple_are_named_with_their_places_and_the_part_is_called_not_whole(
    files: Path,
) -> None:
    solid = dimpled(pierced(solid_of(boxed()), (80.0, 5.0, -9.0), 1.5), (100.0, 70.0), 20.0)
    made = read_here(write(solid, files / "odd.step"))
    said = {f.code: f.say for f in made.findings}
    assert "not the whole part" in said["solid-not-whole"]
    assert "NOT THE WHOLE PART" in made.text
    places = sorted((round(x["at_mm"][0]), round(x["at_mm"][1])) for x in made.told["left_out"])
    # both faces of the dimple are one thing; its rim in the web is no hole
    assert places == [(80, 6), (100, 70)]
    assert {x["what"] for x in made.told["left_out"]} == {
        "an opening in a flange", "faces that are no flange, hole or edge of the web",
    }  # fmt: skip
    # the rest is still right, and proved
    assert Judge(filled(made.text), boxed_again()).wrong == []


def boxed_again() -> Model:
    model = boxed()
    solid_of(model)
    return model


def test_a_part_that_its_file_misses_by_a_notch_is_refused_with_the_place(files: Path) -> None:
    """A cut through a flange from its free edge has no faces of its own but edges of the sheet: the proof finds it."""
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeBox

    from step_shapes import pnt

    notch = BRepPrimAPI_MakeBox(pnt((120.0, 0.0, -20.0)), pnt((130.0, 7.0, -10.0))).Shape()
    said = refused(write(BRepAlgoAPI_Cut(solid_of(boxed()), notch).Shape(), files / "notched.step"))
    assert "misses by" in said
    assert "E1" in said


def test_a_channel_rounded_by_the_kernel_s_own_fillets_is_recovered(files: Path) -> None:
    part = filled(read_here(write(channel(), files / "channel.step")).text)
    (flange,) = part.flanges.values()
    assert (flange.width.values[0], flange.bend_angle.values[0], flange.bend_radius) == pytest.approx(
        (20, 90, 2.5), abs=1e-5
    )
    corners = sorted(e.points[0] for e in part.outer.edges)
    assert np.array(corners) == pytest.approx(np.array([(0, 0), (0, 100), (60, 0), (60, 100)]), abs=1e-5)


def test_lips_behind_the_flanges_are_left_out_with_their_size_and_what_is_in_front_of_them_is_proved(
    files: Path,
) -> None:
    made = read_here(write(channel(lip=8.0), files / "lipped.step"))
    left = made.told["left_out"]
    assert [x["what"] for x in left] == ["sheet that goes on past a flange"] * 2
    assert sorted(x["at_mm"][0] for x in left) == pytest.approx([4, 56])
    assert all(x["size_mm"] == pytest.approx([8, 100, 3.5]) for x in left)
    assert made.told["proof"]["part_on_solid"]["points"] > 1000
    # the flange ends where its own bend's mirror begins: 20 - 3.5
    assert filled(made.text).flanges["F1"].width.values[0] == pytest.approx(16.5, abs=1e-5)


@pytest.mark.slow
def test_a_drawn_pan_is_not_called_proved(files: Path) -> None:
    made = read_here(write(pan(), files / "pan.step"))
    codes = {f.code for f in made.findings}
    assert {"solid-not-whole", "solid-not-proved"} <= codes
    assert not codes & {"solid-agrees", "solid-off"}


# ---- surfaces


def test_a_surface_is_asked_for_its_thickness_and_its_face_and_gives_the_same_part(files: Path) -> None:
    model = MODELS["arched"]()
    path = write(solid_of(model, skin=True), files / "skin.step")
    said = refused(path)
    assert "--thickness" in said
    assert "--face" in said
    made = read_here(path, thickness="0.8 mm", face="heel")
    assert Judge(filled(made.text), model).wrong == []
    assert made.told["proof"]["part_on_solid"]["most_mm"] < PROVED_MM


@pytest.mark.parametrize(("face", "above"), [("mid", 0.4), pytest.param("inner", 0.8, marks=pytest.mark.slow)])
def test_a_surface_inside_the_sheet_gives_the_part_about_it(face: str, above: float, files: Path) -> None:
    """The heel face of a thinner part is the middle or the inner face of one as much thicker outside: its bend tangent lines are the
    same, mold lines and widths grow by above tan(a/2)."""
    f = Flange((15.0, 15.0), (90.0, 90.0), 3.0)
    thin = Model("thin", 0.2, [chain([(0, 0), (150, 0), (150, 80), (0, 80)], [f, None, f, None])])
    path = write(solid_of(thin, skin=True), files / f"{face}.step")
    part = filled(read_here(path, thickness="0.8 mm", face=face).text)
    # R + t of the thin one is the radius of the face that was given
    inside = 3.2 - (0.8 - above)
    assert part.flanges["F1"].bend_radius == pytest.approx(inside, abs=1e-5)
    assert part.flanges["F1"].width.values[0] == pytest.approx(15 + above, abs=1e-5)
    ys = [p[1] for e in part.outer.edges for p in e.points]
    assert max(ys) - min(ys) == pytest.approx(80 + 2 * above, abs=1e-5)


def test_a_solid_is_not_told_what_it_says_itself(box_file: Path) -> None:
    assert "--thickness" in refused(box_file, thickness="1 mm")
    assert "did you mean 'heel'" in refused(box_file, face="heal")


# ---- units, known lengths, pins


def test_a_known_length_confirms_the_unit_or_refuses_it(files: Path, box_file: Path) -> None:
    _confirmed(Here().solid(box_file), _recognised(Here().solid(box_file), SolidOptions())[1], ("200 mm = width",))
    assert "the file says mm" in refused(box_file, length=("200 in = width",))
    assert "which is 200 in the drawing" in refused(box_file, length=("210 mm = width",))


@pytest.mark.slow
def test_inches_stay_inches(imported: Of) -> None:
    _, made = imported("drilled_in_inches")
    assert 'units = "in"' in made.text
    assert "thickness = 0.025\n" in made.text
    assert "bend_radius = 0.09\n" in made.text


def test_holes_that_take_pins_are_named_by_their_diameter(box_file: Path) -> None:
    part = filled(read_here(box_file, tooling=("4.8 mm",)).text)
    assert {h.kind: round(h.diameter, 3) for h in part.holes} == {"plain": 6.0, "tooling": 4.8}
    assert "4.80 mm" in refused(box_file, tooling=("5 mm",))


# ---- no such part


@pytest.mark.parametrize(
    ("make", "reason"),
    [
        (bar, "no web of sheet metal"),
        (tube, "no web of sheet metal"),
        (plates, "2 bodies"),
        (ribbed, "of its metal in walls"),
    ],
)
def test_a_solid_that_is_no_formed_part_is_refused_with_the_reason(make, reason: str, files: Path) -> None:  # type: ignore[no-untyped-def]
    said = refused(write(make(), files / f"{make.__name__}.step"))
    assert reason in said
    assert "one formed part" in said


def test_what_is_no_whole_step_file_is_refused_before_the_kernel_is_asked(tmp_path: Path, box_file: Path) -> None:
    cases = {
        "empty.step": (b"", "an empty file"),
        "words.step": (b"a rib, nine inches long", "no STEP"),
        "short.step": (box_file.read_bytes()[:-3000], "a file cut short"),
    }
    for name, (content, reason) in cases.items():
        (tmp_path / name).write_bytes(content)
        with pytest.raises(InputError, match=reason):
            read_step.read_step(tmp_path / name)
    with pytest.raises(InputError, match="no such file"):
        read_step.read_step(tmp_path / "none.step")


def test_a_file_over_the_bound_is_refused(box_file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(read_step, "LARGEST_BYTES", 1000)
    with pytest.raises(InputError, match="at most"):
        read_step.read_step(box_file)
    monkeypatch.undo()
    assert read_step.LARGEST_BYTES == 100_000_000


def test_a_kernel_that_falls_or_takes_too_long_is_a_refusal(
    box_file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with pytest.raises(InputError, match="did not read within"):
        read_step.read_step(box_file, limit_s=0.05)
    fallen = tmp_path / "python"
    fallen.write_text("#!/bin/sh\necho 'out of memory' >&2\nkill -SEGV $$\n")
    fallen.chmod(0o755)
    monkeypatch.setattr(sys, "executable", str(fallen))
    with pytest.raises(InputError, match=r"the solid kernel fell \(status -11\)"):
        read_step.read_step(box_file)


def test_whoever_stops_waiting_ends_the_kernel_s_process(box_file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    started = []

    class Stopped(subprocess.Popen):  # type: ignore[type-arg]
        def __init__(self, *args: object, **kwargs: object):
            super().__init__(*args, **kwargs)  # type: ignore[call-overload]
            started.append(self)

        def wait(self, timeout: float | None = None) -> int:
            if timeout is not None:
                raise KeyboardInterrupt
            return super().wait()

    monkeypatch.setattr(read_step.subprocess, "Popen", Stopped)
    with pytest.raises(KeyboardInterrupt):
        read_step.read_step(box_file)
    assert [p.returncode for p in started] == [-9]


def test_a_file_of_too_many_faces_is_refused(box_file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(step_judged, "MOST_FACES", 30)
    assert "36 faces, over the 30" in refused(box_file)


def test_without_the_extra_it_says_what_to_install(box_file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(read_step, "kernel_installed", lambda: False)
    assert kernel_there.kernel_installed()
    with pytest.raises(InputError, match=r"pip install 'ribwright\[step\]' to read"):
        read_step.read_step(box_file)


def test_a_file_that_the_kernel_cannot_read_is_refused(tmp_path: Path, box_file: Path) -> None:
    text = box_file.read_text()
    data = text.index("DATA;")
    broken = tmp_path / "broken.step"
    broken.write_text(text[: data + 5] + "\n#1=NOTHING('');\nENDSEC;\nEND-ISO-10303-21;\n")
    assert refused(broken)


# ---- the command


def test_the_command_reads_in_a_process_of_its_own_and_writes_a_part_file(tmp_path: Path, box_file: Path) -> None:
    out = tmp_path / "Q7-9.part.toml"
    done = run(box_file, "--out", out, "--json")
    assert done.exit_code == 0
    answer = json.loads(done.stdout)
    assert answer["import"]["thickness_mm"] == pytest.approx(1.0)
    assert "solid-agrees" in {f["code"] for f in answer["findings"]}
    text = out.read_text()
    assert 'number   = "Q7-9"' in text
    # filled in, it is a part file like any other
    out.write_text(text.replace('revision = ""', 'revision = "A"').replace("# material  =", 'material = "2024-O" #'))
    part = read_part(out)
    assert len(part.outer.edges) == 4
    assert run(box_file, "--out", out).exit_code == 2


def test_the_answer_says_the_frame_the_part_lies_in(imported: Of) -> None:
    """Points of the part, put back by it, lie on the solid's heel face."""
    model, made = imported("both_ways")
    frame = made.told["frame"]
    part = filled(made.text)
    axes, origin = np.array(frame["axes"]), np.array(frame["origin_mm"])
    holes = np.array([[*h.at, 0.0] for h in part.holes]) @ axes + origin
    from OCP.BRep import BRep_Tool
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeVertex
    from OCP.TopoDS import TopoDS

    from step_shapes import pnt

    for at, _ in model.holes:
        where = placed(model, BRepBuilderAPI_MakeVertex(pnt((*at, 0.0))).Vertex())
        p = BRep_Tool.Pnt_s(TopoDS.Vertex(where))
        assert np.min(np.linalg.norm(holes - [p.X(), p.Y(), p.Z()], axis=1)) < 1e-4


def test_an_option_of_another_kind_of_file_is_refused(box_file: Path) -> None:
    assert run(box_file, "--skin", "1 mm").exit_code == 2


def test_equal_flanges_share_a_name_and_others_do_not(files: Path) -> None:
    f, g = Flange((15.0, 15.0), (90.0, 90.0), 3.0), Flange((15.0, 15.0), (90.5, 90.5), 3.0)
    model = Model("pair", 1.0, [chain([(0, 0), (100, 0), (100, 60), (0, 60)], [f, None, replace(f), None])])
    assert list(filled(read_here(step_of(model, files)).text).flanges) == ["F1"]
    model = Model("odd_pair", 1.0, [chain([(0, 0), (100, 0), (100, 60), (0, 60)], [f, None, g, None])])
    assert list(filled(read_here(step_of(model, files)).text).flanges) == ["F1", "F2"]
