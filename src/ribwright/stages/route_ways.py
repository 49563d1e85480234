"""Which ways there are from a sheet as bought to a finished part: the temper each forms in, the one it delivers, what it adds.

as-bought     formed as it comes, aged afterwards where ageing alone makes the final temper
annealed      formed in O, then solution treated, quenched, straightened and aged
as-quenched   solution treated as a flat blank, formed within the shop's window after the quench (W), then aged; without a flow
              curve of its own in W its block is proved on quenched scrap first
A way is there where the catalogue knows how the alloy answers to heat treatment (`shop.heat_treat`); else there is one, as bought.
"""

from __future__ import annotations

from dataclasses import dataclass

from ribwright.shop.heat_treat import Response, at_thickness
from ribwright.shop.sheet import Material
from ribwright.stages.job import Job

AS_BOUGHT, ANNEALED, AS_QUENCHED = WAYS = ("as-bought", "annealed", "as-quenched")
LEAST_DISTORTED = (
    AS_BOUGHT,
    AS_QUENCHED,
    ANNEALED,
)  # no quench; quenched flat and formed after it; quenched as a formed part
ANNEAL, SOLUTION, STRAIGHTEN, PROVE, IN_WINDOW, AGE, AGE_NATURALLY = OPERATIONS = (
    "anneal",
    "solution-treat",
    "straighten",
    "prove-block",
    "form-in-window",
    "age",
    "age-naturally",
)
SOFT, QUENCHED = "O", "W"


@dataclass(frozen=True)
class Reheats:
    """How often a way heats clad sheet again: `count` re-heats, of `allowed` by the shop's entry; None: not entered."""

    count: int
    allowed: int | None


@dataclass(frozen=True)
class Course:
    """One way: the temper it forms in, the one it delivers, operations it adds in their order, re-heats of clad sheet (None: bare
    sheet, or no solution treatment)."""

    way: str
    temper: str
    delivers: str
    adds: tuple[str, ...]
    reheats: Reheats | None = None

    @property
    def treated(self) -> bool:
        """Whether the shop, or one it sends to, solution treats."""
        return SOLUTION in self.adds


def response_of(job: Job) -> Response | None:
    """How the alloy answers to heat treatment; None where the catalogue does not know it, or it does not answer."""
    return job.catalogue.heat_treat.responses.get(job.bought.alloy)


def not_treatable(job: Job) -> str:
    """The source of the alloy's not being heat treatable; "" where it is, or where that is not known."""
    return job.catalogue.heat_treat.not_treatable.get(job.bought.alloy, "")


def wanted_temper(job: Job) -> str:
    """The final temper of the drawing; where it names none, the one as bought if it is formed so, else ""."""
    return job.part.sheet.final or (job.bought.temper if job.formed_name == job.bought.name else "")


def courses(job: Job) -> tuple[Course, ...]:
    """Every way there is, as bought first."""
    bought, answer, wanted = job.bought.temper, response_of(job), wanted_temper(job)
    if answer is None:
        return (Course(AS_BOUGHT, bought, bought, ()),)
    aged = tuple(to for frm, to in answer.ages if frm == bought and to == wanted)
    out = [] if bought == QUENCHED else [Course(AS_BOUGHT, bought, (*aged, bought)[0], (AGE,) if aged else ())]
    delivers = _delivered(answer, wanted)
    age = AGE if delivers == answer.aged else AGE_NATURALLY
    again = _reheats(job)
    soften = () if bought == SOFT else (ANNEAL,)
    out.append(Course(ANNEALED, SOFT, delivers, (*soften, SOLUTION, STRAIGHTEN, age), again))
    quenched = record_of(job, QUENCHED)
    trial = () if quenched is not None and quenched.hardening is not None else (PROVE,)
    out.append(Course(AS_QUENCHED, QUENCHED, delivers, (*trial, SOLUTION, IN_WINDOW, age), again))
    return tuple(out)


def _delivered(answer: Response, wanted: str) -> str:
    """Of the tempers that the shop's own heat treatment gives the one asked for, else the natural one before the aged."""
    made = [t for t in (answer.natural, answer.aged) if t]
    if wanted in made:
        return wanted
    return answer.aged if wanted.startswith(("T6", "T8")) else made[0]


def _reheats(job: Job) -> Reheats | None:
    """Of clad sheet. Bought heat treated, its first heat treatment here is a re-heat already; annealing and ageing count nothing."""
    if not job.bought.clad:
        return None
    limits = job.shop.heat_treat.get(job.bought.alloy)
    allowed = None if limits is None else at_thickness(limits.clad_reheats, job.t)
    return Reheats(int(job.bought.temper.startswith(("T", "W"))), None if allowed is None else int(allowed))


def drawn_course(job: Job) -> str:
    """The way that the drawing's call goes: formed in, final. "" where it is none of them."""
    formed, bought, final = formed_temper(job), job.bought.temper, job.part.sheet.final
    if formed == QUENCHED:
        return AS_QUENCHED
    answer = response_of(job)
    made = () if answer is None else (answer.natural, answer.aged)
    if formed == SOFT and (bought != SOFT or (final in made and final != "")):
        return ANNEALED if answer is not None else ""
    return AS_BOUGHT if formed == bought else ""


def formed_temper(job: Job) -> str:
    """The temper that the part file has it formed in."""
    given = job.part.sheet.formed_in
    return job.bought.temper if given in ("", "as bought") else given


def record_name(job: Job, temper: str) -> str:
    """Name of the record of the same alloy and cladding in another temper."""
    if temper == job.bought.temper:
        return job.bought.name
    return f"{job.bought.alloy}-{temper}" + (" clad" if job.bought.clad else "")


def record_of(job: Job, temper: str) -> Material | None:
    """That record, the shop's own before the catalogue's; None where there is none."""
    if temper == job.bought.temper:
        return job.bought
    name = record_name(job, temper)
    return job.shop.materials.get(name) or job.catalogue.materials.get(name)
