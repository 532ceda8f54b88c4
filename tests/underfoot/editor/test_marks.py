"""What is marked in a text, listed, hinted at and offered: worked out in this process."""

from datetime import date

import pytest
from msgspec.structs import replace

from tests.demo_plans import PLANS
from tests.there import there
from tests.underfoot.editor.offsets import offset_of
from underfoot.checking.report import DecisionUsed, ReportedFinding, RuleFault, WaiverUsed
from underfoot.editor.actions import Action, as_action, list_actions, list_mendable
from underfoot.editor.answering import Answering
from underfoot.editor.diagnostics import MOST_MARKS, Mark, list_marks
from underfoot.editor.documents import Document
from underfoot.editor.hints import list_hints
from underfoot.editor.judgement import Judgement, RowSum, Unjudged, gave_up
from underfoot.editor.symbols import Symbol, list_symbols
from underfoot.editor.text_places import Span
from underfoot.editor.worker import Question
from underfoot.reading.problem import Problem
from underfoot.running.checking import rule_sets_to_use

STUDY = (PLANS / "study.yaml").read_text("utf-8")
BEDROOM = (PLANS / "bedroom.yaml").read_text("utf-8")
WHOLE = Span((0, 0), (9999, 0))
TEXT = "plan_format: 1\ncatalogue: films.yaml\nrooms:\n  hall: {use: living}\n"
FINDING = ReportedFinding(
    number=1, rule="strip-gap", severity="warning", message="A1 and A2 are 5 mm apart.",
    room="hall", items=("A1", "A2"), measured=None, limit=None, line=4, column=3,
    path="rooms.hall", shape=None, remedy="Move A2.", why="", basis="manufacturer",
)  # fmt: skip


@pytest.fixture(scope="module")
def answering() -> Answering:
    return Answering(rule_sets_to_use(), date(2026, 11, 29))


def told_of(answering: Answering, text: str, name: str = "study.yaml") -> Judgement:
    asked = Question(what="judge", place=str(PLANS / name), source=text.encode(), more=())
    told = answering.answer(asked)
    assert isinstance(told, Judgement)
    return told


def text_in(text: str, span: Span) -> str:
    return text[offset_of(text, span.start) : offset_of(text, span.end)]


def changed(text: str, action: Action) -> str:
    for one in sorted(action.changes, key=lambda each: each.span.start, reverse=True):
        start, end = (offset_of(text, each) for each in (one.span.start, one.span.end))
        text = text[:start] + one.text + text[end:]
    return text


@pytest.mark.parametrize(
    ("severity", "shown"), [("error", "error"), ("warning", "warning"), ("note", "information")]
)
def test_a_finding_is_marked_where_it_stands(severity: str, shown: str) -> None:
    finding = replace(
        FINDING, severity=severity, related=("rooms.hall.use",), related_at=((4, 10),)
    )
    told = Judgement(
        verdict="objection", findings=(finding,), pages={"strip-gap": "file:///gap.md"}
    )
    (mark,) = list_marks(told, TEXT)
    assert mark == Mark(
        span=Span((3, 2), (3, 6)), severity=shown,
        message="A1 and A2 are 5 mm apart. Move A2.", code="strip-gap", page="file:///gap.md",
        related=((Span((3, 9), (3, 12)), "This belongs to it: rooms.hall.use."),), number=1,
        path="rooms.hall",
    )  # fmt: skip
    assert text_in(TEXT, mark.span) == "hall"


def test_what_is_waived_or_decided_says_so() -> None:
    waived = replace(FINDING, waiver=WaiverUsed(reason="boxed in", agreed_by="us", until=None))
    decided = replace(
        FINDING, decision=DecisionUsed(decision="upheld", reason=None, by="ann", date="2026-11-01")
    )
    first, second = list_marks(Judgement(verdict="", findings=(waived, decided)), TEXT)
    assert first.severity == "hint"
    assert first.message.endswith("Move A2. Waived: boxed in (agreed by us, with no end date).")
    assert second.severity == "warning"
    assert "Move A2. Decided: upheld" in second.message


def test_what_cannot_be_read_stands_before_what_is_found() -> None:
    here = Problem(message="`use` is no use", path="rooms.hall.use", line=4, column=10)
    there_ = Problem(message="no film", path="films.a", line=7, column=2, file="films.yaml")
    told = Judgement(
        verdict="unreadable", problems=(here, there_), findings=(FINDING,),
        held_back=("rcd", "strip-gap"), remarks=("the review cannot be read",),
        faults=(RuleFault(rule="own-rule", message="division by zero"),),
    )  # fmt: skip
    marks = list_marks(told, TEXT)
    assert [(each.code, each.severity, text_in(TEXT, each.span)) for each in marks] == [
        ("unreadable", "error", "plan_format"),
        ("own-rule", "error", "plan_format"),
        ("unreadable", "error", "use"),
        ("unreadable", "error", "catalogue"),  # where the other file is named
        ("not-judged", "information", "use"),
        ("strip-gap", "warning", "hall"),
    ]
    assert [each.path for each in marks] == ["", "", "rooms.hall.use", "films.a", "", "rooms.hall"]
    assert marks[0].message == "The review cannot be read."
    assert marks[1].message.startswith("A fault of the tool, not of the plan: division by zero")
    assert marks[3].message.startswith("films.yaml:7:2: ")
    assert marks[4].message.endswith("Not told until then: rcd, strip-gap.")
    # In a catalogue alone: nothing here has that line.
    marks = list_marks(replace(told, problems=(there_,), held_back=(), remarks=(), faults=()), TEXT)
    assert [text_in(TEXT, each.span) for each in marks] == ["catalogue", "plan_format", "hall"]
    assert "Not told until then" not in marks[1].message
    # A file beside plans has no verdict, and a plan without problems holds nothing back.
    assert len(list_marks(Judgement(verdict="", problems=(here,)), TEXT)) == 1
    assert len(list_marks(Judgement(verdict="objection", findings=(FINDING,)), TEXT)) == 1


def test_what_may_be_an_error_and_could_not_be_judged_is_marked_once_a_reason() -> None:
    point = Unjudged(
        rule="rcd", path="rooms.hall", line=4, column=3, why="no RCD is given",
        write="Write `rcd`.", worst="error",
    )  # fmt: skip
    told = Judgement(
        verdict="",
        unjudged=(
            point,
            replace(point, rule="breaker", write="Write `breaker`."),
            replace(point, rule="breaker"),
            replace(point, why="no use is given", write=None),
            replace(point, rule="tidy", worst="warning", why="other"),
        ),
        pages={"rcd": "rcd.md"},
    )
    first, second = list_marks(told, TEXT)
    assert first.message == (
        "Not judged (rcd, breaker): No RCD is given. Write `rcd`. Write `breaker`."
    )
    assert (first.severity, first.code, first.page, first.path) == (
        "information", "not-judged", "rcd.md", "rooms.hall",
    )  # fmt: skip
    assert second.message == "Not judged (rcd): No use is given."
    assert text_in(TEXT, second.span) == "hall"


def test_no_editor_is_filled() -> None:
    many = Judgement(verdict="", findings=(FINDING,) * (MOST_MARKS + 1))
    assert len(list_marks(many, TEXT)) == MOST_MARKS
    (mark,) = list_marks(gave_up("it took too long"), TEXT)
    assert (mark.message, mark.severity) == ("It took too long.", "error")


def test_a_demo_plan_is_told_as_its_report_has_it(answering: Answering) -> None:
    told = told_of(answering, STUDY)
    numbers = [each.number for each in list_marks(told, STUDY) if each.number is not None]
    assert numbers == [each.number for each in told.findings] == list(range(1, len(numbers) + 1))
    # 4 of 2.25 m and 3 of 3 m at 40 W/m.
    sums = told_of(answering, BEDROOM, "bedroom.yaml").rows
    assert sums == {"rooms.bedroom.rows.A": RowSum(strips=7, length=18000.0, power_w=720.0)}


def test_what_is_asked_of_a_text(answering: Answering) -> None:
    place, source = str(PLANS / "bedroom.yaml"), BEDROOM.encode()

    def ask(what: str, *more: object) -> object:
        return answering.answer(Question(what=what, place=place, source=source, more=more))

    assert str(ask("explain", "circuit", "C1")).startswith("**Circuit C1**")
    assert ask("explain", "circuit", "C9") is None
    rules = dict(there(ask("rules")))  # type: ignore[call-overload]
    assert rules["wall-clearance"]
    assert ask("mends", 1) == ()
    assert ask("forget") is None
    with pytest.raises(ValueError, match="nothing answers sing"):
        ask("sing")
    broken = Question(what="explain", place=place, source=b"plan_format: [", more=("row", "A"))
    assert answering.answer(broken) is None
    for kind, text in (
        ("settings_format", "settings_format: 1\nlimtis: {}\n"),
        ("catalogue_format", "catalogue_format: 1\nmaterials: {flims: {}}\n"),
        ("review_format", "review_format: 1\nplna: x\n"),
    ):
        told = answering.answer(
            Question(what="file", place="/x/y.yaml", source=text.encode(), more=(kind,))
        )
        assert [each for each in told.problems if each.line == 2]
        assert {each.file for each in told.problems} == {None}
        assert told.verdict == ""


def test_a_mend_is_offered_tried_and_clears_its_finding(answering: Answering) -> None:
    name = "garden-room.yaml"
    text = (PLANS / name).read_text("utf-8")
    told = told_of(answering, text, name)
    marks = list_marks(told, text)
    mark = next(each for each in marks if each.code == "moisture-barrier")
    asked = Question(
        what="mends", place=str(PLANS / name), source=text.encode(), more=(mark.number,)
    )
    offered = answering.answer(asked)
    action = as_action(offered[0], mark, text)
    assert (action.about, action.is_mend, action.says) == (mark, True, offered[0].says)
    after = told_of(answering, changed(text, action), name)
    assert "moisture-barrier" not in {each.rule for each in after.findings}
    assert answering.answer(asked) == offered, "and what was found is kept"
    for number in (0, len(told.findings) + 1):
        none = Question(what="mends", place=asked.place, source=asked.source, more=(number,))
        assert answering.answer(none) == ()


def test_mends_are_looked_for_where_the_cursor_is(answering: Answering) -> None:
    mark = Mark(span=Span((3, 2), (3, 6)), severity="error", message="", code="a", number=1)
    for within, met in (
        (Span((3, 6), (3, 6)), True), (Span((3, 2), (3, 2)), True), (WHOLE, True),
        (Span((3, 7), (3, 9)), False), (Span((3, 0), (3, 1)), False), (Span((0, 0), (2, 9)), False),
    ):  # fmt: skip
        assert bool(list_mendable((mark,), within)) is met
    assert list_mendable((replace(mark, number=None),), WHOLE) == ()
    assert len(list_mendable((mark,) * 9, WHOLE)) == 8


@pytest.mark.parametrize(
    ("text", "after"),
    [
        (TEXT, TEXT.rstrip() + "\n\nwaivers:\n  - "),
        (f"{TEXT}waivers: []\n", f"{TEXT}waivers: ["),
        (f"{TEXT}waivers: [{{rule: rcd}}]\n", f"{TEXT}waivers: [{{rule: rcd}}, "),
        (f"{TEXT}waivers:\n    - rule: rcd\n      item: C1\n", None),
        (f"{TEXT}waivers:\n", f"{TEXT}waivers:\n  - "),
    ],
    ids=["none", "empty", "in a line", "in a block", "just begun"],
)
def test_a_waiver_is_written_as_the_others_are(text: str, after: str | None) -> None:
    told = Judgement(verdict="", findings=(FINDING,), waivable=frozenset({"strip-gap"}))
    (action,) = list_actions(told, list_marks(told, text), text, WHOLE)
    blank = '{rule: strip-gap, item: A1, reason: "", agreed_by: ""}'
    written = changed(text, action)
    before = f"{text.rstrip()}\n    - " if after is None else after
    assert written.startswith(before + blank)
    assert "reason and name to be filled in" in action.says
    assert not action.is_mend


def test_who_may_not_waive_is_offered_no_waiver() -> None:
    told = Judgement(verdict="", findings=(FINDING,), waivable=frozenset({"rcd"}))
    waived = replace(FINDING, waiver=WaiverUsed(reason="so", agreed_by="us", until=None))
    for each, text in (
        (told, TEXT),
        (Judgement(verdict="", findings=(waived,), waivable=frozenset({"strip-gap"})), TEXT),
        (replace(told, waivable=frozenset({"strip-gap"})), f"{TEXT}waivers: none\n"),
    ):
        assert list_actions(each, list_marks(each, text), text, WHOLE) == ()
    # What has no strip is waived for its room, and what has no room for the plan.
    whole = replace(FINDING, items=(), room=None)
    for finding, item in ((replace(FINDING, items=()), ", item: hall,"), (whole, "strip-gap, r")):
        told = Judgement(verdict="", findings=(finding,), waivable=frozenset({"strip-gap"}))
        (action,) = list_actions(told, list_marks(told, TEXT), TEXT, WHOLE)
        assert item in action.changes[0].text


def test_a_key_that_is_lacking_is_put_in(answering: Answering) -> None:
    text = STUDY.replace("A: {film: film-80, at: ", "A: {at: ")
    told = told_of(answering, text)
    marks = list_marks(told, text)
    mark = next(each for each in marks if "needs `film`" in each.message)
    (action,) = [
        each for each in list_actions(told, marks, text, mark.span) if "`film`" in each.says
    ]
    assert action.says.startswith("Put in `film` of rooms.")
    assert ", film: }" in changed(text, action)
    assert list_actions(told, marks, text, Span((0, 0), (0, 1))) == ()


def listed(symbols: tuple[Symbol, ...]) -> list[object]:
    return [[one.name, one.kind, *listed(one.inside)] for one in symbols]


def test_things_are_listed_one_inside_another() -> None:
    text = (
        "status: laid\nmaterials:\n  films:\n    f: {width: 500}\n"
        "rooms:\n  hall:\n    use: living\n    rows:\n      A:\n        film: f\n"
        "      B: {film: f}\n    sensor: {at: [1, 2]}\n"
        "circuits:\n  C1:\n    breaker: 10 A\n"
    )
    assert listed(list_symbols(text)) == [
        ["status", ""],
        ["materials", "", ["films", "materials", ["f", "films"]]],
        [
            "rooms", "",
            [
                "hall", "rooms", ["use", "hall"],
                ["rows", "hall", ["A", "rows"], ["B", "rows"]], ["sensor", "hall"],
            ],
        ],
        ["circuits", "", ["C1", "circuits"]],
    ]  # fmt: skip
    rooms = list_symbols(text)[2]
    (hall,) = rooms.inside
    assert text_in(text, hall.named) == "hall"
    # What a thing holds is part of it.
    assert rooms.whole.end == hall.whole.end == (11, 24)


def test_a_row_tells_its_strips_and_their_sum() -> None:
    text = "rooms:\n  hall:\n    rows:\n      A: {lengths: [2000, 3000]}\n      B: {count: 2}\n"
    rows = {
        "rooms.hall.rows.A": RowSum(strips=2, length=5000.0, power_w=200.0),
        "rooms.hall.rows.B": RowSum(strips=1, length=1500.0, power_w=60.0),
    }
    found = {each.place: (each.label, each.before) for each in list_hints(text, rows, WHOLE)}
    assert found == {
        (3, 20): ("A1:", True),
        (3, 26): ("A2:", True),
        (3, 31): ("2 strips, 5 m, 200 W", False),
        (4, 18): ("1 strip, 1.5 m, 60 W", False),
    }
    assert len(list_hints(text, rows, Span((3, 26), (3, 31)))) == 2
    none = {name: RowSum(strips=0, length=0.0, power_w=0.0) for name in rows}
    assert [each.label for each in list_hints(text, none, WHOLE)] == ["A1:", "A2:"]
    assert [each.label for each in list_hints(text, {}, WHOLE)] == ["A1:", "A2:"]


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("plan_format: 1\n", "plan_format"),
        ('# first\n"settings_format" : 1\n', "settings_format"),
        ("a: 1\nreview_format: 1\nplan_format: 1\n", "review_format"),
        (" plan_format: 1\n", ""),
        ("services: {}\n", ""),
    ],
)
def test_a_text_says_what_it_is(text: str, kind: str) -> None:
    document = Document(uri="file:///tmp/a%20b.yaml", version=1, text=text)
    assert (document.kind, document.place) == (kind, "/tmp/a b.yaml")
    asked = document.question("explain", "row", "A")
    assert asked == Question(
        what="explain", place="/tmp/a b.yaml", source=text.encode(), more=("row", "A")
    )
    document.take(Judgement(verdict="", findings=(FINDING,)))
    assert len(document.marks) == 1
