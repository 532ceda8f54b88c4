"""A trainer's own comments and adjustments, read from a file and kept beside the tool's mark."""

from collections.abc import Mapping
from datetime import date
from fractions import Fraction
from typing import Any

from msgspec import Struct

from underfoot.marking.marks import NOTHING, read_marks, written_marks
from underfoot.marking.scheme import Scheme
from underfoot.reading.paths import join_path, locate
from underfoot.reading.problem import Problem, in_file, problem_at
from underfoot.reading.schema import check_data
from underfoot.reading.syntax import Parsed, parse
from underfoot.reading.wording import show, suggest


class Adjustment(Struct, frozen=True, kw_only=True):
    """Marks given (+) or taken (-) by hand, and why."""

    by: Fraction
    because: str
    topic: str | None = None


class Overruled(Struct, frozen=True, kw_only=True):
    """A row's marks as a marker gives them, in place of the tool's, and why."""

    row: str
    marks: Fraction
    because: str
    topic: str | None = None

    def is_about(self, topic: str, *names: str) -> bool:
        """Whether this is about a row of the scheme, which has these names."""
        return self.row in names and self.topic in (None, topic)


class Ruling(Struct, frozen=True, kw_only=True):
    """An outcome as a marker gives it, in place of the tool's, and why."""

    outcome: str
    because: str


class Agreed(Struct, frozen=True, kw_only=True):
    """What two markers agreed on."""

    mark: Fraction
    because: str
    outcome: str | None = None


class Comment(Struct, frozen=True, kw_only=True):
    """What one marker says of one submission."""

    comment: str | None = None
    handed_in: date | None = None
    adjust: tuple[Adjustment, ...] = ()
    overrule: tuple[Overruled, ...] = ()
    ruling: Ruling | None = None
    agreed: Agreed | None = None

    @property
    def marks(self) -> bool:
        """Whether the submission was marked here, if only by a word: not dated or agreed on."""
        return bool(self.adjust or self.overrule or self.ruling or self.comment)

    @property
    def by(self) -> Fraction:
        """All adjustments together."""
        return sum((one.by for one in self.adjust), NOTHING)


class Comments(Struct, frozen=True, kw_only=True):
    """One marker's comments, by the apprentice's name or number."""

    marker: str
    submissions: Mapping[str, Comment]

    @property
    def is_marking(self) -> bool:
        """Whether somebody marks here, and does not only note days and what was agreed."""
        return any(
            one.adjust or one.overrule or one.ruling or (one.comment and not one.agreed)
            for one in self.submissions.values()
        )


class CommentsReading(Struct, frozen=True, kw_only=True):
    """What reading a comments file came to; `comments` is None where there are problems."""

    comments: Comments | None
    problems: tuple[Problem, ...]


def read_comments(source: bytes, path: str, scheme: Scheme | None = None) -> CommentsReading:
    """Read comments of format 1; `path` names the file in the problems.

    With a scheme, the topics and rows that are named must be the scheme's.
    """
    parsed = parse(source)
    checked = check_data(parsed, "comments")
    problems = [*parsed.problems, *checked.problems]
    found: dict[str, Comment] = {}
    if not problems and checked.data is not None:
        for name, told in checked.data["submissions"].items():
            reader = _Reader(
                path=("submissions", name), parsed=parsed, scheme=scheme, problems=problems
            )
            found[name] = reader.read(told)
    if problems or checked.data is None:
        return CommentsReading(comments=None, problems=in_file(problems, path))
    return CommentsReading(
        comments=Comments(marker=checked.data["marker"], submissions=found), problems=()
    )


class _Reader(Struct, frozen=True, kw_only=True):
    """Reads one entry, whose place in the file is `path`."""

    path: tuple[str, ...]
    parsed: Parsed
    scheme: Scheme | None
    problems: list[Problem]

    def read(self, told: Mapping[str, Any]) -> Comment:
        ruling, agreed = told.get("outcome"), told.get("agreed")
        if agreed is not None:
            self._hold(agreed["mark"], self.scheme.marks if self.scheme else None, "agreed", "mark")
        return Comment(
            comment=told.get("comment"),
            handed_in=self._day(told),
            adjust=tuple(
                self._adjust(place, one) for place, one in enumerate(told.get("adjust", ()))
            ),
            overrule=tuple(
                self._overrule(place, one) for place, one in enumerate(told.get("overrule", ()))
            ),
            ruling=None
            if ruling is None
            else Ruling(outcome=ruling["is"], because=ruling["because"]),
            agreed=None
            if agreed is None
            else Agreed(
                mark=read_marks(agreed["mark"]),
                because=agreed["because"],
                outcome=agreed.get("outcome"),
            ),
        )

    def _say(self, message: str, *path: str | int) -> None:
        place = join_path((*self.path, *path))
        self.problems.append(problem_at(message, place, locate(place, self.parsed.positions)))

    def _day(self, told: Mapping[str, Any]) -> date | None:
        if "handed_in" not in told:
            return None
        try:
            return date.fromisoformat(told["handed_in"])
        except ValueError:
            self._say(f"there is no day {show(told['handed_in'])}", "handed_in")
            return None

    def _adjust(self, place: int, told: Mapping[str, Any]) -> Adjustment:
        self._find_topic(told, "adjust", place)
        return Adjustment(
            by=read_marks(told["by"]), because=told["because"], topic=told.get("topic")
        )

    def _overrule(self, place: int, told: Mapping[str, Any]) -> Overruled:
        one = Overruled(
            row=told["row"],
            marks=read_marks(told["marks"]),
            because=told["because"],
            topic=told.get("topic"),
        )
        if self.scheme is None or not self._find_topic(told, "overrule", place):
            return one
        rows = list_rows(self.scheme)
        met = [marks for topic, row, marks in rows if one.is_about(topic, *row)]
        if not met:
            known = [row for topic, names, _ in rows if one.topic in (None, topic) for row in names]
            where = "scheme" if one.topic is None else f"topic {show(one.topic)}"
            said = f"the {where} has no row {show(one.row)}{suggest(one.row, known)}"
            self._say(said, "overrule", place, "row")
        elif len(met) > 1:
            said = (
                f"the scheme has {len(met)} rows {show(one.row)}: name the topic with `topic`, or "
                f"the room too, as in `{one.row}, ROOM`"
            )
            self._say(said, "overrule", place, "row")
        else:
            self._hold(told["marks"], met[0], "overrule", place, "marks")
        return one

    def _find_topic(self, told: Mapping[str, Any], *path: str | int) -> bool:
        if self.scheme is None or "topic" not in told:
            return True
        known = [topic.name for topic in self.scheme.topics]
        if told["topic"] in known:
            return True
        said = f"the scheme has no topic {show(told['topic'])}{suggest(told['topic'], known)}"
        self._say(said, *path, "topic")
        return False

    def _hold(self, told: float, most: Fraction | None, *path: str | int) -> None:
        if most is not None and read_marks(told) > most:
            said = f"{told:g} is more than the {written_marks(most)} marks that can be earned here"
            self._say(said, *path)


def list_rows(scheme: Scheme) -> list[tuple[str, tuple[str, ...], Fraction]]:
    """List a scheme's rows: topic, names (with the room too, where it is about one), marks."""
    return [
        (topic.name, names, marks)
        for topic in scheme.topics
        for names, marks in (
            *(((row.rule,), row.marks) for row in topic.rules),
            *(
                (
                    (row.what,) if row.room is None else (row.what, f"{row.what}, {row.room}"),
                    row.marks,
                )
                for row in topic.asked
            ),
        )
    ]
