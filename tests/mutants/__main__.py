"""A sample of mutants, each tried by the everyday tests that reach what was changed.

    python -m tests.mutants --sample 60 --seed 1 [--only PATH] [--tests PATH] [--seconds 60]

Works in a copy of what git knows, in the folder for temporary files. What tests reach is recorded
first, in one run of them (minutes), and kept in build/ until --anew; under Python 3.12 or newer
that costs little more than the tests. With --add only those named by --tests are recorded, and put
to what is kept: for tests that were written since. Survivors are printed; those in equivalent.yaml
do not count.
Ends with 0 whatever survived: read the list.
"""

import argparse
import ast
import os
import random
import re
import shutil
import subprocess
import sys
import tempfile
import traceback
from collections import Counter
from pathlib import Path

import yaml

from tests.mutants.making import Mutant, make, mutants_of
from tests.mutants.reaching import (
    NOT_LONG,
    NOT_PROCESS,
    Reach,
    choose_tests,
    join,
    keep,
    recall,
    record,
)
from tests.mutants.trying import Trial, try_in_turn, try_mutant

ROOT = Path(__file__).parent.parent.parent
WHERE = ("linter/underfoot", "rules/underfoot_rules")
# Says which faults are put into plans to try the rules with.
LEFT_OUT = "rules/underfoot_rules/mutations/"
# Those that start other processes, drive a browser or are `long` are left out by their marks.
TESTS = ("tests",)
KNOWN = ROOT / "tests/mutants/equivalent.yaml"
INSIDE = "UNDERFOOT_MUTANTS"


def main() -> int:
    """Copy the project and start anew there, or, in the copy, try the sample."""
    parser = argparse.ArgumentParser(prog="python -m tests.mutants", description=__doc__)
    parser.add_argument("--sample", type=int, default=60, help="so many mutants")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", action="append", default=[], help="a file or folder of the code")
    parser.add_argument("--kind", help="this kind of change only, such as 'cannot tell'")
    parser.add_argument("--tests", action="append", default=[], help="run these tests only")
    parser.add_argument("--seconds", type=float, default=60.0, help="for each mutant at most")
    parser.add_argument("--reach", type=Path, default=ROOT / "build/mutants-reach.json")
    parser.add_argument("--anew", action="store_true", help="record anew what tests reach")
    parser.add_argument("--add", action="store_true", help="record what --tests reach besides")
    asked = parser.parse_args()
    if asked.add and not asked.tests:
        parser.error("--add wants --tests")
    if INSIDE in os.environ:
        return try_sample(asked)
    with tempfile.TemporaryDirectory(prefix="mutants-") as folder:
        copy_to(Path(folder))
        reach = asked.reach.resolve()
        again = [sys.executable, "-m", "tests.mutants", *sys.argv[1:], "--reach", str(reach)]
        paths = os.pathsep.join(f"{folder}/{part}" for part in ("linter", "rules"))
        # One thread: numpy's own would be lost in a fork.
        return subprocess.run(
            again,
            cwd=folder,
            check=False,
            env={
                **os.environ,
                INSIDE: "1",
                "PYTHONPATH": paths,
                "OPENBLAS_NUM_THREADS": "1",
                "HYPOTHESIS_PROFILE": "mutants",
            },
        ).returncode


def copy_to(folder: Path) -> None:
    """Copy what git knows, as it stands in the working tree, as a repository of its own."""
    (folder / ".git").mkdir()
    listed = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT,
        check=True,
        capture_output=True,
        text=True,
    )
    for name in listed.stdout.split("\0"):
        if name and (ROOT / name).is_file():
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(ROOT / name, folder / name)


def every_mutant(only: list[str]) -> list[Mutant]:
    """List the mutants of the files named, or of all that are looked at."""
    files = {
        file
        for part in only or WHERE
        for file in ([ROOT / part] if part.endswith(".py") else (ROOT / part).rglob("*.py"))
        if LEFT_OUT not in file.as_posix()
    }
    return [one for file in sorted(files) for one in mutants_of(file, ROOT)]


def area_of(path: str) -> str:
    """Name the folder of the code that a module belongs to; the rules are one."""
    _, package, *folders, _ = path.split("/")
    return package if package == "underfoot_rules" or not folders else folders[0]


def users_of(path: str) -> list[str]:
    """List the modules that import from a module by its name."""
    taken_in = re.compile(rf"^\s*(from|import)\b.*\b{Path(path).stem}\b", re.MULTILINE)
    return [
        file.relative_to(ROOT).as_posix()
        for part in WHERE
        for file in sorted((ROOT / part).rglob("*.py"))
        if taken_in.search(file.read_text("utf-8"))
    ]


def is_cached(mutant: Mutant) -> bool:
    """Say whether the mutant is in a function that keeps what it has worked out."""
    tree = ast.parse((ROOT / mutant.path).read_text("utf-8"))
    return any(
        node.name == mutant.function.rpartition(".")[2]
        and any("cache" in ast.unparse(one) for one in node.decorator_list)
        for node in ast.walk(tree)
        if isinstance(node, ast.FunctionDef)
    )


def try_sample(asked: argparse.Namespace) -> int:
    """Try the mutants drawn, print each survivor as it is found, and the rates at the end."""
    if asked.add:
        further = asked.reach.with_suffix(".further.json")
        keep_apart(asked, further)
        keep(join(recall(asked.reach), recall(further)), asked.reach)
    elif asked.anew or not asked.reach.exists():
        keep_apart(asked, asked.reach)
    reach = recall(asked.reach)
    known = {row["mutant"] for row in yaml.safe_load(KNOWN.read_text("utf-8")) or ()}
    every = [one for one in every_mutant(asked.only) if asked.kind in (None, one.kind)]
    drawn = random.Random(asked.seed).sample(every, min(asked.sample, len(every)))
    told: Counter[str] = Counter()
    kinds: Counter[tuple[str, str]] = Counter()
    areas: Counter[tuple[str, str]] = Counter()
    print(f"{len(every)} mutants, {len(drawn)} drawn with seed {asked.seed}", flush=True)
    if not _passes_unchanged(reach, drawn[:1], asked.seconds):
        print("the tests do not pass as they are: no mutant could be told from that")
        return 2
    for mutant in drawn:
        made = make(mutant, ROOT)
        name = f"{mutant.path}:{mutant.function}: {made.before} -> {made.after}"
        if name in known:
            told["equivalent"] += 1
            continue
        users = () if mutant.function else users_of(mutant.path)
        tests = choose_tests(reach, mutant.path, mutant.function, is_cached(mutant), users)
        trial = try_in_turn(ROOT / mutant.path, made.tree, tests, reach.seconds, asked.seconds)
        became = "killed" if trial.killed_by else "survived"
        told[became] += 1
        kinds[mutant.kind, became] += 1
        areas[area_of(mutant.path), became] += 1
        _tell(mutant, name, trial)
    counted = told["killed"] + told["survived"]
    share = 100 * told["killed"] / counted if counted else 0.0
    for rates in (areas, kinds):
        for name in sorted({name for name, _ in rates}):
            print(f"{name:20}{rates[name, 'killed']:5} killed{rates[name, 'survived']:5} survived")
    print(
        f"{told['killed']} of {counted} killed ({share:.0f} %); "
        f"{told['equivalent']} more are known to be equivalent. Seed {asked.seed}."
    )
    return 0


def _passes_unchanged(reach: Reach, drawn: list[Mutant], at_most_s: float) -> bool:
    for mutant in drawn:
        file = ROOT / mutant.path
        tests = choose_tests(reach, mutant.path, "", False)
        as_it_is = ast.parse(file.read_text("utf-8"))
        enough_s = min(at_most_s, 10.0)
        return not try_mutant(file, as_it_is, tests, reach.seconds, enough_s).killed_by
    return True


def keep_apart(asked: argparse.Namespace, file: Path) -> None:
    """Record in a fork, so that this process still has nothing of the project loaded."""
    file.unlink(missing_ok=True)
    child = os.fork()
    if child == 0:
        try:
            marked = NOT_LONG if asked.add else NOT_PROCESS
            keep(record(ROOT, asked.tests or list(TESTS), marked), file)
        except BaseException:
            traceback.print_exc()
        finally:
            sys.stdout.flush()
            sys.stderr.flush()
            os._exit(0)
    os.waitpid(child, 0)
    if not file.exists():
        sys.exit(2)


def _tell(mutant: Mutant, name: str, trial: Trial) -> None:
    if trial.killed_by:
        print(f"killed    {mutant}  by {trial.killed_by} ({trial.seconds:.0f} s)", flush=True)
        return
    cut = ", cut short" if trial.cut_short else ""
    print(
        f"SURVIVED  {mutant}\n          {name}\n"
        f"          {trial.tests} tests, {trial.seconds:.0f} s{cut}",
        flush=True,
    )


if __name__ == "__main__":
    sys.exit(main())
