"""Random edits of a plan's data that can be made, drawn by hypothesis."""

from collections.abc import Iterator
from typing import Any

from hypothesis import strategies as st

from underfoot.checking.mend import Edit
from underfoot.mending.patch import patch_data

Path = tuple[str | int, ...]

WORDS = (
    "C1", "60 mm", "1.5 mm2", "-5 degC", "on site", "2026-01-31", "yes", "true", "null", "12",
    "1e5", "", " ", "a: b", "a #b", "#c", "x,y", "[z]", "it's", '"q"', "tab\there", "two\nlines",
    "é", "\U0001f600", "\u202e", "~", "-", "- a", "---", "<<", "=", "0x1F", "12:30", "trailing ",
    "ends:", "back\\slash",
)  # fmt: skip
SCALARS = st.one_of(
    st.integers(-5000, 20000),
    st.sampled_from([0.5, 1e-7, 2.25, 60.0, 123456.75, True, False]),
    st.sampled_from(WORDS),
    st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=6),
)
KEYS = st.sampled_from([*(word for word in WORDS if word), "note", "at", "B", "W2", "lengths"])
VALUES = st.recursive(
    SCALARS,
    lambda inner: st.one_of(st.lists(inner, max_size=4), st.dictionaries(KEYS, inner, max_size=3)),
    max_leaves=6,
)


def list_paths(data: Any, path: Path = ()) -> Iterator[Path]:
    """List the paths to all that data holds."""
    if path:
        yield path
    places = enumerate(data) if isinstance(data, list) else ()
    for part, value in data.items() if isinstance(data, dict) else places:
        yield from list_paths(value, (*path, part))


def value_at(data: Any, path: Path) -> Any:
    """Return what stands at a path."""
    for part in path:
        data = data[part]
    return data


@st.composite
def edits(draw: st.DrawFn, data: Any) -> Edit:
    """Draw one edit that can be made."""
    path = draw(st.sampled_from([*list_paths(data)] or [()]))
    op = draw(st.sampled_from(["replace", "add", "remove"])) if path else "add"
    value = draw(VALUES)
    if op == "add":
        there = value_at(data, path)
        if isinstance(there, dict):
            path = (*path, draw(KEYS))
        elif isinstance(there, list):
            path = (*path, draw(st.sampled_from([*range(len(there) + 1), "-"])))
    return Edit(op=op, path=path, value=value)


@st.composite
def patches(draw: st.DrawFn, data: Any, most: int = 4) -> list[Edit]:
    """Draw edits that can be made one after another."""
    drawn = []
    for _ in range(draw(st.integers(1, most))):
        edit = draw(edits(data))
        drawn.append(edit)
        data = patch_data(data, [edit])
    return drawn
