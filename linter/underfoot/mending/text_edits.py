"""Edits of data -> edits of the text that says it: spans in the text, never a dump of the whole."""

from bisect import bisect_right
from collections.abc import Sequence
from typing import Any

from msgspec import Struct

from underfoot.checking.mend import Edit, Replacement, TextEdit
from underfoot.mending.block_edits import (
    cut_lines,
    insert_on_lines,
    line_below,
    remove_lines,
    start_of_part,
)
from underfoot.mending.flow_edits import insert_in_brackets, remove_from_brackets
from underfoot.mending.joining_edits import join_edits, make_edits
from underfoot.mending.line_breaks import break_long_lines
from underfoot.mending.patch import CannotPatchError, is_same, patch_data
from underfoot.mending.single_edits import split_edit
from underfoot.mending.spans import (
    LINE_END,
    CannotEditError,
    Node,
    begins_line,
    end_of_blanks,
    find_colon,
    find_node,
    find_place,
    is_bare,
    read_nodes,
)
from underfoot.mending.writing import (
    Manner,
    manner_of,
    wants_block,
    write_inline,
    write_item,
    write_key,
    write_scalar,
)
from underfoot.reading.syntax import parse

_BOM = "\ufeff"

# A remark stands at least so far behind what it is about.
_BEFORE_REMARK = 2


class Edited(Struct, frozen=True, kw_only=True):
    """A text as edited, and the edits that make it of the text as it was, from first to last.

    They lie apart from one another, so that they can be made from the last to the first.
    """

    text: str
    edits: tuple[TextEdit, ...]


class ReadText(Struct, frozen=True, kw_only=True):
    """A plan's text without its byte order mark, what it says, and where that stands in it."""

    bom: str
    text: str
    data: Any
    root: Node


def read_text(text: str) -> ReadText | None:
    """Read a text to be edited, once or for several patches; None where it cannot be read."""
    before = parse(text.encode("utf-8", "surrogatepass"))
    if before.data is None or before.problems:
        return None
    bom = _BOM if text.startswith(_BOM) else ""
    bare = text.removeprefix(bom)
    try:
        return ReadText(bom=bom, text=bare, data=before.data, root=read_nodes(bare))
    except CannotEditError:
        return None


def edit_text(text: str, patch: Sequence[Edit]) -> Edited | None:
    """Make a patch's edits in a plan's text; None where that cannot be done without harm.

    What is read in the new text is exactly the old data with the patch made, and nothing but what
    the edits are about is written anew. A byte order mark at the start counts as a character.
    """
    read = read_text(text)
    return None if read is None else edit_read(read, patch)


def edit_read(read: ReadText, patch: Sequence[Edit]) -> Edited | None:
    """Make a patch's edits in a text that was read; see `edit_text`."""
    bom, now, data = read.bom, read.text, read.data
    made: tuple[TextEdit, ...] = ()
    has_grown = False
    try:
        for edit in patch:
            after = patch_data(data, [edit])
            for single in split_edit(data, edit):
                has_grown |= single.op == "add" or isinstance(single.value, dict | list)
                edits = _edit_once(now, single, read.root if now is read.text else read_nodes(now))
                made = join_edits(made, edits, now)
                now = make_edits(now, edits)
            data = after
        if has_grown:
            edits = _break_lines(read, now, made)
            made = join_edits(made, edits, now)
            now = make_edits(now, edits)
    except (CannotPatchError, CannotEditError):
        return None
    new = parse(now.encode("utf-8", "surrogatepass"))
    if new.problems or not is_same(new.data, _without_null(data)):
        return None
    moved = tuple(
        TextEdit(start=each.start + len(bom), end=each.end + len(bom), text=each.text)
        for each in made
        if each.text != read.text[each.start : each.end]
    )
    return Edited(text=bom + now, edits=moved)


def _break_lines(read: ReadText, now: str, made: Sequence[TextEdit]) -> list[TextEdit]:
    """Break lines that are longer than any of the text was; JSON is left as it is written."""
    manner = manner_of(read.text, read.root)
    return [] if manner.is_json else break_long_lines(now, made, manner)


def locate_edits(text: str, edits: Sequence[TextEdit]) -> tuple[Replacement, ...]:
    """Say by line and column what the edits of a text replace."""
    bom = len(_BOM) if text.startswith(_BOM) else 0
    starts = [bom, *(match.end() for match in LINE_END.finditer(text))]

    def place(at: int) -> tuple[int, int]:
        line = max(1, bisect_right(starts, at))
        return line, at - starts[line - 1] + 1

    located = []
    for each in edits:
        (line, column), (end_line, end_column) = place(each.start), place(each.end)
        located.append(
            Replacement(
                line=line, column=column, end_line=end_line, end_column=end_column, text=each.text
            )
        )
    return tuple(located)


def _without_null(data: Any) -> Any:
    """Plain data as it is read: a key without a value is not there."""
    if isinstance(data, dict):
        return {key: _without_null(each) for key, each in data.items() if each is not None}
    return list(map(_without_null, data)) if isinstance(data, list) else data


def _edit_once(text: str, edit: Edit, root: Node) -> list[TextEdit]:
    """Make one edit that is no more than it need be."""
    manner = manner_of(text, root)
    if not edit.path:
        raise CannotEditError("the whole plan is not written anew")
    *above, last = edit.path
    holder = find_node(root, above)
    at = find_place(holder, last)
    is_item = holder.kind == "list"
    if edit.op == "remove" and at is not None:
        if holder.is_flow:
            return remove_from_brackets(text, holder, at)
        if len(holder.parts) > 1:
            return remove_lines(text, holder, at)
        return _set_value(text, root, above, [] if is_item else {}, manner)
    if at is not None and not (edit.op == "add" and is_item):
        return _set_value(text, root, edit.path, edit.value, manner)
    if holder.kind == "scalar":
        raise CannotEditError("nothing can be put into it")
    if not holder.parts:
        filled = [edit.value] if is_item else {last: edit.value}
        return _set_value(text, root, above, filled, manner)
    place = last if isinstance(last, int) else len(holder.parts)
    if holder.is_flow:
        head = "" if is_item else f"{write_key(str(last), manner, in_brackets=True)}: "
        written = head + write_inline(edit.value, manner, in_brackets=True)
        return insert_in_brackets(text, holder, place, written, manner)
    head = "-" if is_item else f"{write_key(str(last), manner, in_brackets=False)}:"
    as_block = _are_blocks(holder) if isinstance(edit.value, dict) else None
    written = write_item(head, edit.value, manner, holder.column, as_block=as_block)
    return insert_on_lines(text, holder, place, written, manner)


def _are_blocks(holder: Node) -> bool | None:
    """Whether mappings in a mapping or list stand on lines of their own; None where some are none.

    As the last of them does, the next is written.
    """
    values = [value for _, value in holder.parts]
    if any(value.kind != "mapping" or not value.parts for value in values):
        return None
    return values[-1].is_block


def _set_value(
    text: str, root: Node, path: Sequence[str | int], value: Any, manner: Manner
) -> list[TextEdit]:
    """Write another value where one stands, or where one was left out."""
    node = find_node(root, path)
    if not path:
        if node.is_block:
            raise CannotEditError("the whole plan is not written anew")
        written = write_inline(value, manner, in_brackets=False)
        return [TextEdit(start=node.start, end=node.end, text=written)]
    holder = find_node(root, path[:-1])
    at = find_place(holder, path[-1])
    assert at is not None
    key, _ = holder.parts[at]
    if isinstance(value, dict | list):
        written = write_inline(value, manner, in_brackets=holder.is_flow)
    else:
        written = write_scalar(value, manner, in_brackets=holder.is_flow, instead_of=node)
    is_entry = holder.kind == "mapping"
    colon = find_colon(text, key, node) if is_entry else None
    is_empty = node.is_left_out or is_bare(text, node)
    if is_empty and is_entry and holder.is_block and colon and wants_block(value):
        if text[colon : node.start].strip():
            raise CannotEditError("a comment stands between")
        body = write_item(":", value, manner, holder.column)[1:]
        below = line_below(text, node.end)
        emptied = TextEdit(start=colon, end=node.end, text="")
        return [emptied, TextEdit(start=below, end=below, text=body)]
    if node.is_left_out:
        place = colon or (key.end if is_entry else node.end)
        put = (" " if colon or not is_entry else ": ") + written
        return [TextEdit(start=place, end=_end_of_gap(text, place, put), text=put)]
    if node.is_block and begins_line(text, node.start):
        # The value moves up to its key or dash.
        place = colon or start_of_part(text, holder, at) + 1
        moved = TextEdit(start=place, end=place, text=f" {written}")
        return [moved, cut_lines(text, node.start, node.end)]
    if node.is_flow and not node.parts and not is_bare(text, node) and written[1:-1]:
        # A remark stands between the brackets.
        return insert_in_brackets(text, node, 0, written[1:-1], manner)
    return [TextEdit(start=node.start, end=node.end, text=written)]


def _end_of_gap(text: str, place: int, put: str) -> int:
    """Where the blanks end that give way to what is put in, so that a remark keeps its column."""
    end = end_of_blanks(text, place)
    if text[end : end + 1] == "#":
        return place + max(0, min(len(put), end - place - _BEFORE_REMARK))
    return end if text[end : end + 1] in ("", "\r", "\n", ",", "]", "}") else place
