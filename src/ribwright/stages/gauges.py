"""Which measuring gauge of the shop reads a characteristic, and how surely."""

from __future__ import annotations

from collections.abc import Iterable

from ribwright.errors import UnitError
from ribwright.shop.shop import MeasuringGauge, Shop
from ribwright.units import angle_deg, length_mm

_LENGTHS = ("calliper", "caliper", "vernier", "height gauge")
# words of a gauge's `kind` that say it reads the characteristic
READS: dict[str, tuple[str, ...]] = {
    "flange_angle": ("protractor", "angle", "bevel"),
    "flange_width": _LENGTHS,
    "bend_radius": ("radius",),
    "contour": ("feeler",),
    "web_flatness": ("feeler", "dial"),
    "hole_position": _LENGTHS,
    "hole_diameter": (*_LENGTHS, "plug", "bore"),
    "thickness": ("micrometer", *_LENGTHS),
}


def best_gauge(shop: Shop, quantity: str) -> tuple[MeasuringGauge | None, float | None]:
    """The gauge with the least uncertainty that reads `quantity`, and that uncertainty [deg for angles, else mm].

    (None, None) where the shop lists none whose kind and uncertainty fit. Its due date is not judged: there is no clock.
    """
    known = [(u, g.id, g) for g in shop.gauges if (u := _uncertainty(g, quantity)) is not None]
    if not known:
        return None, None
    u, _, gauge = min(known, key=lambda row: row[:2])
    return gauge, u


def gauge_of_points(shop: Shop, ids: Iterable[str]) -> tuple[MeasuringGauge | None, float | None]:
    """The first of the shop's gauges `ids` that takes points, and its uncertainty [mm]: an arm, a scanner, any whose kind says no other use
    (`READS`). One whose uncertainty is given as a length goes before one that has none; (None, None) where none is named."""
    uses = {word for words in READS.values() for word in words}
    known = {g.id: g for g in shop.gauges}
    takes = [known[i] for i in ids if i in known and not any(word in known[i].kind.lower() for word in uses)]
    sure = [(g, u) for g in takes if (u := uncertainty_of(g, "contour")) is not None]
    return sure[0] if sure else (takes[0] if takes else None, None)


def _uncertainty(gauge: MeasuringGauge, quantity: str) -> float | None:
    kind = gauge.kind.lower()
    return uncertainty_of(gauge, quantity) if any(word in kind for word in READS[quantity]) else None


def uncertainty_of(gauge: MeasuringGauge, quantity: str) -> float | None:
    """Its uncertainty when it reads `quantity` [deg for angles, else mm]; None where the shop file gives none in such a unit."""
    if not gauge.uncertainty:
        return None
    try:
        return angle_deg(gauge.uncertainty) if quantity == "flange_angle" else length_mm(gauge.uncertainty)
    except UnitError:  # a protractor that is given in inches, or a calliper in degrees
        return None
