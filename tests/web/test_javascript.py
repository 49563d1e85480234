"""The page's own logic, tested without a page: `node --test` over tests/web/js, by the node that playwright brings along."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest

HERE = Path(__file__).parent
FILES = sorted((HERE / "js").glob("*.test.mjs"))


def _node() -> str:
    """node on the path, or the one in the playwright package."""
    from playwright._impl._driver import compute_driver_executable

    return shutil.which("node") or str(compute_driver_executable()[0])


@pytest.mark.parametrize("file", FILES, ids=lambda p: p.stem)
def test_the_logic_of_the_page(file: Path) -> None:
    done = subprocess.run([_node(), "--test", str(file)], capture_output=True, text=True, check=False, timeout=120)
    assert done.returncode == 0, done.stdout + done.stderr
    assert "# pass 0" not in done.stdout
