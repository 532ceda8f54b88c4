"""`underfoot review`: what was decided about a plan's findings, kept beside the plan."""

import os
import re
from collections.abc import Iterable, Sequence
from datetime import date
from pathlib import Path

import click

from underfoot import __version__
from underfoot.checking.check import CheckedPlan, report_file
from underfoot.checking.content_hash import find_changes, hash_content, hash_rules, with_rules
from underfoot.checking.decisions import DECISIONS, OPEN
from underfoot.checking.report import PlanReport, is_laxer
from underfoot.checking.rule import RuleSet
from underfoot.commands.limited import LimitedCommand
from underfoot.commands.on_terminal import ink_out, width_out
from underfoot.commands.options import flag, format_option, settings_option, takes, today_option
from underfoot.commands.output_files import say, write_file, write_out
from underfoot.reading.review_file import ReviewedContent, ReviewFile, StatedDecision, read_review
from underfoot.reading.wording import suggest
from underfoot.reviewing.deciding import (
    OVERALL,
    OverallWish,
    Wish,
    bring_up_to_date,
    decide_all,
)
from underfoot.reviewing.record import write_review
from underfoot.reviewing.text import (
    STARTED,
    UNCHANGED,
    UPDATED,
    write_review_json,
    write_review_text,
    write_verified_json,
    write_verified_text,
)
from underfoot.running.checking import Terms, do_unheld, examiner, keep_all, rule_sets_to_use
from underfoot.running.errors import CommandError, UnreadError
from underfoot.running.links import where_it_lies
from underfoot.running.plan_files import STANDARD_INPUT, PlanFile, display_path
from underfoot.running.reviews import place_of_review
from underfoot.running.taking_in import take_in

_DECIDED = re.compile(r"(?P<about>[^=]+)=(?P<decision>[a-z ]+)")


@click.command(cls=LimitedCommand, short_help="Keep what was decided about a plan's findings.")
@click.argument("plan_file", metavar="PLAN")
@takes("NAME", "--by", help="Who decides.")
@takes(
    "FINDING=DECISION",
    "--decide",
    "decided",
    help="Decide: accepted, 'to be mended', question, or open to take it back.",
    multiple=True,
)
@takes("TEXT", "--reason", help="Why it is decided so.")
@click.option("--overall", type=click.Choice(OVERALL), help="Decide about the whole plan.")
@flag("--verify", help="Only say whether the plan is the one that was reviewed.")
@format_option(["text", "json"], "What the answer is written as.")
@settings_option
@today_option
def review(
    plan_file: str,
    by: str | None,
    decided: tuple[str, ...],
    reason: str | None,
    overall: str | None,
    verify: bool,
    format_: str,
    settings: str | None,
    today: date | None,
) -> int:
    """Start or update the review of PLAN, the file NAME.review.yaml beside it.

    What was decided stays with its finding (rule, room and items) as long as the
    finding is there and no worse. It waives nothing: severities stay as they are.

    \b
    FINDING is a number of the report, or RULE, RULE:ITEMS, RULE@ROOM:ITEMS:
      --decide 2=accepted --decide RULE:A1,A2=question --by NAME --reason TEXT
    Exit status 0: the review is written; with --verify: the plan is the one reviewed.
                1: with --verify: the plan is not the one reviewed.
                2: the plan or its review could not be read, there is no review to
                   verify, or the command was misused.
    """
    if verify and (decided or overall or by or reason):
        raise CommandError("--verify decides nothing: leave --by, --decide, --reason, --overall")
    day = (today or date.today()).isoformat()
    _check_wishes(decided, overall, by, reason)
    sets = rule_sets_to_use()
    plan_file = where_it_lies(plan_file)
    source, examined = _examine(plan_file, settings, today, sets)
    assert examined.plan is not None, "what cannot be read ends the command"
    assert examined.settings is not None, "what is read was checked under settings"
    content = with_rules(
        hash_content(source, examined.plan, examined.settings, examined.taken),
        hash_rules(sets, __version__),
    )
    place = place_of_review(plan_file)
    before = _read_review(place, plan_file)
    if verify:
        if before is None:
            raise CommandError(f"{place}: there is no review to verify against")
        changed = find_changes(before.reviewed, content)
        _say_verified(place, before.reviewed, content, changed, format_)
        return 1 if changed else 0
    for fault in examined.report.faults:
        say(f"a fault of the tool: the rule {fault.rule} crashed: {fault.message}")
    if examined.report.faults:
        return 2  # what it would have found is not known, and would seem to be gone
    report = examined.report
    after = bring_up_to_date(before, os.path.basename(plan_file), content, report)
    lapsed = after.past_findings[len(before.past_findings) if before is not None else 0 :]
    wishes = [_read_wish(wish, report, reason, by) for wish in decided]
    whole = None
    if overall is not None and by is not None:
        if reason is None and is_laxer(overall, report.verdict):
            raise CommandError(
                f"--overall {overall!r}: the check says {report.verdict!r}; say by --reason why "
                "you decide otherwise"
            )
        whole = OverallWish(decision=overall, by=by, reason=reason)
    after = decide_all(after, report, wishes, whole, day)
    text = write_review(after)
    state = STARTED if before is None else UPDATED
    if before is not None and Path(place).read_bytes() == text.encode():
        state = UNCHANGED
    else:
        write_file(place, [text])
    write_out(_written(after, place, state, lapsed, format_), format_)
    return 0


def _check_wishes(
    decided: Sequence[str], overall: str | None, by: str | None, reason: str | None
) -> None:
    if not decided and overall is None:
        if by is not None or reason is not None:
            raise CommandError("--by and --reason go with --decide or --overall")
        return
    taken_back = True
    for wish in decided:
        match = _DECIDED.fullmatch(wish)
        if match is None:
            raise CommandError(f"--decide {wish}: write FINDING=DECISION, as in 2=accepted")
        decision = match["decision"]
        if decision not in (*DECISIONS, OPEN):
            nearest = suggest(decision, DECISIONS) or f": write {', '.join(DECISIONS)} or {OPEN}"
            raise CommandError(f"--decide {wish}: there is no decision {decision!r}{nearest}")
        taken_back = taken_back and decision == OPEN
    needed = [("--by", by)] if overall is not None or not taken_back else []
    if decided and not taken_back:
        needed.append(("--reason", reason))
    for option, value in needed:
        if value is None:
            raise CommandError(f"a decision needs {option}")
    for option, value in (("--by", by), ("--reason", reason)):
        if value is not None and not value.strip():
            raise CommandError(f"{option} is empty")


def _read_wish(wish: str, report: PlanReport, reason: str | None, by: str | None) -> Wish:
    """Find the findings that a wish is about: their places in the report."""
    match = _DECIDED.fullmatch(wish)
    assert match is not None
    about, decision = match["about"].strip(), match["decision"]
    if about.isdecimal():
        places = [at for at, one in enumerate(report.findings) if one.number == int(about)]
        if not places:
            raise CommandError(
                f"--decide {wish}: there is no finding {about}; the report has "
                f"{len(report.findings)}"
            )
        return Wish(places=tuple(places), decision=decision, reason=reason, by=by)
    where, _, items = about.partition(":")
    rule, _, room = where.partition("@")
    wanted = tuple(item.strip() for item in items.split(",")) if items else None
    places = [
        at
        for at, one in enumerate(report.findings)
        if one.rule == rule
        and (not room or one.room == room)
        and (wanted is None or one.items == wanted)
    ]
    if not places:
        known = {one.rule for one in report.findings}
        nearest = "" if rule in known else suggest(rule, sorted(known))
        raise CommandError(f"--decide {wish}: the report has no such finding{nearest}")
    return Wish(places=tuple(places), decision=decision, reason=reason, by=by)


def _examine(
    place: str, settings: str | None, today: date | None, sets: Sequence[RuleSet]
) -> tuple[bytes, CheckedPlan]:
    """Read and check a plan; UnreadError where it cannot be read."""
    if place == STANDARD_INPUT:
        raise CommandError("a review stands beside its plan: name the plan's file")
    if os.path.isdir(place):
        raise CommandError(f"{display_path(place)}: this is a folder; review takes one plan")
    source = take_in(place)
    file = PlanFile(place=place, path=display_path(place))
    terms = Terms(today=today or date.today(), settings=settings)
    examined = examiner(sets, terms, keep_all, do_unheld)(file)
    if examined.plan is None:
        raise UnreadError(examined.report)
    return source, examined


def _read_review(place: str, plan_file: str) -> ReviewFile | None:
    """Read the review beside a plan; CommandError where it cannot be read, None without one."""
    if not os.path.exists(place):
        return None
    source = take_in(place)
    reading = read_review(source, display_path(place))
    if reading.review is None:
        raise UnreadError(report_file(display_path(place), reading.problems, source))
    if reading.review.plan != os.path.basename(plan_file):
        raise CommandError(
            f"{display_path(place)}: this is the review of another plan, {reading.review.plan}"
        )
    return reading.review


def _say_verified(
    place: str,
    then: ReviewedContent,
    now: ReviewedContent,
    changed: tuple[str, ...],
    format_: str,
) -> None:
    if format_ == "json":
        write_out(write_verified_json(display_path(place), then, now, changed), "json")
    else:
        write_out(write_verified_text(display_path(place), then, now, changed, width_out()))


def _written(
    after: ReviewFile, place: str, state: str, lapsed: Sequence[StatedDecision], format_: str
) -> Iterable[str]:
    if format_ == "json":
        return write_review_json(after, display_path(place), state, lapsed)
    path = display_path(place)
    return write_review_text(after, path, state, lapsed, width=width_out(), ink=ink_out())
