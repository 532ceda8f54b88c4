"""The page: each pair with its findings, what changed, and both revisions drawn over each other."""

from base64 import b64encode
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cache
from hashlib import sha256

from jinja2 import Environment
from markupsafe import Markup
from msgspec import Struct

from underfoot.checking.caution import CAUTION
from underfoot.checking.crash import describe, is_lack_of_memory
from underfoot.checking.facts import Facts
from underfoot.comparing import Comparison, words
from underfoot.comparing.page.overlay import draw_overlay
from underfoot.comparing.page.overlay_signs import Sign, signs_of
from underfoot.comparing.page.signed import Signed, draw_signed, entries_of, sign_id
from underfoot.page.markdown import render_line
from underfoot.page.own_code import LETTERING
from underfoot.reading.problem import Problem
from underfoot.reporting.layout import count_of
from underfoot.reporting.phrases import say_about, say_counts, say_verdict
from underfoot.reporting.templates import read_part, set_up_templates
from underfoot.reporting.text import say_problem


def write_comparisons_html(
    comparisons: Sequence[Comparison],
    problems: Sequence[Problem],
    version: str,
    written: Iterable[str] | None = None,
) -> Iterator[str]:
    """Write the page piece by piece, one pair at a time.

    `written` are the pairs where they are written already.
    """
    environment = _environment()
    style = _style()
    digest = b64encode(sha256(style.encode()).digest()).decode()
    page = {
        "title": _title(comparisons),
        "caution": CAUTION,
        "version": version,
        "pairs": comparisons,
        "problems": [say_problem(each) for each in problems],
    }
    yield environment.get_template("head.html").render(
        page,
        style=Markup(style),
        policy=(
            f"default-src 'none'; style-src 'sha256-{digest}'; img-src data:; "
            "base-uri 'none'; form-action 'none'"
        ),
    )
    yield from written or (write_pair(each, at) for at, each in enumerate(comparisons, 1))
    yield environment.get_template("foot.html").render(page)


def write_pair(comparison: Comparison, place: int = 1) -> str:
    """Write one pair, with its drawings; `place` is its number on the page."""
    pair_id = f"pair-{place}"
    rooms = _rooms(comparison, pair_id)
    signs = {
        (each.which, number): sign_id(pair_id, each.which, number)
        for room in rooms
        for each in room.signed
        for number in each.numbers
    }
    signs |= {sign.key: sign.id for room in rooms for sign in room.over}
    template = _environment().get_template("pair.html")
    return template.render(pair=comparison, id=pair_id, rooms=rooms, signs=signs)


def _title(comparisons: Sequence[Comparison]) -> str:
    if len(comparisons) != 1:
        return f"Two revisions of {count_of(len(comparisons), 'plan')}"
    side = comparisons[0].new or comparisons[0].old
    title = None if side is None else side.report.title
    return f"Two revisions of {title or comparisons[0].name}"


class _Room(Struct, frozen=True, kw_only=True):
    """A room of either side: what became of it, its drawing, or why that failed."""

    called: str
    became: str
    drawing: Markup | None
    fault: str | None
    over: tuple[Sign, ...] = ()
    signed: tuple[Signed, ...] = ()


def _style() -> str:
    """Write the style sheet: the colours and the lettering are those of the page of plans."""
    shared = (read_part("underfoot.page", "styles", f"{name}.css") for name in ("colours", "slim"))
    own = read_part(__package__, "parts", "revisions.css")
    return f"{''.join(shared)}{own}".replace("@lettering@", LETTERING)


def _rooms(comparison: Comparison, pair_id: str) -> list[_Room]:
    # A comparison keeps plans and no facts, of which a folder of revisions would fill the memory.
    old, new = (
        None if side is None or side.plan is None else Facts(side.plan, {})
        for side in (comparison.old, comparison.new)
    )
    if old is None and new is None:
        return []
    before, now = ({} if facts is None else facts.plan.rooms for facts in (old, new))
    found = []
    signs = signs_of(comparison, pair_id)
    for room in dict.fromkeys([*now, *before]):
        called = words.name_room(comparison, room)
        became = "" if room in before and room in now else "added" if room in now else "taken away"
        title = {
            "": f"Both revisions of {called}: the old one in dashes, the new one in full lines",
            "added": f"{called}, which was added, in full lines",
            "taken away": f"{called}, which was taken away, in dashes",
        }[became]
        try:
            drawn, over = draw_overlay((old, new), room, comparison.changes, title, signs)
            signed = _signed(comparison, pair_id, {"old": old, "new": new}, room)
        except Exception as error:  # a fault of the drawing must not take the findings with it
            if is_lack_of_memory(error):
                raise MemoryError from None
            found.append(_Room(called=called, became=became, drawing=None, fault=describe(error)))
        else:
            found.append(
                _Room(
                    called=called,
                    became=became,
                    drawing=Markup(drawn),
                    fault=None,
                    over=tuple(over),
                    signed=signed,
                )
            )
    return found


def _signed(
    comparison: Comparison, pair_id: str, facts: Mapping[str, Facts | None], room: str
) -> tuple[Signed, ...]:
    """Draw either side of a room with its signs, where there is any finding to be shown."""
    if comparison.old is None or comparison.new is None:
        return ()
    entries = entries_of(comparison)
    signed = [
        draw_signed(pair_id, which, side, known, room, entries[which])
        for which, side in (("old", comparison.old), ("new", comparison.new))
        if (known := facts[which]) is not None and room in known.rooms
    ]
    return tuple(signed) if any(each.numbers for each in signed) else ()


@cache
def _environment() -> Environment:
    return set_up_templates(
        __package__,
        "parts",
        coded=render_line,
        by_room=words.by_room,
        say_about=say_about,
        say_outcome=words.say_outcome,
        say_settings=words.say_settings,
        say_severity=words.say_severity,
        say_counts=say_counts,
        say_verdict=say_verdict,
        say_unjudged=words.say_unjudged,
        say_revision=words.say_revision,
        say_step=words.say_step,
    )
