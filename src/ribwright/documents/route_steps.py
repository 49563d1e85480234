"""The steps of a way to the finished part, in the order of the work, each caution before the step it belongs to.

What the steps say is common practice but for the limits, which the shop entered from its specification and are printed as such; no
temperature of a furnace and no bath stands here.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from ribwright.documents.route_words import clock_words, reheat_words
from ribwright.stages.job import Job

SIGN = ("done by", "date")
QUENCHED_AT = ("load no.", "quenched at", "done by")
FORMED_AT = ("formed at", "min since quench", "done by")
STRAIGHTENED_AT = ("done at", "min since quench", "done by")
WET = "No wet part goes into a furnace or salt: steam can burst out. Degrease, take film and marks off, dry."
AFTER_AGEING = "Straighten before ageing, not after: aged metal may crack."


@dataclass(frozen=True)
class Step:
    """What to do, what to sign, and the cautions that stand before it."""

    say: str
    boxes: tuple[str, ...] = SIGN
    cautions: tuple[str, ...] = ()


def steps_of(job: Job, way: dict[str, Any], clock: dict[str, Any]) -> tuple[Step, ...]:
    """The steps of a way (one of `route.ways`) with the limits of `route.clock`."""
    build = {"as-bought": _as_bought, "annealed": _annealed, "as-quenched": _as_quenched}[way["name"]]
    return (*build(job, way, clock), _inspect(way))


def spec_words(clock: dict[str, Any]) -> str:
    """'QS-1', or that none was entered."""
    return clock["specification"] or "the governing specification (none entered)"


def _lot(name: str) -> Step:
    return Step(f"Lot of {name}: certificate there, lot number on the blank.", ("lot no.", "done by", "date"))


def _blank() -> Step:
    return Step("Blank cut, deburred, flange and hole edges polished along the edge.")


def _form(words: str = "") -> Step:
    return Step(f"Form by the set-up card{words}, first piece on scrap. Look at bends and edges with a glass.")


def _inspect(way: dict[str, Any]) -> Step:
    return Step(f"Inspect by the inspection sheet; temper to be marked: {way['delivers']}.", ("inspector", "date"))


def _as_bought(job: Job, way: dict[str, Any], clock: dict[str, Any]) -> tuple[Step, ...]:
    steps = (_lot(way["formed_in"]), _blank(), _form(), Step("Straighten by hand, by template and bevel cards."))
    return (*steps, _age(way, clock)) if "age" in way["adds"] else steps


def _annealed(job: Job, way: dict[str, Any], clock: dict[str, Any]) -> tuple[Step, ...]:
    first = (_lot(way["formed_in"]),)
    if "anneal" in way["adds"]:
        first = (
            Step(
                f"{way['formed_in']} bought annealed; or {job.bought.name} annealed by the shop's procedure and {spec_words(clock)}.",
                ("lot no.", "done by", "date"),
            ),
        )
    window = clock_words(clock, "straighten_window_s")
    return (
        *first,
        _blank(),
        _form(),
        Step("Dress to shape now, while it is soft. What is left goes through the quench and moves."),
        _solution(way, clock, "the formed parts, racked so that none sags or touches"),
        Step(
            "Straighten: web flat first, then flanges square, by template. Then again.",
            STRAIGHTENED_AT,
            (f"The quench distorts. Straightening window: {window}. Past it the metal has aged: stop.",),
        ),
        _age(way, clock),
        _tests(clock),
    )


def _as_quenched(job: Job, way: dict[str, Any], clock: dict[str, Any]) -> tuple[Step, ...]:
    window, store, at = (clock_words(clock, k) for k in ("forming_window_s", "cold_storage_s", "cold_storage_c"))
    trial = Step("Prove the block with scrap taken through the same quench: springback as quenched is not known here.")
    return (
        _lot(job.bought.name),
        _blank(),
        *((trial,) if "prove-block" in way["adds"] else ()),
        _solution(way, clock, "the flat blanks"),
        Step(
            "What is not formed at once goes into cold storage; write time in and time out.",
            ("in at", "out at", "done by"),
            (f"Cold storage, at most: {store}; at or under: {at}. Time at room temperature adds up.",),
        ),
        Step(
            "Form by the set-up card. Look at bends and edges with a glass.",
            FORMED_AT,
            (f"Forming window since the quench: {window}. Past it: do not form, set the blanks aside.",),
        ),
        Step("Straighten what is left, inside the same window.", STRAIGHTENED_AT),
        _age(way, clock),
        _tests(clock),
    )


def _solution(way: dict[str, Any], clock: dict[str, Any], what: str) -> Step:
    delay = clock_words(clock, "quench_delay_s")
    again = reheat_words(way)
    cautions = [WET, f"Quench delay, from the door beginning to open until the last of the load is under: {delay}."]
    if again:
        cautions.append(f"{again[0].upper()}{again[1:]}. Write it on the lot's record.")
    return Step(
        f"Solution treat and quench {what}, by the shop's procedure and {spec_words(clock)}.",
        QUENCHED_AT,
        tuple(cautions),
    )


def _age(way: dict[str, Any], clock: dict[str, Any]) -> Step:
    if "age-naturally" in way["adds"]:
        return Step(
            f"Age at room temperature to {way['delivers']}: {clock_words(clock, 'natural_ageing_s')}.",
            ("aged from", "to", "done by"),
            (AFTER_AGEING,),
        )
    return Step(
        f"Age to {way['delivers']} by the shop's procedure and {spec_words(clock)}.",
        ("load no.", "done by", "date"),
        (AFTER_AGEING,),
    )


def _tests(clock: dict[str, Any]) -> Step:
    return Step(f"Tests that {spec_words(clock)} asks for; records attached.", ("record no.", "done by", "date"))
