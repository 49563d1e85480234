"""Machine code that is kept on disk is thrown away when a function it calls, or a constant it took, changes."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

CALLEE = "from ribwright.mechanics.compiled import compiled\nSHIFT = {shift}\n@compiled\ndef inner(x):\n    return x + {add}\n"
CALLER = (
    "from ribwright.mechanics.compiled import compiled\nfrom inner_file import SHIFT, inner\n"
    "@compiled\ndef outer(x):\n    return inner(x) + SHIFT\n"
)


def answer(folder: Path) -> float:
    run = subprocess.run(
        [sys.executable, "-c", "from outer_file import outer; print(outer(1.0))"],
        cwd=folder, capture_output=True, text=True, check=True,
    )  # fmt: skip
    return float(run.stdout)


def test_the_code_is_kept_between_two_runs_and_a_change_in_a_called_function_or_a_constant_of_another_file_is_felt(
    tmp_path: Path,
) -> None:
    """One test: every answer is a process that loads the compiler."""
    (tmp_path / "outer_file.py").write_text(CALLER)
    (tmp_path / "inner_file.py").write_text(CALLEE.format(add=1.0, shift=0.0))
    assert answer(tmp_path) == 2.0
    kept = sorted((tmp_path / "__pycache__").glob("outer_file.outer*.nbc"))
    assert len(kept) == 1
    before = kept[0].stat().st_mtime_ns
    assert answer(tmp_path) == 2.0
    assert sorted((tmp_path / "__pycache__").glob("outer_file.outer*.nbc")) == kept
    assert kept[0].stat().st_mtime_ns == before
    for add, shift in ((10.0, 0.0), (10.0, 100.0)):
        (tmp_path / "inner_file.py").write_text(CALLEE.format(add=add, shift=shift))
        assert answer(tmp_path) == 1.0 + add + shift
    assert answer(tmp_path) == 111.0  # from the code kept last
