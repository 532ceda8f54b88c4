"""The reports of one run, each in its format and at its place."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from typing import TYPE_CHECKING, Literal, get_args

from msgspec import Struct
from msgspec.structs import replace

from underfoot.running.errors import CommandError

if TYPE_CHECKING:
    from underfoot.checking.exit_status import RefuseAt
    from underfoot.checking.rule import RuleSet
    from underfoot.reporting.sarif_places import PathBase
    from underfoot.reporting.writer import Writer

FORMATS = (
    "text", "json", "sarif", "junit", "html", "lines", "annotations", "code-quality", "known",
)  # fmt: skip


# A table may be wider than what is read line by line.
_WIDEST_BRIEF = 160


class Output(Struct, frozen=True, kw_only=True):
    """One report to write; `place` is None for standard output."""

    format: str
    place: str | None
    option: str = "--output"


# How much a text tells; left out, all of one plan and a line a finding of several.
Detail = Literal["full", "brief"]
DETAILS: tuple[Detail, ...] = get_args(Detail)
# What can leave out what refuses no plan.
_CAN_BE_QUIET = ("text", "lines")


class Asked(Struct, frozen=True, kw_only=True):
    """What any format needs to know before the first plan comes; `plans` is how many will.

    Where it is to be `quiet` the main report holds only what refuses a plan.
    """

    sets: Sequence[RuleSet]
    refuse_at: RefuseAt
    plans: int
    is_held: bool = False
    split: bool = False
    only_new: bool = False
    all_cases: bool = False
    root: str | None = None
    detail: Detail | None = None
    quiet: bool = False


def list_outputs(format_: str, output: str | None, reports: Sequence[str]) -> tuple[Output, ...]:
    """List the main report and those beside it; CommandError where one is named wrongly."""
    outputs = [Output(format=format_, place=output)]
    for text in reports:
        form, mark, place = text.partition("=")
        if not mark or form not in FORMATS or not place:
            raise CommandError(
                f"--report {text}: write FORMAT=FILE, FORMAT one of {', '.join(FORMATS)}"
            )
        if place == "-":
            raise CommandError(f"--report {text}: name a file; --format goes to standard output")
        outputs.append(Output(format=form, place=place, option="--report"))
    places = [os.path.realpath(each.place) for each in outputs if each.place is not None]
    for each in outputs:
        if each.place is not None and places.count(os.path.realpath(each.place)) > 1:
            raise CommandError(f"{each.option} {each.place}: two reports cannot be one file")
    return tuple(outputs)


def see_that_it_can_be_quiet(main: Output) -> None:
    """CommandError where the main report is of a format that holds everything or nothing."""
    if main.format not in _CAN_BE_QUIET:
        raise CommandError(f"--quiet is for {' and '.join(_CAN_BE_QUIET)}, not for {main.format}")


def are_in_brief(outputs: Sequence[Output], asked: Asked) -> bool:
    """Whether no report tells more of a finding than where it is and what it says."""
    main, *beside = outputs
    whole = replace(asked, quiet=False)
    return all(
        output.format == "text" and _is_brief(of)
        for output, of in ((main, asked), *((each, whole) for each in beside))
    )


def open_main_writer(output: Output, asked: Asked) -> Writer:
    """Return what writes the main report, which may have been asked to be quiet."""
    writer = open_writer(output, asked)
    if not asked.quiet:
        return writer
    from underfoot.commands.on_terminal import width_out
    from underfoot.reporting.layout import WIDTH
    from underfoot.reporting.quiet import QuietWriter

    width = width_out(WIDTH) if output.place is None else WIDTH
    return QuietWriter(writer, asked.refuse_at, with_caution=output.format == "text", width=width)


def open_writer(output: Output, asked: Asked) -> Writer:
    """Return what writes the report in the output's format, plan by plan."""
    form = output.format
    rules = [rule for rule_set in asked.sets for rule in rule_set.rules]
    if form == "json":
        from underfoot.reporting.json import JsonWriter

        return JsonWriter(is_held=asked.is_held)
    if form == "sarif":
        from underfoot.reporting.sarif import SarifWriter

        return SarifWriter(
            rules, find_path_base(asked.root), split=asked.split, only_new=asked.only_new
        )
    if form == "known":
        from underfoot.reporting.known import KnownWriter

        return KnownWriter(find_path_base(asked.root))
    if form == "junit":
        from underfoot.reporting.host_limits import JUNIT_PLANS_WITH_ALL_CASES
        from underfoot.reporting.junit import JunitWriter

        are_many = asked.plans > JUNIT_PLANS_WITH_ALL_CASES
        return JunitWriter(asked.refuse_at, only_failing=are_many and not asked.all_cases)
    if form == "html":
        from underfoot.checking.exit_status import plan_status
        from underfoot.page import HtmlWriter

        return HtmlWriter(rules, asked.plans, lambda plan: plan_status(plan, asked.refuse_at) != 0)
    if form in ("lines", "annotations", "code-quality"):
        from underfoot.reporting import one_line

        if form == "lines":
            return one_line.RowWriter(one_line.write_line)
        if form == "annotations":
            return one_line.AnnotationWriter(find_path_base(asked.root))
        return one_line.CodeQualityWriter(find_path_base(asked.root))
    return _open_text(output, asked)


def find_path_base(root: str | None) -> PathBase:
    """Find where paths for hosts start: at the top of the repository in which the check is run."""
    from pathlib import Path

    from underfoot.reading.root import find_root
    from underfoot.reporting.sarif_places import PathBase

    here = Path.cwd()
    top = find_root(here) if root is None else Path(root).resolve()
    return PathBase(here=here.as_posix(), top=top.as_posix())


def _open_text(output: Output, asked: Asked) -> Writer:
    from underfoot.commands.on_terminal import ink_out, width_out
    from underfoot.reporting.ink import PLAIN
    from underfoot.reporting.layout import WIDTH

    goes_out = output.place is None
    ink = ink_out() if goes_out else PLAIN
    if not _is_brief(asked):
        from underfoot.reporting.text import TextWriter

        width = width_out() if goes_out else WIDTH
        return TextWriter(width, ink, with_checked=not asked.quiet)
    from underfoot.reporting.text_brief import BriefWriter

    electrical = frozenset(rule.id for each in asked.sets for rule in each.rules if rule.electrical)
    width = width_out(_WIDEST_BRIEF) if goes_out else WIDTH
    fits = goes_out and sys.stdout.isatty()
    return BriefWriter(width, ink, fits=fits, electrical=electrical)


def _is_brief(asked: Asked) -> bool:
    """Whether a text has one line a finding."""
    if asked.detail is None:
        return asked.plans > 1 or asked.quiet
    return asked.detail == "brief"
