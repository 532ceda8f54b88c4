"""Writes down anew what is said of every example and plan: read the difference first."""

from pathlib import Path

from tests.underfoot_rules.plans import check
from tests.underfoot_rules.said import FOLDER, MORE, more_plans, words_of, words_on, write_down
from underfoot.testing import examples_of
from underfoot.testing.examples import report_on
from underfoot_rules import STANDARD


def main() -> None:
    """Check every example and plan, and keep what is said."""
    said: dict[Path, dict[str, str]] = {}
    for example in examples_of(STANDARD):
        words = words_of(report_on(example, STANDARD), example.rule)
        said.setdefault(FOLDER / f"{example.rule}.txt", {})[str(example)] = words
    base = check({})
    for name, (file, change) in more_plans().items():
        said.setdefault(MORE / f"{file}.txt", {})[name] = words_on(check(change), base)
    for kept in FOLDER.rglob("*.txt"):
        if kept not in said:
            kept.unlink()
    for file, of_file in said.items():
        write_down(file, of_file)


if __name__ == "__main__":
    main()
