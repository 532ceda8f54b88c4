"""What a class is told of its marks, an exercise and its key, and rooms laid by the program."""

from datetime import date

from tests.outputs_kept.shortened import shorten_drawing, shorten_parts
from tests.underfoot.laying.judging import trial_of
from tests.underfoot.laying.stripped import PLANS, strip
from tests.underfoot.marking.demo import FOLDER, RULES, mark_class
from tests.underfoot_rules.plans import BENCH
from underfoot.laying.floors import LaidPlan, lay_rooms, rooms_to_lay
from underfoot.laying.telling import tell_room
from underfoot.laying.wishes import Wishes
from underfoot.marking.class_text import write_class_text
from underfoot.marking.exercise import make_exercise, read_data, write_plan
from underfoot.marking.handout import draw_exercise, write_answers, write_brief, write_key
from underfoot.marking.mark_sheet import write_csv
from underfoot.marking.marks_json import compare_marks, write_marks
from underfoot.marking.pages import page_names, write_class, write_sheet
from underfoot.marking.term import join_term, read_marking
from underfoot.marking.term_pages import write_course, write_term
from underfoot.marking.term_sheet import write_term_csv, write_term_text
from underfoot.mending.search import by_rule
from underfoot.mending.text_edits import edit_text
from underfoot.reading.syntax import parse
from underfoot_rules import STANDARD

VERSION = "0"
TODAY = date(2026, 12, 1)
CLASSES = ("as judged", "with comments")
EXERCISES = ("bedroom 1", "hall 2", "attic 3", "living-room 4", "flat 5", "bedroom 6")
LAID = (
    "attic", "bathroom", "bedroom", "box-room", "cloakroom", "common-room", "conservatory",
    "corridor", "flat", "hall", "hobby-room", "kitchen", "landing", "linen-room", "living-room",
    "porch", "reading-room", "snug", "utility-room", "wash-room", "workroom",
)  # fmt: skip
# Rooms laid for what is asked besides: no more than is needed, another way, about what is drawn.
WISHED = {
    "no more than is needed": Wishes(demand=True),
    "along x": Wishes(along="x"),
    "along y": Wishes(along="y"),
}
DRAWN = ("junction_box", "thermostat", "sensor", "insulation")
LAID_ASKED = (
    *(f"{room}, no more than is needed" for room in ("attic", "bedroom", "kitchen", "study")),
    "hall, along y", "bathroom, along x", "nursery, along y",
    *(f"{room}, about what is drawn" for room in ("bedroom", "study", "living-room", "nursery")),
)  # fmt: skip
MENDERS = by_rule(STANDARD.gather_menders())


def say_class(name: str) -> str:
    """Write the demo class's marks in every format."""
    text = (FOLDER / "comments.yaml").read_text("utf-8")
    before = mark_class()
    marks = mark_class(text) if name == "with comments" else before
    written = write_marks(marks, VERSION)
    moved = compare_marks(write_marks(before, VERSION), written)
    pages = page_names(marks)
    term = join_term([read_marking(write_marks(before, VERSION)), read_marking(written)])
    return _joined(
        "\n".join(write_class_text(marks, moved)),
        written,
        write_csv(marks),
        write_class(marks, RULES, pages, moved),
        *(write_sheet(marks, sheet, RULES) for sheet in marks.sheets),
        "\n".join(write_term_text(term)),
        write_term_csv(term),
        write_term(term, pages),
        write_course(term, term.courses[0], RULES),
    )


def say_exercise(name: str) -> str:
    """Write an exercise: what is handed out, and its key."""
    plan, _, seed = name.partition(" ")
    data = read_data((PLANS / f"{plan}.yaml").read_bytes(), PLANS)
    exercise = make_exercise(data, STANDARD.mutations, BENCH, faults=4, seed=int(seed))
    return _joined(
        write_plan(exercise.data),
        write_key(exercise, f"{plan}.yaml", int(seed)),
        write_answers(exercise),
        write_brief(exercise, TODAY),
        *map(shorten_drawing, draw_exercise(exercise).values()),
    )


def say_laid(name: str) -> str:
    """Lay a demo plan's room anew, and write what is told of it and the plan."""
    plan, _, asked = name.partition(", ")
    text = strip(plan, but=() if asked in WISHED or not asked else DRAWN)
    laid = _lay(parse(text.encode()).data, WISHED.get(asked, Wishes()))
    edited = edit_text(text, laid.edits)
    assert edited is not None
    told = [line for room in laid.rooms for line in tell_room(room)]
    stood = set(text.splitlines())
    return "\n".join([*told, "--", *(x for x in edited.text.splitlines() if x not in stood)])


def _lay(data: object, wishes: Wishes) -> LaidPlan:
    trial = trial_of()
    start = trial.judge(data)
    assert start is not None
    return lay_rooms(start, rooms_to_lay(data), trial, MENDERS, wishes)


def _joined(*texts: str) -> str:
    return "\n--\n".join(map(shorten_parts, texts))
