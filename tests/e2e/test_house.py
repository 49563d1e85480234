"""The way into the house: make, python -m, the package without an install of anything else."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent.parent


@pytest.mark.skipif(
    shutil.which("make") is None, reason="a Windows shop has no make; python -m ribwright is the way there"
)
def test_bare_make_lists_what_can_be_done() -> None:
    listed = subprocess.run(["make", "-s"], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    for target in ("demo", "test", "check"):
        assert any(line.startswith(target + " ") for line in listed.splitlines()), target


def test_the_module_runs_like_the_command() -> None:
    done = subprocess.run([sys.executable, "-m", "ribwright", "--version"], capture_output=True, text=True, check=True)
    assert done.stdout.startswith("ribwright, version")


def test_an_unreadable_answer_never_prints_a_traceback(tmp_path: Path) -> None:
    """A part file that is a folder, is missing or is no text ends in a sentence and exit 2."""
    binary = tmp_path / "x.part.toml"
    binary.write_bytes(bytes(range(256)))
    for path in (tmp_path, tmp_path / "missing.part.toml", binary):
        done = subprocess.run(
            [sys.executable, "-m", "ribwright", "check", str(path)], capture_output=True, text=True, check=False
        )
        assert done.returncode == 2
        assert "Traceback" not in done.stderr
        assert done.stderr.startswith("ribwright: ")
