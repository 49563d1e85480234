"""Opening a number of an answer, and comparing two kept answers."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

from ribwright.errors import Fault, InputError
from ribwright.ports import Files
from ribwright.stages import answers
from ribwright.stages.explain import Book
from ribwright.stages.why import why as compare
from ribwright.work import forecasting, inspecting, straining, teaching, under_padding
from ribwright.work.asking import Answer, Progress, Request, silent
from ribwright.work.forecasting import Forecasted, Order
from ribwright.work.planning import everything, everything_of

Planned = Callable[[Files, Request, Progress], Answer]
Forecasts = Callable[[Files, Request, Order, Progress], Forecasted]
FORECASTS = (
    "--pressure, --undercut and --place with a number of the forecast, like forecast.stations[upper] or under_pad"
)


def explain(
    files: Files,
    request: Request,
    number: str = "",
    order: Order | None = None,
    say: Progress = silent,
    circles: Path | None = None,
    measured: Path | None = None,
    planned: Planned = everything,
    forecasts: Forecasts | None = None,
) -> Answer:
    """One number opened, or without one every number that opens but those of a forecast and of the strain map. A number of
    the forecast is made by its own options, `order`, first; one of the strain map by balance, whatever the method; one of the web's
    slip with the press or `order`'s pressure, one of measured circles or of an inspection from its file. `planned` makes the plan's
    answer, or has it, and so does `forecasts`."""
    if circles is not None and not number.startswith("circles"):
        raise InputError(
            [
                Fault(
                    "command line",
                    f"--number {number}".strip(),
                    "--circles",
                    "--circles with a number of it, like circles.rows[0].major.off",
                )
            ]
        )
    if (measured is not None) != number.startswith("inspect"):
        found, allowed = (
            ("--measured", "--measured with a number of it")
            if measured
            else ("no --measured", "--measured FILE with it")
        )
        raise InputError(
            [Fault("command line", f"--number {number}".strip(), found, f"{allowed}, like inspect.results[0].value")]
        )
    if number.startswith("forecast"):
        made = (forecasts or forecasting.made)(files, request, order or Order(request.model or "section"), say)
        if made.forecast.outcome == forecasting.CANCELLED:
            raise KeyboardInterrupt
        whole = replace(made.answer, json=made.answer.json | answers.tidy(everything_of(made.answer.plan)))
    elif number.startswith("under_pad"):
        padded = under_padding.made(files, request, order or Order(request.model or "section"), say)
        if padded.under_pad.outcome == under_padding.CANCELLED:
            raise KeyboardInterrupt
        whole = replace(padded.answer, json=padded.answer.json | answers.tidy(everything_of(padded.answer.plan)))
    elif measured is not None:
        held = inspecting.made(files, request, measured, say).answer
        whole = replace(held, json=held.json | answers.tidy(everything_of(held.plan)))
    elif number.startswith("learn"):
        taught = teaching.learn(files, request.shop, request, say=say).answer
        assert taught is not None  # a part was asked about
        whole = replace(taught, json=taught.json | answers.tidy(everything_of(taught.plan)))
    elif number.startswith(("strain", "circles", "web_slip")):
        strained = straining.made(files, request, say, circles, order.pressure if order else "").answer
        whole = replace(strained, json=strained.json | answers.tidy(everything_of(strained.plan)))
    else:
        whole = planned(files, request, say)
        if order is not None:
            raise InputError([Fault("command line", f"--number {number}".strip(), "options of a forecast", FORECASTS)])
    book = Book(whole.plan, whole.json)
    told = {"explanation": book.open(number).as_json()} if number else {"numbers": book.listed()}
    heading = {k: whole.json[k] for k in ("ribwright", "part", "fingerprint", "findings")}
    return Answer(
        answers.tidy({**heading, **told, "inputs": whole.json["inputs"]}), whole.status, whole.plan, whole.identity
    )


def why(files: Files, old: Path, new: Path) -> dict[str, Any]:
    """Which numbers differ between two kept answers, and which changed input each is put down to."""
    before, after = files.answer(old), files.answer(new)
    try:
        compared = answers.tidy(compare(before, after).as_json())
    except (KeyError, TypeError, ValueError, IndexError, AttributeError) as broken:
        allowed = "two answers as this tool wrote them"
        raise InputError([Fault(f"{old}, {new}", "answer", f"something else ({broken!r})"[:120], allowed)]) from broken
    keys = ("ribwright", "part", "fingerprint")
    return {"old": {k: before[k] for k in keys}, "new": {k: after[k] for k in keys}, "why": compared}
