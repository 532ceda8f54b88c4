"""How damp a subfloor may be: at the limits, by what was measured, how, and what is laid on it."""

from typing import Any

import pytest

from tests.underfoot_rules.plans import check, of_rule, tally_of

RULE = "moisture-reading"
TILE = {"materials.coverings.oak-14.kind": "ceramic tile"}
ANHYDRITE = [{"material": "anhydrite screed", "thickness": 45, "conductivity": "1.2 W/m/K"}]


def on(covering: dict[str, Any] | None = None, **subfloor: Any) -> dict[str, Any]:
    told = {"kind": "concrete", "below": "heated", **subfloor}
    return {**(covering or {}), "rooms": {"room": {"subfloor": told}}}


def read(value: str, method: str | None = None) -> Any:
    return value if method is None else {"value": value, "method": method}


@pytest.mark.parametrize(
    ("change", "found"),
    [
        # Cement on a heated floor, 1.8 % CM (trade pages, CONFIRMED C); concrete counts as cement.
        (on(moisture=read("1.8 %", "CM")), False),
        (on(moisture=read("1.81 %", "CM")), True),
        (on(screed="cement", moisture=read("1.81 %", "CM")), True),
        # Below tile 2.0 %, which is what trade pages give for cement that is not heated.
        (on(TILE, moisture=read("2.0 %", "CM")), False),
        (on(TILE, moisture=read("2.01 %", "CM")), True),
        # By weight a cement screed holds more; what is too much by every method needs none.
        (on(moisture=read("2.5 %", "by weight")), False),
        (on(moisture=read("5 %", "by weight")), True),
        (on(moisture=read("5 %")), True),
        (on(moisture=read("1.8 %")), False),
        # Calcium sulphate: at most 0.5 % CM (trade pages, CONFIRMED C), less where heated.
        (on(screed="calcium sulphate", moisture=read("0.51 %", "CM")), True),
        (on(screed="calcium sulphate", moisture=read("0.51 %", "by weight")), True),
        (on(screed="calcium sulphate", moisture=read("0.1 %", "CM")), False),
        (on(TILE, screed="calcium sulphate", moisture=read("0.51 %", "CM")), True),
        (on(layers=ANHYDRITE, moisture=read("1 %", "CM")), True),
        (on(layers=ANHYDRITE, screed="cement", moisture=read("1 %", "CM")), False),
        # A screed lies on what the subfloor is made of.
        (on(kind="timber", screed="cement", moisture=read("3 %", "CM")), True),
        (on(kind="timber", moisture=read("8 %", "by weight")), False),
        (on(kind="timber", moisture=read("8 %")), False),
        (on(kind="timber", moisture=read("25 %")), True),
        (on(kind="existing floor", moisture=read("25 %")), True),
        # A barrier does not make a wet slab dry.
        (on(barrier="pe-02", moisture=read("4 %", "CM")), True),
    ],
)
def test_a_reading_against_its_limit(change: dict[str, Any], found: bool) -> None:
    report = check(change)
    assert bool(of_rule(report, RULE)) is found
    assert tally_of(report, RULE).undecided == 0
    assert tally_of(report, RULE).checked == 1


@pytest.mark.parametrize(
    ("change", "asked"),
    [
        (on(moisture=read("2.5 %")), "Write how the moisture was measured (`method: CM`"),
        (on(kind="existing floor", moisture=read("1 %", "CM")), "`screed: calcium sulphate`"),
        (on(kind=None, moisture=read("1 %", "CM")), "`screed: calcium sulphate`"),
        (
            on({"materials.coverings.oak-14.kind": None}, moisture=read("1.9 %", "CM")),
            "of what kind every covering is (`kind`)",
        ),
        (on(screed="cement"), "Measure the screed's `moisture`"),
        (on(kind="timber", moisture=read("8 %", "CM")), "`method: by weight`"),
    ],
)
def test_what_the_verdict_hangs_on_is_asked_for(change: dict[str, Any], asked: str) -> None:
    report = check(change)
    assert not of_rule(report, RULE)
    (point,) = tally_of(report, RULE).reasons
    assert asked in (point.write or "")
    assert point.worst == "error"
    assert tally_of(report, RULE).undecided == 1


def test_a_screed_above_a_barrier_needs_no_reading() -> None:
    report = check(on(screed="cement", barrier="pe-02"))
    assert tally_of(report, RULE).undecided == 0


def test_the_tenderest_covering_counts() -> None:
    # 1.9 % CM are too much below oak, and would do below the tiles beside it.
    over = [[0, 0], [2000, 0], [2000, 3000], [0, 3000]]
    both = [{"covering": "tile", "over": over}, {"covering": "oak-14"}]
    change = on({"materials.coverings.tile.kind": "ceramic tile"})
    change["rooms"]["room"] |= {"covering": None, "coverings": both}
    change["rooms"]["room"]["subfloor"]["moisture"] = read("1.9 %", "CM")
    assert of_rule(check(change), RULE)


def test_no_reading_is_asked_for_where_no_screed_is_written() -> None:
    assert tally_of(check(on()), RULE).checked == 0


@pytest.mark.parametrize(
    ("method", "said"),
    [
        ("CM", "5 % of moisture (CM); at most"),
        ("by weight", "5 % of moisture (by weight); at most"),
        # Too much by both methods: neither is told as the one that was used.
        (None, "5 % of moisture; at most"),
    ],
)
def test_the_method_is_told_where_it_is_known(method: str | None, said: str) -> None:
    (finding,) = of_rule(check(on(moisture=read("5 %", method))), RULE)
    assert said in finding.message
