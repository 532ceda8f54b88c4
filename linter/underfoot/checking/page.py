"""A rule's page: why it matters, how to put it right, and examples that are also tests.

A page is Markdown beside the rule's module, with the sections ``Why``, ``Putting it right``,
``Right`` and ``Wrong``. An example is a fenced block marked ``yaml right`` or ``yaml wrong``:

    expect:                         # of a wrong one: every finding of the whole set, none left out
      - {rule: ..., severity: ..., room: ..., items: [...], path: ...}
    settings: {...}                 # what underfoot.yaml says, where the example needs it
    today: "2026-10-01"             # where the date matters
    catalogue: {...}                # what catalogue.yaml beside the plan holds, where it has one
    change: {...}                   # JSON Merge Patch (RFC 7396) to the set's base plan
"""

import re
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

from msgspec import Struct

from underfoot.checking.rule import AnyRule

SECTIONS = ("Why", "Putting it right", "Right", "Wrong")
_FENCE = re.compile(r"^```yaml (right|wrong)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
_SECTION = re.compile(r"^## (.+)$", re.MULTILINE)


class PageError(Exception):
    """A page that is missing or not laid out as it should be."""


class Example(Struct, frozen=True, kw_only=True):
    """One example of a page; `text` is its YAML as printed, `says` the words above it."""

    rule: str
    kind: str
    number: int
    says: str
    text: str

    def __str__(self) -> str:
        return f"{self.rule}-{self.kind}-{self.number}"


class Page(Struct, frozen=True, kw_only=True):
    """A rule's page in its parts."""

    rule: str
    why: str
    remedy: str
    examples: tuple[Example, ...]


@cache
def page_of(rule: AnyRule) -> Page:
    """Read a rule's page. PageError where it is missing or a section is."""
    package, _, name = rule.module.rpartition(".")
    try:
        text = files(package).joinpath(f"{name}.md").read_text("utf-8")
    except (FileNotFoundError, ModuleNotFoundError) as error:
        raise PageError(f"{rule.id} has no page beside {rule.module}: {error}") from None
    return split_page(rule.id, text)


def place_of_page(rule: AnyRule) -> Path | None:
    """Return the file of a rule's page; None where it has none that other programs could open."""
    package, _, name = rule.module.rpartition(".")
    try:
        page = files(package).joinpath(f"{name}.md")
    except ModuleNotFoundError:
        return None
    return page if isinstance(page, Path) and page.is_file() else None


def split_page(rule: str, text: str) -> Page:
    """Take a page apart. PageError where its title or a section is missing."""
    if not text.startswith(f"# {rule}\n"):
        raise PageError(f"the page of {rule} must begin with '# {rule}'")
    parts = _SECTION.split(text)
    sections = dict(zip(parts[1::2], parts[2::2], strict=True))
    missing = [name for name in SECTIONS if not sections.get(name, "").strip()]
    if missing:
        raise PageError(f"the page of {rule} lacks the section {missing[0]!r}")
    examples: list[Example] = []
    for name in ("Right", "Wrong"):
        end = 0
        for number, fence in enumerate(_FENCE.finditer(sections[name]), 1):
            if fence[1] != name.lower():
                raise PageError(f"an example of {rule} under {name!r} is marked {fence[1]!r}")
            says = sections[name][end : fence.start()].strip()
            examples.append(
                Example(rule=rule, kind=fence[1], number=number, says=says, text=fence[2])
            )
            end = fence.end()
        if not end:
            raise PageError(f"the page of {rule} has no example under {name!r}")
    return Page(
        rule=rule,
        why=sections["Why"].strip(),
        remedy=sections["Putting it right"].strip(),
        examples=tuple(examples),
    )


def merge_patch(target: Any, patch: Any) -> Any:
    """Apply a JSON Merge Patch (RFC 7396); neither argument is changed."""
    if not isinstance(patch, Mapping):
        return patch
    merged = dict(target) if isinstance(target, Mapping) else {}
    for key, value in patch.items():
        if value is None:
            merged.pop(key, None)
        else:
            merged[key] = merge_patch(merged.get(key), value)
    return merged
