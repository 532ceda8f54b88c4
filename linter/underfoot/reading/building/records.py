"""The job, the method statement, the tests, the handover and the waivers."""

from collections.abc import Collection

from underfoot.plan import Handover, Job, Measurement, MethodStatement, Waiver
from underfoot.plan_format.records import HANDOVER, JOB, METHOD_STATEMENT, TEST, WAIVER
from underfoot.reading.building.materials import entries_of
from underfoot.reading.building.problem_log import Data, ProblemLog
from underfoot.reading.building.thing_reader import (
    NOTHING_KNOWN,
    Fields,
    Known,
    maker_of,
    reader_of,
)


def build_job(log: ProblemLog, data: Data) -> Job | None:
    """Who and what."""
    job = data.get("job")
    return None if job is None else _make_job(log, job, "job")


def _keep_date_as_written(log: ProblemLog, data: Data, path: str, fields: Fields) -> None:
    if "date" in data:
        fields["date"] = data["date"]


def build_method(log: ProblemLog, data: Data) -> MethodStatement | None:
    """The steps that the file states."""
    method = data.get("method_statement")
    if method is None:
        return None
    path = f"{log.prefix}method_statement"
    fields = _read_method(log, method, "method_statement", NOTHING_KNOWN)
    note = fields.pop("note", None)
    steps = {key.rpartition(".")[2]: value for key, value in fields.items()}
    return MethodStatement(
        path=path, steps=steps, paths={key: f"{path}.{key}" for key in steps}, note=note
    )


def merge_methods(
    own: MethodStatement | None, shared: MethodStatement | None
) -> MethodStatement | None:
    """A plan's method statement with its catalogue's: for each step the plan's own wins."""
    if own is None or shared is None:
        return own or shared
    return MethodStatement(
        path=own.path,
        steps={**shared.steps, **own.steps},
        paths={**shared.paths, **own.paths},
        note=own.note if own.note is not None else shared.note,
    )


def build_tests(
    log: ProblemLog, data: Data, known: Known, known_strips: Collection[str]
) -> tuple[Measurement, ...]:
    """The tests in the file's order."""
    tests = []
    for number, entry in enumerate(data.get("tests", ())):
        if entry is None:
            continue
        path = f"tests.{number}"
        for strip, _ in entries_of(entry, "strips"):
            if strip not in known_strips:
                log.report_unknown(f"{path}.strips.{strip}", strip, known_strips, "strip")
        tests.append(_make_test(log, entry, path, known))
    return tuple(test for test in tests if test is not None)


def build_handover(log: ProblemLog, data: Data) -> Handover | None:
    """The papers handed over."""
    handover = data.get("handover")
    return None if handover is None else _make_handover(log, handover, "handover")


def build_waivers(log: ProblemLog, data: Data) -> tuple[Waiver, ...]:
    """The waivers in the file's order."""
    waivers = [
        _make_waiver(log, entry, f"waivers.{number}")
        for number, entry in enumerate(data.get("waivers", ()))
        if entry is not None
    ]
    return tuple(waiver for waiver in waivers if waiver is not None)


_make_job = maker_of(JOB, then=_keep_date_as_written)
_read_method = reader_of(METHOD_STATEMENT)
_make_test = maker_of(TEST)
_make_handover = maker_of(HANDOVER)
_make_waiver = maker_of(WAIVER)
