"""The remarks of the plan, each beside the name of its thing."""

from collections.abc import Iterator

from underfoot.drawing.scene import Scene

NO_OPENINGS = "No door or window is drawn: make sure which wall is which before laying."
NO_BOARDS = "How the boards lie is not in the plan: no sheet shows what to cut."
NO_SHEETS = "How the membrane's sheets lie is not in the plan: no sheet shows what to cut."


def find_remarks(scene: Scene) -> list[str]:
    """Gather the notes of the room and of what lies in it, and of the circuits that feed it.

    A room of which no opening is drawn is told: nothing else says which wall is which. So is one
    whose boards or membrane are there but not laid out.
    """
    remarks = [f"{name}: {note}" for name, note in _notes(scene) if note]
    if not scene.facts.drawn.openings:
        remarks.append(NO_OPENINGS)
    room = scene.facts.drawn
    if room.insulation is not None and not any(each.names for each in scene.facts.boards):
        remarks.append(NO_BOARDS)
    if room.membrane is not None and not scene.facts.sheets.names:
        remarks.append(NO_SHEETS)
    return remarks


def _notes(scene: Scene) -> Iterator[tuple[str, str | None]]:
    room = scene.facts.drawn
    plan = scene.plan
    yield "plan", plan.note
    yield "job", plan.job.note if plan.job is not None else None
    yield room.id, room.note
    for fixture in room.fixtures.values():
        yield fixture.id, fixture.note
    for joint in room.joints.values():
        yield joint.id, joint.note
    for opening in room.openings.values():
        yield opening.id, opening.note
    for row in room.rows:
        yield row.id, row.note
    for element in room.elements:
        yield element.id, element.note
    for lead in room.leads:
        yield lead.id, lead.note
    for name, thing in (
        ("junction box", room.junction_box),
        ("thermostat", room.thermostat),
        ("sensor", room.sensor),
        ("insulation", room.insulation),
        ("membrane", room.membrane),
        ("grid", room.grid),
        ("subfloor", room.subfloor),
        ("underlay", room.underlay),
        ("overlay", room.overlay),
        ("fabric", room.fabric),
    ):
        yield name, thing.note if thing is not None else None
    yield "moisture", room.subfloor.moisture_note if room.subfloor is not None else None
    if room.sensor is not None:
        for name, section in (("channel", room.sensor.channel), ("conduit", room.sensor.conduit)):
            yield name, section.note if section is not None else None
    fed = {element.circuit for element in room.elements}
    for circuit in plan.circuits.values():
        if circuit.id in fed:
            yield circuit.id, circuit.note
