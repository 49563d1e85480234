"""The family's table on the screen: places of the common pins."""

from __future__ import annotations

from ribwright.documents.family_screen import _pins


def test_a_place_on_the_other_side_of_the_first_pin_keeps_its_sign_in_both_units() -> None:
    holes = [
        {"name": "P1", "diameter_mm": 4.7625, "from_first_mm": [0.0, 0.0]},
        {"name": "P3", "diameter_mm": 4.7625, "from_first_mm": [376.682, -24.638]},
    ]
    pins = {"outcome": "all", "drawn_nearer": 1.0, "drawn_on": "A-1", "holes": holes, "parts": []}
    text = "\n".join(_pins(pins, "in"))
    assert "y -0.970 in (-24.64 mm) from P1" in text
