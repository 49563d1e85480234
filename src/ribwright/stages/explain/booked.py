"""Numbers of the springback book: what an inspection put into it, what it says of the last forecasts, what it does to the next block."""

from __future__ import annotations

from ribwright.stages.explain import depends as on
from ribwright.stages.explain.explanation import Told, evaluated
from ribwright.stages.explain.family import Case, Family, always

BOOK = "springback.jsonl beside shop.toml"
PAPER = "nothing: it is what somebody measured"
SHOPS = "simulated shops whose truth is not the model's own (benchmarks/springback_book.py); no formed part"
LEARNING = "mechanics/shop_bias: shares of what was measured, drawn toward the forecast the less of it there is"
KEPT = {
    "along_mm": "Where along the edge, from its start as typed.",
    "measured_deg": "The bend angle as measured.",
    "uncertainty_deg": "Its expanded uncertainty, coverage factor 2.",
    "undercut_deg": "Undercut of the block that the piece came off, at that place.",
}
GROUP = {
    "pieces": "Pieces of this metal and lot that count, the last twenty at most.",
    "angles": "Angles measured on them.",
    "forecast_springback_deg": "Mean springback that was forecast for them, by the model without the book; positive opens.",
    "came_springback_deg": "Mean springback that they came off with.",
    "spread_deg": "Standard deviation of what came less what was forecast.",
    "bias_deg": "Mean of measured less forecast angle, by the model without the book; + stands closed.",
    "bias_as_told_deg": "Mean of measured less forecast angle, as it was told at the time, with the book as it stood then.",
    "inside_as_told": "Angles inside the 90 % band that was told at the time.",
}
SCORE = {
    "pieces": "Logarithm of the density that the other pieces give each piece held out, added up: more is better.",
    "flanges": "The same with whole flanges held out.",
    "coverage": "Share of the pieces held out that lie inside their 90 % band.",
    "flange_coverage": "Share of the flanges held out that lie inside their 90 % band.",
}
MOVED = {
    "off_deg": "Mean of what the piece's angles came off the forecast.",
    "moved_deg": "How far the piece moved the expected angle here.",
    "weight": "How far its angles are believed, 1 fully; far outliers lose their weight.",
}
REWORK = {
    "cut_to_deg": "Undercut that the old block has here.",
    "off_at_foot_mm": "What comes off at the foot of the old block's wall; negative: metal is missing.",
    "off_most_mm": "The most that comes off down the wall.",
    "depth_mm": "How far below the web face that is.",
}


def _last(case: Case) -> str:
    return case.path.rsplit(".", 1)[1]


def _kept(case: Case) -> Told:
    key = _last(case)
    source = (
        "the packet that the block was cut from, or the file of measurements"
        if key == "undercut_deg"
        else "file of measurements"
    )
    return Told(KEPT[key], "typed", source=source, compared=PAPER)


def _foretold(case: Case) -> Told:
    which = {"value": "The", "low": "Lower end of the", "high": "Upper end of the"}[_last(case)]
    return Told(
        f"{which} angle that was forecast for the block as cut, at the pressure, without the book.", "solved",
        "as block.undercut[*].released_angle_deg", source="stages/springback",
    )  # fmt: skip


def _group(case: Case) -> Told:
    return Told(GROUP[_last(case)], "formula", "counted, or the mean over its angles", source=BOOK, compared=PAPER)


def _bias(case: Case) -> Told:
    i = case.caught[0]
    inputs = (
        case.number("f", "forecast springback", f"learn.groups[{i}].forecast_springback_deg", "deg"),
        case.number("c", "springback that came", f"learn.groups[{i}].came_springback_deg", "deg"),
    )
    return Told(
        GROUP["bias_deg"], "formula", "f - c", inputs, BOOK, again=evaluated(lambda f, c: f - c, inputs), compared=PAPER
    )


def _score(case: Case) -> Told:
    return Told(
        SCORE[_last(case)], "solved", "every piece, or flange, told by the others", source=LEARNING, compared=SHOPS
    )


def _outlier(case: Case) -> Told:
    words = {"off_deg": "How far it came off the forecast.", "weight": "How far it is believed, 1 fully.", "along_mm": KEPT["along_mm"],
             "measured_deg": KEPT["measured_deg"]}  # fmt: skip
    return Told(words.get(_last(case), "As it stands in the book."), "solved", source=LEARNING, compared=SHOPS)


def _place(case: Case) -> Told:
    return Told(KEPT["along_mm"], "geometry", source="stages/block")


def _undercut(case: Case) -> Told:
    what = "of the undercut of the next block here"
    end = {
        "value": "Undercut of the next block here",
        "low": f"Lower end of the 90 % band {what}",
        "high": f"Upper end of the 90 % band {what}",
    }
    when = "had nothing been measured" if case.caught[1] == "before" else "with what was measured"
    return Told(
        f"{end[_last(case)]}, {when}.", "solved", "u - shift/slope, as block.undercut[*].deg opens",
        source=LEARNING if case.caught[1] == "after" else "stages/springback", compared=SHOPS,
    )  # fmt: skip


def _shift(case: Case) -> Told:
    return Told(
        "How far the released angle is expected off the model's, + closed: what the pieces moved it, added up.", "solved",
        "sum of moved_deg of all", source=LEARNING, compared=SHOPS,
    )  # fmt: skip


def _moved(case: Case) -> Told:
    return Told(MOVED[_last(case)], "solved", source=LEARNING, compared=SHOPS)


def _rework(case: Case) -> Told:
    return Told(
        REWORK[_last(case)], "geometry", "the two sections from the same bend tangent line, arc kept: (R_block + t/2)(a + u) = (R + t/2) a",
        source="stages/reworking", compared="nothing: no block was filed",
    )  # fmt: skip


FAMILIES = (
    Family("kept.observations[*].(along_mm|measured_deg|uncertainty_deg|undercut_deg)", always(*on.SHAPE), _kept),
    Family(
        "kept.observations[*].forecast_deg.(value|low|high)",
        always(*on.SHAPE, *on.SPRING, "press", "shop.presses*"),
        _foretold,
    ),
    Family("kept.left[*].where.along_mm", always(*on.SHAPE), _place),
    Family(
        "learn.(observations|pieces)",
        always("learned*"),
        lambda c: Told("As many stand in the book.", "formula", "counted", source=BOOK),
    ),
    Family("learn.groups[*].bias_deg", always("learned*"), _bias),
    Family(
        "learn.groups[*].(pieces|angles|forecast_springback_deg|came_springback_deg|spread_deg|bias_as_told_deg|inside_as_told)",
        always("learned*"),
        _group,
    ),
    Family("learn.learning.(section|closed-form).scores[*].{*}", always("learned*"), _score),
    Family("learn.outliers[*].{*}", always("learned*"), _outlier),
    Family("learn.withdrawn[*].{*}", always("learned*"), _outlier),
    Family("learn.next_block.places[*].along_mm", always(*on.SHAPE), _place),
    Family(
        "learn.next_block.places[*].(before|after)_deg.(value|low|high)",
        always(*on.SHAPE, *on.SPRING, "learned*", "press", "shop.presses*"),
        _undercut,
    ),
    Family("learn.next_block.places[*].shift_deg", always(*on.SHAPE, "learned*", "press", "shop.presses*"), _shift),
    Family(
        "learn.next_block.places[*].moved_by[*].(off_deg|moved_deg|weight)",
        always(*on.SHAPE, "learned*", "press", "shop.presses*"),
        _moved,
    ),
    Family(
        "learn.next_block.places[*].rework.(cut_to_deg|off_at_foot_mm|off_most_mm|depth_mm)",
        always(*on.SHAPE, *on.SPRING, "learned*", "press", "shop.presses*"),
        _rework,
    ),
)
