"""What is read of drawings that were made for the tests."""

from typing import Any

import pytest

from tests.underfoot.beginning.drawings import saved
from underfoot.beginning.begin import FromDrawing, choose_rooms, read_outlines
from underfoot.beginning.found import CannotBeginError, Found
from underfoot.beginning.new_room import NewRoom


def named(polyline: Any) -> str:
    return f"polyline #{polyline.dxf.handle}"


def found_in(document: Any, **how: Any) -> Found:
    return read_outlines("a.dxf", saved(document), FromDrawing(**how))


def rooms_of(document: Any, **how: Any) -> list[NewRoom]:
    wishes = FromDrawing(**how)
    return choose_rooms(read_outlines("a.dxf", saved(document), wishes), wishes)


def refused(document: Any, **how: Any) -> str:
    with pytest.raises(CannotBeginError) as error:
        rooms_of(document, **how)
    return str(error.value)
