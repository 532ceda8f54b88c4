"""The page stands alone: nothing foreign runs in it, nothing is fetched, no link leads out."""

import re
from base64 import b64encode
from collections import Counter
from hashlib import sha256

import pytest

from tests.underfoot.page.pages import HOSTILE, read_tags, read_words
from underfoot.reporting.layout import escape_invisible

ENDLESS = {"area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source"}


@pytest.mark.parametrize("name", ["kitchen", "folder", "hostile"])
def test_the_policy_lets_only_what_the_page_holds_run(
    name: str, request: pytest.FixtureRequest
) -> None:
    page: str = request.getfixturevalue(name)
    policy = next(
        tag.attributes["content"]
        for tag in read_tags(page)
        if tag.attributes.get("http-equiv") == "Content-Security-Policy"
    )
    assert policy is not None
    for element in ("script", "style"):
        (content,) = re.findall(rf"<{element}>(.*?)</{element}>", page, re.S)
        digest = b64encode(sha256(content.encode()).digest()).decode()
        assert f"{element}-src 'sha256-{digest}'" in policy
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy


@pytest.mark.parametrize("name", ["kitchen", "folder", "hostile"])
def test_no_attribute_runs_styles_or_fetches(name: str, request: pytest.FixtureRequest) -> None:
    tags = read_tags(request.getfixturevalue(name))
    assert len(tags) > 500
    for tag in tags:
        for attribute, value in tag.attributes.items():
            assert attribute != "style"
            assert not attribute.startswith("on")
            if attribute in {"src", "href", "xlink:href", "action", "data", "srcset"}:
                assert value is not None
                assert value.startswith("#") or value == "data:,"
            if value is not None and "url(" in value:
                assert re.fullmatch(r"url\(#[\w-]+\)", value)
    assert {tag.name for tag in tags} & {"iframe", "object", "embed", "img", "base"} == set()
    assert sum(tag.name == "script" for tag in tags) == 1


@pytest.mark.parametrize("name", ["kitchen", "folder", "hostile"])
def test_ids_are_unique_and_everything_pointed_at_is_there(
    name: str, request: pytest.FixtureRequest
) -> None:
    tags = read_tags(request.getfixturevalue(name))
    ids = Counter(tag.attributes["id"] for tag in tags if "id" in tag.attributes)
    assert [one for one, count in ids.items() if count > 1] == []
    pointed = {
        name
        for tag in tags
        for attribute in ("for", "aria-labelledby", "aria-describedby")
        for name in (tag.attributes.get(attribute) or "").split()
    }
    pointed |= {
        found
        for tag in tags
        for value in tag.attributes.values()
        if value
        for found in re.findall(r"url\(#([\w-]+)\)", value)
    }
    assert len(pointed) > 5
    assert pointed <= set(ids)


def test_links_lead_somewhere(folder: str) -> None:
    tags = read_tags(folder)
    ids = {tag.attributes.get("id") for tag in tags}
    links = {(tag.attributes["href"] or "")[1:] for tag in tags if tag.name == "a"}
    assert len(links) > 10
    assert links <= ids


def test_tags_are_balanced(folder: str) -> None:
    begun = Counter(tag.name for tag in read_tags(folder) if tag.name not in ENDLESS)
    for name in ("div", "section", "details", "li", "article", "noscript", "table", "p", "dl"):
        assert begun[name] == folder.count(f"</{name}>"), name


def test_hostile_texts_are_shown_and_nothing_more(hostile: str) -> None:
    words = read_words(hostile)
    for text in HOSTILE:
        assert text not in hostile or not set("<\u202e") & set(text)
        assert escape_invisible(text) in words
    assert "\u202e" not in hostile
    assert "\u200b" not in hostile
    assert not re.search(r"\b49 ", words)  # what a template would make of {{ 7 * 7 }}


def test_a_hostile_title_cannot_end_a_drawing_early(hostile: str) -> None:
    # With scripts on a browser takes all up to the first </noscript> as text.
    for held in re.findall(r'<noscript class="lazy">(.*?)</noscript>', hostile, re.S):
        assert held.count("<svg") == held.count("</svg>")
