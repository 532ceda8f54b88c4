"""Who handed in what: names, attempts, folders."""

from pathlib import Path

from underfoot.marking.submissions import list_submissions


def put(folder: Path, *names: str) -> None:
    for name in names:
        place = folder / name
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_text("plan_format: 1\n", "utf-8")


def listed(folder: Path) -> list[tuple[str, int, str]]:
    return [(one.name, one.attempt, one.shown) for one in list_submissions(folder).attempts]


def test_a_second_attempt_is_one_only_where_there_is_a_first(tmp_path: Path) -> None:
    put(tmp_path, "ada.yaml", "ada-2.yaml", "ada-3.yaml", "apprentice-10.yaml", "b-2.yaml")
    assert listed(tmp_path) == [
        ("ada", 1, "ada.yaml"),
        ("ada", 2, "ada-2.yaml"),
        ("ada", 3, "ada-3.yaml"),
        ("apprentice-10", 1, "apprentice-10.yaml"),
        ("b-2", 1, "b-2.yaml"),
    ]


def test_attempts_go_by_number_not_by_letter(tmp_path: Path) -> None:
    put(tmp_path, "a.yaml", "a-10.yaml", "a-9.yaml")
    assert [attempt for _, attempt, _ in listed(tmp_path)] == [1, 9, 10]


def test_folders_are_named_after_themselves(tmp_path: Path) -> None:
    put(tmp_path, "ada/plan.yaml", "ada/plan-2.yaml", "ada/underfoot.yaml", "bo/x.yml")
    (tmp_path / "bo" / "notes.txt").write_text("hello", "utf-8")
    (tmp_path / "bo" / "shared.yaml").write_text("catalogue_format: 1\n", "utf-8")
    found = list_submissions(tmp_path).attempts
    assert [(one.name, one.attempt, one.shown) for one in found] == [
        ("ada", 1, "ada/plan.yaml"),
        ("ada", 2, "ada/plan-2.yaml"),
        ("bo", 1, "bo/x.yml"),
    ]
    assert found[0].beside == ("ada/underfoot.yaml",)
    assert found[0].folder == tmp_path / "ada"


def test_folders_of_attempts(tmp_path: Path) -> None:
    put(tmp_path, "ada/plan.yaml", "ada-2/plan.yaml")
    assert listed(tmp_path) == [("ada", 1, "ada/plan.yaml"), ("ada", 2, "ada-2/plan.yaml")]


def test_an_empty_folder_and_one_of_several_plans_are_explained(tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    put(tmp_path, "two/kitchen.yaml", "two/hall.yaml")
    refused = {one.name: one.refused for one in list_submissions(tmp_path).attempts}
    assert refused == {
        "empty": "no plan lies in the folder",
        "two": "several plans lie in the folder (hall, kitchen): hand in one",
    }


def test_what_is_no_submission_is_passed_over_and_said(tmp_path: Path) -> None:
    put(tmp_path, "a.yaml", ".hidden.yaml", "underfoot.yaml", "readme.txt")
    found = list_submissions(tmp_path)
    assert [one.name for one in found.attempts] == ["a"]
    assert found.passed_over == (".hidden.yaml", "readme.txt", "underfoot.yaml")


def test_a_file_and_a_folder_of_one_name_are_two_attempts(tmp_path: Path) -> None:
    put(tmp_path, "ada.yaml", "ada/plan.yaml")
    assert [(name, attempt) for name, attempt, _ in listed(tmp_path)] == [("ada", 1), ("ada", 2)]
