"""`block --out F.step|.stl` and the packet's block.step as a person meets them."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

import ribwright
from building import EXAMPLES, box, quick
from ribwright.cli import main
from ribwright.wiring import KernelSolids

NOSE = str(EXAMPLES / "Q7-2101-1.part.toml")
KEYS = {"volume_mm3", "kernel_volume_mm3", "valid", "faces", "levels", "bytes", "refused"}
UP = (
    '[[hole]]\nname = "L"\nkind = "lightening"\nat = [100, 50]\ndiameter = 40\ncut_diameter = 30\nbend_angle = 45\n'
    'bend_radius = 3\nturn = "up"\n'
)


def run(*words: str) -> Result:
    return CliRunner().invoke(main, quick(words), catch_exceptions=False)


def test_a_step_file_is_written_with_its_proof_in_the_answer(tmp_path: Path) -> None:
    part = tmp_path / "box.part.toml"
    part.write_text(box() + UP)
    out = tmp_path / "box.step"
    done = run("block", str(part), "--out", str(out), "--json")
    solid = json.loads(done.output)["solid"]
    assert set(solid) >= KEYS
    assert solid["refused"] is None
    assert solid["bytes"] == out.stat().st_size
    assert solid["kernel_volume_mm3"] == pytest.approx(solid["volume_mm3"], rel=1e-4)
    assert solid["volume_mm3"] == json.loads(done.output)["block"]["volume_mm3"]
    assert [r["file"] for r in solid["rings"]] == ["box-ring-L.step"]
    assert (tmp_path / "box-ring-L.step").stat().st_size == solid["rings"][0]["bytes"]


def test_a_stopped_block_s_solid_is_written_and_says_stop(tmp_path: Path) -> None:
    out = tmp_path / "nose.stl"
    done = run("block", NOSE, "--out", str(out))
    assert done.exit_code == 1
    assert "Solid of the block: sound" in done.output
    assert out.read_bytes().startswith(b"STOP Q7-2101-1 rev B")


def test_a_refused_solid_writes_nothing_says_why_and_ends_with_3(tmp_path: Path) -> None:
    part = tmp_path / "box.part.toml"
    part.write_text(box() + '[[hole]]\nname = "P"\nkind = "tooling"\nat = [3.2, 50]\ndiameter = 5\npin_fit = 0.1\n')
    out = tmp_path / "box.step"
    done = run("block", str(part), "--out", str(out))
    assert done.exit_code == 3
    assert "not written: box.step: pin P breaks through a wall" in done.output
    assert "Wrote" not in done.output
    assert not out.exists()
    assert ribwright.block(part, out=out)["solid"]["bytes"] == 0


def test_without_the_extra_step_is_wrong_input_and_the_packet_goes_on(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(KernelSolids, "installed", lambda self: False)
    out = tmp_path / "nose.step"
    done = run("block", NOSE, "--out", str(out))
    assert done.exit_code == 2
    assert "pip install 'ribwright[step]'" in done.output
    assert not out.exists()
    folder = tmp_path / "p"
    folder.mkdir()
    (folder / "block.step").write_text("of an earlier job")
    done = run("packet", NOSE, "--press", "P1", "--hand", "drawn", "--out", str(folder))
    assert done.exit_code == 1
    assert "no block.step: the solid kernel is not installed" in done.output
    assert (folder / "block.dxf").exists()
    # an older block must not lie beside the new job card
    assert not (folder / "block.step").exists()
