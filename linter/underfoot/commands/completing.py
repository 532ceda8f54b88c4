"""What a shell may complete a command line with: plans, rules, topics, a plan's rooms, files."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from typing import TYPE_CHECKING, Any

import click
from click.shell_completion import CompletionItem

# A plan that is longer is not read only to name its rooms.
_MOST_BYTES = 1_000_000
_MOST_OFFERED = 500
_SUFFIXES = (".yaml", ".yml")

Offer = Callable[[click.Context, str], Iterable[CompletionItem]]


if TYPE_CHECKING:
    _AnyType = click.ParamType[Any]
else:
    _AnyType = click.ParamType


class _Offered(_AnyType):
    """Takes whatever is given, and offers what could be."""

    name = "text"

    def __init__(self, offer: Offer) -> None:
        self.offer = offer

    def shell_complete(
        self, ctx: click.Context, param: click.Parameter, incomplete: str
    ) -> list[CompletionItem]:
        """List what may stand there."""
        return list(self.offer(ctx, incomplete))[:_MOST_OFFERED]


def with_completion(command: click.Command) -> click.Command:
    """Let each parameter of a command offer what it can take, by its name."""
    for param in command.params:
        offer = _offer_for(command, param)
        if offer is not None:
            param.type = _Offered(offer)
    return command


def _offer_for(command: click.Command, param: click.Parameter) -> Offer | None:
    if command.name == "new" and param.name == "rooms":
        return None  # what they are to be called
    metavar = param.metavar if isinstance(param, click.Option | click.Argument) else None
    return _BY_NAME.get(param.name or "") or _BY_METAVAR.get(metavar or "")


def _plans(ctx: click.Context, incomplete: str) -> Iterator[CompletionItem]:
    """Offer plans and folders; where one folder alone fits, what is in it."""
    found = _entries(incomplete)
    # A shell puts a blank behind what fits alone.
    while len(found) == 1 and found[0].endswith("/"):
        inside = _entries(found[0])
        if not inside:
            break
        found = inside
    return map(CompletionItem, found)


def _entries(incomplete: str) -> list[str]:
    folder, name = os.path.split(incomplete)
    found = []
    with suppress(OSError, ValueError), os.scandir(folder or os.curdir) as scan:
        for entry in scan:
            is_wanted = entry.name.startswith(name) and entry.name.isprintable()
            if not is_wanted or (entry.name.startswith(".") and not name):
                continue
            path = os.path.join(folder, entry.name)
            if entry.is_dir():
                found.append(f"{path}/")
            elif entry.name.lower().endswith(_SUFFIXES):
                found.append(path)
    return sorted(found)


def _rules(ctx: click.Context, incomplete: str) -> Iterator[CompletionItem]:
    """Offer the rules of all sets, each with what it finds."""
    from underfoot.checking.makers_figures import MAKERS_FIGURES
    from underfoot.running.checking import rule_sets_to_use

    rules = [rule for each in rule_sets_to_use() for rule in each.rules]
    if ctx.command.name == "why":
        rules.append(MAKERS_FIGURES)
    for rule in sorted(rules, key=lambda rule: rule.id):
        if rule.id.startswith(incomplete):
            yield CompletionItem(rule.id, help=rule.finds)


def _topics(ctx: click.Context, incomplete: str) -> Iterator[CompletionItem]:
    from underfoot.running.checking import rule_sets_to_use

    topics = {rule.topic for each in rule_sets_to_use() for rule in each.rules}
    return (CompletionItem(topic) for topic in sorted(topics) if topic.startswith(incomplete))


def _rooms(ctx: click.Context, incomplete: str) -> Iterator[CompletionItem]:
    """Offer the rooms of the plan that stands in the line already."""
    from underfoot.reading.syntax import parse

    # While an option lacks its value, what else is in the line has not been given its names yet.
    named = [ctx.params.get("plan_file"), *ctx.args]
    place = next((one for one in named if isinstance(one, str) and os.path.isfile(one)), None)
    if place is None:
        return
    with suppress(OSError), open(place, "rb") as stream:
        source = stream.read(_MOST_BYTES + 1)
        data = parse(source).data if len(source) <= _MOST_BYTES else None
        rooms = data.get("rooms") if isinstance(data, dict) else None
        for room in rooms if isinstance(rooms, dict) else ():
            if isinstance(room, str) and room.startswith(incomplete) and room.isprintable():
                yield CompletionItem(room)


def _of_kind(kind: str) -> Offer:
    """Leave it to the shell to offer files or folders."""
    return lambda ctx, incomplete: [CompletionItem(incomplete, type=kind)]


_BY_NAME: dict[str, Offer] = {
    "plan_file": _plans, "paths": _plans, "path": _plans, "old": _plans, "new": _plans,
    "models": _plans, "rule": _rules, "rules": _rules, "topics": _topics, "room": _rooms,
    "rooms": _rooms, "folder": _of_kind("dir"),
}  # fmt: skip
_BY_METAVAR: dict[str, Offer] = {"FILE": _of_kind("file"), "DIR": _of_kind("dir")}
