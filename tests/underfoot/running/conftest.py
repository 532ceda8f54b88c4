"""Which plans are really checked."""

from typing import Any

import pytest

from tests.underfoot.running.caching import Told
from underfoot.checking.check import examine
from underfoot.running import checking


@pytest.fixture
def examined(monkeypatch: pytest.MonkeyPatch, tmp_path_factory: pytest.TempPathFactory) -> Told:
    """Tell which plans are really checked."""
    told = Told(tmp_path_factory.mktemp("told") / "names")

    def examine_aloud(source: bytes, *args: Any, **named: Any) -> Any:
        with told.place.open("a", encoding="utf-8") as stream:
            stream.write(named["path"] + "\n")
        return examine(source, *args, **named)

    monkeypatch.setattr(checking, "examine", examine_aloud)
    return told
