"""The questions of `underfoot new`, answered one by one, without a terminal."""

from collections.abc import Callable
from pathlib import Path

import click
import pytest

from tests.underfoot.asking import Ask
from tests.underfoot.beginning.begun import begun, put_catalogue
from underfoot.commands.begun_plan import Wishes
from underfoot.commands.questions import ask_wishes

pytestmark = pytest.mark.usefixtures("folder")
Talk = Callable[..., tuple[Wishes, list[str]]]


@pytest.fixture
def talk(monkeypatch: pytest.MonkeyPatch) -> Talk:
    """Answers the questions about a plan in turn; "" is the Return key. Gives what was asked."""

    def answer_all(plan_file: str, *answers: str) -> tuple[Wishes, list[str]]:
        left, asked = list(answers), []

        def answer(text: str, default: object = None, **_: object) -> str:
            asked.append(text if default is None else f"{text} [{default}]")
            given = left.pop(0)
            return given or str(default)

        monkeypatch.setattr(click, "prompt", answer)
        wishes = ask_wishes(plan_file)
        assert left == []
        return wishes, asked

    return answer_all


SIZE = "Width by depth of the room, such as 4.2mx3.1m, or a drawing's name"
MORE = "Width by depth of a further room [-]"
VOLTAGE = "Voltage of the supply [230 V]"


def test_return_takes_what_is_likely(talk: Talk) -> None:
    wishes, asked = talk("plans/study.yaml", "4.2mx3.1m", "", "", "", "", "")
    assert wishes == Wishes(
        sizes=("4.2mx3.1m",), rooms=("study",), uses=("office",), voltage="230 V"
    )
    assert asked == [
        SIZE, "What is the room called [study]", "What is it used for [office]", MORE,
        "Catalogue of materials [-]", VOLTAGE,
    ]  # fmt: skip


def test_several_rooms_are_asked_for_one_after_another(talk: Talk) -> None:
    wishes, asked = talk(
        "flat.yaml", "4mx3m", " Hall ", "", "3mx2m", "", "kitchen", "2mx2m", "bath", "", "-", "",
        "400 V",
    )  # fmt: skip
    assert wishes.sizes == ("4mx3m", "3mx2m", "2mx2m")
    assert wishes.rooms == ("Hall", "room-2", "bath")
    assert wishes.uses == ("hall", "kitchen", "bathroom")
    assert wishes.voltage == "400 V"
    assert [each for each in asked if "called" in each] == [
        f"What is the room called [{name}]" for name in ("flat", "room-2", "room-3")
    ]
    # What a name does not tell is most likely lived in.
    assert "What is it used for [living]" in asked


def test_an_answer_that_cannot_be_is_asked_for_again(
    talk: Talk, capsys: pytest.CaptureFixture[str]
) -> None:
    wishes, asked = talk(
        "study.yaml", "4.2m", "no.dxf", "4mx3m", "study", "ofice", "office", "3m", "-",
        "gone.yaml", "-", "0 V", "much", "24 V",
    )  # fmt: skip
    assert (wishes.sizes, wishes.uses, wishes.voltage) == (("4mx3m",), ("office",), "24 V")
    assert asked.count(SIZE) == asked.count(VOLTAGE) == 3
    said = capsys.readouterr().err
    for words in (
        "Return takes what stands in brackets", "there is no file no.dxf",
        "did you mean `office`?", "gone.yaml", "it must be more than 0 V",
    ):  # fmt: skip
        assert words in said


def test_a_catalogue_beside_the_plan_is_offered_with_what_is_in_it(talk: Talk) -> None:
    put_catalogue()
    wishes, asked = talk("study.yaml", "4mx3m", "", "", "", "", "film-72", "-", "")
    assert (wishes.catalogue, wishes.film, wishes.covering) == ("catalogue.yaml", "film-72", None)
    assert "Catalogue of materials [catalogue.yaml]" in asked
    film = next(each for each in asked if each.startswith("Heating film ("))
    assert film.endswith("[-]")  # of several none is taken unasked
    assert "film-72" in film


def test_the_only_film_is_taken_and_its_voltage_offered(talk: Talk) -> None:
    Path("one.yaml").write_text(
        "catalogue_format: 1\nmaterials:\n  films:\n    f-24: {width: 500, output: 80 W/m2, "
        "voltage: 24 V}\n",
        "utf-8",
    )
    wishes, asked = talk("study.yaml", "4mx3m", "", "", "", "one.yaml", "", "")
    assert (wishes.film, wishes.covering, wishes.voltage) == ("f-24", None, "24 V")
    assert asked[-2:] == ["Heating film (f-24) [f-24]", "Voltage of the supply [24 V]"]


@pytest.mark.parametrize(
    ("name", "unit"), [("rooms.dxf", None), ("rooms.WKT", "mm"), ("rooms.geojson", "mm")]
)
def test_a_drawing_is_asked_for_its_unit_where_it_does_not_say_it(
    talk: Talk, name: str, unit: str | None
) -> None:
    Path(name).write_bytes(b"")  # it is read later
    answers = [name, *([] if unit is None else [""]), "", "", ""]
    wishes, asked = talk("study.yaml", *answers)
    assert wishes == Wishes(
        sizes=(), outline=name, uses=("living",), voltage="230 V", unit=unit, rooms=()
    )
    assert ("The drawing's unit [mm]" in asked) is (unit is not None)
    assert not [each for each in asked if "called" in each]


def test_giving_up_ends_it(monkeypatch: pytest.MonkeyPatch) -> None:
    def give_up(*_: object, **__: object) -> str:
        raise click.Abort

    monkeypatch.setattr(click, "prompt", give_up)
    with pytest.raises(KeyboardInterrupt):
        ask_wishes("study.yaml")


def test_one_use_is_for_all_rooms_or_each_has_its_own(ask: Ask) -> None:
    rooms = "--room a --size 4mx3m --room b --size 3mx3m --room c --size 2mx3m"
    for uses, expected in (
        ("", [None, None, None]),
        ("--use hall", ["hall"] * 3),
        ("--use hall --use living --use office", ["hall", "living", "office"]),
    ):
        ask(f"new flat.yaml {rooms} {uses}")
        assert [room.use for room in begun("flat.yaml").rooms.values()] == expected
        Path("flat.yaml").unlink()
    err = ask(f"new flat.yaml {rooms} --use hall --use living", status=2).err
    assert "3 rooms and 2 uses do not match" in err
    assert not Path("flat.yaml").exists()
