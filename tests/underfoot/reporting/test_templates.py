"""Templates of pages: set up once, and whatever a plan says is text."""

import re
from pathlib import Path

import pytest
from jinja2 import TemplateNotFound, UndefinedError

import underfoot
from underfoot.reporting.templates import set_up_templates

PAGE = "underfoot.page"


def test_what_a_plan_says_is_escaped_and_written_out() -> None:
    template = set_up_templates(PAGE, "templates").from_string("<p>{{ said }}</p>")
    assert template.render(said="<b>\u202eA") == "<p>&lt;b&gt;\\u202eA</p>"
    assert template.render(said=None) == "<p></p>"


def test_a_template_or_word_that_is_not_there_is_an_error() -> None:
    templates = set_up_templates(PAGE, "templates")
    with pytest.raises(TemplateNotFound):
        templates.get_template("none.html")
    with pytest.raises(UndefinedError):
        templates.from_string("{{ nothing }}").render()


def test_no_page_sets_up_templates_of_its_own() -> None:
    root = Path(underfoot.__file__).parent
    calls = [
        path.relative_to(root).as_posix()
        for path in sorted(root.rglob("*.py"))
        if re.search(r"\bEnvironment\(", path.read_text("utf-8"))
    ]
    assert calls == ["reporting/templates.py"]
