"""What others measured is kept as strictly as any fact, and stands only beside a sheet that it is about."""

from __future__ import annotations

import tomllib
from importlib.resources import files
from pathlib import Path

import pytest

from ribwright.adapters.facts_toml import load_catalogue
from ribwright.adapters.measured_toml import read_measured
from ribwright.errors import Fault
from ribwright.shop.measured import KINDS, SHOWN

FILE = Path(str(files("ribwright") / "facts")) / "measured.toml"
TEXT = FILE.read_text(encoding="utf-8")
ROWS = load_catalogue().measured


def faults_of(text: str) -> list[Fault]:
    faults: list[Fault] = []
    read_measured(tomllib.loads(text), "measured.toml", faults)
    return faults


def test_every_row_says_from_where_it_is_and_what_it_lacks() -> None:
    assert len(ROWS) >= 9
    for row in ROWS:
        assert row.source
        assert row.said
        assert row.kind in KINDS
        assert all(row.unknown), row.id
        assert 0 <= row.low <= row.high


@pytest.mark.parametrize(
    ("old", "new", "key"),
    [
        ('id = "hammered-2024-t3"', 'id = "pressed-2024-o"', "measured.pressed-2024-o"),
        ('kind = "report"', 'kind = "repport"', "measured[0].kind"),
        ("springback = [2.0, 2.0]", "springback = [3.0, 2.0]", "measured[0].springback"),
        ("springback = [2.0, 2.0]", "springback = 2.0", "measured[0].springback"),
        ("springback = [2.0, 2.0]", "springback = [true, 2.0]", "measured[0].springback"),
        ('status = "published"', 'status = "certain"', "measured[0].status"),
        ('said = "about 2 deg"', 'said = ""', "measured[0].said"),
        ('temper = "O"\n', "", "measured[0].temper"),
        ('value = 0.025, unit = "in"', 'value = 0.025, unit = "gauge"', "measured[1].thickness"),
        ("thickness =", "thicknes =", "measured[1].thicknes"),
    ],
)
def test_a_row_that_breaks_the_form_is_refused_at_its_key(old: str, new: str, key: str) -> None:
    assert old in TEXT
    assert key in {f.key for f in faults_of(TEXT.replace(old, new, 1))}


def test_a_row_without_what_is_unknown_is_refused() -> None:
    lines = [line for line in TEXT.splitlines() if not line.startswith("unknown")]
    assert len([f for f in faults_of("\n".join(lines)) if f.key.endswith("unknown")]) == len(ROWS)


def test_a_row_stands_beside_its_own_alloy_and_temper_only() -> None:
    def beside(alloy: str, temper: str) -> set[str]:
        return {r.id for r in ROWS if r.fits(alloy, temper)}

    assert beside("2024", "O") == {"pressed-2024-o"}
    assert beside("2024", "T3") == {"hammered-2024-t3"}
    assert beside("2024", "T4") == beside("6061", "O") == set()
    # an expectation is not a measurement, whatever sheet it names
    assert beside("5052", "H32") == set()
    assert "estimate" not in SHOWN


def test_a_length_is_kept_in_mm() -> None:
    row = next(r for r in ROWS if r.id == "hammered-2024-t3")
    assert row.thickness_mm == pytest.approx(0.635)
    assert row.radius_mm is None
