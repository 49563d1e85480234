"""The name a kept result lies under: equal orders have equal names, and nothing else has."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import replace
from hashlib import sha256

from ribwright.ports import Files
from ribwright.work.asking import Gathered, gathered
from ribwright.work.jobs.kind import JobKind, Order


def key_of(files: Files, kind: JobKind, order: Order) -> str:
    """32 hex digits: the fingerprint of the plan (with the build of the program in it), how the inputs were typed, kind and options;
    for a kind with solids also whether this installation makes them; for a kind that is no plan what it says itself.
    InputError where part, shop or options are wrong."""
    options = {name: order.options.get(name, "") or default for name, default in kind.allowed.items()}
    said = kind.named(files, order) if kind.named else _said(gathered(files, order.request()))
    named: list[object] = [kind.name, sorted(options.items()), order.part.name, *said]
    if kind.solids:
        named.append(files.makes_solids())
    return _digest(named)


def plan_key(files: Files, order: Order) -> str:
    """The same for the plan alone."""
    r = order.request()
    return _digest([r.method, r.press, r.model, order.part.name, *_said(gathered(files, r))])


def _said(g: Gathered) -> list[str]:
    """The fingerprint leaves out what was typed, and papers print it: 0.0250 in is not 0.025 in there. Where the shop file lies is
    no part of an answer."""
    return [g.fingerprint, repr(g.job.part), repr(replace(g.job.shop, file=""))]


def _digest(named: Sequence[object]) -> str:
    return sha256(json.dumps(named).encode()).hexdigest()[:32]
