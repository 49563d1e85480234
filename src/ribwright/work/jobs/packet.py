"""All documents of the job, and a picture of each sheet for the screen."""

from __future__ import annotations

from ribwright.ports import JobFiles
from ribwright.work import packets
from ribwright.work.jobs.kind import JobKind, Made, Order, Tell
from ribwright.work.jobs.plans import planned
from ribwright.work.jobs.progress import saying

PAPER = "letter"


def run(order: Order, files: JobFiles, tell: Tell) -> Made:
    """The files of `packets.packet` by name, with `preview/NAME.svg` of each sheet."""
    say = saying(tell)
    paper = packets.known_paper(order.options.get("paper", "") or PAPER)
    tell("planning")
    answer = planned(order, files, say)
    answer, made = packets.documents_of(answer, paper, files.writers, say, files.solids)
    previews = {f"preview/{name}.svg": content for name, content in packets.previews(answer, paper, files.writers, say)}
    return Made(answer.json, answer.status, made | previews, answer.identity.first)


KIND = JobKind("packet", {"paper": PAPER}, run, long=lambda options: True)
