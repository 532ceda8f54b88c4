"""A class's roster: read, and laid over what was handed in."""

import pytest

from underfoot.marking.pages import name_pages
from underfoot.marking.roster import Entry, Placed, RosterError, place_names, read_roster


def test_a_roster_is_read_as_spreadsheets_write_it() -> None:
    for divider in ",;\t":
        text = "\ufeffName,FILE,number\r\n'=Ada Ash,ada.yaml,017\r\n\r\nBo Beech,bo,018\r\n"
        roster = read_roster(text.replace(",", divider))
        assert roster.entries == (
            Entry(file="ada", name="=Ada Ash", number="017"),
            Entry(file="bo", name="Bo Beech", number="018"),
        )
        assert roster.hides_names
        assert roster.names() == {
            "ada": "017", "=Ada Ash": "017", "017": "017",
            "bo": "018", "Bo Beech": "018", "018": "018",
        }  # fmt: skip


def test_without_numbers_names_are_shown_and_without_names_files() -> None:
    roster = read_roster("file,name\nada,Ada Ash\nbo,\n")
    assert [one.shown for one in roster.entries] == ["Ada Ash", "bo"]
    assert not roster.hides_names


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "it is empty"),
        ("name\nada\n", "no column `file`"),
        ("file,nmae\nada,x\n", "did you mean `name`?"),
        ("file,file\nada,x\n", "a column twice"),
        ("file,name\n,Ada\n", "line 2: `file` is empty"),
        ("file\nada\nADA\n", "`ADA` stands there twice"),
        ("file,name\na,Ada\nb,Ada\n", "`Ada` stands there twice"),
        ("file,number\na,1\nb,\n", "`b` has no number"),
        ('file,name\nada,Ada\nbo,"Bo\ncy,Cy\n', "line 3 cannot be read"),
        ('file,name\nada,"A\nda"\n', "line 2 cannot be read"),
        ('file,name\nada,"A\rda"\n', "line 2 cannot be read"),
        ("file,name\nada," + "x" * 200_000, "line 2 cannot be read"),
        ("file\n" + "".join(f"a{n}\n" for n in range(5000)), "5001 lines"),
    ],
)
def test_a_roster_that_cannot_be_used_says_why(text: str, said: str) -> None:
    with pytest.raises(RosterError) as refused:
        read_roster(text)
    assert said in str(refused.value)


def test_submissions_find_their_place() -> None:
    roster = read_roster("file,name\nada,Ada Ash\nbo,Bo Beech\n")
    placed = place_names(roster, ["ADA", "bo-2", "cy", "Bo Beech", "dee-2"])
    assert placed == {
        "ADA": Placed(shown="Ada Ash"),
        # The first attempt never came.
        "bo-2": Placed(shown="Bo Beech", attempt=2),
        "cy": Placed(shown="cy", attempt=None, is_expected=False),
        # Called as somebody else is shown.
        "Bo Beech": Placed(shown="Bo Beech (2)", attempt=None, is_expected=False),
        "dee-2": Placed(shown="dee-2", attempt=None, is_expected=False),
    }


def test_who_is_not_on_a_roster_of_numbers_has_no_name() -> None:
    roster = read_roster("file,number\nada,1\n")
    placed = place_names(roster, ["cy", "dee"])
    assert [one.shown for one in placed.values()] == ["not on the roster", "not on the roster (2)"]


def test_pages_are_named_by_whose_they_are_and_not_by_order() -> None:
    names = ["Ada Ash", "Zoë Żuk", "Анна", "Ada-Ash", "Class", "x" * 200]
    pages = name_pages(names)
    assert pages["Ada Ash"] == "Ada-Ash.html"
    assert pages["Ada-Ash"] == "Ada-Ash-2.html"
    assert pages["Zoë Żuk"] == "Zoe-Zuk.html"
    assert pages["Class"] == "Class-2.html"
    assert len(set(pages.values())) == len(names)
    for place in range(len(names)):
        name = names[place]
        if name not in ("Ada Ash", "Ada-Ash"):
            assert name_pages([name])[name] == pages[name]
    assert all(len(page) < 90 and page.isascii() for page in pages.values())
