"""What a forecast is asked for, and the pressure that acts.

With a press it is what the set-up pumps to, or where that cannot close the flanges the most the press gives; a given pressure
stands in for it. Without a press a given pressure acts as a fluid, the same on every flange.
"""

from __future__ import annotations

from dataclasses import dataclass

from ribwright.stages.pads import NO_PAD, PadShare
from ribwright.stages.setup import Setup

CLOSED_FORM, SECTION, SHELL = "closed-form", "section", "shell"
MODELS = (CLOSED_FORM, SECTION)


@dataclass(frozen=True)
class Ask:
    """The command's own options. `pressure` [MPa] None: what the press is pumped to; `undercut` [deg] None: the block's."""

    model: str = SECTION
    pressure: float | None = None
    undercut: float | None = None

    def as_input(self) -> dict[str, object]:
        """What goes into the fingerprint and under `inputs.forecast`."""
        return {"model": self.model, "pressure_mpa": self.pressure, "undercut_deg": self.undercut}


@dataclass(frozen=True)
class Acting:
    """The pressure that acts [MPa], in words where it comes from, what the pad takes of it while a flange closes, and the least
    it may be under a loose pad that spreads [MPa]."""

    mpa: float
    comes_from: str
    share: PadShare
    least: float


def acting(setup: Setup | None, given: float | None) -> Acting:
    """The pressure of a forecast. ValueError without a press and without a pressure."""
    if setup is None:
        if given is None:
            raise ValueError("neither press nor pressure")
        return Acting(given, "as given, acting as a fluid on every flange", NO_PAD, given)
    name, spread = f"press {setup.press.id}", 1.0
    if setup.spread_pressure is not None and setup.available > 0:
        spread = setup.spread_pressure / setup.available
    if given is not None:
        mpa, words = given, f"as given, on {name}"
    elif setup.pump_pressure is not None:
        mpa, words = setup.pump_pressure, f"what the set-up pumps {name} to"
    else:
        mpa, words = setup.available, f"the most {name} gives within its ratings ({setup.limit_by})"
    return Acting(mpa, words, setup.share, mpa * spread)
