"""A plan as it is begun: written with what is known, and a blank for everything that is not."""

from datetime import date

from msgspec import Struct

from underfoot.beginning.found import Corners
from underfoot.beginning.lines import entry, example, remark
from underfoot.beginning.new_room import NewRoom, write_room
from underfoot.beginning.stock import Stock
from underfoot.plan_format.records import METHOD_STATEMENT

__all__ = ["Choices", "Corners", "NewRoom", "write_plan"]


class Choices(Struct, frozen=True, kw_only=True):
    """What a plan is begun with; None is not known.

    `begun_from` says where the outlines are from, in words; `has_drawing` whether that is a
    drawing. `voltage` is the supply's.
    """

    name: str
    begun_from: str
    has_drawing: bool
    today: date
    voltage: str
    voltage_is_given: bool
    rooms: tuple[NewRoom, ...]
    stock: Stock | None = None
    film: str | None = None
    covering: str | None = None
    remarks: tuple[str, ...] = ()


def write_plan(choices: Choices) -> str:
    """Write a plan of format 1 in which blanks are keys with nothing behind them."""
    parts = [
        _head(choices),
        _job(choices),
        _materials(choices),
        _supply(choices),
        _rooms(choices),
        _circuits(choices),
        _method(choices),
        _later(),
    ]
    return "\n".join("\n".join(part) + "\n" for part in parts)


def _head(choices: Choices) -> list[str]:
    return [
        *remark(
            f"Begun {choices.today.isoformat()} by `underfoot new`, from {choices.begun_from}."
        ),
        *(line for each in choices.remarks for line in remark(each)),
        "#",
        *remark(
            "Fill in what stands empty: the value goes behind the colon. What stands behind a # is "
            "for you alone: it says what to write, and may be deleted. Where a whole line is an "
            "example, take its # away and put your own figures in."
        ),
        *remark(
            "What is left empty the plan does not say. That is no mistake of writing: `underfoot "
            f"check {choices.name}` says what it could not judge without it."
        ),
        *remark(
            "Lengths without a unit are millimetres; everything else carries its unit (10 A, 140 "
            "W/m2, 27 degC). A place is [x, y]: x runs to the right and y up, seen from above, "
            "from the corner of the room that is [0, 0]."
        ),
        "plan_format: 1",
        *entry(0, "status", "draft", "then: for review, laid, covered, handed over"),
    ]


def _job(choices: Choices) -> list[str]:
    measured = "from a drawing" if choices.has_drawing else ""
    return [
        *entry(0, "job", "", "who and what; printed on every sheet"),
        *entry(2, "title", "", "such as Harbour View, plot 7"),
        *entry(2, "reference", "", "the number it is filed under, such as HV7-FH"),
        *entry(2, "revision", "P1", "another one for each plan that is handed out"),
        *entry(2, "date", f'"{choices.today.isoformat()}"', "of this revision"),
        *entry(2, "site", "", "where the floor is laid"),
        *entry(2, "client", "", "whom it is laid for"),
        *entry(2, "drawn_by", "", "who drew it"),
        *entry(2, "measured", measured, "on site, or from a drawing: measure before you cut"),
    ]


def _materials(choices: Choices) -> list[str]:
    if choices.stock is not None:
        return [
            *remark("Films, boards, sheets and coverings stand in the catalogue, with their ids."),
            f"catalogue: {_quoted(choices.stock.name)}",
            *entry(0, "materials", "{}", "what the catalogue has not, or has otherwise"),
        ]
    film = choices.film or "my-film"
    covering = choices.covering or "my-floor"
    return [
        *remark(
            "What the floor is made of, as its makers' sheets have it. Where there is a catalogue, "
            "a line `catalogue: catalogue.yaml` takes everything in from there."
        ),
        "materials:",
        *entry(2, "films", "", "the heating film, by a name of your own:"),
        example(4, f"{film}: {{width: 500, output: 140 W/m2, voltage: {choices.voltage},"),
        example(4, "          cut_every: 250, longest_strip: 9 m, tolerance: [-10, 5],"),
        example(4, "          lies: busbars down, suits: [laminate, engineered wood],"),
        example(4, "          boards: [my-board], protection_class: II, "
                   "standard: IEC 60335-2-106}"),
        *entry(2, "boards", "", "the insulation below it:"),
        example(4, "my-board: {size: [1200, 600], thickness: 6, conductivity: 0.033 W/m/K}"),
        *entry(2, "sheets", "", "the vapour barrier over it, by the roll:"),
        example(4, "my-sheet: {width: 2 m, thickness: 0.2, material: polyethylene}"),
        *_coverings(choices, covering),
    ]  # fmt: skip


def _coverings(choices: Choices, covering: str) -> list[str]:
    if choices.covering is None:
        return [
            *entry(2, "coverings", "", "the floor that is walked on:"),
            example(4, f"{covering}: {{kind: laminate, thickness: 8, resistance: 0.06 m2 K/W,"),
            example(4, "           warmest_surface: 27 degC, most_output: 160 W/m2, "
                       "fixing: floating}"),
        ]  # fmt: skip
    return [
        *entry(2, "coverings", "", "the floor that is walked on"),
        f"    {covering}:",
        *entry(6, "kind", "", "as the film's `suits` names it: laminate, engineered wood, ..."),
        *entry(6, "thickness", "", "such as 8"),
        *entry(6, "resistance", "", "such as 0.06 m2 K/W"),
        *entry(6, "warmest_surface", "", "that its maker allows, such as 27 degC"),
        *entry(6, "most_output", "", "that its maker allows under it, such as 160 W/m2"),
        *entry(6, "fixing", "", "floating, glued or nailed"),
    ]


def _supply(choices: Choices) -> list[str]:
    given = "between one phase and neutral"
    taken = "taken as usual, for want of better: write what the mains have here"
    return [
        "supply:",
        *entry(2, "voltage", choices.voltage, given if choices.voltage_is_given else taken),
        *entry(2, "system", "mains", "or SELV, out of a source made for it"),
        *entry(2, "available", "", "the current that the installation can spare, such as 25 A"),
    ]


def _rooms(choices: Choices) -> list[str]:
    lines = [
        *entry(0, "north", "", "which way north is: x, -x, y, -y, or an angle such as 30 deg"),
        "rooms:",
    ]
    for place, room in enumerate(choices.rooms):
        if place:
            lines.append("")
        lines += write_room(room, choices.stock, choices.film, choices.covering, place + 1)
    return lines


def _circuits(choices: Choices) -> list[str]:
    return [
        *remark("A circuit is one chain of strips from a junction box, with its own protection."),
        "circuits:",
        *(
            line
            for place, room in enumerate(choices.rooms, start=1)
            for line in (
                example(2, f"C{place}: {{thermostat: {room.id}, breaker: 10 A, rcd: 30 mA,"),
                example(2, "     cable: {size: 2.5 mm2, length: 14 m, method: C, "
                           "ambient: 30 degC}}"),
            )
        ),
    ]  # fmt: skip


def _method(choices: Choices) -> list[str]:
    if choices.stock is not None and choices.stock.has_method:
        return remark("How it is laid (`method_statement`) stands in the catalogue.")
    blanks = {
        key.name: key.says.rstrip(".?").replace("`", "")
        for key in METHOD_STATEMENT.keys
        if key.name != "note"
    }
    answers = {
        "busbars": "down or up",
        "connector_tool": "ratchet, pliers or other",
        "connectors_insulated": "both sides, one side or no",
        "bare_conductor": "such as 6",
    }
    return [
        *entry(0, "method_statement", "", "what a drawing cannot show; yes is true, no is false:"),
        *(
            line
            for name, says in blanks.items()
            for line in entry(
                2, name, "", f"{says}: {answers[name]}" if name in answers else f"{says}?"
            )
        ),
    ]


def _later() -> list[str]:
    return remark(
        "When the floor is laid come `tests` (the readings of each stage) and `handover`. Every "
        "key with its unit: plans/format.md, or `underfoot schema --format markdown`."
    )


def _quoted(text: str) -> str:
    """Write text as YAML and JSON read it."""
    import json

    plain = text.isascii() and all(mark.isalnum() or mark in "./_-" for mark in text)
    return (
        text
        if plain and (text[0].isalpha() or text.startswith("../"))
        else json.dumps(text, ensure_ascii=True)
    )
