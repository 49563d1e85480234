"""A tensile record as a test machine wrote it and a person described it."""

from __future__ import annotations

from dataclasses import dataclass

KINDS = ("engineering", "true")


@dataclass(frozen=True)
class TensileRecord:
    """Strain [-] and stress [MPa] of one pull, engineering or true as `kind` says, in the order of the file.

    modulus_mpa      given instead of being fitted; None: fitted
    elongation       total, engineering, measured on the broken piece over `gauge_length`; None: not typed
    lot, direction, date, gauge_length   as typed, "" where not
    """

    kind: str
    strain: tuple[float, ...]
    stress_mpa: tuple[float, ...]
    modulus_mpa: float | None = None
    elongation: float | None = None
    lot: str = ""
    direction: str = ""
    date: str = ""
    gauge_length: str = ""
    file: str = ""
