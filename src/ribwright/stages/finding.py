"""A finding: one thing a person should know about the part, at its place, with what to try."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

SEVERITIES = ("stop", "warn", "note")


@dataclass(frozen=True)
class Predicted:
    """A value with a 90 % interval and the model that gave it."""

    value: float
    low: float
    high: float
    model: str

    def as_json(self) -> dict[str, Any]:
        """{value, low, high, model}."""
        return {"value": self.value, "low": self.low, "high": self.high, "model": self.model}


@dataclass(frozen=True)
class Finding:
    """`code` is kebab-case, listed in docs/FINDINGS.md and never reused. `margin` is (limit - value)/limit, signed so
    that negative is bad. `say` is a sentence a press hand acts on; `try_` what to try."""

    code: str
    severity: str
    say: str
    try_: str = ""
    where: dict[str, Any] = field(default_factory=dict)
    value: float | None = None
    limit: float | None = None
    margin: float | None = None
    unit: str = ""
    source: str = ""

    def as_json(self) -> dict[str, Any]:
        """The finding with the contract's keys."""
        return {
            "code": self.code,
            "severity": self.severity,
            "where": self.where,
            "value": self.value,
            "limit": self.limit,
            "margin": self.margin,
            "unit": self.unit,
            "source": self.source,
            "say": self.say,
            "try": self.try_,
        }


def has_stop(findings: Iterable[Finding]) -> bool:
    """True when one of them stops the job."""
    return any(f.severity == "stop" for f in findings)


def ranked(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Stops first, then warnings, then notes; within each the worst margin first, then by code and place."""
    return tuple(
        sorted(
            findings,
            key=lambda f: (
                SEVERITIES.index(f.severity),
                f.margin if f.margin is not None else 9.0,
                f.code,
                str(f.where),
            ),
        )
    )
