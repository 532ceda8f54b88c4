"""Links from box to box as they are written."""

import pytest

from tests.there import there
from tests.underfoot.reading.samples import SMALL, change, problems_of, read
from underfoot.plan import Cable

HALLS = "".join(
    f"  {name}:\n    outline: [[0, 0], [2000, 0], [2000, 2000], [0, 2000]]\n"
    for name in ("hall", "landing")
)
THREE = change(SMALL, "circuits:\n", f"{HALLS}circuits:\n")


def linked(*links: str) -> str:
    return change(THREE, "{breaker: 10 A}", f"{{breaker: 10 A, links: [{', '.join(links)}]}}")


def test_a_link_is_a_cable_between_two_rooms() -> None:
    plan = there(
        read(
            linked(
                "{from: study, to: hall, size: 12 AWG, length: 6 m, method: C, note: in the wall}"
            )
        ).plan
    )
    (link,) = plan.circuits["C1"].links
    assert link == Cable(
        path="circuits.C1.links.0",
        size_mm2=link.size_mm2,
        size_text="12 AWG",
        length=6000,
        method="C",
        note="in the wall",
        start="study",
        end="hall",
    )
    assert link.size_mm2 == pytest.approx(3.309, abs=1e-3)


def test_a_circuit_that_shares_may_have_a_cable() -> None:
    text = change(
        THREE, "{breaker: 10 A}", "{breaker: 10 A}\n  C2: {shares: C1, cable: {length: 3 m}}"
    )
    plan = there(read(text).plan)
    assert plan.circuits["C2"].cable == Cable(path="circuits.C2.cable", length=3000)


def test_links_in_a_row() -> None:
    text = linked("{from: hall, to: landing}", "{from: study, to: hall}")
    assert problems_of(text) == []


@pytest.mark.parametrize(
    ("links", "path", "message"),
    [
        (["{from: study, to: hal}"], "0.to", "`hal` names no room; did you mean `hall`?"),
        (["{from: stdy, to: hall}"], "0.from", "`stdy` names no room; did you mean `study`?"),
        (["{from: study, to: study}"], "0.to", "`to`: the way to `study` begins in `study`"),
        (
            ["{from: study, to: hall}", "{from: hall, to: landing}", "{from: landing, to: study}"],
            "2.to",
            "`to`: the way to `study` begins in `study`",
        ),
        (
            ["{from: study, to: hall}", "{from: landing, to: hall}"],
            "1.to",
            "`to`: the junction box in `hall` is fed from `study` already",
        ),
    ],
)
def test_links_that_lead_nowhere_or_round(links: list[str], path: str, message: str) -> None:
    ((_, found, said),) = problems_of(linked(*links))
    assert (found, said) == (f"circuits.C1.links.{path}", message)


def test_a_link_needs_both_its_rooms() -> None:
    ((_, path, said),) = problems_of(linked("{from: study}"))
    assert path == "circuits.C1.links.0"
    assert said.startswith("a link needs `to`, which is missing")


def test_too_many_links_are_told_with_how_many_there_may_be() -> None:
    ((_, path, said),) = problems_of(linked(*["{from: a, to: b}"] * 201))
    assert path == "circuits.C1.links"
    assert said == "`links`: this list has 201 entries; it has 200 at most"


def test_a_link_that_is_no_mapping_is_one_problem_among_others() -> None:
    (problem,) = read(linked("x", "{from: study, to: hall}")).problems
    assert "the text `x` stands where a mapping of keys is expected" in problem.message
