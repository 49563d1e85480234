"""What the requests work with: the shelf of shops, drafts, the desk of jobs. Made by whoever starts the server."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import cast

from starlette.requests import Request

from ribwright.ports import PartTexts, Shelf
from ribwright.work.desk import Desk
from ribwright.work.drafts import Drafts


@dataclass(frozen=True, eq=False)
class Bench:
    """`data` the data folder, `example` the files of the demonstration shop."""

    data: Path
    shelf: Shelf
    texts: PartTexts
    drafts: Drafts
    desk: Desk
    example: Callable[[], dict[str, bytes]]


def bench_of(request: Request) -> Bench:
    """The bench of the server that a request came to."""
    return cast(Bench, request.app.state.bench)
