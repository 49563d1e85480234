"""One place of a part under the pad: the run of the pad model and the fluid's beside it, with the clock and Ctrl-C."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor, wait
from dataclasses import dataclass, replace
from threading import Event
from time import perf_counter
from typing import TYPE_CHECKING, Any

from ribwright.documents.identity import Identity
from ribwright.errors import Fault, InputError
from ribwright.ports import Files
from ribwright.stages import answers
from ribwright.stages.finding import has_stop, ranked
from ribwright.stages.fingerprint import fingerprint, inputs_of
from ribwright.stages.forecast import CANCELLED, STUCK
from ribwright.stages.forecast_ask import SECTION, Ask
from ribwright.stages.plan import Plan
from ribwright.stages.under_pad import STEPS_MOST, Laid, PadAsk, UnderPad, lay, told
from ribwright.stages.under_pad_answer import under_pad_answer
from ribwright.stages.under_pad_findings import under_pad_findings
from ribwright.units import show_pressure
from ribwright.work.asking import Answer, Progress, Request, plan_of, silent
from ribwright.work.forecasting import UNFINISHED, Order, ask_of, possible

if TYPE_CHECKING:
    from ribwright.mechanics.pad_model.answer import PadRun
    from ribwright.mechanics.section.model import Pressed

TICK_S = 0.2
NO_PRESS = "a press of shop.toml with a rubber pad (--press ID)"


@dataclass(frozen=True, eq=False)
class Padded:
    """The answer, and what a picture is made from."""

    answer: Answer
    under_pad: UnderPad


def made(files: Files, request: Request, order: Order, say: Progress = silent) -> Padded:
    """One place under the pad. The block is the one that `block` makes with the same press and shop. Ctrl-C ends the run with
    what was had: outcome `cancelled`, status 3."""
    start = perf_counter()
    if not request.press:
        raise InputError([Fault("command line", "--pad", "without --press", NO_PRESS)])
    if order.model != SECTION:
        raise InputError(
            [Fault("command line", "--model", repr(order.model), "no --model with --pad: the pad has its own")]
        )
    ask = ask_of(order, request.press, pad=True)
    plan, identity = plan_of(files, replace(request, model=""), say)
    _possible(plan, ask)
    laid = lay(plan, PadAsk(order.place.strip(), ask.pressure, ask.undercut))
    return _told(request, ran(laid, say), identity, start)


def _possible(plan: Plan, ask: Ask) -> None:
    """InputError for a press without a pad, a pressure past its ratings, an undercut that no block has."""
    assert plan.setup is not None
    press = plan.setup.press
    if press.kind == "fluid":
        raise InputError([Fault("command line", "--pad", f"press {press.id}, a fluid press", NO_PRESS)])
    most = plan.setup.limit_force / (press.pad.size_mm[0] * press.pad.size_mm[1])
    if ask.pressure is not None and ask.pressure > most * (1 + 1e-9):
        first: Any = plan.job.shop.units or plan.job.part.units
        allowed = f"at most {show_pressure(most, first)}, what press {press.id} gives on all its pad within its ratings"
        raise InputError([Fault("command line", "--pressure", show_pressure(ask.pressure, first), allowed)])
    possible(plan, replace(ask, pressure=None))


def ran(laid: Laid, say: Progress = silent) -> UnderPad:
    """The pad's run and the fluid's, side by side. Ctrl-C and a run that creeps end both within a step."""
    if laid.press is None:
        return told(laid, None, None, None, False, False)
    stop, share, steps = Event(), [0.0], [0]

    def on_step(done: float) -> bool:
        share[0], steps[0] = done, steps[0] + 1
        return steps[0] <= STEPS_MOST and not stop.is_set()

    def fluid() -> tuple[Pressed, float | None]:
        return laid.by_fluid(lambda _: not stop.is_set()), None if stop.is_set() else laid.fluid_closes()

    cancelled = False
    with ThreadPoolExecutor(2) as pool:
        run: Future[PadRun] = pool.submit(laid.pressed, on_step)
        other = pool.submit(fluid)
        try:
            _wait((run, other), lambda: say(f"pad model: {100 * share[0]:.0f} %"))
        except KeyboardInterrupt:
            cancelled = True
        finally:
            stop.set()
    pressed, closing = other.result()
    return told(laid, run.result(), pressed, closing, cancelled, steps[0] > STEPS_MOST)


def _wait(jobs: tuple[Future[Any], ...], tell: Callable[[], None]) -> None:
    left = set(jobs)
    while left:
        _, left = wait(left, TICK_S)
        tell()


def _told(request: Request, u: UnderPad, identity: Identity, start: float) -> Padded:
    plan = u.laid.plan
    plan = replace(plan, findings=ranked([*plan.findings, *under_pad_findings(u)]))
    body = under_pad_answer(u) | {"elapsed_s": round(perf_counter() - start, 3)}
    named = (plan.job, plan.asked, request.press, plan.model, u.laid.ask.as_input())
    packets = identity.fingerprint
    identity = replace(identity, fingerprint=fingerprint(*named))
    whole = {
        **answers.heading(plan, identity.fingerprint),
        "packet_fingerprint": packets,
        "under_pad": body,
        "inputs": inputs_of(*named),
    }
    status = UNFINISHED if u.outcome in (STUCK, CANCELLED) else 1 if has_stop(plan.findings) else 0
    return Padded(Answer(answers.tidy(whole), status, plan, identity), u)
