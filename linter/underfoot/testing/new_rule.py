"""Starts a rule: its module, its page and a mutation that breaks it, ready to be rewritten."""

import re
from collections.abc import Mapping, Sequence
from difflib import get_close_matches
from importlib.resources import files
from keyword import iskeyword
from pathlib import Path
from string import Template

from msgspec import Struct

from underfoot.checking.rule import RuleSet

_ID = re.compile(r"[a-z]+(-[a-z]+)*")
_TOPIC = re.compile(r"[a-z]+(_[a-z]+)*")
_LONGEST_ID = 40
_NOT_IDS = ("new", "mutations")  # which the kit and the folder of a set use themselves
_TOPICS = re.compile(r"^TOPICS = \(\n(?:    \"\w+\",\n)*", re.MULTILINE)
_PACKAGE = '"""Rules, one a module, each with its page."""\n'


class NewRuleError(Exception):
    """A rule that cannot be started as it was asked for."""


class Written(Struct, frozen=True, kw_only=True):
    """The files of a new rule, those that were extended for it, and what is left to do."""

    made: tuple[Path, ...]
    extended: tuple[Path, ...]
    left: tuple[str, ...]


class _Place(Struct, frozen=True, kw_only=True):
    """Where a set keeps its rules: a folder to a topic, or all in one."""

    folder: Path
    by_topic: bool


def write_rule(
    name: str,
    sets: Sequence[RuleSet],
    *,
    topic: str | None = None,
    rule_set: str = "standard",
    into: Path | None = None,
    new_topic: bool = False,
) -> Written:
    """Write the files of a new rule; no file is ever overwritten.

    `sets` are those installed; the rule goes into the one called `rule_set`, or into the package
    in the folder `into`, which is begun where there is none. NewRuleError says what is wrong.
    """
    _refuse_name(name, sets)
    place = _place_of(rule_set, sets) if into is None else _own_place(into)
    module = name.replace("-", "_")
    own_topic = topic or ("" if place.by_topic else "own")
    _refuse_topic(own_topic, place, new_topic)
    home = place.folder / own_topic if place.by_topic else place.folder
    mutations = place.folder / "mutations"
    # In a folder of its topic a rule has its id and topic from where it stands.
    identity = "" if place.by_topic else f'    id="{name}",\n    topic="{own_topic}",\n'
    words = {"id": name, "identity": identity, "name": _set_name(place.folder)}
    made = {
        home / f"{module}.py": _fill("rule.py", words),
        home / f"{module}.md": _fill("page.md", words),
        mutations / f"{module}.py": _fill("mutation.py", words),
    }
    whole = _whole_package(place, home, mutations, words)
    extended = _extend_lists(place, mutations, own_topic, module)
    for path in made:
        if path.exists():
            raise NewRuleError(f"{path} is there already; nothing was written")
    for path, text in {**whole, **made, **extended}.items():
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, "utf-8")
    left = _left_of_standard(name) if place.by_topic else _left_of_own(module, place, whole)
    return Written(made=(*whole, *made), extended=tuple(extended), left=left)


def _refuse_name(name: str, sets: Sequence[RuleSet]) -> None:
    if not _ID.fullmatch(name) or len(name) > _LONGEST_ID:
        raise NewRuleError(
            f"{name!r} is no name for a rule: write small letters in words joined by hyphens, "
            f"at most {_LONGEST_ID} characters (strips-by-stairs)"
        )
    if name in _NOT_IDS or iskeyword(name):
        raise NewRuleError(f"{name!r} means something else here: choose another name")
    owner = [one.name for one in sets if any(rule.id == name for rule in one.rules)]
    if owner:
        raise NewRuleError(f"the rule set {owner[0]} has a rule {name} already")


def _place_of(name: str, sets: Sequence[RuleSet]) -> _Place:
    found = next((one for one in sets if one.name == name), None)
    if found is None:
        near = get_close_matches(name, [one.name for one in sets], 1)
        hint = f"; did you mean {near[0]}?" if near else ""
        raise NewRuleError(f"no rule set called {name} is installed{hint}")
    if not found.rules:
        raise NewRuleError(f"the rule set {name} has no rules yet: name its folder by --into")
    modules = [rule.module.split(".") for rule in found.rules]
    folder = Path(str(files(modules[0][0])))
    if {"site-packages", "dist-packages"} & set(folder.parts):
        raise NewRuleError(
            f"the rule set {name} is installed in {folder}, where what you write would be lost: "
            "name the folder that you work in by --into, or install the set with pip install -e"
        )
    return _Place(folder=folder, by_topic=all(len(parts) == 3 for parts in modules))


def _own_place(folder: Path) -> _Place:
    folder = folder.absolute()
    if not folder.name.isidentifier() or iskeyword(folder.name):
        raise NewRuleError(
            f"{folder.name!r} is no name for a package of Python: letters, digits and underscores, "
            "no digit first (house_rules)"
        )
    if folder.exists() and not folder.is_dir():
        raise NewRuleError(f"{folder} is no folder")
    lists = (path.read_text("utf-8") for path in folder.glob("*.py"))
    return _Place(folder=folder, by_topic=any(_TOPICS.search(text) for text in lists))


def _list_topics(folder: Path) -> list[str]:
    """List the folders that hold rules: packages whose modules have pages."""
    return sorted(
        each.parent.name for each in folder.glob("*/__init__.py") if list(each.parent.glob("*.md"))
    )


def _refuse_topic(topic: str, place: _Place, new_topic: bool) -> None:
    if not place.by_topic:
        if not _TOPIC.fullmatch(topic):
            raise NewRuleError(f"{topic!r} is no name for a topic: small letters and underscores")
        return
    known = _list_topics(place.folder)
    listed = ", ".join(known)
    if not topic:
        raise NewRuleError(f"name the rule's topic by --topic: {listed}")
    if topic in known:
        return
    near = get_close_matches(topic, known, 1)
    hint = f"did you mean {near[0]}? " if near else ""
    if not new_topic:
        raise NewRuleError(
            f"no topic is called {topic}; {hint}There are {listed}. "
            "For a topic of its own add --new-topic."
        )
    if not _TOPIC.fullmatch(topic) or (place.folder / topic).exists():
        raise NewRuleError(
            f"{topic!r} cannot be a topic: it takes small letters and underscores, and a name that "
            f"{place.folder} has not used yet"
        )


def _set_name(folder: Path) -> str:
    return folder.name.removesuffix("_rules") or folder.name


def _fill(template: str, words: Mapping[str, str]) -> str:
    text = files("underfoot.testing").joinpath("templates", f"{template}.txt").read_text("utf-8")
    return Template(text).substitute(words)


def _whole_package(
    place: _Place, home: Path, mutations: Path, words: Mapping[str, str]
) -> dict[Path, str]:
    """Write what makes folders packages, where they are none yet."""
    wanted = {mutations / "__init__.py": _fill("mutations.py", words)}
    if place.by_topic:
        wanted[home / "__init__.py"] = _PACKAGE
    else:
        wanted[home / "__init__.py"] = _fill("rule_set.py", words)
        wanted[home / "py.typed"] = ""
    return {path: text for path, text in wanted.items() if not path.exists()}


def _extend_lists(place: _Place, mutations: Path, topic: str, module: str) -> dict[Path, str]:
    """Add the module of the mutation, and a new topic, to the lists that gather them."""
    extended = {}
    wanted = [(mutations / "__init__.py", module)]
    if place.by_topic:
        wanted += [(path, topic) for path in sorted(place.folder.glob("*.py"))]
    for path, name in wanted:
        text = path.read_text("utf-8") if path.exists() else ""
        gathered = _TOPICS.search(text)
        if gathered and f'    "{name}",\n' not in gathered[0]:
            extended[path] = f'{text[: gathered.end()]}    "{name}",\n{text[gathered.end() :]}'
    return extended


def _left_of_standard(name: str) -> tuple[str, ...]:
    return (
        "Replace what the three files say by your rule, its page and a way to get it wrong "
        "(move that into the topic's module of mutations, if there is one), and work out in "
        "tests/second_opinion what such a damage must bring.",
        f"See what its examples give: python -m underfoot.testing {name}",
        "Write the index anew: underfoot rules --format markdown > rules/index.md",
        "Name the keys that it needs in tests/missing_keys/needed_keys.yaml, under `needed`; where "
        "it takes something for a key, under `taken`; where it needs none, under `nothing`.",
        "Give it a fault in a plan of plans/, declare that in tests/underfoot_rules/"
        "demo_faults.yaml, and write the reports anew: python -m tests.demo_plans",
        "Write what is kept of it, and the README's count and quotes: python -m "
        "tests.underfoot_rules.said, tests.constants_kept and tests.guides; read the difference.",
        "Where another rule speaks for the same cause, silence one of the two, and add a plan "
        "to CAUSES, as DEVELOPERS.md says; where the planner can choose, add a mender.",
        "Test: pytest -q -n 2 tests/underfoot_rules tests/missing_keys tests/seeded_faults "
        "tests/constants_kept tests/test_demo_plans.py tests/test_guides.py, then ruff check ., "
        "ruff format ., mypy and lint-imports.",
        "Say in CHANGELOG.md what is new.",
    )


def _left_of_own(module: str, place: _Place, whole: Mapping[Path, str]) -> tuple[str, ...]:
    package = place.folder.name
    init = place.folder / "__init__.py"
    left = ["Replace what the three files say by your rule, its page and a way to get it wrong."]
    if init not in whole and "iter_modules" not in (text := init.read_text("utf-8")):
        left.append(
            f"Add the rule to the RuleSet in {package}/__init__.py: "
            f"from {package}.{module} import RULE"
        )
        if "gather_mutations" not in text:
            left.append(
                f"Give that RuleSet gather_mutations, which returns {package}.mutations.gather()."
            )
    if init in whole:
        left.append(
            "Write pyproject.toml with the entry point, in the group underfoot.rule_sets: "
            f'{_set_name(place.folder)} = "{package}:RULE_SET"'
        )
        left.append("Install it: python -m pip install -e .")
    left.append(
        "Run its examples as tests: check_example and examples_of of underfoot.testing; "
        f"python -m underfoot.testing {module.replace('_', '-')} shows what they give."
    )
    return tuple(left)
