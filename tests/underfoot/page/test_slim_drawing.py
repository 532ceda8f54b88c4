"""Drawings on a page are written short, and look as they did."""

import re
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.underfoot.page.pages import examine_demo
from underfoot.page import draw_plan
from underfoot.page.pens_once import PensOnce
from underfoot.page.short_paths import shorten_numbers, shorten_path
from underfoot.page.slim_drawing import slim


@pytest.mark.parametrize(
    ("path", "short"),
    [
        ("M1 2L1 5L4 5L3 3z", "M1 2V5H4L3 3z"),
        # What follows a move goes on from there, and what follows a closed area from its beginning.
        ("M1 2L1 3M1 9L8 9", "M1 2V3M1 9H8"),
        ("M100 2L104 2L104 6zL100 9", "M100 2h4V6zV9"),
        # Whichever is shorter: where it ends, or how far it goes.
        ("M100.25 100.75L101.25 99.75L100.5 0", "M100.25 100.75l1-1L100.5 0"),
        # To a hundredth; what is rounded is not added up on the way.
        ("M0 0L0.333 0.5L0.666 1.5L0.999 2.5", "M0 0L.33 .5l.34 1L1 2.5"),
        ("M0 0L-0.004 7", "M0 0V7"),
        ("M0 0A1 1 0 0 1 5 5", "M0 0A1 1 0 0 1 5 5"),
    ],
)
def test_a_path_is_written_in_the_shorter_way(path: str, short: str) -> None:
    assert shorten_path(path) == short


def test_numbers_are_written_to_a_hundredth() -> None:
    assert shorten_numbers("translate(0.000 -2.900)rotate(-90)") == "translate(0 -2.9)rotate(-90)"
    assert shorten_numbers("12.999") == "13"
    assert shorten_numbers("100") == "100"


def corners_of(path: str) -> list[tuple[str, int, int]]:
    """Follow a path, to hundredths: each corner and how it is come to."""
    corners = []
    x = y = begun_x = begun_y = 0
    for way, places in re.findall(r"([MmLlHhVvz])([^A-Za-z]*)", path):
        figures = [round(float(each) * 100) for each in re.findall(r"-?[0-9]*\.?[0-9]+", places)]
        from_x, from_y = (x, y) if way.islower() else (0, 0)
        kind = "L" if way.upper() in "HV" else way.upper()
        if way == "z":
            x, y = begun_x, begun_y
        else:
            x = x if way in "Vv" else from_x + figures[0]
            y = y if way in "Hh" else from_y + figures[-1]
        if kind == "M":
            begun_x, begun_y = x, y
        corners.append((kind, x, y))
    return corners


places = st.tuples(*[st.integers(-30000, 30000).map(lambda each: each / 100)] * 2)


@given(st.lists(st.tuples(places, st.lists(places, min_size=1), st.booleans()), min_size=1))
def test_a_path_leads_where_it_led(
    lines: list[tuple[tuple[float, ...], list[tuple[float, ...]], bool]],
) -> None:
    path = "".join(
        "M" + "L".join(f"{x:.3f} {y:.3f}" for x, y in (first, *rest)) + "z" * closed
        for first, rest, closed in lines
    )
    short = shorten_path(path)
    assert corners_of(short) == corners_of(path)
    assert len(short) < len(path)


def test_what_the_page_says_once_is_left_out() -> None:
    line = '<path d="M1.23456 -2.5L1.23456 7.125" fill-rule="evenodd"/>'
    texts = '<text text-anchor="middle">a</text><text x="3.999">0.12345</text>'
    ground = '<path fill="#ffffff" fill-opacity="0.86"/>'
    assert slim(f"<svg >{line}{texts}{ground}</svg>") == (
        '<svg data-slim ><path d="M1.23-2.5V7.12"/>'
        '<text>a</text><text text-anchor="start" x="4">0.12345</text><path/></svg>'
    )
    # What is left out of the grounds of labels and figures is left out of no other thing.
    whole = draw_plan(examine_demo("hobby-room")).rooms[0].svg
    labels, plates = (whole.count(f'class="{each}"') for each in ("label", "plate"))
    assert whole.count(' fill="#ffffff" fill-opacity="0.86"') == labels + plates
    assert min(labels, plates) > 2


def test_lines_of_one_ink_side_by_side_are_one_for_each_width() -> None:
    def line(path: str, more: str = "") -> str:
        return f'<path d="{path}" fill="none"{more}/>'

    wide, red = ' stroke-width="0.35"', ' stroke="#b3261e"'
    assert slim(
        line("M0 0H1") + line("M0 1H1", wide) + line("M0 2H1") + line("M9 9H8", red)
        # A name, an ink that lets others through, and what is filled stay by themselves.
        + line("M0 3H1", ' data-item="A1"') + line("M0 4H1", ' stroke-opacity="0.5"')
        + '<path d="M0 5H1V2z"/>' + line("M0 6H1") + line("M0 0H1")
    ) == (
        line("M0 0H1M0 2H1") + line("M0 1H1", wide) + line("M9 9H8", red)
        + line("M0 3H1", ' data-item="A1"') + line("M0 4H1", ' stroke-opacity="0.5"')
        + '<path d="M0 5H1V2z"/>' + line("M0 6H1M0 0H1")
    )  # fmt: skip


def test_a_turned_text_stands_where_it_stood() -> None:
    turned = 'fill="#1b1f24" transform="rotate(-90 3 4.5)" textLength="8">A1</text>'
    assert slim(f'<text x="3" y="4.5" {turned}') == (
        '<text text-anchor="start" fill="#1b1f24" transform="translate(3 4.5)rotate(-90)" '
        'textLength="8">A1</text>'
    )


def test_a_pen_said_once_is_the_pen_that_was_left_out() -> None:
    pens = PensOnce()
    for name in ("attic", "sewing-room"):
        svg = slim(draw_plan(examine_demo(name)).rooms[0].svg).replace(" data-slim", "")
        short = pens.take_out(svg)
        assert len(short) < 0.9 * len(svg)
        style = dict(re.findall(r":where\(\.(\w+)\)\{(.*)\}", pens.write_style()))
        plain, classed = (ElementTree.fromstring(each).iter() for each in (svg, short))
        for was, now in zip(plain, classed, strict=True):
            words = now.attrib.pop("class", "").split()
            said = [style[word] for word in words if word in style]
            assert len(said) < 2
            pen = dict(each.split(":") for each in said[0].split(";")) if said else {}
            if "font-size" in pen:
                pen["font-size"] = pen["font-size"].removesuffix("px")
            own = " ".join(word for word in words if word not in style)
            assert now.attrib | pen | ({"class": own} if own else {}) == was.attrib
            # What is drawn with a pattern says so itself: patterns are each room's own.
            assert "url(" not in "".join(pen.values())
    # Each way to draw is told once.
    assert len(set(style.values())) == len(style)
