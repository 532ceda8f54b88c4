"""The rule kit: runs the examples on the pages of a rule set as tests, and starts new rules.

In a test module of the set::

    import pytest
    from underfoot.testing import check_example, examples_of
    from acme_rules import ACME

    @pytest.mark.parametrize("example", examples_of(ACME), ids=str)
    def test_example(example):
        check_example(example, ACME)

At the command line ``python -m underfoot.testing RULE [PLAN.yaml ...]`` prints what the examples
of a rule, or plans, give; ``python -m underfoot.testing new ID`` writes the files of a new rule.
"""

from underfoot.checking.page import Example, Page, PageError
from underfoot.testing.examples import (
    A_DAY,
    Expected,
    check_example,
    examples_of,
    expected_of,
    plan_text_of,
    report_on,
)
from underfoot.testing.new_rule import NewRuleError, Written, write_rule
from underfoot.testing.showing import show, show_all, show_plan

__all__ = [
    "A_DAY",
    "Example",
    "Expected",
    "NewRuleError",
    "Page",
    "PageError",
    "Written",
    "check_example",
    "examples_of",
    "expected_of",
    "plan_text_of",
    "report_on",
    "show",
    "show_all",
    "show_plan",
    "write_rule",
]
