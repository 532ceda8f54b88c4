"""Reads what a report advises: which change of the plan a sentence with figures means.

A sentence is cut out where it is understood. Where figures are left in what remains, they stand in
a list of their own: none is passed over.
"""

import re
from collections.abc import Callable, Iterable, Iterator
from typing import Any

import yaml

from tests.underfoot_rules.advice_tried import doing
from tests.underfoot_rules.advice_tried.advised import Advised, Reading
from tests.underfoot_rules.advice_tried.doing import Do
from underfoot.api.rules import Data
from underfoot.checking.report import ReportedFinding

Read = Callable[["re.Match[str]", Reading], Iterable[Do]]
# What a number may look like, a move in the plane, a place, ids in a row of words.
N = r"(-?\d+(?:\.\d+)?)"
WAY = r"\d[\d.]* mm (?:to the (?:right|left)|up|down) \([+-][xy]\)"
MOVE = rf"(?P<by>{WAY}(?: and {WAY})?)"
AT = rf"\[{N}, {N}\]"


def _step(text: str) -> tuple[float, float]:
    by = {"x": 0.0, "y": 0.0}
    for number, sign, axis in re.findall(r"(\d[\d.]*) mm [^(]*\(([+-])([xy])\)", text):
        by[axis] = float(sign + number)
    return by["x"], by["y"]


def _strips(who: str, reading: Reading) -> list[str]:
    elements = reading.data["rooms"][reading.room]["elements"]
    if who == "all strips of the room":
        return list(elements)
    if who.startswith("row "):
        of_row = re.compile(re.escape(who[4:]) + r"\d+$")
        return [name for name in elements if of_row.match(name)]
    named = [name for name in re.split(r"[,() ]+", who) if name in elements]
    if not named:
        raise doing.CannotDoError(f"no strip is called {who}")
    return named


def _move(match: re.Match[str], reading: Reading) -> Iterator[Do]:
    by = _step(match["by"])
    if reading.finding.rule == "insulation-overlap":
        yield doing.move_boards(reading.room, match["who"], by)
    else:
        leads = re.findall(r"[\w\-]+", (match["leads"] or "").replace(" and ", ", "))
        yield doing.move_strips(reading.room, _strips(match["who"], reading), by, leads)


def _cut(match: re.Match[str], reading: Reading) -> Iterator[Do]:
    begins = None if match["x"] is None else (float(match["x"]), float(match["y"]))
    yield doing.cut_strip(reading.room, match["who"], float(match["long"]), begins)


def _lengths(match: re.Match[str], reading: Reading) -> Iterator[Do]:
    for length in re.findall(r"[\d.]+(?= mm)", match["lengths"]):
        yield doing.cut_strip(reading.room, match["who"], float(length))


def _pieces(match: re.Match[str], reading: Reading) -> Iterator[Do]:
    pieces = [float(each) for each in re.findall(r"[\d.]+(?= mm)", match["pieces"])]
    yield doing.lay_in_pieces(reading.room, match["who"], pieces)


def _divided(match: re.Match[str], reading: Reading) -> Iterator[Do]:
    pieces = [float(match["one"]), float(match["other"])]
    yield doing.lay_in_pieces(reading.room, match["who"], pieces, gap=1.0)


def _add(match: re.Match[str], reading: Reading) -> Iterator[Do]:
    yield doing.all_of(
        doing.add_strip(reading.room, "NEW", yaml.safe_load(match[1])),
        doing.put_into_route(reading.room, match[2], "NEW", match[3]),
    )


def _hung(match: re.Match[str], reading: Reading) -> Iterator[Do]:
    # A box or a thermostat: the finding is about the one or the other.
    key = "junction_box" if reading.item == "junction-box" else "thermostat"
    path = reading.finding.path if reading.finding.path.endswith(key) else ""
    yield doing.set_at(path or f"rooms.{reading.room}.{key}", "at",
                       [float(match[1]), float(match[2])])  # fmt: skip


def _put(key: str, unit: str, path: str = "{path}") -> Read:
    def read(match: re.Match[str], reading: Reading) -> Iterator[Do]:
        where = path.format(path=reading.finding.path, room=reading.finding.room,
                            item=reading.item)  # fmt: skip
        for value in match.groups():
            if value is not None:
                yield doing.set_at(where, key, f"{value} {unit}")

    return read


def _breaker_or_contact(match: re.Match[str], reading: Reading) -> Iterator[Do]:
    smaller, device, stronger = match.groups()
    if smaller != "a":
        yield doing.set_at(reading.finding.related[0], "breaker", f"{smaller} A")
    path = reading.finding.path
    if device == "contactor":
        yield doing.set_at(f"{path}.contactor", "rating", f"{stronger} A")
    else:
        yield doing.set_at(path, "switches", f"{stronger} A")


def _size(match: re.Match[str], reading: Reading) -> Iterator[Do]:
    items, room = reading.finding.items, reading.finding.room
    circuit = reading.data["circuits"].get(items[0], {})
    if room is not None and len(items) > 1 and items[1] in reading.data["rooms"][room]["leads"]:
        yield doing.set_at(f"rooms.{room}.leads.{items[1]}", "size", f"{match[1]} mm2")
    elif room is not None and items[0] in (reading.data["rooms"][room].get("leads") or {}):
        yield doing.set_at(f"rooms.{room}.leads.{items[0]}", "size", f"{match[1]} mm2")
    elif len(items) == 1 and "cable" in circuit:
        yield doing.set_at(f"circuits.{items[0]}.cable", "size", f"{match[1]} mm2")
    else:
        yield _undo(f"which conductor is meant by {items}")


def _undo(why: str) -> Do:
    def do(data: Data) -> Data:
        raise doing.CannotDoError(why)

    return do


def _split(match: re.Match[str], reading: Reading) -> Iterator[Do]:
    parts = []
    for said in re.findall(r"(?:: |; )([^:;]*?) \([\d.]+ A, [\d.]+ m\)", match[0]):
        names: list[str] = []
        for each in re.split(r", | and ", said):
            first, _, last = each.partition(" to ")
            names += _span(first, last or first)
        parts.append(names)
    contactor = re.search(r"contactor with (\d+) poles", match[0])
    split = doing.split_circuit(reading.item, parts)
    if contactor is None:
        yield split
        return
    room = reading.data["circuits"][reading.item]["thermostat"]
    switch = {"poles": int(contactor[1]), "rating": "16 A"}
    yield doing.all_of(split, doing.set_at(f"rooms.{room}.thermostat", "contactor", switch))


def _span(first: str, last: str) -> list[str]:
    head = re.match(r"(.*?)(\d+)$", first)
    tail = re.match(r"(.*?)(\d+)$", last)
    if first == last or head is None or tail is None:
        return [first]
    one, other = int(head[2]), int(tail[2])
    way = 1 if other >= one else -1
    return [f"{head[1]}{number}" for number in range(one, other + way, way)]


def _stagger(match: re.Match[str], reading: Reading) -> Iterator[Do]:
    layers = reading.data["rooms"][reading.room]["insulation"]["layers"]
    found = re.search(r"\d+", reading.item)
    which = int(found[0]) - 1 if found and reading.item.startswith("layer") else 0
    yield doing.set_at(f"rooms.{reading.room}.insulation.layers.{which % len(layers)}", "stagger",
                       float(match[1]))  # fmt: skip


def _film(match: re.Match[str], reading: Reading) -> Iterator[Do]:
    films = {
        strip["film"] for strip in reading.data["rooms"][reading.room]["elements"].values()
    } if reading.finding.room else set()  # fmt: skip
    if len(films) != 1:
        yield _undo("several films lie there")
    else:
        (film,) = films
        yield doing.set_at(f"materials.films.{film}", "output", f"{match[1]} W/m2")


def _poles(match: re.Match[str], reading: Reading) -> Iterator[Do]:
    thermostats = [
        room for room in reading.data["rooms"]
        if f"rooms.{room}." in f"{reading.finding.path}." and "thermostat" in
        reading.data["rooms"][room]
    ]  # fmt: skip
    for room in thermostats:
        old = reading.data["rooms"][room]["thermostat"].get("contactor") or {"rating": "25 A"}
        yield doing.set_at(f"rooms.{room}.thermostat", "contactor",
                           {**old, "poles": int(match[1])})  # fmt: skip


def _earth(match: re.Match[str], reading: Reading) -> Iterator[Do]:
    path = f"rooms.{reading.room}.grid"
    yield doing.all_of(
        doing.set_at(path, "protective_conductor", f"{match[1]} mm2"),
        doing.set_at(path, "earthed", True),
    )


BENDS = r"the bends of leads? (?P<leads>[\w\-]+(?:, [\w\-]+)*(?: and [\w\-]+)?) with it"
WHO = r"(?P<who>[\w\-]+)"
WHOM = r"(?P<who>row [\w\-]+|all strips of the room|[\w\-]+(?:, [\w\-]+)*(?: and [\w\-]+)?(?: with the strips butted to it \([^)]*\))?)"  # noqa: E501
LATER = r"(?P<who>[\w\-]+) later in its row \(`from`\): move it"
CUT = (
    rf"Cut {WHO} (?:on a cut line )?to (?:at most )?(?P<long>[\d.]+) mm,(?: [\d.]+ mm shorter,)? "
    r"at its (?:end near \[[^\]]*\]|start, so that it begins at "
    r"\[(?P<x>-?[\d.]+), (?P<y>-?[\d.]+)\])"
)
# Kind, what is said, how it is done.
SAID: tuple[tuple[str, str, Read], ...] = (
    (
        "move",
        rf"Move {WHOM} by {MOVE}(?:, so that they butt)?(?:, and {BENDS})?",
        _move,
    ),
    ("move", rf"Start {LATER} by {MOVE}(?P<leads>)", _move),
    ("cut", CUT, _cut),
    ("cut", rf"Cut {WHO} to (?P<lengths>[\d.]+ mm)\.", _lengths),
    ("length", rf"Make {WHO} (?P<lengths>[\d.]+ mm(?: or [\d.]+ mm)?) long", _lengths),
    ("pieces", rf"Lay {WHO} as \d+ strips end to end, (?P<pieces>[\d.+ m]+)", _pieces),
    ("pieces", rf"Divide {WHO} at [\w\-]+: (?P<one>[\d.]+) mm on one side and (?P<other>[\d.]+) mm",
     _divided),
    ("add strip", r"Add (\{film[^}]*\}), and put it into the route of ([\w\-]+), next to ([\w\-]+)",
     _add),
    ("sensor's place", rf"(?:Move it to|Draw one at) {AT}: below (?:a|one) strip[^.]*?"
     r"[\d.]+ mm from the edge of[\w ]*",
     lambda m, r: [doing.move_sensor(r.room, (float(m[1]), float(m[2])))]),
    ("sensor's place", rf"Move it to the deepest point, {AT}",
     lambda m, r: [doing.move_sensor(r.room, (float(m[1]), float(m[2])))]),
    ("sensor's way", rf"Take the sensor's conduit straight from {AT} to {AT}",
     lambda m, r: [doing.straighten_conduit(r.room)]),
    ("wall's place", rf"Move it to {AT}, the nearest place on a wall", _hung),
    ("height", rf"Hang it at {N} mm", _put("height", "mm")),
    ("height", rf"Hang it (?:higher|lower) on the same wall[^:;]*?: {N} mm is usual",
     _put("height", "mm")),
    ("breaker", rf"Use a breaker rated {N} A(?:, or up to {N} A)?",
     _put("breaker", "A", "circuits.{item}")),
    ("size", rf"Take {N} mm² or more", _size),
    ("size", rf"A cable of {N} mm² would do", _size),
    ("rating", rf"Take one that switches at least {N} A", _put("switches", "A")),
    ("rating", rf"Fit a breaker rated at most {N} A, or a (thermostat|contactor) that switches at "
     rf"least {N} A", _breaker_or_contact),
    ("rating", rf"Fit (a) (thermostat|contactor) that switches at least {N} A",
     _breaker_or_contact),
    ("rating", rf"Take a contactor rated at least {N} A",
     lambda m, r: [doing.set_at(f"{r.finding.path}.contactor", "rating", f"{m[1]} A")]),
    ("rating", rf"Use a source rated {N} VA or more", _put("rating", "VA", "supply.source")),
    ("circuits", r"Divide the strips over \d+ circuits[^:]*:.* m\)"
     r"(?:\. Let the thermostat switch a contactor with \d+ poles or more, one a circuit)?",
     _split),
    ("poles", r"(?:switch|Take) a contactor with (\d+) poles(?: or more)?", _poles),
    ("cable", rf"Take a sensor with {N} m of cable or more", _put("cable", "m",
     "rooms.{room}.sensor")),
    ("dial", rf"Set (?:its|the) dial (?:\(`floor_limit`\) |of the floor limit )?to {N} °C",
     _put("floor_limit", "degC", "rooms.{room}.thermostat")),
    ("dial", rf"the dial must be at {N} °C or less", _put("floor_limit", "degC",
     "rooms.{room}.thermostat")),
    ("rcd", rf"(?:Use an RCD of {N} mA|state it: `rcd: {N} mA`)",
     _put("rcd", "mA", "circuits.{item}")),
    ("grid", r"`grid: (\{[^}]*\})`",
     lambda m, r: [doing.set_at(f"rooms.{r.room}", "grid", yaml.safe_load(m[1]))]),
    ("grid", rf"Use a grid with meshes of {N} mm", _put("mesh", "mm", "rooms.{room}.grid")),
    ("grid", rf"`protective_conductor: {N} mm2`", _earth),
    ("source", r"`source: (\{[^}]*\})`",
     lambda m, r: [doing.set_at("supply", "source", yaml.safe_load(m[1]))]),
    ("route", r"Put (?P<who>[\w\-]+) into the route of (?P<lead>[\w\-]+)"
     r"(?:, next to (?P<beside>[\w\-]+))?",
     lambda m, r: [doing.put_into_route(r.room, m["lead"], m["who"], m["beside"])]),
    ("legs", rf"Give ([\w\-]+) legs that leave {N} mm or more",
     lambda m, r: [doing.set_at(f"rooms.{r.room}.fixtures.{m[1]}", "clear", float(m[2]))]),
    ("laps", rf"Bring them {N} mm further over each other",
     lambda m, r: [doing.lap_sheets(r.room, float(m[1]))]),
    ("boards", r"Lay a second layer across the first under all strips: then [\d.]+ % goes down",
     lambda m, r: [doing.add_layers(r.room, 1, crossing=True)]),
    ("boards", r"(\d+|One) more layers? of board [\w\-]+ brings? it to [\d.]+ %",
     lambda m, r: [doing.add_layers(r.room, 1 if m[1] == "One" else int(m[1]), crossing=False)]),
    ("boards", rf"Begin every second course with a piece of {N} mm", _stagger),
    ("film", rf"[Uu]se a film of (?:at most )?{N} W/m²", _film),
    ("groove", rf"Cut it to {N} mm wide", _put("width", "mm", "rooms.{room}.sensor.channel")),
    ("groove", rf"Cut it {N} mm deep", _put("depth", "mm", "rooms.{room}.sensor.channel")),
)  # fmt: skip
_COMPILED = tuple((kind, re.compile(said), read) for kind, said, read in SAID)
# What of a plan's names and what of the words is no figure that somebody could follow.
_NO_FIGURE = re.compile(r"IEC [\d\-]+|mm2|m2|mm²|`[^`]*`|W/m²|m² K/W")


def read_advice(finding: ReportedFinding, data: Data) -> tuple[list[Advised], list[str]]:
    """Return what can be done of a remedy, and its sentences with figures that are not done."""
    reading = Reading(finding=finding, data=data)
    rest = finding.remedy
    found: list[Advised] = []
    for kind, said, read in _COMPILED:
        match = said.search(rest)
        if match is None:
            continue
        rest = rest[: match.start()] + " " + rest[match.end() :]
        found += [Advised(kind=kind, said=finding.remedy, do=do) for do in read(match, reading)]
    left = _NO_FIGURE.sub(" ", rest)
    for name in sorted(_names(data), key=len, reverse=True):
        left = re.sub(rf"(?<![\w\-]){re.escape(name)}(?![\w\-])", " ", left)
    return found, [f"{finding.rule}: {rest.strip()}"] if re.search(r"\d", left) else []


def _names(data: Any) -> Iterator[str]:
    if isinstance(data, dict):
        for key, value in data.items():
            yield str(key)
            yield from _names(value)
    elif isinstance(data, list):
        for value in data:
            yield from _names(value)
