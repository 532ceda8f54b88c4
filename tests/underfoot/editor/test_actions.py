"""What is put into a text: in its own style, and blank."""

import pytest

from tests.underfoot.editor.offsets import offset_of
from underfoot.editor.actions import put_in
from underfoot.editor.outline import outline
from underfoot.reading.syntax import parse


@pytest.mark.parametrize(
    ("text", "path", "after"),
    [
        ("a: {b: 1}\n", "a", "a: {b: 1, k: }\n"),
        ("a: {}\n", "a", "a: {k: }\n"),
        ("a: {b: [1, 2]}  # x\n", "a", "a: {b: [1, 2], k: }  # x\n"),
        ("a:\n  b: 1\nc: 2\n", "a", "a:\n  b: 1\n  k: \nc: 2\n"),
        ("a:\n    b:\n      c: 1\n\nd: 2\n", "a", "a:\n    b:\n      c: 1\n    k: \n\nd: 2\n"),
        ("a:\nc: 2\n", "a", "a:\n  k: \nc: 2\n"),
        ("a: 1\n\n", "", "a: 1\nk: \n\n"),
        ("a:\n  - b: 1\n  - b: 2\n", "a.0", "a:\n  - b: 1\n    k: \n  - b: 2\n"),
        ("a: {\n  b: 1,\n  c: 2\n}\n", "a", "a: {\n  b: 1,\n  c: 2, k: \n}\n"),
        # What is a text, or is not closed, takes no key.
        ("a: text\n", "a", None),
        ("a: {b: 1\n", "a", None),
        ("a: 1\n", "z", None),
    ],
)
def test_a_key(text: str, path: str, after: str | None) -> None:
    change = put_in(outline(text), tuple(path.split(".")) if path else (), "k: ")
    if after is None:
        assert change is None
        return
    assert change is not None
    start, end = offset_of(text, change.span.start), offset_of(text, change.span.end)
    written = text[:start] + change.text + text[end:]
    assert written == after
    assert parse(written.encode()).problems == ()
