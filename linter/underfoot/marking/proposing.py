"""A model answer -> a first draft of a scheme: topics, rows, marks and goals, to be edited."""

import json
import math
import re
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction

from msgspec import Struct

from underfoot.checking.rule import AnyRule
from underfoot.checking.settings import default_settings
from underfoot.marking.marks import written_marks
from underfoot.marking.modelling import Model
from underfoot.plan import Plan
from underfoot.reporting.json import spell_out

_STEP = Fraction(1, 2)
# What a row weighs against the others before all are brought to the marks asked for.
_PROTECTS, _ERROR, _WARNING = 3, 2, 1
_ASKED = {"heated share": 4, "output": 4, "circuits": 2, "method statement": 3}
_WHOLE = "the whole"
# The topic of which a submission must show something: without it nothing is made safe at all.
_SHOWN = "circuits"
# What no floor may be without, whatever its marks: where it is missed, the submission fails.
_NEEDED = frozenset({"sensor", "thermostat", "insulation", "membrane"})
# Which figure must be there for which topics of rules to count at all.
_GATES: Mapping[str, tuple[str, ...]] = {
    "heated share": ("laying", "sensor", "thermostat", "leads", "circuits"),
    "sensor": ("sensor",),
    "thermostat": ("thermostat",),
    "fed strips": ("leads",),
    "insulation": ("insulation",),
    "membrane": ("membrane",),
}
_WHY = {
    "heated share": "a floor of which less is heated shows nothing about laying, heating, feeding",
    "sensor": "rows about a sensor count for nothing where there is none",
    "thermostat": "nor those about a thermostat",
    "fed strips": "leads that feed nothing earn nothing",
    "insulation": "boards over a corner of the floor earn nothing",
    "membrane": "nor does a sheet over a corner",
}
_PLAIN = re.compile(r"[A-Za-z][A-Za-z0-9_ -]*")
# What a plan gives that was not handed out by itself.
GIVEN = ("outline", "use", "height", "fixtures", "joints", "subfloor", "covering", "underlay",
         "overlay", "heat loss", "materials", "supply")  # fmt: skip


class Wish(Struct, frozen=True, kw_only=True):
    """What a scheme is proposed for: its brief's file and plan, and how many marks there are."""

    title: str
    brief: str
    brief_plan: Plan
    marks: int
    pass_percent: int
    has_own_brief: bool


class _Row(Struct, frozen=True, kw_only=True):
    topic: str
    name: str
    weight: int
    told: str
    said: str
    is_rule: bool = True


def propose_scheme(
    models: Sequence[Model], earned_by_brief: frozenset[str], rules: Sequence[AnyRule], wish: Wish
) -> str:
    """Propose a scheme as YAML with remarks that say what each line does.

    A rule has a row where every model answer keeps it, and the brief alone does not.
    """
    rows = [*_list_rules(models, earned_by_brief, rules), *_list_asked(models, wish)]
    topics = list(dict.fromkeys(row.topic for row in rows))
    marks = share_out([row.weight for row in rows], wish.marks)
    lines = [
        *_head(models, wish, rules),
        *_list_fails(rows, rules),
        *_list_goals(models, wish, topics),
        "",
        "# The marks. A rule's row earns in proportion to what is right of what the rule looked",
        "# at in the submission; `award: all` gives all or nothing. Move rows and topics about,",
        "# rename topics, take out what you do not teach.",
        "topics:",
    ]
    for topic in topics:
        lines.append(f"  {topic}:")
        for is_rule, key in ((True, "rules"), (False, "asked")):
            own = [
                (row, given)
                for row, given in zip(rows, marks, strict=True)
                if row.topic == topic and row.is_rule == is_rule
            ]
            if own:
                lines.append(f"    {key}:")
            for row, given in own:
                worth = written_marks(given)
                told = f"{row.name}: {{marks: {worth}}}" if is_rule else (
                    f"- {{{row.told}, marks: {worth}}}"
                )  # fmt: skip
                lines.append(f"      {told:<42}  # {row.said}")
    lines += _left_out(models, earned_by_brief, rules)
    return "\n".join(line.rstrip() for line in lines) + "\n"


def share_out(weights: Sequence[int], marks: int) -> list[Fraction]:
    """Share marks out by weight in halves; what is left goes where most was rounded off."""
    total = sum(weights)
    if not total:
        return []
    exact = [Fraction(marks * weight, total) for weight in weights]
    given = [max(_STEP, Fraction(math.floor(one / _STEP)) * _STEP) for one in exact]
    left = Fraction(marks) - sum(given, Fraction(0))
    order = sorted(range(len(weights)), key=lambda at: (given[at] - exact[at], at))
    while left >= _STEP:
        for at in order:
            if left < _STEP:
                break
            given[at] += _STEP
            left -= _STEP
    return given


def _list_rules(
    models: Sequence[Model], earned_by_brief: frozenset[str], rules: Sequence[AnyRule]
) -> Iterator[_Row]:
    for rule in rules:
        shown = [model.right.get(rule.id) for model in models]
        if None in shown or rule.id in earned_by_brief or set(rule.severities) == {"note"}:
            continue
        weight = _ERROR if "error" in rule.severities else _WARNING
        if rule.protects_life:
            weight = _PROTECTS
        counts = " or ".join(str(one) for one in dict.fromkeys(shown))
        life = "; protects life" if rule.protects_life else ""
        said = f"finds {rule.finds} (looks at {counts} in the model{life})"
        yield _Row(topic=_topic(rule.topic), name=rule.id, weight=weight, told="", said=said)


def _topic(name: str) -> str:
    return name.replace("_", " ")


def _list_asked(models: Sequence[Model], wish: Wish) -> Iterator[_Row]:
    for room in _heated_rooms(models):
        share = min(model.figures["heated share", room] for model in models)
        least = max(5, math.floor(share * 0.85 / 5) * 5)
        told = f"the model heats {share:.0f} %"
        yield _asked("heated share", f"room: {_yaml(room)}, least: {least} %", told)
        output = min(model.figures["output", room] for model in models)
        needs = wish.brief_plan.rooms[room].heat_loss_w
        if needs is not None and needs <= output:
            told = f"the brief's heat loss; the model gives {output:.0f} W"
            yield _asked("output", f"room: {_yaml(room)}, least: {math.floor(needs)} W", told)
        elif output >= 20:
            least = math.floor(output * 0.95 / 10) * 10
            told = f"the model gives {output:.0f} W"
            yield _asked("output", f"room: {_yaml(room)}, least: {least} W", told)
    circuits = min(int(model.figures["circuits", ""]) for model in models)
    if circuits:
        # How the strips are shared out is the planner's to choose, one room apart from another.
        least = min(circuits, len(_heated_rooms(models))) or circuits
        said = f"one a heated room; the model has {circuits}"
        yield _asked("circuits", f"least: {least}", said)
    steps = min(int(model.figures["method statement", ""]) for model in models)
    if steps:
        said = "in proportion to the steps stated, none of them wrongly"
        yield _asked("method statement", f"of: {steps}", said, gates="")


def _asked(what: str, told: str, said: str, gates: str = ", gates: []") -> _Row:
    return _Row(
        topic=_WHOLE,
        name=what,
        weight=_ASKED[what],
        told=f"what: {what}, {told}{gates}",
        said=said,
        is_rule=False,
    )


def _heated_rooms(models: Sequence[Model]) -> list[str]:
    rooms = {room for _, room in models[0].figures if room}
    ordered = [room for room in models[0].plan.rooms if room in rooms] or sorted(rooms)
    ordered += sorted(rooms - set(ordered))
    return [
        room
        for room in ordered
        if all(model.figures.get(("heated share", room), 0) > 0 for model in models)
    ]


def _head(models: Sequence[Model], wish: Wish, rules: Sequence[AnyRule]) -> Iterator[str]:
    names = " and ".join(model.name for model in models)
    yield f"# A first draft, made from {names}: change what you like, see what it does with"
    yield f"#   underfoot scheme {' '.join(model.name for model in models)} --try THIS-FILE"
    yield "# and mark with"
    yield "#   underfoot mark SUBMISSIONS --scheme THIS-FILE --output MARKED"
    yield "# Every key is described in rules/marking.md, and by `underfoot schema --of scheme`."
    yield "scheme_format: 1"
    yield f"title: {_quote(wish.title)}"
    if wish.has_own_brief:
        yield "# What was handed out: what it gives stands, whatever a submission says."
        yield f"brief: {_quote(wish.brief)}"
        yield "changed_brief: report   # what it changed is told; or fail"
    else:
        yield "# No brief was named (--brief): the model answer stands for it, and this may not"
        yield "# be changed. Better hand out a plan without the answer, and name that here."
        yield f"brief: {_quote(wish.brief)}"
        yield f"may_not_change: [{', '.join(GIVEN[:6])},"
        yield f"                 {', '.join(GIVEN[6:])}]"
    passing = math.ceil(wish.marks * wish.pass_percent / 100)
    yield f"pass_mark: {passing}   # of {wish.marks}"
    # Rows of a mark or two: with coarser steps one strip wrong of seven would cost nothing.
    yield "round_to: 0.1   # each row is rounded to the nearest of these steps, halves up"
    yield "attempt: last   # of several attempts; or best"
    best = max(passing, math.ceil(wish.marks * 0.9))
    if best > passing:
        yield f"# grades: {{distinction: {best}, pass: {passing}}}   # of those who passed"
    yield "# Two markers no farther apart meet in the middle, others talk:"
    yield f"# markers: {{apart: {max(1, wish.marks // 20)}}}"
    yield '# late: {due: "2027-01-31", per_day: 2, most: 6}   # by the dates in the comments file'
    clearance = default_settings(rules).served("wall clearance")
    if clearance is not None:
        yield "# For this class alone:"
        limit = f"{clearance.key}: {clearance.value + 10:g}"
        yield f"# limits: {{{clearance.rule}: {{{limit}, because: taught in week 3}}}}"


def _list_fails(rows: Sequence[_Row], rules: Sequence[AnyRule]) -> Iterator[str]:
    """Let whatever can hurt somebody fail, each with its reason: it is for the trainer to take out.

    A row of a mark or two is no bar to strips under a wardrobe.
    """
    named = {row.name for row in rows if row.is_rule}
    grave = [
        rule
        for rule in rules
        if rule.protects_life and rule.id in named and "error" in rule.severities
    ]
    if not grave:
        return
    yield ""
    yield "# Errors that can hurt people: one of these fails the submission, whatever its marks."
    yield "# Take out the lines of what your class was not taught: such an error costs marks alone."
    yield "# Errors without marks fail it too, unless you write `unmarked_errors: flag`."
    yield "fails:"
    for topic in dict.fromkeys(rule.topic for rule in grave):
        yield f"  # {_topic(topic)}"
        for rule in grave:
            if rule.topic == topic:
                yield f"  - {rule.id:<24} # {rule.why}"
    shown = [rule.id for rule in grave if rule.topic == _SHOWN]
    if shown:
        yield "# And so does a plan in which nothing shows that these are kept."
        yield from _flow("must_show", shown)


def _flow(key: str, names: Sequence[str]) -> Iterator[str]:
    lines = [line.removeprefix("#").strip() for line in _wrap(names)]
    for at, line in enumerate(lines):
        begin = f"{key}: [" if at == 0 else " " * (len(key) + 3)
        yield f"{begin}{line}{']' if at == len(lines) - 1 else ''}"


def _list_goals(models: Sequence[Model], wish: Wish, topics: Sequence[str]) -> Iterator[str]:
    rooms = _heated_rooms(models)
    everywhere = set(rooms) == set(wish.brief_plan.rooms)
    goals = []
    for what, gated in _GATES.items():
        gates = [topic for topic in gated if topic in topics]
        if not gates or not rooms:
            continue
        for room in ("",) if everywhere else rooms:
            places = [room] if room else rooms
            found = min(model.figures.get((what, one), 0.0) for model in models for one in places)
            least = _least_of(what, found)
            if least is None:
                continue
            where = f", room: {_yaml(room)}" if room else ""
            fails = ", fails: true" if what in _NEEDED else ""
            goals.append(
                f"  - {{what: {what}{where}{least}, gates: [{', '.join(gates)}]{fails}}}"
                f"   # {_WHY[what]}"
            )
    steps = min(int(model.figures["method statement", ""]) for model in models)
    if steps:
        named = "method" if "method" in topics else ""
        goals.append(
            f"  - {{what: method statement, least: {(steps + 1) // 2}, gates: [{named}],"
            " fails: true}   # most steps of the work are stated, and rightly"
        )
    if goals:
        yield ""
        yield "# What there must be for rows to count at all: where a goal is missed, what it gates"
        yield "# earns nothing, and with `fails: true` the submission fails. Without `gates` it"
        yield "# gates all, and fails the submission."
        yield "goals:"
        yield from goals


def _least_of(what: str, found: float) -> str | None:
    """Return the bound of a gate as YAML; None where the model answer itself would miss it."""
    if what == "heated share":
        least = 50 if found >= 60 else math.floor(found * 0.8 / 5) * 5
        return f", least: {least} %" if least else None
    needed = {"fed strips": 100.0, "insulation": 90.0, "membrane": 90.0}.get(what, 1.0)
    return "" if found >= needed else None


def _left_out(
    models: Sequence[Model], earned_by_brief: frozenset[str], rules: Sequence[AnyRule]
) -> Iterator[str]:
    by_brief = [rule.id for rule in rules if rule.id in earned_by_brief]
    if by_brief:
        yield ""
        yield "# Kept by handing in the brief as it is, so that they have no row:"
        yield from _wrap(by_brief)
    for model in models:
        if model.open:
            yield ""
            yield f"# {model.name} does not keep these itself, so that they have no row:"
            yield from (f"#   {rule}: {why}" for rule, why in sorted(model.open.items()))
    shown_by_some = {rule for model in models for rule in model.right} - {
        rule for rule in models[0].right if all(rule in model.right for model in models)
    }
    if shown_by_some:
        yield ""
        yield "# Shown by some of the model answers and not by all, so that they have no row:"
        yield from _wrap(sorted(shown_by_some))


def _wrap(names: Sequence[str]) -> Iterator[str]:
    line = "#  "
    for name in names:
        if len(line) + len(name) > 84:
            yield line.rstrip()
            line = "#  "
        line += f" {name},"
    yield line.rstrip(" ,")


def _yaml(name: str) -> str:
    return name if _PLAIN.fullmatch(name) else _quote(name)


def _quote(text: str) -> str:
    """Write a text in quotation marks, with what is hidden written out."""
    return spell_out(json.dumps(text, ensure_ascii=False))
