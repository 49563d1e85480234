"""What an import of any kind of file gives."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from ribwright.stages.finding import Finding
from ribwright.version import __version__


@dataclass(frozen=True)
class Imported:
    """`text` of the part file; `findings` about what was read; `files` that go beside the part file, by name; `told` the numbers of the
    answer; `lines` for the screen; `first` the unit that is shown first."""

    text: str
    findings: tuple[Finding, ...] = ()
    files: dict[str, bytes] = field(default_factory=dict)
    told: dict[str, Any] = field(default_factory=dict)
    lines: tuple[str, ...] = ()
    first: str = "in"

    @property
    def json(self) -> dict[str, Any]:
        """The JSON answer."""
        return {"ribwright": __version__, "findings": [f.as_json() for f in self.findings], "import": self.told}
