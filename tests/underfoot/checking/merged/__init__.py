"""What is in force after a settings file is laid over none, and over a locked one.

Each statement that a settings file can make stands by itself in the nearer file: looser, as before,
tighter, of what there is not. What is kept is what differs from the file above alone, and what is
refused.

    python -m tests.underfoot.checking.merged      writes it anew: read the difference
"""

from collections.abc import Sequence
from pathlib import Path

from tests.written_out import differences, keep, write_out
from underfoot.checking.merging_settings import Placed, merge_settings
from underfoot.reading.settings_file import read_settings
from underfoot_rules import STANDARD

KEPT = Path(__file__).parent / "settings.txt"

ABOVE = """\
never_waive: [rcd]
may_waive: {bath-zone: local code}
limits:
  wall-clearance: {minimum: 70, planned: 80, because: local code}
  circuit-current: {maximum: 9 A, because: local code}
rules:
  cold-area: {severity: warning, because: local code}
  strip-gap: {undecided: warning, because: local code}
undecided: {severity: warning, because: nobody reads it}
ignore: [old]
materials_from: {catalogues: [a.yaml, b.yaml], because: kept there}
rule_sets: [standard]
"""

STATEMENTS = (
    "limits: {wall-clearance: {minimum: 69, because: b}}",
    "limits: {wall-clearance: {minimum: 70, because: b}}",
    "limits: {wall-clearance: {minimum: 3 in, planned: 60, because: b}}",
    "limits: {wall-clearance: {minimun: 80, because: b}}",
    "limits: {wall-clearance: {minimum: 80 kg, because: b}}",
    "limits: {wall-clearance: {minimum: -1, because: b}}",
    "limits: {wall-clearence: {minimum: 80, because: b}}",
    "limits: {nonsense: {minimum: 80, because: b}}",
    "limits: {circuit-current: {maximum: 9.5 A, because: b}}",
    "limits: {circuit-current: {maximum: 8.5 A, because: b}}",
    "limits: {fixture-clearance: {minimum: 40, because: b}}",
    "limits: {floor-temperature: {unheated: -12 degC, because: b}}",
    "limits: {makers-figures: {minimum: 40, because: b}}",
    "rules: {cold-area: {severity: note, because: b}}",
    "rules: {cold-area: {severity: warning, because: b}}",
    "rules: {cold-area: {severity: error, because: b}}",
    "rules: {cold-area: {off: true, because: b}}",
    "rules: {cold-area: {off: false, because: b}}",
    "rules: {strip-gap: {undecided: note, because: b}}",
    "rules: {strip-gap: {undecided: error, because: b}}",
    "rules: {rcd: {undecided: warning, because: b}}",
    "rules: {rcd: {undecided: error, severity: note, because: b}}",
    "rules: {rcds: {off: true, because: b}}",
    "undecided: {severity: error, because: b}",
    "undecided: {severity: warning, because: b}",
    "undecided: {severity: note, because: b}",
    "never_waive: [strip-gap, strip-gapp]",
    "may_waive: {bath-zone: b}",
    "may_waive: {rcd: b}",
    "may_waive: {cold-area: b}",
    "ignore: ['*/draft']",
    "materials_from: {catalogues: [b.yaml], because: b}",
    "materials_from: {catalogues: [a.yaml, c.yaml], because: b}",
    "rule_sets: [standard]",
    "rule_sets: [standart]",
    "rule_sets: []",
    "locked: true",
    "locked: true\nlimits: {cut-length: {tolerance: 2, because: b}}\nmay_waive: {rcd: b}",
)
# What is only drawn from the others.
ELSEWHERE = {"limits_by_rule", "numbers", "changed_limits", "files"}
OVER = {"nothing": None, "a locked file": f"locked: true\n{ABOVE}"}


def _place(name: str, text: str) -> Placed:
    reading = read_settings(f"settings_format: 1\n{text}".encode(), name)
    assert reading.settings is not None, reading.problems
    return Placed(
        name=name, stated=reading.settings, positions=reading.positions, folder="/nowhere"
    )


def _written(files: Sequence[Placed]) -> tuple[dict[str, str], list[str]]:
    settings, problems = merge_settings(files, [STANDARD])
    refused = [f"{one.file}:{one.line}:{one.column} {one.path}: {one.message}" for one in problems]
    told = write_out(settings).items()
    return {name: word for name, word in told if name.split(".")[0] not in ELSEWHERE}, refused


def said_over(over: str) -> dict[str, str]:
    """Say what each statement changes over a file; none of them over the defaults is left out."""
    text = OVER[over]
    above = [] if text is None else [_place("above.yaml", text)]
    before, _ = _written(above)
    said: dict[str, str] = {}
    if text is not None:
        defaults, refused = _written([])
        said[f"over {over}: nothing"] = "\n".join([*differences(defaults, before), *refused])
    for statement in STATEMENTS:
        after, refused = _written([*above, _place("near.yaml", statement)])
        name = f"over {over}: {' '.join(statement.split())}"
        said[name] = "\n".join([*differences(before, after), *refused])
    return said


def over_an_open_file(statement: str) -> tuple[dict[str, str], list[str]]:
    """Say what is in force after a statement over a file that is not locked."""
    return _written([_place("above.yaml", ABOVE), _place("near.yaml", statement)])


def alone(statement: str) -> tuple[dict[str, str], list[str]]:
    """Say what is in force after a statement over nothing."""
    return _written([_place("near.yaml", statement)])


def main() -> None:
    """Keep what is said."""
    keep(KEPT, {name: text for over in OVER for name, text in said_over(over).items()})
