"""What a shell, a full disk and a slip of the keyboard do to a command: a sentence and a status, never a traceback."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from building import EXAMPLES, quick
from ribwright.cli import main

RIB, REPAIR = (str(EXAMPLES / f"{n}.part.toml") for n in ("Q7-2102-1", "RX-0007"))
POSIX = pytest.mark.skipif(os.name != "posix", reason="a shell's redirections, signals and pipes with names")


def run(*words: str) -> Result:
    return CliRunner().invoke(main, quick(words), catch_exceptions=False)


def shell(line: str, cwd: Path | None = None) -> subprocess.CompletedProcess[str]:
    """`{}` stands for the command."""
    line = line.replace("{}", f"'{sys.executable}' -m ribwright")
    return subprocess.run(["sh", "-c", line], capture_output=True, text=True, check=False, timeout=60, cwd=cwd)


# ---- streams


@POSIX
def test_a_closed_stream_is_no_fault_of_the_part() -> None:
    assert shell(f"{{}} check '{RIB}' --press P2 --model closed-form 2>&-").returncode == 0
    silent = shell(f"{{}} blank '{RIB}' --json >&-")
    assert (silent.returncode, silent.stderr) == (0, "")
    assert shell("{} --help <&- >&- 2>&-").returncode == 0
    assert shell("{} check nowhere.toml 2>&-").returncode == 2


@POSIX
@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device that is always full")
@pytest.mark.parametrize("more", ["", "--json"])
def test_an_answer_that_finds_no_room_is_not_called_wrong_input(more: str) -> None:
    full = shell(f"{{}} blank '{REPAIR}' {more} >/dev/full")
    assert full.returncode == 3
    assert full.stderr.strip() == "ribwright: the answer could not be written: No space left on device"


# ---- files that are none


@POSIX
@pytest.mark.parametrize("words", [("check", "F"), ("why", "F", "F"), ("material", "Lot 1", "--tensile", "F")])
def test_a_pipe_a_folder_and_a_heap_are_refused_and_nothing_waits(words: tuple[str, ...], tmp_path: Path) -> None:
    pipe, heap = tmp_path / "pipe", tmp_path / "heap"
    os.mkfifo(pipe)
    with heap.open("wb") as file:
        file.truncate(60_000_000)
    for path, says in ((pipe, "not a regular file"), (tmp_path, "a folder"), (heap, "60 MB")):
        done = run(*(str(path) if w == "F" else w for w in words))
        assert done.exit_code == 2
        assert f"{path}: the file: found {says}; allowed: " in done.output


@POSIX
def test_a_name_with_a_line_break_or_too_long_is_one_sentence() -> None:
    for name in ("a\nb.part.toml", "x" * 300, "a\x1b[2Jb"):
        done = run("check", name)
        assert done.exit_code == 2
        assert len(done.output.splitlines()) == 1
        assert "\x1b" not in done.output
        assert "; allowed: " in done.output


# ---- places to write


def _never(*_: object) -> None:
    raise AssertionError("calculated before the place was looked at")


@pytest.mark.parametrize(
    "words",
    [
        ("blank", RIB, "--out", "{}.dxf"),
        ("block", RIB, "--out", "{}.step"),
        ("template", RIB, "--out", "{}.pdf"),
        ("material", "2024-O", "--out", "{}.pdf"),
        ("packet", RIB, "--out", "{}"),
    ],
)
def test_a_place_that_cannot_be_written_is_refused_before_anything_is_calculated(
    words: tuple[str, ...], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("ribwright.work.asking.make_plan", _never)
    monkeypatch.setattr("ribwright.work.materials.card_of", _never)
    (tmp_path / "a file").write_text("")
    ending = Path(words[-1]).suffix
    folder = tmp_path / f"folder{ending}"
    folder.touch() if words[0] == "packet" else folder.mkdir()
    places = {
        str(tmp_path / "a file" / "x"): "which is a file",
        str(tmp_path / "folder"): "a file" if words[0] == "packet" else "a folder",
        str(tmp_path / ("x" * 300)): "file name too long",
    }
    before = sorted(tmp_path.rglob("*"))
    for place, says in places.items():
        done = run(*words[:-1], words[-1].replace("{}", place))
        assert done.exit_code == 2, place
        assert done.output.startswith("ribwright: command line: --out: found ")
        assert says in done.output
        assert "; allowed: a " in done.output
    assert sorted(tmp_path.rglob("*")) == before


@pytest.mark.parametrize(("command", "ending"), [("blank", ".dxf"), ("block", ".STL"), ("template", ".pdf")])
def test_an_ending_alone_is_no_name(command: str, ending: str) -> None:
    told = run(command, RIB, "--out", ending).output
    assert told == (
        f"ribwright: command line: --out: found {ending!r}; allowed: a name before the ending, like part{ending.lower()}\n"
    )


# ---- words


@pytest.mark.parametrize(
    "words",
    [
        ("packet", RIB, "--out", ""),
        ("check", RIB, "--press", ""),
        ("check", RIB, "--shop", ""),
        ("blank", RIB, "--out="),
        ("explain", RIB, "--number", " "),
    ],
)
def test_an_option_given_but_empty_is_refused_and_writes_nothing(
    words: tuple[str, ...], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    done = run(*words)
    assert done.exit_code == 2
    assert f"command line: {words[2].rstrip('=')}: found nothing; allowed: " in done.output
    assert not list(tmp_path.iterdir())


def test_every_empty_word_is_told_at_once() -> None:
    told = run("check", "", "--press", "", "--shop", "").output
    assert all(f"{key}: found nothing" in told for key in ("PART", "--press", "--shop"))


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--units", "in", "--out", "t.pdf"), "--units: found 'in' with --out t.pdf; allowed: --units with --out NAME.dxf"),
        (("--units", "mm", "--out", "t.pdf"), "--units: found 'mm' with --out t.pdf"),
        (("--paper", "roll", "--out", "t.dxf"), "--paper: found 'roll' with --out t.dxf; allowed: --paper with --out NAME.pdf"),
        (("--paper", "letter", "--out", "t.dxf"), "--paper: found 'letter' with --out t.dxf"),
    ],
)  # fmt: skip
def test_an_option_that_would_do_nothing_is_refused(
    words: tuple[str, ...], says: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    done = run("template", REPAIR, *words)
    assert done.exit_code == 2
    assert says in done.output
    assert not list(tmp_path.iterdir())


# ---- ended from outside


def _processes(word: str) -> list[str]:
    """Command lines of running processes that hold the word."""
    lines = []
    for file in Path("/proc").glob("[0-9]*/cmdline"):
        try:
            lines.append(file.read_bytes().replace(b"\0", b" ").decode(errors="replace"))
        except OSError:
            continue
    return [line for line in lines if word in line]


def _until(done: Callable[[], bool], seconds: float = 40.0) -> bool:
    end = time.monotonic() + seconds
    while not done() and time.monotonic() < end:
        time.sleep(0.02)
    return done()


@pytest.mark.skipif(not Path("/proc/self/cmdline").exists(), reason="processes are looked up in /proc")
@pytest.mark.parametrize("name", ["SIGTERM", "SIGHUP", "SIGKILL"])
def test_an_ended_command_leaves_no_kernel_no_folder_and_no_file(name: str, tmp_path: Path) -> None:
    pytest.importorskip("OCP", reason="the extra [step] is not installed")
    rough, out = tmp_path / "rough", tmp_path / "out"
    rough.mkdir()
    words = [sys.executable, "-m", "ribwright", "block", RIB, "--out", str(out / "block.step")]
    for _ in range(5):
        command = subprocess.Popen(words, env=os.environ | {"TMPDIR": str(rough)}, stderr=subprocess.PIPE, text=True)
        assert _until(lambda: bool(_processes(str(rough))))
        command.send_signal(getattr(signal, name))
        _, said = command.communicate(timeout=40)
        if command.returncode != 0:
            break
        # on a busy machine the kernel was through before the signal came: that run was not ended, the next one is
        shutil.rmtree(out)
    assert command.returncode != 0
    assert _until(lambda: not _processes(str(rough)) and not list(rough.iterdir()))
    assert not out.exists()
    if name != "SIGKILL":
        assert (command.returncode, said) == (3, "ribwright: cancelled; nothing was written\n")
