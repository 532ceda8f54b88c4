"""A file that has changed is never overwritten, and nothing is written elsewhere."""

import os
import sys
from pathlib import Path

import pytest

from underfoot.checking.content_hash import hash_bytes
from underfoot.desk import replacing
from underfoot.desk.replacing import CannotWriteError, ChangedError, hash_at, replace_unchanged

FIRST, SECOND = b"first", b"second"


def test_what_is_as_it_was_is_replaced(tmp_path: Path) -> None:
    place = tmp_path / "file"
    place.write_bytes(FIRST)
    place.chmod(0o640)
    replace_unchanged(str(place), SECOND, hash_bytes(FIRST), tmp_path)
    assert place.read_bytes() == SECOND
    assert place.stat().st_mode & 0o777 == 0o640
    assert os.listdir(tmp_path) == ["file"]


def test_what_is_new_is_written_where_nothing_is(tmp_path: Path) -> None:
    place = tmp_path / "file"
    replace_unchanged(str(place), FIRST, "", tmp_path)
    assert place.read_bytes() == FIRST
    with pytest.raises(ChangedError):
        replace_unchanged(str(place), SECOND, "", tmp_path)
    assert place.read_bytes() == FIRST
    assert os.listdir(tmp_path) == ["file"]


@pytest.mark.parametrize("now", [SECOND, None])
def test_what_has_changed_or_is_gone_is_left(tmp_path: Path, now: bytes | None) -> None:
    place = tmp_path / "file"
    if now is not None:
        place.write_bytes(now)
    with pytest.raises(ChangedError):
        replace_unchanged(str(place), b"third", hash_bytes(FIRST), tmp_path)
    assert hash_at(str(place)) == ("" if now is None else hash_bytes(now))
    assert len(os.listdir(tmp_path)) == (now is not None)


def test_what_comes_at_the_last_moment_is_left(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    place = tmp_path / "file"

    def look(path: str) -> str:
        place.write_bytes(SECOND)  # somebody else is quicker, just after it was looked
        return ""

    monkeypatch.setattr(replacing, "hash_at", look)
    with pytest.raises(ChangedError):
        replace_unchanged(str(place), FIRST, "", tmp_path)
    assert place.read_bytes() == SECOND


@pytest.mark.skipif(sys.platform == "win32", reason="links need rights there")
def test_a_link_that_leads_out_is_not_followed(tmp_path: Path) -> None:
    inside, outside = tmp_path / "inside", tmp_path / "outside"
    inside.mkdir()
    outside.mkdir()
    (outside / "file").write_bytes(FIRST)
    (inside / "file").symlink_to(outside / "file")
    (inside / "folder").symlink_to(outside)
    (inside / "new").symlink_to(outside / "new")
    for place, before in [("file", hash_bytes(FIRST)), ("folder/file", hash_bytes(FIRST)),
                          ("new", ""), ("../outside/file", hash_bytes(FIRST))]:  # fmt: skip
        with pytest.raises(CannotWriteError, match="outside the folder"):
            replace_unchanged(str(inside / place), SECOND, before, inside)
    assert (outside / "file").read_bytes() == FIRST
    assert os.listdir(outside) == ["file"]


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="there are no pipes with names")
def test_a_pipe_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "folder").mkdir()
    for name in ("pipe", "folder"):
        with pytest.raises(CannotWriteError, match="no file"):
            replace_unchanged(str(tmp_path / name), FIRST, "", tmp_path)
