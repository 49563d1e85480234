"""Drawn items made smaller about the origin."""

from __future__ import annotations

from dataclasses import replace

from ribwright.documents.page import Arc, Circle, Clip, Item, Line, Polyline, Stroke, Text


def smaller(item: Item, share: float) -> Item:
    """The item at `share` of its size, print and dashes with it; widths of lines stay, so that they can be seen."""
    if isinstance(item, Line):
        x0, y0, x1, y1 = (v * share for v in (item.x0, item.y0, item.x1, item.y1))
        return Line(x0, y0, x1, y1, _dashed(item.stroke, share))
    if isinstance(item, Polyline):
        points = tuple((x * share, y * share) for x, y in item.points)
        return replace(item, points=points, stroke=item.stroke and _dashed(item.stroke, share))
    if isinstance(item, Arc):
        return replace(
            item, cx=item.cx * share, cy=item.cy * share, r=item.r * share, stroke=_dashed(item.stroke, share)
        )
    if isinstance(item, Circle):
        stroke = item.stroke and _dashed(item.stroke, share)
        return replace(item, cx=item.cx * share, cy=item.cy * share, r=item.r * share, stroke=stroke)
    if isinstance(item, Text):
        return replace(item, x=item.x * share, y=item.y * share, size_pt=item.size_pt * share)
    return Clip(
        item.x * share,
        item.y * share,
        item.w * share,
        item.h * share,
        tuple(smaller(i, share) for i in item.items),
        item.dx * share,
        item.dy * share,
    )


def _dashed(stroke: Stroke, share: float) -> Stroke:
    return replace(stroke, dash=tuple(length * share for length in stroke.dash))
