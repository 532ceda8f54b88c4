"""What is in force after settings files are laid over each other is what is kept of it."""

import pytest

from tests.underfoot.checking.merged import (
    KEPT,
    OVER,
    STATEMENTS,
    alone,
    over_an_open_file,
    said_over,
)
from tests.written_out import kept_in

MEANT = "if the change is meant: python -m tests.underfoot.checking.merged, and read the difference"


@pytest.mark.parametrize("over", OVER)
def test_what_each_statement_changes(over: str) -> None:
    kept = {name: text for name, text in kept_in(KEPT).items() if name.startswith(f"over {over}:")}
    assert said_over(over) == kept, MEANT


@pytest.mark.parametrize("statement", STATEMENTS)
def test_of_files_that_are_not_locked_the_nearest_counts_alone(statement: str) -> None:
    # What they leave unchecked adds up.
    (laid, refused), (single, refused_alone) = over_an_open_file(statement), alone(statement)
    ignored = {"ignore", "ignore.0.pattern", "ignore.0.file", "ignore.1.pattern", "ignore.1.file"}
    assert {name: word for name, word in laid.items() if name not in ignored} == {
        name: word for name, word in single.items() if name not in ignored
    }
    assert (laid["ignore.0.pattern"], laid["ignore.0.file"]) == ("old", "above.yaml")
    assert ("ignore.1.pattern" in laid) == statement.startswith("ignore")
    assert refused == refused_alone
