"""Exact limits of cut lines and longest strips."""

import pytest

from tests.underfoot_rules.laying.rooms import lay, report_on
from tests.underfoot_rules.plans import check, measured, of_rule, tally_of


@pytest.mark.parametrize(
    ("length", "away"),
    [
        (1000, None),
        (1001, None),
        (1001.001, 1.001),
        (999, None),
        (998.999, 1.001),
        (1125, 125),
        (1200, 50),
        (250, None),
        (249, None),
        (100, 100),  # less than one section: the strip begins on a cut line
        (0.5, 249.5),  # no section at all
    ],
)
def test_cut_length(length: float, away: float | None) -> None:
    found = lay("cut-length", {"E1": {"at": [1000, 1000], "length": length}}, cut_every=250)
    if away is None:
        assert not found
    else:
        (finding,) = found
        assert measured(finding) == pytest.approx(away)


def test_cut_length_in_other_units() -> None:
    # Sections of 10 inches, 254 mm each: 40 inches are four of them.
    strip = {"E1": {"at": [1000, 1000], "length": "40 in"}}
    assert not lay("cut-length", strip, cut_every="10 in")


def test_cut_length_offers_the_longer_strip_only_where_it_fits() -> None:
    # 6000 - 58 = 5942 mm is as far as a planned strip may reach.
    (near,) = lay("cut-length", {"E1": {"at": [1000, 4900], "length": 1000}}, cut_every=300)
    assert near.remedy.startswith("Make E1 900 mm long;")
    (far,) = lay("cut-length", {"E1": {"at": [1000, 1000], "length": 1000}}, cut_every=300)
    assert far.remedy == "Make E1 900 mm or 1200 mm long."


# A strip between two others, its end 120 mm under a worktop: 60 + 4850 = 4910, the
# worktop stands at 4790, and 50 mm before it is 4740. Sections of 210 mm: 22 of them are 4620 mm.
WORKTOP = {"kind": "floor-mounted", "at": [0, 4790], "size": [6000, 500]}
BETWEEN = {
    "E1": {"at": [2000, 60], "length": 4200},
    "E2": {"at": [2500, 60], "length": 4850},
    "E3": {"at": [3000, 60], "length": 4200},
}


def test_findings_of_one_strip_ask_for_one_length() -> None:
    report = report_on(
        BETWEEN, {"fixtures": {"worktop": WORKTOP}}, cut_every=210, longest_strip="9 m"
    )
    (under,) = of_rule(report, "fixture-clearance")
    (off,) = of_rule(report, "cut-length")
    # Of the findings' own measures neither changes.
    assert (measured(under), measured(off)) == (0, pytest.approx(20))
    assert under.remedy.startswith("Cut E2 to 4620 mm, 230 mm shorter, at its end near [2750, 49")
    assert off.remedy == (
        f"{under.remedy[:-1]}; the next cut line, at 4830 mm, leaves it too long here."
    )
    report = report_on(
        BETWEEN, {"fixtures": {"worktop": WORKTOP}}, cut_every=210, longest_strip=4845
    )
    (over,) = of_rule(report, "strip-length")
    assert over.remedy == under.remedy


def test_where_a_move_clears_a_strip_it_is_cut_no_shorter_than_its_cut_line() -> None:
    # The lowest 110 mm of the strip's way are free: moved down it lies clear, cut as little.
    strips = {"E2": {"at": [2500, 400], "length": 4450}}
    report = report_on(
        strips, {"fixtures": {"worktop": WORKTOP}}, cut_every=210, longest_strip="9 m"
    )
    (under,) = of_rule(report, "fixture-clearance")
    (off,) = of_rule(report, "cut-length")
    assert under.remedy == "Move E2 by 110 mm down (-y)."
    assert off.remedy.startswith("Make E2 4410 mm long;")


@pytest.mark.parametrize(
    ("length", "is_found"), [(4000, False), (4000.0005, False), (4000.01, True), (4250, True)]
)
def test_strip_length(length: float, is_found: bool) -> None:
    found = lay("strip-length", {"E1": {"at": [1000, 1000], "length": length}}, longest_strip="4 m")
    assert len(found) == is_found
    if is_found:
        assert found[0].measured is not None
        assert found[0].measured.unit == "m"
        assert found[0].measured.value == pytest.approx(length / 1000)


def test_a_film_that_states_neither_is_not_judged() -> None:
    report = check({"materials.films.film-80": {"cut_every": None, "longest_strip": None}})
    for rule, why in (
        ("cut-length", "the distance between the cut lines of film-80 is not given"),
        ("strip-length", "the longest strip of film-80 is not given"),
    ):
        tally = tally_of(report, rule)
        assert (tally.checked, tally.found, tally.undecided, tally.why) == (7, 0, 7, why)
