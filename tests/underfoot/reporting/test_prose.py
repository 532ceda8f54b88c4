"""Markdown of a rule's page as plain words: no mark of it reaches a reader."""

import pytest

from underfoot.checking.page import page_of
from underfoot.checking.settings import default_settings
from underfoot.page.markdown import render_markdown
from underfoot.reporting.prose import plain_words
from underfoot.reporting.rule_page import write_page
from underfoot.reporting.rules_list import write_text_list
from underfoot.reporting.sarif_rules import describe_rules
from underfoot_rules import STANDARD


@pytest.mark.parametrize(
    ("text", "plain"),
    [
        ("goes *up* and **down**, ***both***", "goes up and down, both"),
        ("**two words** in *a few words*.", "two words in a few words."),
        ("`a * b` and `**` stay, *this* not", "`a * b` and `**` stay, this not"),
        ("**bold `code * x` on**", "bold `code * x` on"),
        ("* one\n* two\n  * deep", "- one\n- two\n  - deep"),
        ("3 * 4 * 5 and a*b*c", "3 * 4 * 5 and a*b*c"),
        ("a*b* c and *d*e", "a*b* c and *d*e"),
        ("", ""),
    ],
)
def test_emphasis_is_taken_out(text: str, plain: str) -> None:
    assert plain_words(text) == plain


def test_no_asterisk_of_a_page_reaches_a_reader() -> None:
    for rule in STANDARD.rules:
        page = page_of(rule)
        told = "".join(write_page(rule, page)).partition("\nRIGHT, FOR EXAMPLE")[0]
        assert "*" not in told, rule.id
        assert "*" not in render_markdown(f"{page.why}\n\n{page.remedy}"), rule.id
    assert "*" not in "".join(write_text_list([STANDARD], default_settings(STANDARD.rules)))
    assert not [rule for rule in describe_rules(STANDARD.rules) if "*" in rule["help"]["text"]]


def test_a_page_says_some_words_with_stress() -> None:
    assert render_markdown("heat goes *up*, 2 * 3 * 4") == (
        "<p>heat goes <em>up</em>, 2 * 3 * 4</p>"
    )
