"""How damp a subfloor is, and what lies flat on a floor."""

from typing import Any

import pytest

from tests.there import there
from tests.underfoot.reading.samples import SMALL, change, read


@pytest.mark.parametrize(
    ("moisture", "read_as"),
    [
        ("1.7 %", (1.7, None)),
        ("{value: 1.7 %}", (1.7, None)),
        ("{value: 3.1 %, method: by weight}", (3.1, "by weight")),
    ],
)
def test_a_moisture_with_its_method_or_without(moisture: str, read_as: Any) -> None:
    told = f"    subfloor: {{moisture: {moisture}}}\n    rows:"
    plan = there(read(change(SMALL, "    rows:", told)).plan)
    subfloor = there(plan.rooms["study"].subfloor)
    assert (subfloor.moisture_percent, subfloor.moisture_method) == read_as


@pytest.mark.parametrize(
    ("moisture", "said"),
    [
        ("{value: -1 %}", "rooms.study.subfloor.moisture.value"),
        ("{value: 1.7 %, method: guessed}", "rooms.study.subfloor.moisture.method"),
        ("{method: CM}", "rooms.study.subfloor.moisture"),
        ("-1 %", "rooms.study.subfloor.moisture"),
    ],
)
def test_a_moisture_that_cannot_be(moisture: str, said: str) -> None:
    told = f"    subfloor: {{moisture: {moisture}}}\n    rows:"
    reading = read(change(SMALL, "    rows:", told))
    assert [problem.path for problem in reading.problems] == [said]


@pytest.mark.parametrize(("clear", "problems"), [("", 0), (", clear: 0", 0), (", clear: 40", 1)])
def test_what_lies_flat_leaves_nothing_open(clear: str, problems: int) -> None:
    rug = f"    fixtures: {{rug: {{at: [0, 0], size: [900, 900], kind: lying flat{clear}}}}}\n"
    reading = read(change(SMALL, "    rows:", f"{rug}    rows:"))
    assert len(reading.problems) == problems
    if not problems:
        fixture = there(reading.plan).rooms["study"].fixtures["rug"]
        assert (fixture.clear, fixture.is_standing) == (0.0, False)
