"""What the formed part is drawn from in three dimensions."""

from __future__ import annotations

from ribwright.documents.views.formed_view import formed_view
from ribwright.ports import JobFiles
from ribwright.stages.blank import make_blank
from ribwright.stages.formed_mesh import mesh_part, size_of
from ribwright.work.jobs.kind import JobKind, Made, Order, Tell
from ribwright.work.jobs.plans import planned
from ribwright.work.jobs.progress import saying

COARSER = 3.0  # elements of a picture against those that the blank by balance is found on


def run(order: Order, files: JobFiles, tell: Tell) -> Made:
    """The mid-surface on coarse elements: a picture needs no more, and 3000 nodes are drawn sooner than 30 000."""
    answer = planned(order, files, saying(tell))
    tell("meshing the formed part")
    job = answer.plan.job
    laid = make_blank(job)  # the mesh is laid out by the strain-corrected one
    meshed = mesh_part(job, laid, COARSER * size_of(job, laid), answer.plan.fluting.flutes)
    return Made(formed_view(meshed, job.t), answer.status, first=answer.identity.first)


KIND = JobKind("formed-view", {}, run)
