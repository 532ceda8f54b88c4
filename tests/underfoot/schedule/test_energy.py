"""Energy and what-if, against arithmetic of the demo plans that is made by hand here."""

import re

import pytest

from tests.demo_plans import PLANS
from tests.underfoot.asking import Ask
from tests.underfoot.schedule.making import checked_base, checked_demo, papers_of, rows_of, table_of
from tests.underfoot_rules.plans import BENCH
from underfoot.checking.check import examine
from underfoot.reading.syntax import parse
from underfoot.schedule.energy import Season, Tariff, read_hours, read_tariff
from underfoot.schedule.gathering import Wishes, gather_papers
from underfoot.schedule.table_rows import TableError
from underfoot.schedule.what_if import Change, change_plan, compare_papers


def energy_of(name: str, season: Season) -> list[dict[str, object]]:
    return rows_of(gather_papers(checked_demo(name), Wishes(season=season)), "energy")  # type: ignore[return-value]


def test_the_bedroom_by_hand() -> None:
    # Oak 0.10 and 0.2 mm of polyethylene at 0.33 W/m/K above; below 10 mm of board at 0.033, 22 mm
    # of chipboard at 0.14, the joist space 0.9, the surface 0.17, to a heated room of 20 degC as
    # warm as this one: so the flux divides as the resistances do, the surface's 1 / (8.92 x rise
    # ^ 0.1) above. 470 W of loss, 720 W of film.
    (row,) = energy_of("bedroom", Season(tariff=Tariff(price=0.3, money="EUR"), hours=1800.0))
    below = 0.010 / 0.033 + 0.022 / 0.14 + 0.9 + 0.17
    up, rise = 70.0, 5.0
    for _ in range(60):
        rise = (up / 8.92) ** (1 / 1.1)
        film = rise + up * (0.10 + 0.0002 / 0.33)
        up = 80 - film / below
    share = up / 80
    assert row["up_percent"] == pytest.approx(100 * share, abs=0.05)
    hours = 24 * 470 / (720 * share)
    assert row["day_h"] == pytest.approx(hours, abs=0.01)
    assert row["day_kwh"] == pytest.approx(0.72 * hours, abs=0.01)
    assert row["day_cost"] == pytest.approx(0.3 * 0.72 * hours, abs=0.01)
    assert row["season_kwh"] == pytest.approx(0.72 * hours / 24 * 1800, abs=1)
    assert row["season_cost"] == pytest.approx(0.3 * 0.72 * hours / 24 * 1800, abs=0.3)


def test_what_is_not_said_is_left_out_and_asked_for() -> None:
    papers = papers_of("bedroom")
    keys = [column.key for column in table_of(papers, "energy").columns]
    assert not {"day_cost", "season_kwh", "season_cost"} & set(keys)
    (part,) = [part for part in papers.parts if part.key == "energy"]
    assert "--tariff" in " ".join(part.says)
    assert "--hours" in " ".join(part.says)
    only_hours = energy_of("bedroom", Season(hours=1000.0))[0]
    assert ("season_kwh" in only_hours, "season_cost" in only_hours) == (True, False)


def test_rooms_are_added_up() -> None:
    *rooms, whole = energy_of("flat", Season())
    assert whole["room"] == "all"
    assert whole["power_w"] == pytest.approx(sum(room["power_w"] for room in rooms))  # type: ignore[misc]
    assert whole["day_kwh"] == pytest.approx(sum(room["day_kwh"] for room in rooms))  # type: ignore[misc]


def test_a_floor_that_does_not_suffice_runs_all_day_and_that_is_said() -> None:
    papers = gather_papers(checked_base({"rooms.room.heat_loss": "2 kW"}))
    (row,) = rows_of(papers, "energy")
    assert row["day_h"] == 24
    assert row["day_kwh"] == pytest.approx(0.77 * 24)
    assert "gives less than is asked" in " ".join(table_of(papers, "energy").says)
    other = {"rooms.room": {"heat_loss": "2 kW", "other_heat": "2 kW"}}
    (row,) = rows_of(gather_papers(checked_base(other)), "energy")
    assert (row["day_h"], row["other_w"]) == (0, 2000)


def test_the_reckoning_is_shown_with_the_rooms_own_figures() -> None:
    season = Season(tariff=Tariff(price=0.3, money="EUR"), hours=900)
    both = {"rooms.room": {"heat_loss": "500 W", "other_heat": "100 W"}}
    papers = gather_papers(checked_base(both), Wishes(season=season))
    (row,) = rows_of(papers, "energy")
    (said,) = table_of(papers, "energy").says
    shares = re.fullmatch(
        r"room: 24 h × \(500 − 100\) W / \(770\.0 W × ([0-9.]+) %\) = ([0-9.]+) h; "
        r"770\.0 W × ([0-9.]+) h = ([0-9.]+) kWh a day, × 0\.30 EUR/kWh = ([0-9.]+) EUR; "
        r"([0-9.]+) kWh / 24 h × 900 h = ([0-9]+) kWh a season, × 0\.30 EUR/kWh = ([0-9.]+) EUR\.",
        said,
    )
    assert shares is not None, said
    up, hours, same, day, cost, day_again, year, year_cost = map(float, shares.groups())
    assert (same, day_again) == (hours, day)
    # Whoever reckons along comes to the same, to the last digit but one.
    assert 24 * 400 / (770 * up / 100) == pytest.approx(hours, abs=0.01)
    assert 770 * hours / 1000 == pytest.approx(day, abs=0.01)
    assert (day * 0.3, day / 24 * 900) == (
        pytest.approx(cost, abs=0.01),
        pytest.approx(year, abs=1),
    )
    assert year_cost == pytest.approx(row["season_cost"], abs=0.005)
    assert (row["day_kwh"], row["day_cost"]) == (
        pytest.approx(day, abs=0.005),
        pytest.approx(cost, abs=0.005),
    )
    # Without a tariff and a season only the day; where all is given by others, or too much asked.
    for loss, other, told in (
        ("500 W", "600 W", "(500 − 600) W / (770.0 W × "),
        ("500 W", "600 W", "other heaters give all of it: 0 h; 770.0 W × 0.00 h = 0.00 kWh a day."),
        ("5 kW", None, "is more than a day has: 24 h; 770.0 W × 24.00 h = 18.48 kWh a day."),
    ):
        change = {"rooms.room": {"heat_loss": loss, "other_heat": other}}
        assert told in table_of(gather_papers(checked_base(change)), "energy").says[0]


@pytest.mark.parametrize(
    ("text", "said"), [("0.3", "0.30"), ("0.2955", "0.2955"), ("12", "12.00"), ("0.05", "0.05")]
)
def test_a_price_keeps_its_decimals(text: str, said: str) -> None:
    season = Season(tariff=read_tariff(f"{text} EUR/kWh"))
    (part,) = [
        part
        for part in gather_papers(checked_demo("bedroom"), Wishes(season=season)).parts
        if part.key == "energy"
    ]
    assert part.says[1] == f"A kilowatt-hour is reckoned at {said} EUR."


def test_without_a_heat_loss_no_hours_are_told() -> None:
    papers = gather_papers(checked_base({"rooms.room.heat_loss": None}))
    (row,) = rows_of(papers, "energy")
    assert (row["loss_w"], row["day_h"], row["day_kwh"]) == (None, None, None)
    assert "room: not told: no heat loss is given" in " ".join(table_of(papers, "energy").says)


def test_tariffs_and_hours_are_read() -> None:
    assert read_tariff("0.30 EUR/kWh") == Tariff(price=0.3, money="EUR")
    assert read_tariff("0.3€/kWh") == Tariff(price=0.3, money="€")
    assert read_hours("1800") == read_hours("1800 h") == 1800
    for text in ("cheap", "0.3", "0.3 EUR", "=1 EUR/kWh", "-1 EUR/kWh", "0.3 1/kWh"):
        with pytest.raises(TableError):
            read_tariff(text)
    for text in ("0", "9000", "long", "-5", "1e3"):
        with pytest.raises(TableError):
            read_hours(text)


def change(name: str, **what: str):
    checked = checked_demo(name)
    assert checked.plan is not None
    source = (PLANS / f"{name}.yaml").read_bytes()
    wanted = Change(**what)
    text = change_plan(parse(source).data, checked.plan, wanted)
    changed = examine(text, BENCH, path=f"{name}.yaml", folder=PLANS)
    both = [(gather_papers(each), each.report) for each in (checked, changed)]
    part = compare_papers(wanted, both[0], both[1])
    figures, findings = part.tables
    return (
        {(row[0], row[1], row[2], row[3]): row[4:] for row in figures.rows},
        {(row[0], row[2], row[3]) for row in findings.rows},
        part,
    )


def test_another_voltage_changes_power_by_its_square() -> None:
    figures, findings, part = change("bedroom", voltage="240V")
    share = 240 / 230
    assert figures["strips", "A1 to A4", "power", "W"] == (90, round(90 * share**2, 1))
    assert figures["strips", "A5 to A7", "current", "A"] == (0.522, round(120 / 230 * share, 3))
    assert figures["circuits", "C1", "power", "W"] == (720, round(720 * share**2, 1))
    # The resistance and the drop in percent stay.
    assert not [key for key in figures if key[2] in ("as rated", "drop")]
    # 80 W/m2 x (240 / 230) ^ 2 under oak: above the 27 degC that it bears, so its limit must hold.
    assert findings == {("new", "floor-temperature", "bedroom")}
    assert "As planned: no objection" in part.says[0]


def test_another_covering_changes_limits_and_findings() -> None:
    figures, findings, _ = change("flat", covering="board-oak-20")
    limits = figures["floor_limits", "living-room, hall", "covering", None]
    assert limits == ("laminate-7", "board-oak-20")
    assert ("new", "covering-fixing", "bedroom") in findings
    # Of what only one of the two orders, the amount alone is told.
    ordered = [key for key in figures if key[0] == "order"]
    assert {key[2] for key in ordered} == {"needed"}
    assert figures["order", "covering board-oak-20, 20 mm", "needed", "m²"][0] is None


def test_the_same_changes_nothing() -> None:
    figures, findings, _ = change("bedroom", covering="oak-14", voltage="230 V")
    assert (figures, findings) == ({}, set())


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (["--covering", "oak-15"], "no covering `oak-15`; did you mean `oak-14`"),
        (["--voltage", "240"], "a supply of 240: "),
        (["--voltage", "-5 V"], "a voltage is more than 0"),
        (["--tariff", "free"], "--tariff free: write a price"),
        (["--hours", "all"], "--hours all: "),
    ],
)
def test_what_cannot_be_tried_is_said(options: list[str], said: str, ask: Ask) -> None:
    assert said in ask("schedule", str(PLANS / "bedroom.yaml"), *options, status=2).err


def test_what_if_is_shown_alone_and_with_other_parts_if_named(ask: Ask) -> None:
    plan = str(PLANS / "bedroom.yaml")
    out = ask("schedule", plan, "--voltage", "240 V").out
    assert "WHAT IF: A SUPPLY OF 240 V" in out
    assert "ORDER LIST" not in out
    said = ask("schedule", plan, "--voltage", "240 V", "--part", "what_if,energy").out
    assert re.search("ENERGY.*WHAT IF", said, re.DOTALL)
