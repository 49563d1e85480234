"""What a press hand should know of a place under the pad: what forbids it, what the pad cannot do, what is not known."""

from __future__ import annotations

from collections.abc import Iterator

from ribwright.stages.finding import Finding, ranked
from ribwright.stages.forecast import CANCELLED, STUCK, UNKNOWN
from ribwright.stages.pad_place import straight_names
from ribwright.stages.under_pad import SPENT, UnderPad, depth_of_flange, fill_strain, past_edge

SOURCE = "the pad model; not compared with a real formed part"
WITHIN_DEG = 0.5  # off the wall: closed, as in the pad model
STRAIN_MOST = 0.6  # of the pad's thickness: more is not looked at


def under_pad_findings(u: UnderPad) -> tuple[Finding, ...]:
    """Findings of one place, worst first."""
    return ranked([*_refused(u), *_pad(u), *_folds(u), *_open(u), *_unfinished(u), *_unknown(u)])


def _name(u: UnderPad) -> str:
    where = u.laid.chosen.place.where
    return f"hole {where['hole']}" if "hole" in where else str(where["edge"])


def _words(u: UnderPad) -> tuple[str, ...]:
    """The words of the pad model for what it found."""
    return (*u.laid.refused, *(u.run.findings if u.run is not None else ()))


def _refused(u: UnderPad) -> Iterator[Finding]:
    from ribwright.mechanics.pad_model import answer

    laid, where, words = u.laid, u.laid.chosen.place.where, _words(u)
    if answer.NOT_MODELLED in words:
        others = ", ".join(straight_names(laid.plan)) or "none"
        yield Finding(
            "pad-not-modelled",
            "warn",
            f"{_name(u)} is not pressed under the pad here: {laid.chosen.why_not}. Straight edges of this part: {others}.",
            "The forecast without --pad takes this flange as it is, under a pressure that is the same everywhere.",
            where, source=SOURCE,
        )  # fmt: skip
    if answer.FOULS in words and laid.section is not None and laid.flange is not None:
        yield Finding(
            "flange-fouls-container",
            "stop",
            f"At {_name(u)} the block itself hangs over the pad."
            if laid.section.beside <= 0.0
            else f"The flat flange of {_name(u)} reaches the container's wall: the pad cannot come down beside it.",
            "Move or turn the block, or a press with a larger pad.",
            where, past_edge(laid), laid.section.room - laid.plan.job.t, unit="mm", source=SOURCE,
        )  # fmt: skip
    if answer.ON_TABLE in words and laid.section is not None:
        yield Finding(
            "flange-on-table",
            "stop",
            f"The formed flange of {_name(u)} is longer than the block is high: it comes down on the table.",
            "A higher block, or a plate under it.",
            where, depth_of_flange(laid), laid.section.height, unit="mm", source=SOURCE,
        )  # fmt: skip


def _pad(u: UnderPad) -> Iterator[Finding]:
    from ribwright.mechanics.pad_model import answer

    laid, where, words = u.laid, u.laid.chosen.place.where, _words(u)
    limit = laid.pad.strain_limit
    fill = fill_strain(laid) if laid.press is not None else None
    if answer.TOO_TALL in words and fill is not None:
        most = limit or STRAIN_MOST
        yield Finding(
            "block-too-tall",
            "warn",
            f"Before the pad has filled the space beside the block at {_name(u)} it is squeezed by {100 * fill:.0f} % of its thickness; "
            f"{100 * most:.0f} % are allowed.",
            "A lower block, more pad, or a filler beside the block, fastened.",
            where, fill, most, (most - fill) / most, source=SOURCE,
        )  # fmt: skip
    if answer.TOO_SHALLOW in words and u.run is not None:
        strain, most = float(u.run.path[-1, 0]) / laid.pad.thickness, limit or STRAIN_MOST
        yield Finding(
            "pad-too-shallow",
            "warn",
            f"At the last pressure the pad is squeezed over the block by {100 * strain:.0f} % of its thickness; {100 * most:.0f} % are "
            "allowed.",
            "More pad, a lower block, or less pressure.",
            where, strain, most, (most - strain) / most, source=SOURCE,
        )  # fmt: skip
    whole = None if laid.section is None or laid.section.fill is None else laid.section.fill / laid.pad.thickness
    if limit is not None and whole is not None and whole > limit:
        yield Finding(
            "pad-fills-too-far",
            "warn",
            f"To fill the container beside the whole block the pad is squeezed by {100 * whole:.0f} % of its thickness; "
            f"{100 * limit:.0f} % are allowed.",
            "A lower block, more pad, or fillers beside the block, fastened.",
            where, whole, limit, (limit - whole) / limit, source="volume of the rubber",
        )  # fmt: skip
    if laid.pad.loose and laid.press is not None:
        yield Finding(
            "pad-loose",
            "note",
            "The pad is loose: it bulges past the block as it is squeezed, and is followed only as far as the model carries.",
            "A pad in a container gives the same force more pressure.",
            where, source=SOURCE,
        )  # fmt: skip


def _folds(u: UnderPad) -> Iterator[Finding]:
    if u.run is None or u.run.folded is None:
        return
    far, last = u.run.folded, u.laid.pressures[-1]
    if u.run.lost is None:
        yield Finding(
            "pad-rubber-folds",
            "note",
            f"After {far:.2f} of {last:.2f} MPa the rubber at {_name(u)} folds somewhere: a corner of an element is inside out. The flange "
            "lay on its wall before.",
            "Nothing to do for the angle; the pressure along the sheet may be off at the cut edge.",
            u.laid.chosen.place.where, far, last, (far - last) / last, unit="MPa", source=SOURCE,
        )  # fmt: skip
        return
    yield Finding(
        "pad-rubber-folds",
        "warn",
        f"After {far:.2f} of {last:.2f} MPa the rubber at {_name(u)} folds as it comes round the cut edge (a corner of an element is "
        "inside out): what it does then is not known, and angles and a closing from there on are no forecast.",
        "Go by the forecast without --pad, or a harder pad; try one part.",
        u.laid.chosen.place.where, far, last, (far - last) / last, unit="MPa", source=SOURCE,
    )  # fmt: skip


def _open(u: UnderPad) -> Iterator[Finding]:
    from ribwright.mechanics.pad_model import answer

    left, where = u.left_open, u.laid.chosen.place.where
    if (
        u.run is None
        or left is None
        or u.run.lost is not None
        or u.run.outcome != answer.REACHED
        or not u.run.points
        or u.run.points[-1].closed
    ):
        return
    last = u.laid.pressures[-1]
    if answer.TOO_HARD in u.run.findings:
        yield Finding(
            "pad-too-hard",
            "warn",
            f"Under this pad the flange of {_name(u)} stays {left:.1f} deg open at {last:.2f} MPa; a fluid of that pressure "
            "would close it: the rest stays in the rubber.",
            "A softer pad, a soft throw pad on the blank, or more pressure.",
            where, left, WITHIN_DEG, unit="deg", source=SOURCE,
        )  # fmt: skip
    else:
        yield Finding(
            "under-pad-open",
            "warn",
            f"Under this pad the flange of {_name(u)} stays {left:.1f} deg open at {last:.2f} MPa; a fluid of that pressure "
            "would not close it either.",
            "More pressure, a longer flange or a softer temper; or lay it over by hand with the block's wall behind it.",
            where, left, WITHIN_DEG, unit="deg", source=SOURCE,
        )  # fmt: skip


def _unfinished(u: UnderPad) -> Iterator[Finding]:
    if u.outcome not in (STUCK, CANCELLED):
        return
    far = 0.0 if u.run is None or not len(u.run.path) else float(u.run.path[-1, 1])
    spent = u.run is not None and u.run.outcome == SPENT
    why = (
        "was given up"
        if u.gave_up
        else "ended, the pad squeezed as far as any stands,"
        if spent
        else "found no balance any more"
    )
    why = "was stopped" if u.outcome == CANCELLED else why
    yield Finding(
        "pad-unfinished",
        "warn",
        f"The pad model {why} at {far:.2f} of {u.laid.pressures[-1]:.2f} MPa.",
        "Ask for a lower pressure; the forecast without --pad stands beside it.",
        u.laid.chosen.place.where, far, u.laid.pressures[-1], unit="MPa", source=SOURCE,
    )  # fmt: skip


def _unknown(u: UnderPad) -> Iterator[Finding]:
    if u.outcome == UNKNOWN:
        yield Finding(
            "forecast-unknown",
            "warn",
            f"I do not know what this sheet does: {u.laid.law.why_not}.",
            "A tensile test of the lot (ribwright material --tensile), or a record of another temper.",
            source="material record",
        )
    elif u.laid.press is not None and u.laid.pad.strain_limit is None:
        yield Finding(
            "pad-strain-limit-unknown",
            "note",
            "How far the pad may be squeezed is not known: nothing is judged by it.",
            "Enter strain_limit of the pad in shop.toml, from its maker or the press's manual.",
            source="shop file",
        )
