"""A rule's page in Markdown -> HTML: paragraphs, lists, `code`, **strong**, *em*; else text."""

import re
from collections.abc import Callable, Iterator

from markupsafe import Markup, escape

from underfoot.reporting.layout import escape_invisible, join_units

_FENCE = "```"
_BULLET = re.compile(r"[-*] +")
_NUMBER = re.compile(r"[0-9]+[.)] +")
_INLINE = re.compile(r"`([^`]+)`|\*\*(.+?)\*\*|(?<![\w*])\*(?=[^\s*])([^*]*?[^\s*])\*(?![\w*])")
_CODE = re.compile(r"`([^`]+)`()()")


def render_markdown(text: str) -> Markup:
    """Render Markdown; whatever is not known is escaped and stays as it was written."""
    return Markup("\n").join(_blocks(text))


def _blocks(text: str) -> Iterator[Markup]:
    block: list[str] = []
    is_code = False
    for line in text.splitlines():
        is_edge = line.startswith(_FENCE)
        if is_code and is_edge:
            yield render_code("\n".join(block))
        elif not is_code and (is_edge or not line.strip()):
            yield from _prose(block)
        else:
            block.append(line)
            continue
        block = []
        is_code = is_code != is_edge
    if is_code:
        yield render_code("\n".join(block))
    else:
        yield from _prose(block)


def render_line(text: str) -> Markup:
    """Render one line in which only `code` is marked; a number keeps its unit."""
    return _inline(text, _CODE, join_units)


def render_code(text: str) -> Markup:
    """Render lines as they stand."""
    lines = "\n".join(escape_invisible(line) for line in text.rstrip().splitlines())
    return Markup("<pre><code>{}</code></pre>").format(lines)


def _prose(lines: list[str]) -> Iterator[Markup]:
    """Render the lines of one block: a paragraph, a list, or one after the other."""
    begin = 0
    while begin < len(lines):
        mark = _mark_of(lines[begin])
        end = begin + 1
        while end < len(lines) and (mark is not None or _mark_of(lines[end]) is None):
            if mark is not None and _mark_of(lines[end]) not in (None, mark):
                break
            end += 1
        yield _paragraph(lines[begin:end]) if mark is None else _list(lines[begin:end], mark)
        begin = end


def _mark_of(line: str) -> re.Pattern[str] | None:
    return next((mark for mark in (_BULLET, _NUMBER) if mark.match(line.lstrip())), None)


def _paragraph(lines: list[str]) -> Markup:
    return Markup("<p>{}</p>").format(_inline(" ".join(line.strip() for line in lines)))


def _list(lines: list[str], mark: re.Pattern[str]) -> Markup:
    items: list[str] = []
    for line in map(str.strip, lines):
        begin = mark.match(line)
        if begin:
            items.append(line[begin.end() :])
        else:
            items[-1] += f" {line}"
    inside = Markup().join(Markup("<li>{}</li>").format(_inline(item)) for item in items)
    return Markup("<ul>{}</ul>" if mark is _BULLET else "<ol>{}</ol>").format(inside)


def _inline(
    text: str, marks: re.Pattern[str] = _INLINE, spaced: Callable[[str], str] = str
) -> Markup:
    parts = []
    end = 0
    for found in marks.finditer(text):
        parts.append(escape(spaced(escape_invisible(text[end : found.start()]))))
        code, strong, stressed = found.groups()
        tag = "code" if code is not None else "strong" if strong is not None else "em"
        words = escape_invisible(code or strong or stressed)
        parts.append(Markup(f"<{tag}>{{}}</{tag}>").format(words))
        end = found.end()
    parts.append(escape(spaced(escape_invisible(text[end:]))))
    return Markup().join(parts)
