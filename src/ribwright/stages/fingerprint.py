"""One short name for everything an answer depends on: same name, same numbers.

First 16 hex digits of SHA-256 over canonical JSON (sorted keys, numbers rounded to 1e-9, lengths in mm) of the part, the
whole shop file, the catalogue records they name, press, methods, model, version and build (the program's own source and facts, so
that a changed program never bears an old name). What was typed and in which unit, comments and layout do not enter.
"""

from __future__ import annotations

import json
from dataclasses import fields, is_dataclass
from hashlib import sha256
from typing import Any

from ribwright.shop.shop import Shop
from ribwright.stages.job import Job
from ribwright.version import __version__

NOT_IDENTITY = frozenset({"typed", "units", "file", "notes", "ordinates", "family", "conflicts"})


def canonical(value: Any) -> Any:
    """Plain JSON values: dataclasses as objects without NOT_IDENTITY fields, floats rounded, tuples as lists."""
    if is_dataclass(value) and not isinstance(value, type):
        # whether a shop file was found is not part of the shop; the size given for a hole is part of the hole
        left_out = NOT_IDENTITY | {"given"} if isinstance(value, Shop) else NOT_IDENTITY
        return {f.name: canonical(getattr(value, f.name)) for f in fields(value) if f.name not in left_out}
    if isinstance(value, dict):
        return {str(k): canonical(v) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return [canonical(v) for v in value]
    if isinstance(value, float):
        return round(value, 9) + 0.0
    return value


def inputs_of(
    job: Job, method: str, press: str = "", model: str = "closed-form", forecast: dict[str, Any] | None = None
) -> dict[str, Any]:
    """Everything the answer depends on, as plain JSON values: lengths mm, angles deg, numbers rounded to 1e-9. `method`: the one
    asked for the blank; by "default" what must be quick gives findings and margins of the quick blank and says so. `model`: which
    one was asked for springback; the pressure that the section model takes follows from all the others. `forecast`: the options
    of a forecast, for answers that are one. `learned`: of the measurements in the shop's springback book, where there are any."""
    facts = {m.name: m for m in (job.bought, job.formed) if m is not None and m.origin == "catalogue"}
    whole = {
        "part": job.part,
        "shop": job.shop,
        "materials": facts,
        "radius_table": job.radius_table,
        **({"then_radius_tables": job.then_radius_tables} if job.then_radius_tables else {}),
        "relief_rule": job.relief_rule,
        "block_materials": {} if job.shop.block_materials else job.catalogue.block_materials,
        "practice": job.catalogue.practice,
        "press": press,
        "method": method,
        "model": model,
        "version": __version__,
        "build": job.catalogue.build,
        **({} if forecast is None else {"forecast": forecast}),
        **({} if job.learned is None or not (named := job.learned.named(model)) else {"learned": named}),
    }
    plain: dict[str, Any] = canonical(whole)
    return plain


def fingerprint(
    job: Job, method: str, press: str = "", model: str = "closed-form", forecast: dict[str, Any] | None = None
) -> str:
    """16 hex digits of what `inputs_of` says."""
    return name_of(inputs_of(job, method, press, model, forecast))


def name_of(inputs: dict[str, Any]) -> str:
    """The name of what `inputs_of` says."""
    text = json.dumps(inputs, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return sha256(text.encode()).hexdigest()[:16]
