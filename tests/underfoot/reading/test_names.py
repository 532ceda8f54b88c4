import pytest

from tests.underfoot.reading.samples import SMALL, change, problems_of, read

ONE = "an id of their own in the whole plan; rename one"
STRIP = "{film: film-140, at: [0, 0], along: y, length: 500}"


@pytest.mark.parametrize(
    ("old", "new", "path", "words"),
    [
        (
            "    rows:",
            f"    elements: {{A1: {STRIP}}}\n    rows:",
            "rooms.study.rows.A.lengths.0",
            "`A1` is a strip of row `A` here and an element in line 9",
        ),
        (
            "circuits:",
            f"    elements: {{A2: {STRIP}}}\ncircuits:",
            "rooms.study.elements.A2",
            "`A2` is an element here and a strip of row `A` in line 10",
        ),
        (
            "circuits:",
            f"    elements: {{A: {STRIP}}}\ncircuits:",
            "rooms.study.elements.A",
            "`A` is an element here and a row in line 10",
        ),
        (
            "circuits:",
            "    leads: {C1: {circuit: C1, route: [A]}}\ncircuits:",
            "circuits.C1",
            "`C1` is a circuit here and a lead in line 11",
        ),
        (
            "{breaker: 10 A}",
            "{breaker: 10 A}\n  study: {}",
            "circuits.study",
            "`study` is a circuit here and a room in line 7",
        ),
        (
            "circuits:",
            "  hall:\n    outline: [[0, 0], [9, 0], [0, 9]]\n"
            f"    elements: {{A1: {STRIP}}}\ncircuits:",
            "rooms.hall.elements.A1",
            "`A1` is an element here and a strip of row `A` in line 10",
        ),
    ],
)
def test_an_id_is_given_once_in_the_plan(old: str, new: str, path: str, words: str) -> None:
    problems = problems_of(change(SMALL, old, new))
    assert [one_path for _, one_path, _ in problems] == [path]
    assert words in problems[0][2]
    assert ONE in problems[0][2]


def test_an_empty_place_takes_no_id() -> None:
    text = change(SMALL, "[2750, 2750]", "[2750, null]")
    text = change(text, "    rows:", f"    elements: {{A2: {STRIP}}}\n    rows:")
    assert read(text).problems == ()


def test_things_of_a_room_may_be_called_as_strips_are() -> None:
    text = change(
        SMALL,
        "    rows:",
        "    fixtures: {A1: {kind: structure, at: [0, 0], size: [1, 1]}}\n"
        "    insulation: {layers: [{pieces: {A2: {at: [0, 0], along: x, length: 1, width: 1}}}]}\n"
        "    rows:",
    )
    assert read(text).problems == ()


@pytest.mark.parametrize("reserved", ["junction-box", "thermostat", "sensor"])
@pytest.mark.parametrize(
    ("old", "new", "path"),
    [
        ("  study:", "  {}:", "rooms.{}"),
        ("      A:", "      {}:", "rooms.study.rows.{}"),
        ("  C1: {breaker", "  {}: {breaker", "circuits.{}"),
        ("    film-140: {width", "    {}: {width", "materials.films.{}"),
    ],
)
def test_reserved_ids(reserved: str, old: str, new: str, path: str) -> None:
    text = change(SMALL, old, new.replace("{}", reserved, 1))
    problems = problems_of(text)
    assert (path.format(reserved)) in [one_path for _, one_path, _ in problems]
    assert any("has a meaning of its own in a plan" in message for _, _, message in problems)


@pytest.mark.parametrize("name", ["A.1", "A 1", "Ä", "A/1", "А", '"A\\n"', '"A1:"'])
def test_ids_are_of_letters_digits_and_dashes(name: str) -> None:
    problems = problems_of(change(SMALL, "      A:", f"      {name}:"))
    assert any("is no id" in message for _, _, message in problems)


@pytest.mark.parametrize("name", ["a", "A_1-b", "7", "-", "notes"])
def test_ids_that_may_be(name: str) -> None:
    assert read(change(SMALL, "  study:", f"  {name}:")).problems == ()


def test_a_remark_is_no_thing() -> None:
    text = change(SMALL, "rooms:\n", "rooms:\n  note: all of them\n")
    text = change(text, "  films:\n", "  films:\n    note: bought together\n")
    plan = read(text).plan
    assert plan is not None
    assert list(plan.rooms) == ["study"]
    assert list(plan.materials.films) == ["film-140"]
