"""A class's marks for a terminal: one line an apprentice."""

from collections.abc import Iterator, Sequence

from underfoot.checking.caution import CAUTION
from underfoot.marking.figures import measure_rows, measure_spread, say_spread
from underfoot.marking.marks import written_marks
from underfoot.marking.marks_json import Moved
from underfoot.marking.moderation import say_changes
from underfoot.marking.results import ClassMarks, list_broken
from underfoot.reporting.layout import WIDTH, columns_of, count_of, escape_invisible, hanging_indent

# So many likenesses are told one by one.
MOST_NAMED = 40


def write_class_text(marks: ClassMarks, moved: Sequence[Moved] | None) -> Iterator[str]:
    """Write the class line by line."""
    scheme = marks.scheme
    yield escape_invisible(scheme.title)
    yield (
        f"{count_of(len(marks.sheets), 'submission')}, {written_marks(scheme.marks)} marks, "
        f"{written_marks(scheme.pass_mark)} to pass"
    )
    spread = measure_spread(marks)
    if spread is not None:
        yield from hanging_indent("", say_spread(spread), WIDTH)
    yield ""
    names = {sheet.name: escape_invisible(sheet.name) for sheet in marks.sheets}
    widest = min(40, max((columns_of(name) for name in names.values()), default=0))
    for sheet in marks.sheets:
        said = sheet.final_outcome
        if sheet.grade is not None:
            said += f", grade {escape_invisible(sheet.grade)}"
        if len(sheet.attempts) > 1:
            said += f"; {sheet.which}, the {scheme.attempt}"
        if sheet.final != sheet.mark:
            said += f" (the tool's mark is {written_marks(sheet.mark)})"
        for one in sheet.counted.failed_by:
            said += f"; {one}"
        if sheet.counted.is_read and sheet.counted.report.problems:
            places = count_of(len(sheet.counted.report.problems), "place")
            said += f"; judged without {places} that could not be read"
        for one in sheet.counted.flagged:
            said += f"; to be looked at: {one}"
        if sheet.counted.changes:
            said += "; brief changed"
        for ignored in sheet.counted.ignored:
            said += f"; not counted: {ignored}"
        if sheet.late:
            said += f"; late, {written_marks(sheet.late)} off"
        if sheet.counted.report.faults:
            said += "; a rule crashed: mark it by hand"
        for marked in sheet.markers:
            for each in say_changes(marked, sheet.counted.rows):
                said += (
                    f"; overruled by {escape_invisible(marked.marker)}: {escape_invisible(each)}"
                )
        name = names[sheet.name]
        pad = " " * max(0, widest - columns_of(name))
        shown = "–" if sheet.is_absent else written_marks(sheet.final)
        yield from hanging_indent(f"  {name}{pad}  {shown:>5}  ", said, WIDTH)
    broken = list_broken(marks)[:5]
    if broken:
        yield ""
        told = ", ".join(f"{one.rule} ({len(one.names)})" for one in broken)
        yield from hanging_indent("Most often broken  ", told, WIDTH)
    for sheet in marks.sheets:
        if sheet.settled and sheet.settled.talk:
            said = f"{escape_invisible(sheet.name)}: {escape_invisible(sheet.settled.talk)}"
            yield from hanging_indent("Markers must talk  ", said, WIDTH)
    hard = [one for one in measure_rows(marks) if one.percent < 100]
    if hard:
        hard.sort(key=lambda one: (one.percent, one.topic, one.row))
        told = ", ".join(f"{escape_invisible(one.row)} ({one.percent:.0f} %)" for one in hard[:5])
        yield from hanging_indent(
            "Hardest rows, and what of their marks the class earned  ", told, WIDTH, 2
        )
    for pair in marks.copies[:MOST_NAMED]:
        said = (
            f"{escape_invisible(pair.one)} and {escape_invisible(pair.other)} are nearly the "
            f"same plan: {pair.said}."
        )
        yield from hanging_indent("Worth a talk  ", said, WIDTH)
    if len(marks.copies) > MOST_NAMED:
        more = count_of(len(marks.copies) - MOST_NAMED, "pair")
        yield from hanging_indent(
            "Worth a talk  ", f"{more} more, all of which stand in marks.json", WIDTH
        )
    for stranger in marks.strangers:
        said = (
            f"a comments file names {escape_invisible(stranger)}, from whom nothing was handed in"
        )
        yield from hanging_indent("Note  ", said, WIDTH)
    if moved is not None:
        yield ""
        yield "Changed since the earlier marks" if moved else "No mark is another than before."
        for change in moved:
            was = "–" if change.before is None else f"{change.before:g}"
            now = "–" if change.now is None else f"{change.now:g}"
            first = f"  {escape_invisible(change.name)}  {was} -> {now}  "
            yield from hanging_indent(
                first, "; ".join(change.why) or "no reason was found", WIDTH, 6
            )
    yield ""
    yield from hanging_indent("CAUTION  ", CAUTION, WIDTH)
