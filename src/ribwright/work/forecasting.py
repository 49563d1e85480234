"""The forecast: the quick formula at once, then the section model's walks, as many as there is time for."""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import dataclass, replace
from threading import Event
from time import perf_counter
from typing import TYPE_CHECKING, Any

from ribwright.documents.identity import Identity
from ribwright.errors import Fault, InputError, UnitError
from ribwright.ports import Files
from ribwright.stages import answers
from ribwright.stages.finding import has_stop, ranked
from ribwright.stages.fingerprint import fingerprint, inputs_of
from ribwright.stages.forecast import CANCELLED, STUCK, Forecast, Prepared, forecast, prepare
from ribwright.stages.forecast_answer import forecast_answer
from ribwright.stages.forecast_ask import CLOSED_FORM, MODELS, SECTION, SHELL, Ask
from ribwright.stages.forecast_findings import forecast_findings
from ribwright.stages.forecast_section import Walk
from ribwright.stages.plan import Plan
from ribwright.units import angle_deg, pressure_mpa, show_pressure
from ribwright.work.asking import Answer, Progress, Request, choice, plan_of, silent

if TYPE_CHECKING:
    from ribwright.mechanics.section.model import Pressed

UNFINISHED = 3
MOST_MPA = 1000.0
UNDERCUTS = (-20.0, 45.0)
NO_PRESSURE = 'a press of shop.toml (--press ID), or a pressure that acts as a fluid (--pressure "7 MPa")'
Early = Callable[[dict[str, Any], Any], None]


@dataclass(frozen=True)
class Order:
    """The command's own options as typed; "" = not given. `place`: of the pad model alone."""

    model: str = SECTION
    pressure: str = ""
    undercut: str = ""
    place: str = ""


@dataclass(frozen=True, eq=False)
class Forecasted:
    """The answer, and what a picture is made from."""

    answer: Answer
    prepared: Prepared
    forecast: Forecast
    pressed: dict[Any, Pressed]


def ask_of(order: Order, press: str, pad: bool = False) -> Ask:
    """The options read. InputError with every fault."""
    faults: list[Fault] = []
    if order.model == SHELL:
        faults.append(
            Fault(
                "command line", "--model", repr(SHELL), f"one of {', '.join(MODELS)}: the shell model is not built yet"
            )
        )
    elif order.model not in MODELS:
        faults += choice("--model", order.model, MODELS).faults
    pressure = _read(order.pressure, "--pressure", pressure_mpa, (1e-3, MOST_MPA), "MPa", faults)
    undercut = _read(order.undercut, "--undercut", angle_deg, UNDERCUTS, "deg", faults)
    if order.place and not pad:
        faults.append(
            Fault("command line", "--place", repr(order.place), "--place with --pad: a forecast takes every place")
        )
    if not press and not order.pressure:
        faults.append(Fault("command line", "--press, --pressure", "nothing", NO_PRESSURE))
    if faults:
        raise InputError(faults)
    return Ask(order.model, pressure, undercut)


def _read(
    text: str, key: str, reader: Callable[[object], float], ends: tuple[float, float], unit: str, faults: list[Fault]
) -> float | None:
    if not text:
        return None
    try:
        value = reader(text)
    except UnitError as wrong:
        faults.append(Fault("command line", key, wrong.found, wrong.allowed))
        return None
    if not ends[0] <= value <= ends[1]:
        faults.append(Fault("command line", key, repr(text), f"{ends[0]:g} to {ends[1]:g} {unit}"))
        return None
    return value


def made(
    files: Files, request: Request, order: Order, say: Progress = silent, early: Early | None = None
) -> Forecasted:
    """The forecast of a part. The block is the one that `block` makes with the same press and shop; under the closed form, or
    without a press, the closed form's. Ctrl-C ends it with what was had: outcome `cancelled`, status 3."""
    start = perf_counter()
    ask = ask_of(order, request.press)
    plan, identity = plan_of(files, replace(request, model=CLOSED_FORM))
    possible(plan, ask)
    pressed: dict[Any, Pressed] = {}
    if ask.model == CLOSED_FORM:
        return _told(request, prepare(plan, ask), identity, pressed, False, start)
    if early is not None:
        quick = forecast(prepare(plan, replace(ask, model=CLOSED_FORM)), {})
        early(answers.tidy(forecast_answer(plan, quick)), identity.first)
    cancelled = False
    try:
        if request.press:
            plan, identity = plan_of(files, replace(request, model=""), say)
            possible(plan, ask)
        walked(prepare(plan, ask).walks, say, pressed)
    except KeyboardInterrupt:
        cancelled = True
    return _told(request, prepare(plan, ask), identity, pressed, cancelled, start)


def _told(
    request: Request, p: Prepared, identity: Identity, pressed: dict[Any, Pressed], cancelled: bool, start: float
) -> Forecasted:
    """The answer from what was run."""
    f = forecast(p, pressed, cancelled)
    plan = replace(p.plan, findings=ranked([*p.plan.findings, *forecast_findings(p.plan, f)]))
    body = forecast_answer(plan, f) | {"elapsed_s": round(perf_counter() - start, 3)}
    named = (plan.job, plan.asked, request.press, plan.model, p.ask.as_input())
    packets = identity.fingerprint
    identity = replace(identity, fingerprint=fingerprint(*named))
    whole = {
        **answers.heading(plan, identity.fingerprint),
        "packet_fingerprint": packets,
        "forecast": body,
        "inputs": inputs_of(*named),
    }
    status = UNFINISHED if f.outcome in (STUCK, CANCELLED) else 1 if has_stop(plan.findings) else 0
    return Forecasted(Answer(answers.tidy(whole), status, plan, identity), p, f, pressed)


def possible(plan: Plan, ask: Ask) -> None:
    """InputError for a pressure past the press's ratings, or an undercut that no block has."""
    faults = []
    if plan.setup is not None and ask.pressure is not None and ask.pressure > plan.setup.available * (1 + 1e-9):
        first: Any = plan.job.shop.units or plan.job.part.units
        most = show_pressure(plan.setup.available, first)
        allowed = f"at most {most}, what press {plan.setup.press.id} gives within its ratings ({plan.setup.limit_by})"
        faults.append(Fault("command line", "--pressure", show_pressure(ask.pressure, first), allowed))
    bends = [(h.hole.bend_angle, h.hole.bend_radius) for h in plan.blank.holes if h.hole.kind == "lightening"]
    for s in plan.blank.strips:
        assert s.run.flange is not None
        bends += [(float(a), s.run.flange.bend_radius) for a in (s.at.angle.min(), s.at.angle.max())]
    t = plan.job.t
    for angle, radius in bends if ask.undercut is not None else ():
        assert ask.undercut is not None
        wall = angle + ask.undercut
        sharp = wall > 0 and (radius + t / 2) * angle / wall - t / 2 <= 0
        if not 0 < wall < 180 or sharp:
            why = "a block whose edge is left with a radius" if sharp else "a wall between 0 and 180 deg from flat"
            faults.append(Fault("command line", "--undercut", f"{ask.undercut:g} deg on a bend of {angle:g}", why))
            break
    if faults:
        raise InputError(faults)


def walked(
    walks: dict[Any, Walk], say: Progress = silent, found: dict[Any, Pressed] | None = None
) -> dict[Any, Pressed]:
    """The walks run side by side, values before bands; each into `found` as it is done, so that they are there when somebody
    stops the rest. Those that have begun then end within a step, and are not in it."""
    from ribwright.mechanics.section import model
    from ribwright.mechanics.section.many import run_all

    stop = Event()
    done: dict[Any, Pressed] = {} if found is None else found
    todo = sorted((k for k, w in walks.items() if w.pressures), key=lambda k: k[1:] != ("",))

    def run(key: Any) -> Callable[[], None]:
        def one() -> None:
            walked = walks[key].done(lambda _: not stop.is_set())
            if walked.outcome != model.CANCELLED:
                done[key] = walked

        return one

    def tell(count: int, of: int) -> bool:
        say(f"section model: {count} of {of} runs")
        return True

    run_all([run(k) for k in todo], max(1, os.cpu_count() or 1), tell, stop.set)
    return done
