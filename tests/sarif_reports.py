"""SARIF reports of every kind, held against the schema and against what a validator said of them.

    python -m tests.sarif_reports write FOLDER
    python -m tests.sarif_reports hold SCHEMA FILE...
    python -m tests.sarif_reports read LOG KIND FILE
    python -m tests.sarif_reports spoil FILE SPOILT

Used by .ci/check_sarif, which has the schema and the validator.
"""

import gzip
import json
import subprocess
import sys
from pathlib import Path
from typing import Any

from jsonschema.validators import validator_for
from msgspec.structs import replace

from tests.demo_plans import demo_reports
from tests.underfoot.reporting.reports import ALL
from tests.underfoot.reporting.whole import write_sarif
from underfoot.checking.report import Report
from underfoot.reporting import host_limits
from underfoot_rules import STANDARD


def write(folder: Path) -> None:
    write_by_command(folder)
    text = "".join(write_sarif(ALL, STANDARD.rules))  # a crashed rule, and waivers that hold
    (folder / "all.sarif").write_text(text, encoding="utf-8")
    write_split(folder)


def write_by_command(folder: Path) -> None:
    """Writes right and wrong, mended, known, unreadable and empty reports."""
    house = folder / "house"
    house.mkdir()
    (house / "plan Ω #1.yaml").write_text("plan_format: 1\nrooms: {a: 5}\n", encoding="utf-8")
    runs = (
        ("demo", 1, ("plans", "--report", f"json={folder}/demo.json")),
        ("mends", 1, ("plans", "--mends")),
        ("known", 0, ("plans", "--known", f"{folder}/demo.json")),
        ("unreadable", 2, (str(house), "plans/annexe", "gone")),
        ("right", 0, ("rules/underfoot_rules/base_plan.yaml",)),
        ("nothing", 0, ("plans", "--changed", "/dev/null", "--nothing-is-fine")),
    )
    check = (sys.executable, "-m", "underfoot", "check", "--today", "2026-10-01")
    for name, status, arguments in runs:
        command = (*check, *arguments, "--report", f"sarif={folder}/{name}.sarif")
        ended = subprocess.run(command, stdout=subprocess.DEVNULL, check=False)
        assert ended.returncode == status, (name, ended.returncode)


def write_split(folder: Path) -> None:
    """Writes more results than are taken, over several runs (--split).

    At the real limits the runs are counted and the size is looked at: to hold 25,000 results
    against the schema takes minutes. What is validated is written with a lower limit by the same
    code.
    """
    once = demo_reports()
    found = sum(len(plan.findings) for plan in once)

    def split(times: int) -> str:
        plans = (replace(plan, path=f"copy-{n}/{plan.path}") for n in range(times) for plan in once)
        report = Report(version="0.0.0", plans=tuple(plans))
        return "".join(write_sarif(report, STANDARD.rules, split=True))

    def count(text: str) -> list[int]:
        return [len(run["results"]) for run in json.loads(text)["runs"]]

    most = host_limits.SARIF_RESULTS_IN_ALL
    text = split(most // found + 1)
    assert count(text) == [host_limits.SARIF_RESULTS_A_RUN] * host_limits.SARIF_RUNS, count(text)
    size = len(gzip.compress(text.encode()))
    assert size < host_limits.SARIF_BYTES_GZIPPED, size
    print(f"more than {most} results: {count(text)}, {size / 1e6:.1f} MB gzipped")

    host_limits.SARIF_RESULTS_A_RUN = found // 4
    text = split(2)
    assert count(text) == [found // 4] * host_limits.SARIF_RUNS, count(text)
    (folder / "split.sarif").write_text(text, encoding="utf-8")


def hold(schema: Path, *files: Path) -> None:
    """Holds each file against the schema, and a spoilt copy of it, which must be refused."""
    described = read_json(schema)
    validator = validator_for(described)(described)
    for file in files:
        report = read_json(file)
        errors = [
            f"{list(e.absolute_path)}: {e.message[:200]}" for e in validator.iter_errors(report)
        ]
        assert not errors, (file, errors[:5])
        *before, last = report["runs"]
        broken = {**report, "runs": [*before, {**last, "columnKind": "bytes"}]}
        assert not validator.is_valid(broken), "the schema lets anything pass"
        counts = [len(run["results"]) for run in report["runs"]]
        print(f"{file.name}: valid, {' + '.join(map(str, counts))} results")


def read(log: Path, kind: str, file: Path) -> bool:
    """Whether the validator, which ends with 0 whatever it finds, has found nothing."""
    (run,) = read_json(log)["runs"]  # the validator's own
    ended = [each["executionSuccessful"] for each in run["invocations"]]
    assert ended == [True], run["invocations"]
    found = sorted({result["ruleId"] for result in run.get("results", [])})
    print(f"{file.name} by {kind}: {found or 'clean'}")
    return not found


def spoil(file: Path, spoilt: Path) -> None:
    """Writes a report with a rule out of place and no full description."""
    report = read_json(file)
    (run,) = report["runs"]
    run["results"][0]["ruleIndex"] = 10_000
    for rule in run["tool"]["driver"]["rules"]:
        del rule["fullDescription"]
    spoilt.write_text(json.dumps(report), encoding="utf-8")


def read_json(file: Path) -> Any:
    return json.loads(file.read_text("utf-8-sig"))


def main(asked: str, *given: str) -> int:
    if asked == "write":
        write(*map(Path, given))
    elif asked == "hold":
        hold(*map(Path, given))
    elif asked == "spoil":
        spoil(*map(Path, given))
    else:
        log, kind, file = given
        return 0 if read(Path(log), kind, Path(file)) else 1
    return 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
