"""The small renderer of rules' pages."""

import pytest

from tests.underfoot.page.pages import HOSTILE, read_tags
from underfoot.page.markdown import render_code, render_line, render_markdown


@pytest.mark.parametrize(
    ("text", "rendered"),
    [
        ("one line\nand the next", "<p>one line and the next</p>"),
        ("first\n\nsecond", "<p>first</p>\n<p>second</p>"),
        ("- one\n  more\n- two", "<ul><li>one more</li><li>two</li></ul>"),
        ("1. one\n2. two", "<ol><li>one</li><li>two</li></ol>"),
        ("so:\n- one", "<p>so:</p>\n<ul><li>one</li></ul>"),
        ("`a < b` and **strong**", "<p><code>a &lt; b</code> and <strong>strong</strong></p>"),
        ("```yaml right\na: [1]\n```", "<pre><code>a: [1]</code></pre>"),
        (
            "before\n```\n<b>\n\nx\n```\nafter",
            "<p>before</p>\n<pre><code>&lt;b&gt;\n\nx</code></pre>\n<p>after</p>",
        ),
        ("a [link](http://x) stays text", "<p>a [link](http://x) stays text</p>"),
        ("# no heading", "<p># no heading</p>"),
        ("", ""),
    ],
)
def test_what_is_known_is_rendered_and_the_rest_stays_text(text: str, rendered: str) -> None:
    assert render_markdown(text) == rendered


@pytest.mark.parametrize("text", HOSTILE)
def test_no_tag_comes_out_that_was_not_put_in(text: str) -> None:
    known = {"p", "code", "pre", "strong", "ul", "li"}
    for page in (
        render_markdown(f"{text} `{text}` **{text}**\n\n- {text}\n\n```\n{text}\n```"),
        render_code(text),
        render_line(f"`{text}`"),
    ):
        assert {tag.name for tag in read_tags(page)} <= known
        assert "\u202e" not in page


def test_a_line_marks_code_alone() -> None:
    assert render_line("**a** `b`: <c>") == "**a** <code>b</code>: &lt;c&gt;"


def test_a_line_breaks_no_number_from_its_unit() -> None:
    assert render_line("draws 10 A, `10 A`, 0.17 m² K/W, 5 strips") == (
        "draws 10\u00a0A, <code>10 A</code>, 0.17\u00a0m²\u00a0K/W, 5 strips"
    )
