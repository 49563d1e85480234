"""An answer as lines of text for a terminal, shop's unit first.

The numbers that were asked for come first, under the findings that stop the job; the other findings follow, the worst first. Of `check`
the findings are the answer.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from math import expm1
from typing import Any

from ribwright.documents.bead_screen import bead_lines, filling_lines
from ribwright.documents.circle_screen import circle_lines, slip_lines
from ribwright.documents.entry_table import all_or_named, fine_length
from ribwright.documents.flute_screen import flute_lines
from ribwright.documents.forecast_screen import forecast_lines
from ribwright.documents.judged_words import margin_lines, tolerance_lines
from ribwright.documents.lean_words import from_end, lean_words
from ribwright.documents.readings import UNITS, in_steps, reading
from ribwright.documents.route_screen import route_lines
from ribwright.documents.strain_screen import strain_lines
from ribwright.documents.under_pad_screen import under_pad_lines
from ribwright.stages.lift_off import push_words
from ribwright.units import show_force, show_length, show_pressure, show_time

PROPOSED = "relief-notches-proposed"  # a note that is acted on
MARKS = {"stop": "STOP", "warn": "WARN", "note": "note"}


def lines(answer: dict[str, Any], first: Any) -> list[str]:
    """Text of an answer with the contract's keys; `first` is "in" or "mm"."""
    part = answer["part"]
    hand = "" if part["hand"] == "none" else f", {part['hand']} hand"
    out = [f"{part['number']} rev {part['revision']}{hand}   fingerprint {answer['fingerprint']}", ""]
    if "packet_fingerprint" in answer:
        out[1:1] = [
            f"a forecast's own options are in its fingerprint; the packet of the same press and model has {answer['packet_fingerprint']}"
        ]
    found = answer["findings"]
    bodies = [(key, show) for key, show in BODIES.items() if key in answer]
    stops = [f for f in found if f["severity"] == "stop"] if bodies else found
    others = [f for f in found if f not in stops]
    if others:
        out += [f"{_counted(others)} below.", ""]
    if stops or not others:
        out += [*finding_lines(stops), *([""] if bodies else [])]
    for key, show in bodies:
        out += [*show(answer[key], first), ""]
    out += [*finding_lines(others), ""] if others else []
    for rows in (margin_lines(answer.get("margins", []), first), tolerance_lines(answer.get("tolerances", []), first)):
        out += [*([""] if out[-1] else []), *rows] if rows else []
    return out if out[-1] else out[:-1]


def _counted(findings: list[dict[str, Any]]) -> str:
    """'5 warnings and 11 notes'."""
    counts = Counter(f["severity"] for f in findings)
    words = {"stop": "stop", "warn": "warning", "note": "note"}
    return " and ".join(f"{n} {words[k]}{'s' if n > 1 else ''}" for k in words if (n := counts[k]))


def finding_lines(findings: list[dict[str, Any]]) -> list[str]:
    """Each finding with what to try."""
    if not findings:
        return ["No findings."]
    out = []
    for f in findings:
        out.append(f"{MARKS[f['severity']]}  {f['say']}  [{f['code']}]")
        if f["code"] == PROPOSED:
            out.append(f"      to take it: {f['try']}")
        if f["severity"] != "note":
            if f["try"]:
                out.append(f"      try: {f['try']}")
            if f["source"]:
                out.append(f"      source: {f['source']}")
    return out


def _span(pair: dict[str, float], first: Any) -> str:
    if pair["min"] is None or pair["max"] is None:
        return "not known"
    low, high = show_length(pair["min"], first), show_length(pair["max"], first)
    return low if low == high else f"{low} to {high}"


def _blank(blank: dict[str, Any], first: Any) -> list[str]:
    x, y = blank["size_mm"]
    out = [f"Blank ({blank['method']}): {show_length(x, first)} x {show_length(y, first)}"]
    out += _agreement(blank["agreement"], first) if blank.get("agreement") else []
    cut = blank["cut_line"]
    counts = f"{cut['lines']} lines and {cut['arcs']} arcs"
    out.append(f"  cut line: {counts}, within {fine_length(cut['fit_mm'], first)} of what was computed")
    for e in blank["edges"]:
        if e["flat_width_mm"] is None:
            out.append(f"  {e['name']}: no flange")
            continue
        known = [v for v in e["edge_strain"].values() if v is not None]
        strained = _strained(100 * expm1(max(known, key=abs))) if known else "edge strain not known"
        out.append(
            f"  {e['name']}: flat width {_span(e['flat_width_mm'], first)}, bend allowance "
            f"{_span(e['bend_allowance_mm'], first)}, {strained}"
        )
    for h in blank["holes"]:
        flanged = "" if h["edge_strain"] is None else f", rim stretches {100 * expm1(h['edge_strain']):.1f} %"
        out.append(f"  hole {h['name']} ({h['kind']}): cut {show_length(h['cut_diameter_mm'], first)}{flanged}")
    out += flute_lines(blank, first)
    out += bead_lines(blank, first)
    out.append("  The flat is computed; not compared with a real formed part.")
    return out


def _agreement(a: dict[str, Any], first: Any) -> list[str]:
    """How the strain-corrected blank agrees with the one by balance, in a line; of one that does not the finding says where."""
    if a["outcome"] == "exact":
        return ["  every flange is straight: exact, nothing to hold it beside"]
    if a["outcome"] == "agrees":
        within, allowed = fine_length(a["within_mm"], first), show_length(a["tolerance_mm"], first)
        worst = a["apart"][0]
        return [f"  agrees with the blank by balance within {within} (at {worst['name']}), {allowed} asked"]
    return []


def _strained(percent: float) -> str:
    if abs(percent) < 0.05:
        return "edge not strained"
    return f"edge {'stretches' if percent > 0 else 'shrinks'} {abs(percent):.1f} %"


def _block(block: dict[str, Any], first: Any) -> list[str]:
    out = [
        f"Form block: height {show_length(block['height_mm'], first)}, edge radius "
        f"{show_length(block['edge_radius_mm'], first)}, {_off(block, first)}",
    ]
    p = block["undercut_pressure_mpa"]
    if p is not None:
        out.append(
            f"  by the section model at {show_pressure(p, first)} on the pad; not compared with a real formed part"
        )
    for zone in _by_edge(block["undercut"]):
        out.append(f"  {zone}")
    for p in block["pins"]:
        out.append(f"  pin {p['name']}: {show_length(p['diameter_mm'], first)}")
    for r in block["recesses"]:
        out.append(
            f"  recess {r['name']}: {show_length(r['diameter_mm'], first)} at the web face, "
            f"{show_length(r['depth_mm'], first)} deep"
        )
    return out + _making(block, first)


def _off(block: dict[str, Any], first: Any) -> str:
    if block["comes_off"] == "slides":
        return f"part slides off: {push_words(block['slides_toward'], block['slide_direction'], first)}"
    return "part lifts off" if block["comes_off"] == "lifts" else "part trapped on it"


def _making(block: dict[str, Any], first: Any) -> list[str]:
    """What the bench needs: saw tilts where the undercut is known, cover plate, the opposite hand."""
    zones = [z for z in block["zones"] if all(s["remaining_deg"] is not None for s in z["stretches"])]
    pieces = Counter(s["edge"] for z in zones for s in z["stretches"])
    whole_ones = [n for n, count in pieces.items() if count == 1]
    out = []
    for z in zones:
        mine = [s for s in z["stretches"] if pieces[s["edge"]] == 1]
        said = [all_or_named([s["edge"] for s in mine], list(pieces))] if mine else []
        said += [_stretch(s, block["edge_starts"], first) for s in z["stretches"] if s["edge"] not in whole_ones]
        out.append(f"  saw table {lean_words(z['tilt_deg'])}: {'; '.join(said)}")
    plate = block["cover_plate"]
    out.append(
        f"  cover plate: none, {plate['why_none']}"
        if plate["why_none"]
        else f"  cover plate: {show_length(plate['inset_mm'], first)} smaller than the web face all round"
        + (f", open over {', '.join(plate['open_over'])}" if plate["open_over"] else "")
    )
    both = {"mirror-image": "yes, as it stands", "turned-over": "yes, turned over", "": "no, see the block drawing"}
    return [*out, f"  for the opposite hand too: {both[block['reversible']['how']]}"]


def _stretch(s: dict[str, Any], starts: dict[str, str], first: Any) -> str:
    ends = " to ".join(show_length(s[k], first).partition(" (")[0] for k in ("from_mm", "to_mm"))
    return f"{s['edge']} {ends} {from_end(starts[s['edge']])}"


def _solid(solid: dict[str, Any], _: Any) -> list[str]:
    """What was made of the block, or why nothing was."""
    if solid["refused"]:
        return [f"Solid of the block not written: {solid['refused']}"]
    off = abs(solid["kernel_volume_mm3"] / solid["volume_mm3"] - 1)
    rings = f"; {len(solid['rings'])} loose ring(s), each in its own file" if solid["rings"] else ""
    return [
        f"Solid of the block: sound, {solid['faces']} faces over {solid['levels']} levels, volume "
        f"{solid['volume_mm3'] / 1000:.1f} cm3, within {off:.0e} of our own integral{rings}"
    ]


def _by_edge(rows: list[dict[str, Any]]) -> list[str]:
    out = []
    for name in dict.fromkeys(r["edge"] for r in rows):
        mine = [r["deg"] for r in rows if r["edge"] == name]
        low, high = min(d["value"] for d in mine), max(d["value"] for d in mine)
        value = f"{low:.1f}" if high - low < 0.05 else f"{low:.1f} to {high:.1f}"
        lows, highs = [d["low"] for d in mine], [d["high"] for d in mine]
        band = f"{min(lows):.1f} to {max(highs):.1f}"
        even = max(max(lows) - min(lows), max(highs) - min(highs)) < 0.05
        out.append(
            f"undercut {name}: {value} deg (90 %{'' if even else ', anywhere along it'}: {band}){_said(rows, name)}"
        )
    return out


def _said(rows: list[dict[str, Any]], name: str) -> str:
    """'; closed form said 8.4 deg', and why the section model is unverified there."""
    mine = [r for r in rows if r["edge"] == name]
    quick = [r["closed_form_deg"] for r in mine if r["closed_form_deg"] is not None]
    if not quick:
        return ""
    ends = " to ".join(dict.fromkeys(f"{q:.1f}" for q in (min(quick), max(quick))))
    return f"; closed form said {ends} deg" + (
        f"; unverified: {mine[0]['unverified']}" if mine[0]["unverified"] else ""
    )


def _setup(s: dict[str, Any], first: Any) -> list[str]:
    need = s["needed_pressure_mpa"]
    out = [f"Set-up on press {s['press']['id']} ({s['press']['source']})"]
    if need is None:
        out.append("  pressure needed: I do not know for this temper")
    else:
        band = f"{show_pressure(need['low'], first)} to {show_pressure(need['high'], first)}"
        where = ", ".join(f"{k} {v}" for k, v in s["governed_by"].items() if k != "along_mm")
        out.append(f"  pressure needed: {show_pressure(need['value'], first)} (90 %: {band}), governed by {where}")
        if s["unverified"]:
            out.append(f"  unverified there: {s['unverified']}")
        quick = [f for f in s["flanges"] if f["closed_form_closing_mpa"] is not None and _governs(f, s)]
        if quick:
            said = quick[0]["closed_form_closing_mpa"] + s["pad_share_mpa"]
            out.append(f"  by the section model; closed form said {show_pressure(said, first)}")
    out.append(f"  pressure available: {show_pressure(s['available_pressure_mpa'], first)} ({s['available_by']})")
    if s["ram_force_n"] is not None:
        out.append(f"  ram force at the needed pressure: {show_force(s['ram_force_n'], first)}")
    kind = "mpa" if s["gauge_limit_force_n"] is None else "force_n"
    limit = s["never_past_gauge_mpa"] if kind == "mpa" else s["never_past_force_n"]
    unit = s["press"]["gauge_reads"] if s["press"]["gauge_reads"] in UNITS else "psi"
    short = need is not None and need["value"] > s["available_pressure_mpa"] * (1 + 1e-9)
    shown = in_steps(None if short else s[f"gauge_{kind}"], s[f"pump_to_gauge_{kind}"], limit, unit)
    bead = "bead" in (s["governed_by"] or {})
    last = "last bead" if bead else "last flange"
    if shown.pump is not None and short:
        out.append(f"  pump to: {_read(shown.pump * UNITS[unit], s)} on the gauge; the {last} is at this press's limit")
    elif shown.close is not None and shown.pump is not None:
        done = f"the {last} should {'be filled' if bead else 'close'}"
        out.append(f"  gauge when {done}: {_read(shown.close * UNITS[unit], s)}")
        out.append(f"  pump to: {_read(shown.pump * UNITS[unit], s)} on the gauge")
    elif short:
        cannot = "fill that bead" if bead else "close that flange"
        out.append(f"  no gauge reading: this press cannot {cannot} within its ratings")
    if shown.limit is not None:
        out.append(f"  never past: {_read(shown.limit * UNITS[unit], s)} on the gauge ({s['never_past_by']})")
    out += [f"  {line}" for line in _closes(s)]
    out += filling_lines(s, first)
    out += _routine(s)
    x, y = s["place_mm"]
    if x or y:
        out.append(f"  block's middle off the table's: x {show_length(x, first)}, y {show_length(y, first)}")
    out.append(f"  pad past the block: {show_length(s['pad_margin_mm'], first)}")
    out.append(f"  daylight left: {show_length(s['daylight_margin_mm'], first)}")
    return out


def _governs(flange: dict[str, Any], s: dict[str, Any]) -> bool:
    """Whether the needed pressure is this flange's."""
    return all(flange.get(k) == v for k, v in s["governed_by"].items())


def _closes(s: dict[str, Any]) -> list[str]:
    """What each flange does, the same ones together."""
    same: dict[str, list[str]] = {}
    for f in s["flanges"]:
        turns, left = f["reaches_deg"], f["left_open_deg"]
        if turns is None:
            words = "not known whether it closes"
        elif f["closes"]:
            words = "closes" if f["needed_pressure_mpa"]["high"] <= s["available_pressure_mpa"] else "should close"
        else:
            words = f"stays open by about {left['value']:.0f} deg under load, turns {turns['value']:.0f} deg"
            words += f" (90 %: {turns['low']:.0f} to {turns['high']:.0f})"
        same.setdefault(words, []).append(f.get("edge") or f"hole {f['hole']}")
    return [f"{', '.join(names)}: {words}" for words, names in same.items()]


def _routine(s: dict[str, Any]) -> list[str]:
    said = {
        "dwell": None if s["dwell_s"] is None else show_time(s["dwell_s"]),
        "hits": s["hits"],
        "lubricant": s["lubricant"],
        "cover plate": s["cover_plate"],
    }
    known = [f"{k} {v}" for k, v in said.items() if v is not None]
    return [f"  shop's choice: {'; '.join(known)}"] if known else []


def _read(mpa: float, s: dict[str, Any]) -> str:
    """A gauge reading as the cards print it: on the gauge's face unit, rounded down."""
    face, other = reading(mpa, s["press"]["gauge_reads"] or "psi")
    return f"{face} ({other})"


BODIES: dict[str, Callable[[Any, Any], list[str]]] = {
    "blank": _blank,
    "block": _block,
    "setup": _setup,
    "route": route_lines,
    "solid": _solid,
    "forecast": forecast_lines,
    "strain": strain_lines,
    "circles": circle_lines,
    "web_slip": slip_lines,
    "under_pad": under_pad_lines,
}
