"""All documents of the job, a picture of each sheet for the screen, and all of them as one zip."""

from __future__ import annotations

from ribwright.documents.solid_model import file_word
from ribwright.ports import JobFiles
from ribwright.work import packets
from ribwright.work.jobs.kind import JobKind, Made, Order, Tell
from ribwright.work.jobs.packed import packed
from ribwright.work.jobs.plans import planned
from ribwright.work.jobs.progress import saying

PAPER = "letter"


def run(order: Order, files: JobFiles, tell: Tell) -> Made:
    """The files of `packets.packet` by name, `preview/NAME.svg` of each sheet, `NUMBER-packet.zip` with all but the previews."""
    say = saying(tell)
    paper = packets.known_paper(order.options.get("paper", "") or PAPER)
    tell("planning")
    answer = planned(order, files, say)
    answer, made, passing = packets.documents_of(answer, paper, files.writers, say, files.solids)
    previews = {f"preview/{name}.svg": content for name, content in packets.previews(answer, paper, files.writers, say)}
    say("packing")
    name = f"{file_word(answer.identity.number)}-packet"
    documents = made | previews | {f"{name}.zip": packed(made, name)}
    return Made(answer.json, answer.status, documents, answer.identity.first, passing=passing)


KIND = JobKind("packet", {"paper": PAPER}, run, long=lambda options: True, solids=True)
