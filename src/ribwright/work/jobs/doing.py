"""One order done, from the text of a part to the last word on it."""

from __future__ import annotations

import secrets
from pathlib import Path

from ribwright.ports import JobAsk, JobEnd, JobFiles
from ribwright.work.jobs import Order, Tell, kind_of
from ribwright.work.jobs.keys import key_of


def done(ask: JobAsk, files: JobFiles, tell: Tell) -> JobEnd:
    """The answer with the key that it was really made under: files may have changed since it was asked for. What would be made
    better another time lies under a key of its own, where nobody who asks again finds it. Raises what the kind raises."""
    kind = kind_of(ask.kind, ask.options)
    order = Order(Path(ask.part), None, ask.options)
    key = key_of(files, kind, order)
    made = kind.run(order, files, tell)
    if made.passing:
        key = secrets.token_hex(16)
    return JobEnd("made" if made.whole else "cancelled", key, made.text(), made.status, made.first, made.files)
