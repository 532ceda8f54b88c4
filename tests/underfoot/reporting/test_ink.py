"""Colours and links: only where they are wanted, and no word differs."""

import re

import pytest
from msgspec.structs import replace

from tests.underfoot.reporting.reports import ALL
from tests.underfoot.reporting.test_text import ESCAPE
from underfoot.reporting.ink import COLOURED, PLAIN, ink_for, link, with_links
from underfoot.reporting.text import write_text

LINK = re.compile(r"\x1b]8;;[^\x1b]*\x1b\\")


def test_plain_text_has_no_escape_codes() -> None:
    assert "\x1b" not in "".join(write_text(ALL, ink=PLAIN))


def test_colour_adds_nothing_but_codes() -> None:
    coloured = "".join(write_text(ALL, ink=COLOURED))
    assert coloured != ESCAPE.sub("", coloured)
    assert ESCAPE.sub("", coloured) == "".join(write_text(ALL))
    assert coloured.count("\x1b[0m") * 2 == coloured.count("\x1b[")


@pytest.mark.parametrize(
    ("terminal", "environment", "coloured"),
    [
        (True, {}, True),
        (True, {"TERM": "xterm-256color"}, True),
        (False, {"TERM": "xterm-256color"}, False),
        (True, {"NO_COLOR": "1"}, False),
        (True, {"NO_COLOR": ""}, True),
        (True, {"TERM": "dumb"}, False),
        (True, {"CLICOLOR": "0"}, False),
        (False, {"FORCE_COLOR": "1"}, True),
        (False, {"FORCE_COLOR": "1", "TERM": "dumb"}, True),
        (False, {"FORCE_COLOR": "1", "NO_COLOR": "1"}, False),
        (True, {"FORCE_COLOR": "0"}, False),
        (False, {"FORCE_COLOR": ""}, False),
        (False, {"CLICOLOR_FORCE": "1"}, True),
        (False, {"CLICOLOR_FORCE": "0"}, False),
        (True, {"CLICOLOR_FORCE": "0"}, True),
    ],
)
def test_colour_only_where_it_is_wanted(
    terminal: bool, environment: dict[str, str], coloured: bool
) -> None:
    assert (ink_for(terminal, environment) is COLOURED) == coloured


@pytest.mark.parametrize(
    ("terminal", "environment", "linked"),
    [
        (True, {"TERM": "xterm-256color"}, True),
        (True, {"TERM": "xterm", "NO_COLOR": "1"}, True),
        (False, {"TERM": "xterm"}, False),
        (True, {"TERM": "dumb"}, False),
        (True, {"TERM": "linux"}, False),
        (True, {}, False),
        (True, {"TERM": "xterm", "FORCE_HYPERLINK": "0"}, False),
        (False, {"FORCE_HYPERLINK": "1"}, True),
    ],
)
def test_links_only_where_they_are_shown(
    terminal: bool, environment: dict[str, str], linked: bool
) -> None:
    assert bool(with_links(PLAIN, terminal, environment).links_from) == linked


def test_a_link_leads_to_the_file_and_changes_no_word() -> None:
    ink = replace(PLAIN, links_from="file://desk/home/me")
    text = "".join(write_text(ALL, ink=ink))
    begin = "\x1b]8;;file://desk/home/me/plans/kitchen.yaml\x1b\\"
    assert f" 1  {begin}plans/kitchen.yaml:58:7\x1b]8;;\x1b\\  " in text
    assert "\x1b]8;;file://desk/home/me/plans/catalogue.yaml\x1b" in text
    assert LINK.sub("", text) == "".join(write_text(ALL))
    assert link("a", "/tmp/a b\x1b.yaml", ink) == (
        "\x1b]8;;file://desk/tmp/a%20b%1B.yaml\x1b\\a\x1b]8;;\x1b\\"
    )
    assert link("standard input", "-", ink) == "standard input"
