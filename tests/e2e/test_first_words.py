"""What a person meets first: a cancel while loading, a folder that takes no file, a temper nobody knows, the answer before its findings."""

from __future__ import annotations

import json
import sys
from dataclasses import replace
from pathlib import Path
from types import ModuleType

import click
import pytest
from click.testing import CliRunner, Result

import ribwright
from building import EXAMPLES, box, example_shop, job_of, quick
from ribwright.__main__ import run as started
from ribwright.adapters import write_file
from ribwright.adapters.facts_toml import load_catalogue
from ribwright.cli import main
from ribwright.errors import InputError
from ribwright.stages.fingerprint import fingerprint, inputs_of
from ribwright.stages.plan import make_plan

REPAIR = str(EXAMPLES / "RX-0007.part.toml")


def run(*words: str) -> Result:
    return CliRunner().invoke(main, quick(words), catch_exceptions=False)


def _cancel(*_: object, **__: object) -> None:
    raise KeyboardInterrupt


# ---- cancelled


def test_ctrl_c_while_the_rest_is_loaded_is_a_cancel(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    loading = ModuleType("ribwright.cli")
    loading.main = _cancel  # type: ignore[attr-defined]
    monkeypatch.setitem(sys.modules, "ribwright.cli", loading)
    with pytest.raises(SystemExit) as ended:
        started()
    assert ended.value.code == 3
    assert capsys.readouterr().err == "ribwright: cancelled; nothing was written\n"


def test_ctrl_c_outside_a_commands_own_guard_ends_with_3_and_not_with_the_librarys_1(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(click.Group, "invoke", _cancel)
    done = run("check", REPAIR)
    assert (done.exit_code, done.output) == (3, "ribwright: cancelled; nothing was written\n")


def test_the_status_of_a_cancel_is_told_in_the_help_and_on_the_front_page() -> None:
    assert "3 the computation did not converge, or was cancelled" in " ".join(run("--help").output.split())
    assert "3 did not converge, or was cancelled" in " ".join((EXAMPLES.parents[1] / "README.md").read_text().split())


def test_a_write_that_is_cancelled_leaves_no_folder_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(write_file, "_write_through", _cancel)
    (tmp_path / "old").mkdir()
    with pytest.raises(KeyboardInterrupt):
        write_file.write_all({tmp_path / "new" / "packet" / "a.pdf": b"a", tmp_path / "old" / "b.pdf": b"b"})
    assert list(tmp_path.rglob("*")) == [tmp_path / "old"]
    monkeypatch.undo()
    write_file.write_all({tmp_path / "new" / "packet" / "a.pdf": b"a"})
    assert (tmp_path / "new" / "packet" / "a.pdf").read_bytes() == b"a"


@pytest.mark.skipif(not Path("/proc/self").exists(), reason="no folder that takes no file")
@pytest.mark.parametrize(
    ("command", "name", "allowed"),
    [
        ("block", "x.pdf", "a file that can be written"),
        ("packet", "x", "a folder that can be written into"),
    ],
)
def test_a_folder_that_takes_no_file_is_one_sentence(command: str, name: str, allowed: str) -> None:
    done = run(command, REPAIR, "--out", f"/proc/{name}")
    place = f"'/proc/{name}', within /proc, where no file can be made"
    assert done.output == f"ribwright: command line: --out: found {place}; allowed: {allowed}\n"
    assert done.exit_code == 2


# ---- tempers


@pytest.mark.parametrize("final", ["", "T3", "T73", "O", "T361", "annealed"])
def test_a_final_temper_of_a_record_or_of_the_list_passes(final: str) -> None:
    assert (
        job_of(box(material="2024-T3").replace("thickness", f'final = "{final}"\nthickness')).part.sheet.final == final
    )


@pytest.mark.parametrize(("final", "near"), [("T77", "T7"), ("T33", "T3"), ("t3", "T3"), ("soft", "")])
def test_an_unknown_final_temper_is_a_fault_with_the_nearest_right_word(final: str, near: str) -> None:
    with pytest.raises(InputError) as wrong:
        job_of(box(material="2024-T3").replace("thickness", f'final = "{final}"\nthickness'))
    (fault,) = wrong.value.faults
    assert (fault.key, fault.found) == ("sheet.final", repr(final))
    assert fault.nearest.startswith(near)
    assert bool(fault.nearest) == bool(near)


# ---- findings


def test_a_cut_line_that_crosses_itself_is_told_without_the_librarys_words() -> None:
    text = box(radius=40.0, width=50.0)
    found = [f for f in make_plan(job_of(text)).findings if f.code == "blank-crosses-itself"]
    assert found
    for f in found:
        assert "Self-intersection" not in f.say + str(f.where)
        assert "crosses itself at x " in f.say
        assert len(f.where["at_mm"]) == 2
        assert "smaller bend radius" in f.try_


def test_the_numbers_asked_for_come_before_the_findings_and_the_stops_before_them() -> None:
    text = run("block", REPAIR, "--press", "P1").output
    assert text.index("Form block:") < text.index("WARN  ") < text.index("note  ")
    assert "warnings and" in text.splitlines()[2]
    listed = run("check", REPAIR, "--press", "P1").output.splitlines()
    assert listed[2].startswith("WARN  ")  # of a check the findings are the answer
    short = run("setup", str(EXAMPLES / "Q7-2102-1.part.toml"), "--press", "P1").output
    assert short.index("STOP  ") < short.index("Set-up on press") < short.index("WARN  ")


# ---- fingerprints


def test_another_build_of_the_program_bears_another_fingerprint() -> None:
    job = job_of(box(), example_shop())
    other = replace(job, catalogue=replace(job.catalogue, build="another"))
    assert fingerprint(job, "handbook") != fingerprint(other, "handbook")
    assert inputs_of(job, "handbook")["build"] == load_catalogue().build
    assert len(load_catalogue().build) == 12


def test_a_forecast_has_its_own_fingerprint_and_says_the_packets() -> None:
    forecast = ribwright.forecast(REPAIR, press="P1", model="closed-form")
    packets = ribwright.setup(REPAIR, press="P1", model="closed-form")["fingerprint"]
    assert forecast["packet_fingerprint"] == packets != forecast["fingerprint"]
    assert packets in run("forecast", REPAIR, "--press", "P1").output


def test_the_reading_to_pump_to_is_never_past_what_the_block_stands() -> None:
    shop = example_shop()
    weak = replace(shop.block_materials[0], pressure_limit_mpa=1.0)
    answer = make_plan(job_of(box(), replace(shop, block_materials=(weak,))), shop.press("P2")).setup
    assert answer is not None
    assert answer.never_past_mpa < answer.gauge_limit_mpa
    assert answer.pump_gauge_mpa == answer.never_past_mpa
    assert json.loads(json.dumps(answer.pump_gauge_mpa)) < answer.pump_force / shop.press("P2").gauge.ram_area_mm2
