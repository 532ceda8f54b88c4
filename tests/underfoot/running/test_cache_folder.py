"""A folder of kept results, prepared by somebody or named by mistake, harms no file."""

import os
from pathlib import Path

import pytest

from underfoot.commands.cache_folder import thin_out

SHELF, ENTRY = "0a", "f" * 62


def put(place: Path, text: str = "x" * 100) -> Path:
    place.parent.mkdir(parents=True, exist_ok=True)
    place.write_text(text, "utf-8")
    os.utime(place, (1_000, 1_000))
    return place


def test_a_link_in_the_place_of_the_folder_s_own_mark_empties_no_file(tmp_path: Path) -> None:
    settings = put(tmp_path / "underfoot.yaml", "settings_format: 1\nlocked: true\n")
    kept = tmp_path / "kept"
    kept.mkdir()
    (kept / "looked-at").symlink_to("../underfoot.yaml")
    os.utime(kept / "looked-at", (0, 0), follow_symlinks=False)
    thin_out(str(kept))
    assert settings.read_text("utf-8") == "settings_format: 1\nlocked: true\n"
    assert not (kept / "looked-at").is_symlink()
    assert (kept / "looked-at").stat().st_size == 0


@pytest.mark.parametrize(
    "name", ["go/main.go", f"db/{ENTRY[:-1]}", f"db/{ENTRY}.bak", f"zz/{ENTRY}", f"0aa/{ENTRY}"]
)
def test_only_what_was_kept_is_taken_out(tmp_path: Path, name: str) -> None:
    other = put(tmp_path / name)
    entry = put(tmp_path / SHELF / ENTRY)
    part = put(tmp_path / SHELF / f"{ENTRY}.0123456789ab.part")
    thin_out(str(tmp_path), most=10)
    assert other.exists()
    assert not entry.exists()
    assert not part.exists()


def test_a_link_for_a_shelf_leads_to_nothing_that_is_taken_out(tmp_path: Path) -> None:
    elsewhere = put(tmp_path / "elsewhere" / ENTRY)
    kept = tmp_path / "kept"
    put(kept / SHELF / ENTRY)
    (kept / "0b").symlink_to(elsewhere.parent)
    thin_out(str(kept), most=10)
    assert elsewhere.exists()
    assert not (kept / SHELF / ENTRY).exists()
