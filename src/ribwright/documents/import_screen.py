"""What an import says on the screen, the table's unit first."""

from __future__ import annotations

from typing import Any

from ribwright.documents.screen import finding_lines
from ribwright.units import MM_PER_IN, plain


def import_lines(said: tuple[str, ...], findings: list[dict[str, Any]], written: tuple[Any, ...]) -> list[str]:
    """What a kind of file says, the findings, and the files written."""
    return [*said, "", *finding_lines(findings), *(f"Wrote {path}" for path in written)]


def table_lines(told: dict[str, Any], first: str) -> list[str]:
    """Lines about a table of ordinates: what was read, suspects, known lengths, the curve, what is missing."""
    table, curve = told["table"], told["curve"]
    sides = ", ".join(f"{s['name']} {s['points']} points to {_fine(s['last_digit_mm'], first)}" for s in table["sides"])
    out = [f"{table['file']}: {sides}"]
    skipped = ", ".join(f"{line['not_judged']} of {line['points']} on {line['name']}" for line in told["lines"])
    out.append(f"  not judged (ends, and where the curve turns too fast from point to point): {skipped}")
    for o in told["suspects"]:
        at, fits, uncertain = (_fine(o[key], first) for key in ("x_mm", "would_fit_mm", "uncertainty_mm"))
        taken = "kept as typed" if o["taken_mm"] is None else f"taken: {_fine(o['taken_mm'], first)}"
        out.append(
            f"  {o['number']}: line {o['line']}, {o['axis']} {o['side']} at x = {at}: typed {o['typed']}; {fits} +- {uncertain} would fit; "
            f"{o['times_local_fit_error']:.0f} times the local fit error, {_fine(o['local_fit_error_mm'], first)} "
            f"(suspect from {told['threshold']:g}); {taken}"
        )
    if not told["suspects"]:
        out.append("  no ordinate is suspect")
    for k in told["lengths"]:
        at = "" if k["at_mm"] is None else f" at x = {_fine(k['at_mm'], first)}"
        agrees = "agrees" if k["agrees"] else f"{100 * (k['ratio'] - 1):+.3g} %"
        out.append(
            f"  {k['what']}{at}: {_fine(k['measured_mm'], first)} in the table, {_fine(k['known_mm'], first)} known: {agrees}"
        )
    out.append(f"  faired curve: within {_fine(curve['furthest_ordinate_mm'], first)} of every ordinate")
    if curve["skin_mm"]:
        out.append(f"  skin taken off: {_fine(curve['skin_mm'], first)}")
    if curve["written_off_faired_mm"] is not None:
        pieces = f"{curve['arcs']} arcs and {curve['lines']} lines, " if curve["kind"] == "arcs" else ""
        out.append(
            f"  written: {pieces}within {_fine(curve['written_off_faired_mm'], first)} of the faired curve"
            + (" less the skin" if curve["skin_mm"] else "")
            + f", so within {_fine(curve['written_off_ordinates_mm'], first)} of the ordinates"
        )
    else:
        out.append("  written: through the ordinates themselves")
    out.append("  edges: " + ", ".join(f"{e['name']} ({e['kind']})" for e in told["edges"]))
    out.append("  still to be filled in: " + ", ".join(told["missing"]))
    return out


def _fine(mm: float, first: str) -> str:
    """A length in the table's unit with a digit more than it is typed with."""
    size, digits = (mm / MM_PER_IN, 4) if first == "in" else (mm, 3)
    least = 10.0**-digits
    words = f"under {least:g}" if 0 < size < least else plain(size, digits)
    return f"{words} {first}"
