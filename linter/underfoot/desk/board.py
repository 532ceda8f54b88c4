"""The plans at the desk as they were last found, and the page that shows them."""

from collections.abc import Collection, Sequence

from msgspec import Struct
from msgspec.structs import replace

from underfoot import __version__
from underfoot.checking.report import UNREADABLE
from underfoot.checking.rule import AnyRule
from underfoot.checking.summing import Summary
from underfoot.desk.found import Found
from underfoot.page import AtDesk, DrawnPlan, HtmlWriter
from underfoot.reading.problem import Problem
from underfoot.running.plan_files import Collected, PlanFile


class Held(Struct, frozen=True, kw_only=True):
    """A plan at its place on the page, as it was last found; `good` could be drawn."""

    file: PlanFile
    version: int = 0
    found: Found | None = None
    good: DrawnPlan | None = None

    @property
    def page(self) -> DrawnPlan | None:
        """What the page shows of it."""
        if self.found is None:
            return None
        at_desk = AtDesk(
            version=self.version,
            plan_hash=self.found.plan_hash,
            review_hash=self.found.review_hash,
        )
        drawn = replace(self.found.drawn, at_desk=at_desk)
        return replace(drawn, last=self.good) if _is_unreadable(drawn) else drawn


class Board(Struct, frozen=True, kw_only=True):
    """All plans at the desk, in the order of the page.

    The `edition` is another one where more has changed than what plans hold: which plans there
    are, the settings, what could not be collected.
    """

    edition: int = 1
    held: tuple[Held, ...] = ()
    passed_over: int = 0
    problems: tuple[Problem, ...] = ()

    def find(self, place: str) -> Held | None:
        """Find the plan that is opened at a place."""
        return next((each for each in self.held if each.file.place == place), None)

    @property
    def versions(self) -> dict[str, int]:
        """The version of each plan by its place on the page."""
        return {str(at): each.version for at, each in enumerate(self.held, 1)}

    @property
    def is_ready(self) -> bool:
        """Whether every plan has been looked at."""
        return all(each.found is not None for each in self.held)


def collect(board: Board, collected: Collected) -> Board:
    """Take in which plans there are; those that stay keep what was found of them."""
    before = {each.file.place: each for each in board.held}
    held = tuple(before.get(file.place, Held(file=file)) for file in collected.files)
    after = replace(
        board, held=held, passed_over=collected.passed_over, problems=collected.problems
    )
    if after == board:
        return board
    # How many files are no plans is no reason to load the page anew.
    is_same = (after.held, after.problems) == (board.held, board.problems)
    return replace(after, edition=board.edition + (not is_same))


def take(board: Board, file: PlanFile, found: Found) -> Board:
    """Take in what was found of one plan; where that is as it was, nothing changes."""
    before = board.find(file.place)
    if before is None or before.found == found:
        return board
    good = before.good if _is_unreadable(found.drawn) else found.drawn
    after = replace(before, version=before.version + 1, found=found, good=good)
    held = tuple(after if each is before else each for each in board.held)
    was = before.found.drawn.settings if before.found is not None else found.drawn.settings
    return replace(board, held=held, edition=board.edition + (found.drawn.settings != was))


def write_page(board: Board, rules: Sequence[AnyRule], only: Collection[int] | None = None) -> str:
    """Write the page, or of it what is told of all and the plans at the places `only`.

    Every plan must have been looked at.
    """
    shown = [(each, each.page) for each in board.held]
    pages = [page for _, page in shown if page is not None]
    run = Summary(
        version=__version__,
        plans=[page.report.in_brief for page in pages],
        passed_over=board.passed_over,
        problems=board.problems,
    )
    writer = HtmlWriter(rules, len(pages), edition=board.edition, only=only)
    writer.begin(run)
    for page in pages:
        writer.add(page.report, page)
    return "".join(writer.end(run))


def _is_unreadable(drawn: DrawnPlan) -> bool:
    return drawn.report.verdict == UNREADABLE
