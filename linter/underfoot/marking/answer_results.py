"""A class's answers to an exercise as a table, as CSV and as XLSX, and what was hard in it."""

from collections.abc import Iterator, Sequence
from fractions import Fraction

from msgspec import Struct

from underfoot.marking.answer_judging import FOUND, PARTLY, WRONG, AnswerMarks
from underfoot.marking.answers import AnswerKey, KeyFault
from underfoot.marking.marks import as_number
from underfoot.marking.results import ABSENT
from underfoot.reporting.spreadsheet import Cell, safe_text, write_book, write_table


class Hardness(Struct, frozen=True, kw_only=True):
    """A fault of the key, its number, and how many of those that could be read met it."""

    number: int
    fault: KeyFault
    found: tuple[str, ...]
    partly: tuple[str, ...]
    missed: tuple[str, ...]


def measure_faults(marked: Sequence[AnswerMarks], key: AnswerKey) -> tuple[Hardness, ...]:
    """Tell who found each fault, who nearly, and who did not."""
    told = []
    for number, fault in enumerate(key.faults, 1):
        names: dict[str, list[str]] = {FOUND: [], "partly": [], "missed": []}
        for one in marked:
            if not one.is_read:
                continue
            state = one.state_of(fault)
            verdict = "missed" if state is None else state.verdict
            names["partly" if verdict in PARTLY else verdict].append(one.name)
        told.append(
            Hardness(
                number=number,
                fault=fault,
                found=tuple(names[FOUND]),
                partly=tuple(names["partly"]),
                missed=tuple(names["missed"]),
            )
        )
    return tuple(told)


def list_accused(marked: Sequence[AnswerMarks]) -> tuple[tuple[str, str, tuple[str, ...]], ...]:
    """List what was wrongly accused: kind, place and by whom, the most frequent first."""
    accused: dict[tuple[str, str], list[str]] = {}
    for one in marked:
        for each in one.judged:
            if each.verdict == WRONG:
                place = " · ".join(part for part in (each.answer.room, each.answer.item) if part)
                names = accused.setdefault((each.answer.kind, place), [])
                if one.name not in names:
                    names.append(one.name)
    ordered = sorted(accused.items(), key=lambda pair: (-len(pair[1]), pair[0]))
    return tuple((kind, place, tuple(names)) for (kind, place), names in ordered)


def spread(
    marked: Sequence[AnswerMarks], key: AnswerKey
) -> tuple[tuple[int, tuple[str, ...]], ...]:
    """Return who found each number of faults, from none to all."""
    names: dict[int, list[str]] = {}
    for one in marked:
        if one.is_read:
            names.setdefault(one.count(FOUND), []).append(one.name)
    return tuple((number, tuple(names.get(number, ()))) for number in range(len(key.faults) + 1))


def say_fault(number: int, fault: KeyFault) -> str:
    """Name a fault in a table's head."""
    place = " · ".join(part for part in (fault.room, ", ".join(fault.items)) if part)
    return f"{number} {fault.rule}, {place or 'the whole plan'}"


def table_of(marked: Sequence[AnswerMarks], key: AnswerKey) -> list[list[Cell]]:
    """Return the answers as rows of cells, the head first; unread ones have no mark."""
    head: list[Cell] = ["apprentice", "attempt", "attempts", "mark", f"% of {as_number(key.marks)}"]
    head += [f"found, of {len(key.faults)}", "found in part", "wrong accusations", "outcome"]
    head += [safe_text(say_fault(number, one)) for number, one in enumerate(key.faults, 1)]
    return [[*head, "remarks"], *(_row(one, key) for one in marked)]


def _row(one: AnswerMarks, key: AnswerKey) -> list[Cell]:
    row: list[Cell] = [safe_text(one.name), None if one.is_absent else one.attempt, one.attempts]
    if one.is_read:
        share = Fraction(round(100 * one.earned / key.marks, 1)) if key.marks else Fraction(0)
        row += [as_number(one.earned), as_number(share), one.count(FOUND), one.count(*PARTLY)]
        row += [one.count(WRONG), "marked"]
        states = [one.state_of(fault) for fault in key.faults]
        row += [as_number(state.worth) if state else 0 for state in states]
    else:
        outcome = ABSENT if one.is_absent else "not readable"
        row += [None] * 5 + [outcome] + [None] * len(key.faults)
    return [*row, safe_text("; ".join(_remarks(one)))]


def _remarks(one: AnswerMarks) -> Iterator[str]:
    for problem in one.problems:
        place = f"line {problem.line}: " if problem.line > 1 else ""
        yield f"{place}{problem.message}"
    for each in one.judged:
        if each.asked:
            yield f"{each.answer.kind}: {each.asked}"


def write_csv(marked: Sequence[AnswerMarks], key: AnswerKey) -> str:
    """Write the answers as CSV."""
    return write_table(table_of(marked, key))


def write_xlsx(marked: Sequence[AnswerMarks], key: AnswerKey) -> bytes:
    """Write the answers, each thing named, and how hard each fault was, as XLSX."""
    named: list[list[Cell]] = [["apprentice", "kind", "room", "item", "marks", "because", "asked"]]
    for one in marked:
        for each in one.judged:
            told = (one.name, each.answer.kind, each.answer.room or "", each.answer.item or "")
            row: list[Cell] = [safe_text(part) for part in told]
            named.append([*row, as_number(each.worth), each.verdict, safe_text(each.asked)])
    hard: list[list[Cell]] = [["fault", "kind", "place", "what was done", "found", "partly", "not"]]
    for one_fault in measure_faults(marked, key):
        fault = one_fault.fault
        place = " · ".join(part for part in (fault.room, ", ".join(fault.items)) if part)
        hard.append(
            [one_fault.number, safe_text(fault.rule), safe_text(place), safe_text(fault.says),
             len(one_fault.found), len(one_fault.partly), len(one_fault.missed)]
        )  # fmt: skip
    return write_book({"Answers": table_of(marked, key), "Named": named, "Faults": hard})
