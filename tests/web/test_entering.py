"""The door of a server that is open to the network: how long wrong tokens have to wait."""

from __future__ import annotations

import pytest
from starlette.datastructures import Headers

from ribwright.web.entering import LONGEST_WAIT_S, MOST_ADDRESSES, Door
from ribwright.web.replies import Refused


class Clock:
    """A clock that is set."""

    now = 100.0

    def __call__(self) -> float:
        return self.now


def _door() -> tuple[Door, Clock]:
    clock = Clock()
    return Door("right", 8357, clock), clock


def test_the_right_token_opens_and_a_wrong_one_does_not() -> None:
    door, clock = _door()
    assert door.try_token("right", "a") is True
    for wrong in ("", "righ", "right ", "RIGHT", "\ud800"):
        assert door.try_token(wrong, "a") is False
        clock.now += 2 * LONGEST_WAIT_S


def test_while_an_address_has_to_wait_not_even_the_right_token_is_looked_at() -> None:
    door, clock = _door()
    door.try_token("wrong", "a")
    with pytest.raises(Refused) as refused:
        door.try_token("right", "a")
    assert refused.value.status == 429
    assert door.try_token("right", "b") is True
    clock.now += 0.6
    assert door.try_token("right", "a") is True


def test_the_wait_doubles_with_each_wrong_one_up_to_a_minute_and_is_forgotten_by_a_right_one() -> None:
    door, clock = _door()
    waits = []
    for _ in range(10):
        assert door.try_token("wrong", "a") is False
        waits.append(door.waits("a"))
        clock.now += door.waits("a")
    assert waits == [min(LONGEST_WAIT_S, 0.5 * 2.0**n) for n in range(10)]
    assert door.try_token("right", "a") is True
    assert door.try_token("wrong", "a") is False
    clock.now += 0.5
    assert door.try_token("wrong", "a") is False


def test_however_many_wrong_ones_came_before_the_next_has_an_answer() -> None:
    door, clock = _door()
    for _ in range(1200):
        assert door.try_token("wrong", "a") is False
        clock.now += LONGEST_WAIT_S
    door.try_token("wrong", "a")
    assert door.waits("a") == LONGEST_WAIT_S


def test_the_addresses_that_are_remembered_are_bounded() -> None:
    door, _ = _door()
    for n in range(MOST_ADDRESSES + 50):
        door.try_token("wrong", str(n))
    assert len(door._wrong) == MOST_ADDRESSES


def test_only_the_cookie_of_this_start_is_known() -> None:
    door, _ = _door()
    other, _ = _door()

    def knows(cookie: str) -> bool:
        return door.knows(Headers({"cookie": cookie}))

    assert knows(f"x=1; ribwright-8357={door.pass_word}")
    assert not knows("")
    assert not knows(f"ribwright-1={door.pass_word}")
    for word in ("", "right", other.pass_word, "\xff"):
        assert not knows(f"ribwright-8357={word}")
