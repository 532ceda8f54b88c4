"""What is handed out with an exercise, and the key that is not: texts and drawings."""

from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any

from msgspec.structs import replace

from underfoot.checking.mutation import Data
from underfoot.checking.report import Counts, ReportedFinding
from underfoot.marking.exercise import Exercise
from underfoot.marking.plan_text import write_yaml
from underfoot.reading.hidden import escape_invisible

# What an answer earns or costs, in the key, where a trainer may change it.
FOUND, PLACE_ONLY, KIND_ONLY, WRONG = 2, 1, 1, 1
# A sheet without findings would say that there are none.
_UNTOLD = "not told"
_NO_FINDINGS, _TO_FIND = "Nothing was found in this room.", "What is wrong is for you to find."
# Each room is drawn as its strips lie, and apart from them what lies below and above.
_BELOW = ("boards", "membrane")


def write_key(exercise: Exercise, plan: str, seed: int) -> str:
    """Write the answer key."""
    key: dict[str, Any] = {
        "key_format": 1,
        "title": str((exercise.right.get("job") or {}).get("title", plan)),
        "plan": plan,
        "seed": seed,
        "marks": {
            "found": FOUND,
            "place_only": PLACE_ONLY,
            "kind_only": KIND_ONLY,
            "wrong": WRONG,
        },
        "faults": [
            {
                **_told(fault.finding),
                "says": fault.says,
                "message": fault.finding.message,
                "remedy": fault.finding.remedy,
            }
            for fault in exercise.faults
        ],
        "follows": [_told(one) for one in exercise.follows],
    }
    said = "# The answers. `follows` are right to name, but nobody is asked for them.\n"
    return said + write_yaml(key)


def write_answers(exercise: Exercise) -> str:
    """Write the sheet to be filled in."""
    settings = exercise.examined.settings
    clearance = settings.served("wall clearance") if settings is not None else None
    example = clearance.rule if clearance is not None else "the-rule-s-id"
    return (
        f"# There are {len(exercise.faults)} faults. For each, write its room, one thing that is "
        "wrong and the rule\n# that is broken (`underfoot rules` lists them), such as\n"
        f"#   - {{room: bedroom, item: A4, kind: {example}}}\n"
        "# Where something is missing, leave the item out. Kind and room alone earn a part;\n"
        "# a wrong accusation costs marks.\n"
        "answers_format: 1\nfaults: []\n"
    )


def draw_exercise(exercise: Exercise) -> Mapping[str, str]:
    """Draw every room of the damaged plan by file name, with no sign of what is wrong.

    The boards and the membrane have drawings of their own in every exercise, whether a fault is in
    them or not.
    """
    from underfoot.drawing import USUAL_LAYERS, SheetOptions, draw_sheets

    facts = exercise.examined.facts
    assert facts is not None
    plan = facts.plan
    report = replace(exercise.examined.report, findings=(), counts=Counts(), verdict=_UNTOLD)
    bare = tuple(layer for layer in USUAL_LAYERS if layer not in ("strips", "leads"))
    sheets = {"": USUAL_LAYERS, **{f"-{layer}": (layer, *bare) for layer in _BELOW}}
    return {
        f"exercise-{name}{ending}{'' if part == 1 else f'.part-{part}'}.svg": sheet.replace(
            _NO_FINDINGS, _TO_FIND
        )
        for name in plan.rooms
        for ending, layers in sheets.items()
        for part, sheet in enumerate(
            draw_sheets(facts.rooms[name], plan, report, SheetOptions(layers=layers)), 1
        )
    }


def write_brief(exercise: Exercise, today: date) -> str:
    """Write what the house asks for: what stands in its rooms, whether it was drawn or not."""
    job = {**(exercise.right.get("job") or {}), **(exercise.data.get("job") or {})}
    lines = [
        f"{job.get('title', 'The plan')}: what is known of it",
        "",
        f"The plan in exercise.yaml is looked at on {today.day} {today:%B %Y}. Its rooms are drawn "
        "in the exercise-*.svg",
        "beside it: the strips and leads, and apart from them the boards and the membrane.",
        "",
        *_supply(exercise),
    ]
    for name in exercise.right["rooms"]:
        lines += ["", *_room(name, exercise)]
    lines += [
        "",
        f"{len(exercise.faults)} faults were put in. Each can be found in what is handed out. What "
        "a room lacks counts",
        "as a fault of that room. Write what you find into answers.yaml.",
    ]
    # It is read on a terminal, too: nothing of the plan may be obeyed or hidden there.
    return "".join(f"{escape_invisible(line)}\n" for line in lines)


def _supply(exercise: Exercise) -> Iterator[str]:
    supply = _known(exercise.right, exercise.data, "supply")
    told = ", ".join(
        f"{word} {supply[key]}"
        for key, word in (("system", ""), ("voltage", "at"), ("available", "with"))
        if key in supply
    )
    if told:
        yield f"Supply: {told.strip()}."


def _known(right: Data, data: Data, key: str) -> Data:
    """Return what is known of a thing: what the plan says, and what holds where it is silent."""
    return {**(right.get(key) or {}), **(data.get(key) or {})}


def _room(name: str, exercise: Exercise) -> Iterator[str]:
    told = _known(exercise.right["rooms"], exercise.data["rooms"], name)
    fixtures = _known(
        exercise.right["rooms"][name], exercise.data["rooms"].get(name) or {}, "fixtures"
    )
    yield name
    if "use" in told:
        yield f"  used as: {told['use']}"
    if "heat_loss" in told:
        yield f"  heat lost on the coldest day: {told['heat_loss']}"
    if "covering" in told:
        yield f"  covering: {told['covering']}"
    for fixture, what in fixtures.items():
        size = what.get("size")
        spread = f", {size[0]} x {size[1]}" if size else ""
        yield f"  stands there: {fixture} ({what.get('kind', 'of no kind')}{spread})"


def _told(finding: ReportedFinding) -> dict[str, Any]:
    told: dict[str, Any] = {"rule": finding.rule}
    if finding.room is not None:
        told["room"] = finding.room
    told["items"] = list(finding.items)
    return told
