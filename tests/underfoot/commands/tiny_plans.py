"""Plans of one room for the tests' own small rule set, and what tests do with them."""

import json
from pathlib import Path
from typing import Any

import pytest

Said = pytest.CaptureFixture[str]


def plan(
    height: str = "2400", title: str = "Hall", date: str = '"2026-09-28"', more: str = ""
) -> str:
    return (
        "plan_format: 1\n"
        f"job: {{title: {title}, date: {date}}}\n"
        "materials: {}\n"
        "supply: {voltage: 230 V}\n"
        "rooms:\n"
        "  hall:\n"
        "    outline: [[0, 0], [4000, 0], [4000, 3000], [0, 3000]]\n"
        f"    height: {height}\n{more}"
    )


RIGHT = plan()
WARNED = plan(height="2100")
WRONG = plan(height="1900")
NOTED = plan(date="null")
UNDECIDED = plan(height="null")
UNREADABLE = plan(height="tall")
CRASHING = plan(title="crash")
WAIVED = plan(
    height="1900",
    more="waivers:\n  - {rule: room-height, item: hall, reason: old house, agreed_by: owner, "
    'until: "2026-10-01"}\n',
)


def put(place: str, text: str) -> str:
    path = Path(place)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, "utf-8")
    return place


def data_of(said: Said) -> Any:
    return json.loads(said.readouterr().out)
