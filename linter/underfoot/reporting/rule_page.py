"""One rule explained for a person: why, limits, basis, how to put it right, examples."""

import re
import textwrap
from collections.abc import Iterator

from underfoot.checking.caution import CAUTION, DEFERS
from underfoot.checking.numbers import format_limit
from underfoot.checking.page import Example, Page
from underfoot.checking.rule import AnyRule
from underfoot.reporting.ink import PLAIN, Ink, paint
from underfoot.reporting.layout import WIDTH, columns_of, escape_invisible, hanging_indent, wrap
from underfoot.reporting.phrases import say_waiving
from underfoot.reporting.prose import plain_words

_ITEM = re.compile(r"(-|[0-9]+\.) +")
_TOP_KEY = re.compile(r"^[a-z_]+:", re.MULTILINE)


def write_page(rule: AnyRule, page: Page, *, width: int = WIDTH, ink: Ink = PLAIN) -> Iterator[str]:
    """Write a rule's page for a terminal."""
    lines = [
        paint(rule.id, ink.strong, ink),
        *wrap(f"{rule.topic.replace('_', ' ')} · {' or '.join(rule.severities)}", width),
        "",
        *wrap(f"Finds {rule.finds}.", width),
    ]
    lines += ["", paint("WHY", ink.strong, ink), *_prose(page.why, width)]
    if rule.limits:
        lines += ["", paint("LIMITS", ink.strong, ink), *_limits(rule, width)]
    basis = f"{rule.basis.text}; {DEFERS}" if rule.electrical else rule.basis.text
    lines += ["", paint("BASIS", ink.strong, ink), *hanging_indent("  ", f"{basis}.", width)]
    if rule.protects_life:
        lines += [
            "",
            paint("WAIVERS", ink.strong, ink),
            *hanging_indent("  ", say_waiving(rule), width),
        ]
    lines += ["", paint("PUTTING IT RIGHT", ink.strong, ink), *_prose(page.remedy, width)]
    for kind in ("right", "wrong"):
        example = next((one for one in page.examples if one.kind == kind), None)
        if example is not None:
            lines += ["", paint(f"{kind.upper()}, FOR EXAMPLE", ink.strong, ink)]
            lines += _example(example, width)
    lines += ["", *hanging_indent("CAUTION  ", CAUTION, width)]
    yield "\n".join(lines) + "\n"


def _limits(rule: AnyRule, width: int) -> Iterator[str]:
    rows = [
        (limit.key, format_limit(limit.default, limit.unit, limit.choices), limit.means)
        for limit in rule.limits
    ]
    widest = [max(columns_of(row[column]) for row in rows) for column in (0, 1)]
    for key, value, means in rows:
        first = f"  {key:<{widest[0]}}  {value:<{widest[1]}}  "
        yield from hanging_indent(first, means, width)


def _example(example: Example, width: int) -> Iterator[str]:
    yield from _prose(example.says, width)
    if example.says:
        yield ""
    for line in changed_part(example.text).splitlines():
        yield f"      {escape_invisible(line)}".rstrip()


def changed_part(text: str) -> str:
    """Cut an example down to what it changes in a plan."""
    begin = re.search(r"^change:[ \t]*\n", text, re.MULTILINE)
    if begin is None:
        return text
    rest = text[begin.end() :]
    end = _TOP_KEY.search(rest)
    return textwrap.dedent(rest[: end.start()] if end else rest)


def _prose(markdown: str, width: int) -> Iterator[str]:
    """Wrap paragraphs and lists; emphasis is dropped, what is quoted stays quoted."""
    for number, block in enumerate(re.split(r"\n\s*\n", plain_words(markdown).strip())):
        if not block:
            continue
        if number:
            yield ""
        items: list[list[str]] = []
        for line in block.splitlines():
            if _ITEM.match(line) or not items:
                items.append([])
            items[-1].append(line.strip())
        for item in items:
            text = " ".join(item)
            mark = _ITEM.match(text)
            first = f"  {mark[1]} " if mark else "  "
            yield from hanging_indent(first, text[mark.end() :] if mark else text, width)
