"""Pages for the tests: of the demo plans, of a hostile plan, and of reports made by hand."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from html.parser import HTMLParser
from typing import Any

from msgspec import Struct
from msgspec.structs import asdict, replace

from tests.demo_plans import PLANS
from tests.underfoot.reporting.reports import KITCHEN, VERSION
from underfoot.checking.check import CheckedPlan, examine, make_checker
from underfoot.checking.report import Report
from underfoot.checking.rule import RuleSet
from underfoot.checking.settings import default_settings
from underfoot.page import DrawnPlan, HtmlWriter, draw_plan
from underfoot.reporting.writer import write_whole
from underfoot.running.checking import rule_sets_to_use
from underfoot.running.finding_settings import settings_finder

TODAY = date(2026, 12, 1)  # after the tests that the demo plans record
# Each would run, fetch, end a tag or an attribute, or turn what follows it around.
HOSTILE = (
    "<script>document.title='run'</script>",
    "\"'><img src=http://127.0.0.1:9/x onerror=\"document.title='run'\">",
    "</noscript></title></style><svg onload=document.title='run'>",
    "{{ 7 * 7 }} {% raw %} ${7*7}",
    "fdp.\u202egnidaeh \u200b&amp;",
)


def standard_sets() -> tuple[RuleSet, ...]:
    """The standard set alone, whatever else is installed."""
    return tuple(one for one in rule_sets_to_use() if one.name == "standard")


def examine_demo(name: str) -> CheckedPlan:
    """Check a demo plan with the settings beside it."""
    place = PLANS / f"{name}.yaml"
    sets = standard_sets()
    bench = make_checker(sets, settings_finder(sets, None)(str(place)), TODAY)
    return examine(place.read_bytes(), bench, path=f"plans/{name}.yaml", folder=place.parent)


def examine_text(text: str, path: str = "plans/plan.yaml") -> CheckedPlan:
    """Check a plan given as text, with no settings."""
    sets = standard_sets()
    settings = default_settings(rule for one in sets for rule in one.rules)
    return examine(text.encode(), make_checker(sets, settings, TODAY), path=path, folder=PLANS)


def page_of(*examined: CheckedPlan) -> str:
    """The page of checked plans."""
    return page_of_drawn([draw_plan(each) for each in examined])


def page_of_drawn(drawn: Sequence[DrawnPlan], **more: Any) -> str:
    """The page of drawn plans."""
    report = Report(version=VERSION, plans=tuple(each.report for each in drawn), **more)
    rules = [rule for one in standard_sets() for rule in one.rules]
    return "".join(write_whole(HtmlWriter(rules, len(drawn)), report, drawn))


def hostile_plan() -> str:
    """A plan with a hostile text in every place that takes free text."""
    text = (PLANS / "hobby-room.yaml").read_text("utf-8")
    first, second, third, fourth, fifth = (_quoted(one) for one in HOSTILE)
    job = f"  title: {first}\n  reference: {second}\n  site: {third}\n  client: {fourth}\n"
    text = re.sub(
        r"^job:\n(?:  .*\n)*", lambda _: f"job:\n{job}  note: {fifth}\n", text, flags=re.M
    )
    waiver = f"{{rule: rcd, item: C1, reason: {first}, agreed_by: {second}}}"
    return f"{text}\nnote: {third}\nwaivers:\n  - {waiver}\n"


def _quoted(text: str) -> str:
    inside = text.replace("\\", "\\\\").replace('"', '\\"')
    inside = inside.replace("\u202e", "\\u202e").replace("\u200b", "\\u200b")
    return f'"{inside}"'


def hostile_report() -> DrawnPlan:
    """A report by hand with a hostile text in place of every text in it."""
    report = replace(
        (_poisoned(KITCHEN, iter(range(10**6)))), path="plans/<b>'\".yaml", verdict=KITCHEN.verdict
    )
    findings = tuple(
        replace(each, severity=before.severity, shape=None)
        for each, before in zip(report.findings, KITCHEN.findings, strict=True)
    )
    return DrawnPlan(report=replace(report, findings=findings), settings=None)


def _poisoned(value: Any, places: Iterator[int]) -> Any:
    if isinstance(value, str):
        return HOSTILE[next(places) % len(HOSTILE)]
    if isinstance(value, Struct):
        changed = {name: _poisoned(one, places) for name, one in asdict(value).items()}
        return replace(value, **changed)
    if isinstance(value, tuple):
        return tuple(_poisoned(each, places) for each in value)
    return value


@dataclass(frozen=True, slots=True)
class Tag:
    """A start tag with its attributes."""

    name: str
    attributes: dict[str, str | None]


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: list[Tag] = []
        self.words: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(Tag(tag, dict(attrs)))
        if tag in {"dd", "dt", "td", "th", "li", "p", "div"}:
            self.words.append(" ")

    def handle_data(self, data: str) -> None:
        if self.lasttag not in {"script", "style"}:
            self.words.append(data)


def read_tags(page: str) -> list[Tag]:
    """Read every start tag of a page, those of the drawings with them."""
    reader = _Reader()
    reader.feed(page)
    reader.close()
    return reader.tags


def read_words(page: str) -> str:
    """Read the text of a page, without its script and style."""
    reader = _Reader()
    reader.feed(page)
    reader.close()
    return "".join(reader.words)
