"""Comments of a file stay with what they stand above or beside."""

import pytest

from underfoot.reading.remarks import END, find_comments
from underfoot.reading.syntax import parse

REVIEW = """# first
findings:
  # on the item
  - rule: a   # beside its rule
    items: [x, y]  # beside its items

    # on its note
    note: "a # b"
  - # before the key
    rule: b
overall: {state: ok}  # beside the whole
# at the end
"""


@pytest.mark.parametrize("in_order", [True, False])
def test_a_comment_belongs_to_the_deepest_first_entry_of_its_line_or_the_next(
    in_order: bool,
) -> None:
    """In whatever order the positions are given."""
    positions = parse(REVIEW.encode()).positions
    if not in_order:
        positions = dict(reversed(positions.items()))
    assert find_comments(REVIEW, positions) == {
        "findings": ("# first",),
        "findings.0.rule": ("# on the item", "# beside its rule"),
        "findings.0.items.0": ("# beside its items",),
        "findings.0.note": ("# on its note",),
        "findings.1.rule": ("# before the key",),
        "overall.state": ("# beside the whole",),
        END: ("# at the end",),
    }


@pytest.mark.parametrize("text", ["", "a: 1\n", "a: '# b'\n", "a: b#c\n"])
def test_where_there_are_none_none_are_found(text: str) -> None:
    assert find_comments(text, parse(text.encode()).positions) == {}
