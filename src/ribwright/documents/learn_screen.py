"""The springback book as lines of text: what was forecast and what came, what stands apart, the next block before and after."""

from __future__ import annotations

from typing import Any

from ribwright.units import show_length

NEVER = "A band that was told at the time counts as it was told; nothing is computed afresh."
EMPTY = "The springback book is empty: inspect PART MEASURED --keep writes into it."
VERDICTS = {
    "stays": "The old block can stay as it is.",
    "file": "The old block can be filed to it: material only comes off.",
    "new-block": "The old block cannot be brought there: metal would have to be put on. A new block.",
}
CAUTION = (
    "Press a trial piece after filing and measure it: what a rib comes out at is proved by the template, not by this book. "
    "Break the edges of a filed block."
)


def learn_lines(body: dict[str, Any], first: Any) -> list[str]:
    """`body` is the key `learn` of the answer; `first` is "in" or "mm"."""
    if not body["observations"]:
        out = [EMPTY]
    else:
        angles, pieces = _count(body["observations"], "angle"), _count(body["pieces"], "piece")
        out = [f"{body['file']}: {angles} of {pieces}", ""]
        for g in body["groups"]:
            lot = f", lot {g['lot']}" if g["lot"] else ""
            out.append(f"{g['material']}{lot}, {g['model']} model")
            out.append(f"  {g['say']}")
            out.append(
                f"  off the model {g['bias_deg']:+.1f} deg, off what was told {g['bias_as_told_deg']:+.1f} deg; "
                f"{g['inside_as_told']} of {g['angles']} inside the band that was told"
            )
        out += ["", NEVER]
    out += _apart(body)
    if body["next_block"] is not None:
        out += ["", *_next(body["next_block"], first)]
    return out


def kept_lines(body: dict[str, Any]) -> list[str]:
    """`body` is the key `kept` of an inspection's answer."""
    rows, out = body["observations"], list[str]()
    if rows:
        out.append(f"Kept in {body['file']}: {_count(len(rows), 'bend angle')}. ribwright learn shows what they teach.")
    for r in rows:
        place = f"hole {r['hole']}" if "hole" in r else f"{r['edge']} at {r['along_mm']:.1f} mm"
        out.append(
            f"  {place}: {r['measured_deg']:.2f} deg, forecast {r['forecast_deg']['value']:.2f} on {r['undercut_deg']:.2f} of undercut"
        )
    if not rows:
        out.append("Nothing went into the springback book.")
    by_reason: dict[str, list[str]] = {}
    for x in body["left"]:
        place = f"hole {x['where']['hole']}" if "hole" in x["where"] else str(x["where"].get("edge", "the web"))
        by_reason.setdefault(x["reason"], []).append(place)
    for reason, places in by_reason.items():
        named = (f"{p} ({places.count(p)} places)" if places.count(p) > 1 else p for p in dict.fromkeys(places))
        out.append(f"  not kept, {', '.join(named)}: {reason}")
    return out


def _count(n: int, what: str) -> str:
    return f"{n} {what}{'' if n == 1 else 's'}"


def _apart(body: dict[str, Any]) -> list[str]:
    out = [
        f"Stands apart: {_piece(o)} came {o['off_deg']:+.1f} deg off the forecast and is believed to {100 * min(o['weight'], 1.0):.0f} %  "
        f"[{o['id']}]"
        for o in body["outliers"]
    ]
    out += [f"Withdrawn by {w['by']}: {w['id']}, {w['why']}" for w in body["withdrawn"]]
    return ["", *out] if out else []


def _piece(o: dict[str, Any]) -> str:
    place = f"hole {o['hole']}" if "hole" in o else f"{o['edge']} at {o['along_mm']:.1f} mm"
    return f"{o['part']} {o['serial']}, {place}, {o['date']}"


def _next(n: dict[str, Any], first: Any) -> list[str]:
    out = ["The next block, undercut before and after what was measured (90 % band):"]
    for p in n["places"]:
        name = f"hole {p['hole']}" if "hole" in p else f"{p['edge']} at {show_length(p['along_mm'], first)}"
        out.append(f"  {name}: {_angle(p['before_deg'])} before, {_angle(p['after_deg'])} after")
        if p["shift_deg"] is not None:
            out.append(f"    the parts came {p['shift_deg']:+.2f} deg off the model; moved by {_movers(p['moved_by'])}")
        r = p["rework"]
        if r is not None:
            out.append(f"    old block, cut to {r['cut_to_deg']:.2f} deg: {_rework(r, first)}")
    if n["verdict"] is not None:
        unknown = [_name(p) for p in n["places"] if p["rework"] is None]
        out.append(f"{VERDICTS[n['verdict']]} Old block: {n['old_block']}.")
        if unknown:
            out.append(f"How it was cut is not written down for {', '.join(dict.fromkeys(unknown))}: --cut-from tells.")
        out.append(CAUTION)
    else:
        out.append("No old block of this part is known: give the answers.json that it was cut from (--cut-from).")
    return out


def _name(p: dict[str, Any]) -> str:
    return f"hole {p['hole']}" if "hole" in p else str(p["edge"])


def _angle(d: dict[str, float]) -> str:
    return f"{d['value']:.2f} deg ({d['low']:.2f} to {d['high']:.2f})"


def _movers(rows: list[dict[str, Any]]) -> str:
    return "; ".join(f"{m['piece']} {m['moved_deg']:+.2f}" for m in rows) or "nothing"


def _rework(r: dict[str, Any], first: Any) -> str:
    if r["what"] == "stays":
        return "nothing to file"
    if r["what"] == "new-block" and not r["off_most_mm"]:
        return "no block edge keeps the bend's arc there"
    foot, most = (show_length(abs(r[k]), first) for k in ("off_at_foot_mm", "off_most_mm"))
    depth = show_length(r["depth_mm"], first)
    if r["what"] == "file":
        return f"file off {foot} at the foot, {most} at most, {depth} below the web face"
    return f"{most} would have to be put on, {depth} below the web face"
