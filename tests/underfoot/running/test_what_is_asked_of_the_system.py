"""What the system is asked to hold a process to: never more than it may have already."""

import time

import pytest

from underfoot.running import limits

resource = pytest.importorskip("resource", reason="the system sets no such limits")
ENDLESS = resource.RLIM_INFINITY
Asked = dict[int, tuple[int, int]]


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> Asked:
    """What is asked for; what is held so far stands in it, endless where nothing does."""
    told: Asked = {}
    monkeypatch.setattr(resource, "getrlimit", lambda kind: told.get(kind, (ENDLESS, ENDLESS)))
    monkeypatch.setattr(resource, "setrlimit", told.__setitem__)
    monkeypatch.setattr(time, "process_time", lambda: 1.25)
    return told


@pytest.mark.parametrize(("hard", "most"), [(ENDLESS, 5), (9, 5), (4, 4)])
def test_a_life_is_so_much_more_than_was_used_in_whole_seconds(
    asked: Asked, hard: int, most: int
) -> None:
    asked[resource.RLIMIT_CPU] = (ENDLESS, hard)
    limits.limit_life(3.0)
    # 1.25 s are used; and what is ended leaves no image of its memory.
    assert asked == {resource.RLIMIT_CPU: (most, hard), resource.RLIMIT_CORE: (0, 0)}
    limits.lift_life()
    assert asked[resource.RLIMIT_CPU] == (hard, hard)


@pytest.mark.parametrize(
    ("most", "hard", "given"),
    [(100, ENDLESS, 100), (100, 200, 100), (100, 50, 50), (None, 50, 50), (None, ENDLESS, ENDLESS)],
)
def test_memory_is_limited_to_no_more_than_may_be_had(
    asked: Asked, most: int | None, hard: int, given: int
) -> None:
    asked[resource.RLIMIT_AS] = (hard, hard)
    limits.limit_memory(most)
    assert asked[resource.RLIMIT_AS] == (given, hard)


@pytest.mark.parametrize(
    ("limited", "hard", "then"),
    [(100, 500, 120), (490, 500, 500), (100, ENDLESS, 120), (500, 500, 500),
     (ENDLESS, ENDLESS, ENDLESS)],
)  # fmt: skip
def test_room_is_made_only_where_it_is_short(
    asked: Asked, limited: int, hard: int, then: int
) -> None:
    asked[resource.RLIMIT_AS] = (limited, hard)
    limits.make_room(20)
    assert asked[resource.RLIMIT_AS] == (then, hard)
