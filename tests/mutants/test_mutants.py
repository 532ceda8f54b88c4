"""The mutation tester itself, on a module and tests of three lines."""

import ast
import importlib
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.mutants.__main__ import area_of, users_of
from tests.mutants.making import make, mutants_of
from tests.mutants.reaching import Reach, Recorder, choose_tests, join, keep, recall
from tests.mutants.trying import Mutated

pytestmark = pytest.mark.process

ROOT = Path(__file__).parent.parent.parent

SOURCE = '''\
"""About a < b."""
LEAST: int = 5


class Band:
    def holds(self, a, b):
        if not a:
            return None
        return CannotTell(f"{a + b}") if a < b or a == LEAST else min(a, b) * 2.0
'''


@pytest.fixture
def sample(tmp_path: Path) -> Path:
    file = tmp_path / "band.py"
    file.write_text(SOURCE, encoding="utf-8")
    return file


def told(file: Path) -> list[tuple[str, str, str]]:
    """Return what is changed, each with its kind."""
    made = [(one.kind, make(one, file.parent)) for one in mutants_of(file, file.parent)]
    return [(kind, each.before, each.after) for kind, each in made]


def test_every_kind_of_change_is_made_and_wording_is_left_alone(sample: Path) -> None:
    changes = {(kind, after) for kind, _, after in told(sample)}
    assert {kind for kind, _ in changes} == {
        "constant", "early return", "not dropped", "cannot tell", "comparison turned", "and/or",
        "choice", "arithmetic",
    }  # fmt: skip
    whole = {
        ast.unparse(make(one, sample.parent).tree) for one in mutants_of(sample, sample.parent)
    }
    for line in (
        "LEAST: int = 6",
        "LEAST: int = 4",
        "if a:",
        "pass",
        "return None if a < b or a == LEAST else min(a, b) * 2.0",
        "return CannotTell(f'{a + b}') if a <= b or a == LEAST else min(a, b) * 2.0",
        "return CannotTell(f'{a + b}') if a >= b or a == LEAST else min(a, b) * 2.0",
        "return CannotTell(f'{a + b}') if a < b or a != LEAST else min(a, b) * 2.0",
        "return CannotTell(f'{a + b}') if a < b and a == LEAST else min(a, b) * 2.0",
        "return CannotTell(f'{a + b}') if a < b or a == LEAST else max(a, b) * 2.0",
        "return CannotTell(f'{a + b}') if a < b or a == LEAST else min(a, b) / 2.0",
        "return CannotTell(f'{a + b}') if a < b or a == LEAST else min(a, b) * 2.2",
    ):
        assert sum(line in text for text in whole) >= 1, line
    assert not any("a - b" in text for text in whole)
    assert len(whole) == len(told(sample)), "no two are the same"


def test_a_mutant_knows_its_function_and_its_line(sample: Path) -> None:
    first, *_, last = mutants_of(sample, sample.parent)
    assert (first.path, first.line, first.function) == ("band.py", 2, "")
    assert (last.path, last.line, last.function) == ("band.py", 9, "Band.holds")


def test_what_only_asserts_and_what_commutes_is_left_alone(tmp_path: Path) -> None:
    file = tmp_path / "pairs.py"
    file.write_text(
        "PAIRS = list(zip(A, B, strict=True))\nNEAR = dist(A, B)\n"
        "class Pair(Struct, kw_only=True):\n    one: int\n",
        encoding="utf-8",
    )
    assert told(file) == [
        (
            "arguments",
            "PAIRS = list(zip(A, B, strict=True))",
            "PAIRS = list(zip(B, A, strict=True))",
        )
    ]


def test_rates_are_told_by_the_folders_of_the_code() -> None:
    assert area_of("linter/underfoot/drawing/lining/boards.py") == "drawing"
    assert area_of("linter/underfoot/__main__.py") == "underfoot"
    assert area_of("rules/underfoot_rules/leads/rings.py") == "underfoot_rules"


def test_a_test_that_fails_as_it_is_is_left_out(tmp_path: Path) -> None:
    recorder = Recorder(tmp_path)
    recorder.seconds = {"a": 1.0, "b": 2.0}
    recorder.functions = {"x.py:f": {"a", "b"}}
    recorder.forget({"a"})
    assert (recorder.seconds, recorder.functions) == ({"b": 2.0}, {"x.py:f": {"b"}})


def test_the_likeliest_tests_go_first() -> None:
    reach = Reach(
        seconds={
            "tests/test_far.py::slow": 2.0,
            "tests/test_far.py::quick": 0.1,
            "tests/test_band.py::t": 9.0,
        },
        functions={
            "src/band.py:Band.holds": ["tests/test_far.py::slow", "tests/test_far.py::quick"],
            "src/band.py:cached": ["tests/test_far.py::quick"],
        },
    )
    near = ["tests/test_band.py::t", "tests/test_far.py::quick"]
    assert choose_tests(reach, "src/band.py", "Band.holds", False) == [
        *near,
        "tests/test_far.py::slow",
    ]
    assert choose_tests(reach, "src/band.py", "other", False) == near[:1]
    within = choose_tests(reach, "src/band.py", "Band.holds.each", False)
    assert within == choose_tests(reach, "src/band.py", "Band.holds", False)
    of_class = choose_tests(reach, "src/band.py", "Band", False)
    assert of_class == [*near, "tests/test_far.py::slow"]
    # What keeps its results, and what stands outside functions, may be reached by any of them.
    for function, cached in (("", False), ("cached", True)):
        assert len(choose_tests(reach, "src/band.py", function, cached)) == 3


def test_constants_are_tried_by_what_reaches_those_who_take_them_in() -> None:
    reach = Reach(
        seconds={"tests/test_far.py::t": 1.0}, functions={"src/user.py:f": ["tests/test_far.py::t"]}
    )
    assert choose_tests(reach, "src/table.py", "", False) == []
    assert choose_tests(reach, "src/table.py", "", False, ["src/user.py"]) == list(reach.seconds)
    assert "rules/underfoot_rules/figures/odd_figure.py" in users_of(
        "rules/underfoot_rules/figures/plausible.py"
    )


def test_constants_are_tried_by_what_looks_at_modules() -> None:
    kept = "tests/constants_kept/test_constants_kept.py::test_constants"
    reach = Reach(
        seconds={"tests/test_far.py::t": 0.1, kept: 1.0},
        functions={"src/a.py:f": ["tests/test_far.py::t"]},
    )
    assert choose_tests(reach, "src/a.py", "", False) == [kept, "tests/test_far.py::t"]
    assert choose_tests(reach, "src/a.py", "f", False) == ["tests/test_far.py::t"]


def test_what_was_recorded_is_recalled(tmp_path: Path) -> None:
    reach = Reach(seconds={"b": 0.5, "a": 0.25}, functions={"x.py:f": ["a", "b"], "x.py:g": ["b"]})
    keep(reach, tmp_path / "deep" / "reach.json")
    assert recall(tmp_path / "deep" / "reach.json") == reach


def test_what_further_tests_reach_is_put_to_what_is_kept() -> None:
    before = Reach(seconds={"a": 1.0, "b": 2.0}, functions={"x.py:f": ["a", "b"], "x.py:g": ["b"]})
    further = Reach(seconds={"b": 3.0, "c": 4.0}, functions={"x.py:f": ["b"], "x.py:h": ["c"]})
    assert join(before, further) == Reach(
        seconds={"a": 1.0, "b": 3.0, "c": 4.0},
        functions={"x.py:f": ["a", "b"], "x.py:g": [], "x.py:h": ["c"]},
    )


def test_a_mutant_of_a_module_that_is_called_like_a_test_is_seen(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The finder of pytest comes first while it runs, and gives such a module as it is written."""
    file = tmp_path / "test_band.py"
    file.write_text("LEAST = 5\n", "utf-8")
    mutated = Mutated(file, ast.parse("LEAST = 6\n"))
    monkeypatch.syspath_prepend(tmp_path)
    monkeypatch.setattr(sys, "meta_path", [*sys.meta_path, mutated])
    mutated.pytest_sessionstart()
    assert sys.meta_path[0] is mutated
    try:
        assert importlib.import_module("test_band").LEAST == 6
    finally:
        sys.modules.pop("test_band", None)


def test_what_a_copy_of_the_process_calls_is_reached_by_its_test(tmp_path: Path) -> None:
    (tmp_path / "called.py").write_text(
        "def here(): pass\ndef in_copy(): pass\ndef nowhere(): pass\n", encoding="utf-8"
    )
    (tmp_path / "test_copy.py").write_text(
        "import os\nfrom called import here, in_copy\n"
        "def test_copy():\n    here()\n    copy = os.fork()\n"
        "    if not copy:\n        in_copy()\n        os._exit(0)\n    os.waitpid(copy, 0)\n",
        encoding="utf-8",
    )
    recorded = (
        "from pathlib import Path; from tests.mutants.reaching import record; import sys\n"
        "reach = record(Path(sys.argv[1]), [sys.argv[1] + '/test_copy.py'])\n"
        "print(sorted(name for name, ids in reach.functions.items() if ids))"
    )
    done = subprocess.run(
        [sys.executable, "-W", "ignore", "-c", recorded, str(tmp_path)],
        cwd=ROOT, check=True, capture_output=True, text=True,
        env={**os.environ, "PYTHONPATH": os.pathsep.join([str(tmp_path), *sys.path])},
    )  # fmt: skip
    names = done.stdout.splitlines()[-1]
    assert "called.py:here" in names
    assert "called.py:in_copy" in names
    assert "nowhere" not in names


@pytest.mark.long
def test_a_mutant_is_killed_and_another_survives(tmp_path: Path) -> None:
    """Every part at once, on the module that says which status a run ends with."""
    done = subprocess.run(
        [sys.executable, "-m", "tests.mutants", "--sample", "3", "--seed", "1",
         "--only", "linter/underfoot/checking/exit_status.py",
         "--tests", "tests/underfoot/checking/test_exit_status.py",
         "--reach", str(tmp_path / "reach.json")],
        cwd=ROOT, check=True, capture_output=True, text=True, timeout=600,
    )  # fmt: skip
    lines = done.stdout.splitlines()
    assert any(line.startswith("killed ") and "test_exit_status.py::" in line for line in lines)
    assert "of 3 killed" in lines[-1]
