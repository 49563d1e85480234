"""Bend angles in words that cannot be taken the wrong way: degrees from flat, and how far open or closed of square."""

from __future__ import annotations

from collections.abc import Sequence

from ribwright.units import show_angle

SQUARE_DEG = 0.05


def open_or_closed(deg: float, digits: int = 1) -> str:
    """'square', '6.0 deg open' for a bend of 84 deg, '7.0 deg closed' for one of 97."""
    off = deg - 90.0
    if abs(off) < SQUARE_DEG:
        return "square"
    return f"{show_angle(abs(off), digits)} {'closed' if off > 0 else 'open'}"


def bend_words(low: float, high: float) -> str:
    """'90.0 deg, square', '84.0 deg, 6.0 deg open' or '84.0 to 97.0 deg'."""
    if abs(high - low) < SQUARE_DEG:
        return f"{show_angle(low)}, {open_or_closed(low)}"
    return f"{low:.1f} to {show_angle(high)}"


def spanned(values: Sequence[float], digits: int = 1) -> str:
    """'6.4 to 11.7', or one number where both print alike."""
    a, b = (f"{round(f(values), digits) + 0.0:.{digits}f}" for f in (min, max))
    return a if a == b else f"{a} to {b}"
