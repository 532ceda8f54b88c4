"""What is measured is what it is said to be, also after a rule more."""

from tests.benchmarks.mending import FINDINGS, mend_all, ten_wrong


def test_the_plan_with_ten_findings_has_ten_and_a_mend_of_each() -> None:
    found, mended, _ = mend_all(ten_wrong())
    assert (found, mended) == (FINDINGS, FINDINGS)
