"""What a plan writes of its supply's source, of RCDs that circuits share, and of earthed grids."""

import pytest

from tests.underfoot.reading.samples import SMALL, change, only_problem, read
from underfoot.plan import Source, Supply

CIRCUITS = "circuits:\n  C1: {breaker: 10 A}\n"


def with_circuits(first: str, second: str) -> str:
    return change(SMALL, CIRCUITS, f"circuits:\n  C1: {{{first}}}\n  C2: {{{second}}}\n")


def test_one_rcd_has_one_residual_current() -> None:
    problem = only_problem(with_circuits("rcd: 30 mA, rcd_group: R1", "rcd: 10 mA, rcd_group: R1"))
    assert problem.path == "circuits.C2.rcd"
    assert problem.message == (
        "`C2` and `C1` stand behind one RCD (`rcd_group`: `R1`), which has one `rcd`: write the "
        "same, or give one of them another group"
    )


def test_one_rcd_has_one_type() -> None:
    problem = only_problem(
        with_circuits("rcd_type: A, rcd_group: R1", "rcd_type: AC, rcd_group: R1")
    )
    assert problem.path == "circuits.C2.rcd_type"


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ("rcd: 30 mA, rcd_group: R1", "rcd: 10 mA, rcd_group: R2"),
        ("rcd: 30 mA, rcd_group: R1", "rcd_group: R1"),
        ("rcd: 30 mA, rcd_group: R1", "rcd: 0.03 A, rcd_group: R1"),
        ("rcd: 30 mA", "rcd: 10 mA"),
    ],
)
def test_rcds_that_do_not_contradict(first: str, second: str) -> None:
    assert read(with_circuits(first, second)).plan is not None


@pytest.mark.parametrize("key", ["rcd_type: A", "rcd_group: R1", "phase: L1"])
def test_who_shares_protection_has_none_of_its_own(key: str) -> None:
    problem = only_problem(with_circuits("breaker: 10 A", f"shares: C1, {key}"))
    assert problem.path == f"circuits.C2.{key.partition(':')[0]}"
    assert "is fed and protected with `C1`" in problem.message


@pytest.mark.parametrize(
    ("old", "new", "path"),
    [
        ("voltage: 230 V}\nrooms", "voltage: 230 V, phases: 2}\nrooms", "supply.phases"),
        ("{breaker: 10 A}", "{phase: L4}", "circuits.C1.phase"),
        ("{breaker: 10 A}", "{rcd_type: C}", "circuits.C1.rcd_type"),
        (
            "voltage: 230 V}\nrooms",
            "voltage: 24 V, source: {kind: dynamo}}\nrooms",
            "supply.source.kind",
        ),
        (
            "voltage: 230 V}\nrooms",
            "voltage: 24 V, source: {rating: 300 A}}\nrooms",
            "supply.source.rating",
        ),
        (
            "voltage: 230 V}\nsupply",
            "voltage: 230 V, leakage: -1 mA/m2}\nsupply",
            "materials.films.film-140.leakage",
        ),
        (
            "voltage: 230 V}\nsupply",
            "voltage: 230 V, leakage: 1 mA}\nsupply",
            "materials.films.film-140.leakage",
        ),
    ],
)
def test_what_is_no_such_thing(old: str, new: str, path: str) -> None:
    assert only_problem(change(SMALL, old, new)).path == path


@pytest.mark.parametrize(
    ("system", "voltage_v", "kind", "selv"),
    [
        ("SELV", 50, "safety isolating transformer", True),
        ("SELV", 48, "safety power supply", True),
        ("SELV", 24, "battery", True),
        ("SELV", 50.1, "safety isolating transformer", False),
        ("mains", 24, "safety isolating transformer", False),
        ("SELV", 24, "isolating transformer", False),
        ("SELV", 24, "autotransformer", False),
        ("SELV", 24, "other", False),
        ("SELV", 24, None, False),
    ],
)
def test_selv_is_its_voltage_and_its_source(
    system: str, voltage_v: float, kind: str | None, selv: bool
) -> None:
    source = Source(path="supply.source", kind=kind)
    assert Supply(path="supply", voltage_v=voltage_v, system=system, source=source).is_selv == selv
    assert not Supply(path="supply", voltage_v=voltage_v, system=system).is_selv
