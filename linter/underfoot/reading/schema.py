"""Data against its JSON Schema: a quick yes, or each violation as a located problem."""

import json
from collections.abc import Mapping
from functools import cache
from itertools import islice
from pathlib import Path
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from underfoot.plan_format import DECLARED, write_schema
from underfoot.reading.paths import join_path, locate
from underfoot.reading.problem import Problem, order_of, problem_at
from underfoot.reading.quick_validator import Check, Part, Schema, compile_gate
from underfoot.reading.syntax import Parsed
from underfoot.reading.violation_words import word_violation
from underfoot.reading.violations import Violation, list_violations
from underfoot.reading.wording import find_nearest, join_words, show

MOST_VIOLATIONS = 1000
_LFS_POINTER = "version https://git-lfs.github.com/spec/"
# Which formats there are, by the key that a file of each begins with.
FORMAT_NAMES = {
    "plan_format": "a plan",
    "catalogue_format": "a catalogue",
    "settings_format": "settings",
    "scheme_format": "a marking scheme",
    "comments_format": "a marker's comments",
    "key_format": "an answer key",
    "answers_format": "answers",
    "review_format": "a review",
}


class Format(Struct, frozen=True, kw_only=True):
    """A file format: its schema and the quick check made of it."""

    schema: Schema
    definitions: Mapping[str, Schema]
    is_met_by: Check
    key: str
    version: int


class Checked(Struct, frozen=True, kw_only=True):
    """Data that is as the schema says, after what violates it was taken out.

    `data` is None where what is left is not worth reading on.
    """

    data: Any
    problems: tuple[Problem, ...] = ()


@cache
def load_schema(name: str) -> dict[str, Any]:
    """The JSON Schema called `name`: "plan", "catalogue", "settings" or "review"."""
    if name in DECLARED:
        return write_schema(name)
    # importlib.resources takes longer to load than all else that a small plan needs.
    text = Path(__file__).with_name(f"{name}.schema.json").read_text(encoding="utf-8")
    schema: dict[str, Any] = json.loads(text)
    return schema


@cache
def load_format(name: str) -> Format:
    """The format called `name`, its check compiled."""
    schema = load_schema(name)
    definitions = schema.get("definitions") or load_schema("plan")["definitions"]
    key = f"{name}_format"
    version: int = schema["properties"][key]["enum"][0]
    return Format(
        schema=schema,
        definitions=definitions,
        is_met_by=compile_gate(schema, definitions),
        key=key,
        version=version,
    )


def check_data(parsed: Parsed, name: str) -> Checked:
    """Check what was read against the format called `name`, and list all that is against it."""
    if parsed.data is None:
        return Checked(data=None)
    form = load_format(name)
    if form.is_met_by(parsed.data):
        return Checked(data=parsed.data)
    foreign = _find_foreign_format(parsed, form)
    if foreign is not None:
        return Checked(data=None, problems=(foreign,))
    against = list(
        islice(list_violations(form.schema, form.definitions, parsed.data), MOST_VIOLATIONS + 1)
    )
    found = [each for each in against if not _follows_from(each, parsed.broken)]
    found = _drop_misspelt(found)
    problems = sorted(
        dict.fromkeys(
            _locate(violation, form.definitions, parsed) for violation in found[:MOST_VIOLATIONS]
        ),
        key=order_of,
    )
    if len(against) > MOST_VIOLATIONS and problems:
        last = problems[-1]
        more = "there are more problems than are listed: put these right first"
        problems.append(replace(last, message=more))
        return Checked(data=None, problems=tuple(problems))
    # What has been told already is against the schema all the same: nobody builds on it.
    removed = {violation.parts for violation in against if violation.keyword != "required"}
    if () in removed:
        return Checked(data=None, problems=tuple(problems))
    return Checked(data=_prune(parsed.data, removed), problems=tuple(problems))


def _find_foreign_format(parsed: Parsed, form: Format) -> Problem | None:
    """The one problem of a file that is of another format, or of a later one."""
    data = parsed.data
    wanted = FORMAT_NAMES[form.key]
    if isinstance(data, str) and data.startswith(_LFS_POINTER):
        return problem_at(
            "git keeps this file elsewhere (LFS), and only the pointer to it is here: fetch it by "
            "`git lfs pull`, in CI by `lfs: true` in the checkout",
            "",
            locate("", parsed.positions),
        )
    if not isinstance(data, dict):
        return problem_at(
            f"this is not {wanted}: a file begins with {show(f'{form.key}: {form.version}')}, and "
            "is a mapping of keys",
            "",
            locate("", parsed.positions),
        )
    version = data.get(form.key)
    if isinstance(version, int | float) and not isinstance(version, bool):
        if version == form.version:
            return None
        return problem_at(
            f"{show(f'{form.key}: {json.dumps(version)}')} is not known to this version, which "
            f"reads {show(f'{form.key}: {form.version}')}",
            form.key,
            locate(form.key, parsed.positions),
        )
    if form.key in data or form.key in parsed.broken:
        return None
    other = next((key for key in data if key.endswith("_format")), None)
    if other is None:
        return None
    found = f"this is {FORMAT_NAMES[other]}" if other in FORMAT_NAMES else "this is another file"
    return problem_at(
        f"{found} ({show(other)}), where {wanted} ({join_words([form.key])}) is expected",
        other,
        locate(other, parsed.positions),
    )


def _follows_from(violation: Violation, broken: frozenset[str]) -> bool:
    """Whether a value that could not be read, and was reported, is the cause."""
    if not broken:
        return False
    path = join_path(violation.parts)
    if violation.missing is not None:
        return path in broken or join_path((*violation.parts, violation.missing)) in broken
    return path in broken


def _drop_misspelt(found: list[Violation]) -> list[Violation]:
    """Leave out what is missing only because its key is misspelt: that is said at the key."""
    meant = {
        (one.parts[:-1], find_nearest(str(one.parts[-1]), one.owner["properties"]))
        for one in found
        if one.keyword == "additionalProperties" and "properties" in one.owner
    }
    return [
        violation
        for violation in found
        if violation.missing is None or (violation.parts, violation.missing) not in meant
    ]


def _locate(violation: Violation, definitions: Mapping[str, Schema], parsed: Parsed) -> Problem:
    path = join_path(violation.parts)
    message = word_violation(violation, definitions)
    return problem_at(message, path, locate(path, parsed.positions))


def _prune(data: Any, removed: set[tuple[Part, ...]], parts: tuple[Part, ...] = ()) -> Any:
    """A copy without what was removed; in lists a None stands in its place."""
    if isinstance(data, dict):
        return {
            key: _prune(value, removed, (*parts, key))
            for key, value in data.items()
            if (*parts, key) not in removed
        }
    if isinstance(data, list):
        return [
            None if (*parts, place) in removed else _prune(value, removed, (*parts, place))
            for place, value in enumerate(data)
        ]
    return data
