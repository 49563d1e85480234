"""One server for the tests of a file, with a small part in it."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from served import Served, served, with_small


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    with served(tmp_path_factory.mktemp("data"), arrives_within_s=1.5, head_within_s=1.0, read_within_s=1.5) as running:
        yield with_small(running)
