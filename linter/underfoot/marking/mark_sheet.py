"""The mark sheet as CSV and XLSX."""

from collections.abc import Iterator, Sequence
from fractions import Fraction

from underfoot.marking.awarding import sum_by_topic
from underfoot.marking.figures import measure_rows
from underfoot.marking.marks import NOTHING, as_number
from underfoot.marking.moderation import Marked, find_overruled, say_changes
from underfoot.marking.results import (
    FAILED,
    NOT_PASSED,
    PASSED,
    UNREAD,
    ApprenticeMarks,
    ClassMarks,
)
from underfoot.reporting.spreadsheet import Cell, safe_text, write_book, write_table


def table_of(marks: ClassMarks) -> list[list[Cell]]:
    """Return the mark sheet as rows of cells, its head first.

    `final mark` and `grade` are what may be taken over elsewhere: a number or a grade stands there
    only where the outcome lets it count.
    """
    scheme = marks.scheme
    topics = [topic.name for topic in scheme.topics]
    head: list[Cell] = ["apprentice", "file", "attempt", "attempts", "attempt that counts"]
    head += [safe_text(f"{t.name} (of {as_number(t.marks)})") for t in scheme.topics]
    head += ["late", "tool's mark", "tool's outcome"]
    for marker in marks.markers:
        head += [
            safe_text(f"{what} by {marker}")
            for what in ("adjusted", "overruled", "mark", "outcome")
        ]
    if len(marks.markers) == 2:
        head.append("difference")
    head += ["sum of marks", f"% of {as_number(scheme.marks)}", "outcome", "final mark"]
    head += ["grade"] if scheme.grades else []
    head += ["settled", "talk", "remarks"]
    return [head, *(_row(marks, sheet, topics) for sheet in marks.sheets)]


def _row(marks: ClassMarks, sheet: ApprenticeMarks, topics: Sequence[str]) -> list[Cell]:
    counted = sheet.counted
    sums = sum_by_topic(counted.rows)
    row: list[Cell] = [safe_text(sheet.name), safe_text(counted.shown)]
    row += [None, 0, None] if sheet.is_absent else [counted.number, len(sheet.attempts)]
    row += [] if sheet.is_absent else [f"the {marks.scheme.attempt}"]
    if counted.is_read:
        row += [as_number(sums.get(topic, (NOTHING, NOTHING))[0]) for topic in topics]
    else:
        row += [None for _ in topics]
    row += [as_number(-sheet.late), as_number(sheet.mark), sheet.outcome]
    by_marker = {one.marker: one for one in sheet.markers}
    given = [by_marker.get(marker) for marker in marks.markers]
    for one in given:
        row += [None] * 4 if one is None else _marker_cells(one, sheet)
    if len(given) == 2:
        first, second = given
        row.append(as_number(second.mark - first.mark) if first and second else None)
    share = as_number(Fraction(round(100 * sheet.final / marks.scheme.marks, 1)))
    row += [as_number(sheet.final), share, sheet.final_outcome, final_mark(sheet)]
    row += [grade_cell(sheet)] if marks.scheme.grades else []
    settled = sheet.settled
    row.append(safe_text(settled.said or "") if settled else "")
    row.append(safe_text(settled.talk or "") if settled else "")
    row.append(safe_text("; ".join(list_remarks(sheet))))
    return row


def _marker_cells(one: Marked, sheet: ApprenticeMarks) -> list[Cell]:
    changed = find_overruled(sheet.counted.rows, one.comment)
    overruled = sum((each.marks - row.earned for row, each in changed), NOTHING)
    return [as_number(one.comment.by), as_number(overruled), as_number(one.mark), one.outcome]


def final_mark(sheet: ApprenticeMarks) -> Cell:
    """Return the mark that may be recorded, or why there is none."""
    if sheet.final_outcome in (PASSED, NOT_PASSED):
        return as_number(sheet.final)
    return failed_word(sheet)


def grade_cell(sheet: ApprenticeMarks) -> Cell:
    """Return the grade, a number where it is one, or why there is none."""
    if sheet.grade is None:
        return failed_word(sheet)
    is_number = sheet.grade.isascii() and sheet.grade.isdigit()
    return int(sheet.grade) if is_number else safe_text(sheet.grade)


def failed_word(sheet: ApprenticeMarks) -> Cell:
    """Say what stands in place of a mark or grade: nothing where nothing is decided."""
    if sheet.final_outcome == FAILED:
        return "failed"
    return sheet.final_outcome if sheet.final_outcome in (NOT_PASSED, UNREAD) else None


def list_remarks(sheet: ApprenticeMarks) -> list[str]:
    """List what a trainer must know beside the mark."""
    counted = sheet.counted
    if sheet.is_absent:
        return []
    said = [f"failed by {one}" for one in counted.failed_by]
    said += [f"to be looked at: {one}" for one in counted.flagged]
    said += [f"brief changed: {one.said}" for one in counted.changes]
    said += [f"not counted: {one}" for one in counted.ignored]
    said += [f"not readable: {one.message}" for one in counted.report.problems[:1]]
    if counted.report.faults:
        said.append("the tool crashed on a rule: mark it by hand")
    for one in sheet.markers:
        said += [f"overruled by {one.marker}: {each}" for each in say_changes(one, counted.rows)]
        said += [f"adjusted by {one.marker}: {each.because}" for each in one.comment.adjust]
    return said


def write_csv(marks: ClassMarks) -> str:
    """Write the mark sheet as CSV, RFC 4180, with a byte order mark for spreadsheets."""
    return write_table(table_of(marks))


def write_xlsx(marks: ClassMarks) -> bytes:
    """Write the mark sheet, every row's reasoning, and how hard each row was, as XLSX."""
    return write_book(
        {
            "Marks": table_of(marks),
            "Reasons": list(_reasons(marks)),
            "Rows": list(_hardness(marks)),
        }
    )


def _reasons(marks: ClassMarks) -> Iterator[list[Cell]]:
    yield ["apprentice", "topic", "row", "earned", "of marks", "reasoning"]
    for sheet in marks.sheets:
        for row in sheet.counted.rows:
            yield [
                safe_text(sheet.name),
                safe_text(row.topic),
                safe_text(row.label),
                as_number(row.earned),
                as_number(row.marks),
                safe_text(" ".join(row.reasons)),
            ]


def _hardness(marks: ClassMarks) -> Iterator[list[Cell]]:
    yield ["topic", "row", "marks", "earned, % of marks", "all of it", "nothing", "of readable"]
    for one in measure_rows(marks):
        yield [
            safe_text(one.topic),
            safe_text(one.row),
            as_number(one.marks),
            round(one.percent, 1),
            one.full,
            one.none,
            one.of,
        ]
