"""How long an editor waits for what is marked, key after key, with a plan of one room and of ten.

    python -m tests.benchmarks.typing_keys

A client starts the server and types as a person does: a figure, letter by letter, in the middle of
the plan, so that it cannot be read in between. Each time it waits for the marks of that very text.
"""

import asyncio
import statistics
from collections.abc import Iterator
from pathlib import Path
from time import perf_counter

from tests.underfoot.editor.editing import PLANS, Editor, end_editor, start_editor

KEYS = 60
ROOM_GOAL_MS, ROOM_MARK_MS = 50, 150
ROOMS_GOAL_MS, ROOMS_MARK_MS = 100, 300
_ROOMS = 10
# What is typed, a sign more each time; where it cannot be read, that is told.
_TYPED = ("", "2", "24", "240", "2400", "2400 m", "2400 mm", "[2400", "{", "2400 x")


def plan_of(rooms: int) -> str:
    """The bedroom of the demo plans, so many times, each with ids of its own."""
    plain = (PLANS / "bedroom.yaml").read_text("utf-8")
    head, rest = plain.split("  bedroom:\n", 1)
    room, rest = rest.split("\ncircuits:\n", 1)
    circuit, rest = rest.split("\nmethod_statement:\n", 1)
    copies = []
    circuits = []
    for number in range(1, rooms + 1):
        row, name = f"{chr(ord('A') + number - 1)}-", f"bedroom-{number}"
        of_room = (
            room.replace("circuit: C1", f"circuit: C{number}")
            .replace("      A: {", f"      {row}: {{")
            .replace("      W1: {", f"      W{number}: {{")
            .replace("[30, 30], A]", f"[30, 30], {row}]")
            .replace("wardrobe:", f"wardrobe-{number}:")
            .replace("bed:", f"bed-{number}:")
        )
        copies.append(f"  {name}:\n{of_room}")
        circuits.append(circuit.replace("C1:", f"C{number}:").replace("bedroom", name))
    supply = head.replace("available: 25 A", "available: 60 A")
    return f"{supply}{''.join(copies)}\ncircuits:\n{''.join(circuits)}\nmethod_statement:\n{rest}"


def type_in(plan: str) -> Iterator[str]:
    """The texts that come of typing the height of a room in the middle."""
    places = [at for at in range(len(plan)) if plan.startswith("height: 2400\n", at)]
    at = places[len(places) // 2] + len("height: ")
    while True:
        for typed in _TYPED:
            yield plan[:at] + typed + plan[at + len("2400") :]


async def _measure(editor: Editor, name: str, rooms: int, keys: int) -> list[float]:
    plan = plan_of(rooms)
    uri = editor.open(Path(f"/tmp/{name}.yaml"), plan)
    assert await editor.marks(uri) == [], "a plan without a finding is typed in"
    took = []
    for _, text in zip(range(keys), type_in(plan), strict=False):
        begun = perf_counter()
        editor.change(uri, text)
        await editor.marks(uri)
        took.append(1000 * (perf_counter() - begun))
    editor.close(uri)
    return took


async def _measure_both(keys: int) -> tuple[list[float], list[float]]:
    editor = await start_editor()
    one = await _measure(editor, "one", 1, keys)
    ten = await _measure(editor, "ten", _ROOMS, keys)
    await end_editor(editor)
    return one, ten


def measure_typing(keys: int = KEYS) -> tuple[tuple[float, str], tuple[float, str]]:
    """The median in ms with one room and with ten, each with words on how it scatters."""
    one, ten = asyncio.run(_measure_both(keys))
    return _sum_up(one), _sum_up(ten)


def _sum_up(took: list[float]) -> tuple[float, str]:
    median = statistics.median(took)
    return median, f"{len(took)} keys, {min(took):.0f} to {max(took):.0f} ms"


if __name__ == "__main__":
    for what, goal, (found_ms, said) in zip(
        ("a room", "ten rooms"), (ROOM_GOAL_MS, ROOMS_GOAL_MS), measure_typing(), strict=True
    ):
        print(f"marked after a key, {what:9} {found_ms:6.1f} ms  goal {goal}  {said}")
