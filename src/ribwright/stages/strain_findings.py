"""What the strain map finds: a place past the limit line.

Free edges have their own findings (`stretch-limit`, `hole-edge-limit` of `checks/edge_strain`), whose limits are of the trade. The limit
line is an estimate that nobody has tested, so being past it warns and does not stop.
"""

from __future__ import annotations

from ribwright.stages.finding import Finding
from ribwright.stages.strain_limit import LINE
from ribwright.stages.strain_margins import SplitMargin


def strain_findings(rows: tuple[SplitMargin, ...]) -> tuple[Finding, ...]:
    """One finding a place that is past the limit line."""
    return tuple(_past(r) for r in rows if r.by == LINE and r.margin is not None and r.margin < 0.0)


def _past(r: SplitMargin) -> Finding:
    what = f"hole {r.name}" if r.kind == "hole" else r.name
    x, y = r.flat
    return Finding(
        "strain-past-limit-line",
        "warn",
        f"The sheet of {what} is stretched to {r.major:.3f} true strain away from its edge, past the estimated limit line ({r.limit:.3f} "
        f"at that ratio) near ({x:.1f}, {y:.1f}) mm of the blank: it may neck and split there.",
        "A lower flange, a larger radius of the contour or a softer temper; form a trial piece and look there with a glass.",
        {r.kind: r.name, "at_mm": [x, y]},
        r.value,
        r.limit,
        r.margin,
        r.unit,
        r.source,
    )
