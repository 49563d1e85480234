"""Plans that were just made: a number of one is opened, or a picture drawn, without planning again."""

from __future__ import annotations

from collections import OrderedDict

from ribwright.ports import Files
from ribwright.work.asking import Answer, Progress, silent
from ribwright.work.jobs.keys import plan_key
from ribwright.work.jobs.kind import Order
from ribwright.work.planning import everything

MOST = 6  # one of a large part takes some 20 MB

_kept: OrderedDict[str, Answer] = OrderedDict()


def planned(order: Order, files: Files, say: Progress = silent) -> Answer:
    """The answer of `everything` with its plan, made or still there."""
    key = plan_key(files, order)
    if key not in _kept:
        _kept[key] = everything(files, order.request(), say)
    _kept.move_to_end(key)
    while len(_kept) > MOST:
        _kept.popitem(last=False)
    return _kept[key]
