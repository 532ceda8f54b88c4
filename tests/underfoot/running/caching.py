"""Plans checked with a cache, and which of them were really checked."""

from pathlib import Path

import pytest

from tests.benchmarks.rooms import plan_room, render_room
from underfoot.__main__ import main

Said = pytest.CaptureFixture[str]


ROOM = render_room(plan_room(1))
SECRET = "only the build knows this one"
LOCKED = "settings_format: 1\nlocked: true\n"


class Told:
    """The plans that were really checked, as a file that all processes write has them."""

    def __init__(self, place: Path) -> None:
        self.place = place

    def names(self) -> list[str]:
        return self.place.read_text("utf-8").split() if self.place.exists() else []

    def __len__(self) -> int:
        return len(self.names())


def check(*more: str, day: str = "2026-12-01") -> int:
    return main(["check", ".", "--jobs", "1", "--cache", "kept", "--today", day, *more])


def entries() -> list[Path]:
    return sorted(each for each in Path("kept").glob("??/*"))
