"""What hangs on a strip that feeds others on: its own length and theirs, by current."""

from typing import Any

import pytest

from tests.underfoot_rules.plans import BASE, check, of_rule, tally_of

START = ("junction-box", [30, 1500], [30, 30])
LEAD = BASE["rooms"]["room"]["leads"]["W1"]
FILM = BASE["materials"]["films"]["film-80"]


def lay(*routes: list[Any], longest: Any = "9 m", **room: Any) -> dict[str, Any]:
    drawn = {f"W{number}": {**LEAD, "route": route} for number, route in enumerate(routes, 1)}
    films = {"film-80": {"longest_strip": longest}}
    return {"materials": {"films": films}, "rooms": {"room": {"leads": drawn, **room}}}


def found(change: dict[str, Any]) -> list[tuple[tuple[str, ...], float]]:
    return [
        (f.items, round(f.measured.value, 6))
        for f in of_rule(check(change), "strip-length")
        if f.measured is not None
    ]


ON = ("A1.end", "A2.end", "A3.end", "A4.end", "A5.end", "A6.end", "A7.end")


@pytest.mark.parametrize(
    ("routes", "expected"),
    [
        # Seven strips of 2.75 m: 19.25 m in at the start of A1.
        ([[*START, "A1", *ON]], [(("A1",), 19.25)]),
        ([[*START, "A1"], [*ON]], [(("A1",), 19.25)]),
        ([[*ON], ["A1", [30, 30], "junction-box"]], [(("A1",), 19.25)]),
        # Through A1, then A2, then A3 ...: each carries what comes after it as well.
        (
            [[*START, "A1", *ON[:2]], ["A2", "A3", "A3.end", *ON[3:]]],
            [(("A1",), 19.25), (("A2",), 16.5), (("A3",), 13.75)],
        ),
        # Side by side at the ends where they are fed, nothing goes through a strip.
        ([[*START, "A"]], []),
        # A5 feeds A6 and A7: 8.25 m.
        ([[*START, "A1", "A2", "A3", "A4", "A5"], ["A5.end", "A6.end", "A7.end"]], []),
        # A row named after an end hangs on that strip.
        ([[*START, "A7", "A7.end", "A6.end", "A5.end", "A4.end"], ["A4.end", "A3.end", "A2.end"],
          ["A2.end", "A1.end"]], [(("A7",), 19.25)]),
    ],
)  # fmt: skip
def test_what_hangs_on_a_strip(
    routes: list[list[Any]], expected: list[tuple[tuple[str, ...], float]]
) -> None:
    assert found(lay(*routes)) == expected


@pytest.mark.parametrize(("longest", "over"), [(8250, False), (8249, True), ("8.25 m", False)])
def test_at_its_limit(longest: Any, over: bool) -> None:
    # A5, A6 and A7 of 2.75 m each: 8.25 m.
    routes = [*START, "A1", "A2", "A3", "A4", "A5"], ["A5.end", "A6.end", "A7.end"]
    assert bool(found(lay(*routes, longest=longest))) == over


def test_other_films_count_by_their_current() -> None:
    # A1 is 500 mm wide of 80 W/m2, 40 W/m. The other strip, 1000 mm of 160 W/m2, draws 160 W/m:
    # its 2 m count as 8 m, with A1's own 2.75 m 10.75 m.
    strong = {**FILM, "width": 1000, "output": "160 W/m2", "longest_strip": "4 m"}
    change = lay(
        [*START, "A1", "A1.end", "E1"],
        rows={"A": {"lengths": [2750]}},
        elements={"E1": {"film": "film-160", "at": [1000, 500], "along": "y", "length": 2000,
                         "circuit": "C1"}},
    )  # fmt: skip
    change["materials"]["films"]["film-160"] = strong
    assert found(change) == [(("A1",), 10.75)]
    change["materials"]["films"]["film-80"]["longest_strip"] = "10.75 m"
    assert found(change) == []


def test_the_message_names_what_hangs_on_it() -> None:
    (finding,) = of_rule(check(lay([*START, "A1", *ON])), "strip-length")
    assert "its own 2.75 m and A2, A3, A4, A5, A6 and A7, which it feeds on" in finding.message


def test_a_strip_too_long_by_itself_says_that() -> None:
    change = lay([*START, "A1", *ON], longest="2.6 m")
    assert found(change) == [((f"A{number}",), 2.75) for number in range(1, 8)]


def test_strips_that_nothing_feeds_carry_nothing() -> None:
    change = lay([*START, "A1"], ["A2", "A2.end", "A3.end", "A4.end", "A5.end", "A6.end"])
    assert found(change) == []


def test_what_a_ring_shares_is_not_known() -> None:
    # A7 is fed at its start by W1 and at its end by W2: how much goes through it is open.
    routes = [*START, "A"], ["A7.end", [3310, 2950], [15, 2950], "junction-box"]
    report = check(lay(*routes))
    assert not of_rule(report, "strip-length")
    tally = tally_of(report, "strip-length")
    assert (tally.checked, tally.undecided) == (7, 1)
    assert tally.why == "A7 lies in a ring of leads, and may have to carry all of it"
    # All seven strips are 19.25 m, which a longer one may carry.
    assert tally_of(check(lay(*routes, longest="19.25 m")), "strip-length").undecided == 0


def test_a_lead_between_both_ends_of_a_strip_leaves_what_hangs_beyond_open() -> None:
    # The lead round A1 may carry what A1's busbars carry, or not.
    routes = [*START, "A1", [30, 30], [30, 2900], "A1.end", "A2.end", "A3.end", "A4.end"], [
        "A4", "A5", "A6", "A7"
    ]  # fmt: skip
    tally = tally_of(check(lay(*routes)), "strip-length")
    assert tally.why == "A1 lies in a ring of leads, and may have to carry all of it"
