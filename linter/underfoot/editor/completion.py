"""What could be written where the cursor stands: keys, words, ids."""

from collections.abc import Callable, Iterable, Iterator
from typing import Literal

from msgspec import Struct

from underfoot.editor.declared import (
    example_value,
    explain_words,
    find_declared,
    list_words,
    named_kind,
    say_key,
    say_meaning,
)
from underfoot.editor.ids import list_ids, room_of
from underfoot.editor.outline import outline, where
from underfoot.editor.scan import Here, Parts
from underfoot.editor.text_places import Place, Span
from underfoot.plan_format.declaration import ById, Key, ListOf, Thing, YesNo
from underfoot.plan_format.yaml_line import write_inline

# Rule ids with what each finds, for waivers.
Rules = Callable[[], Iterable[tuple[str, str]]]


class Offer(Struct, frozen=True, kw_only=True):
    """One thing to write: `text` takes the place of `span`; `says` explains it, in Markdown."""

    label: str
    kind: Literal["key", "word", "id", "example"]
    text: str
    span: Span
    detail: str = ""
    says: str = ""


def _no_rules() -> tuple[()]:
    return ()


def complete(text: str, place: Place, rules: Rules = _no_rules) -> tuple[Offer, ...]:
    """List what could be written at a place."""
    here = where(text, place)
    if here is None:
        return ()
    span = Span(here.start, place)
    if here.at == "key":
        return tuple(_offer_keys(text, here, span))
    return tuple(_offer_values(text, here, here.path, span, rules))


def _offer_keys(text: str, here: Here, span: Span) -> Iterator[Offer]:
    declared = find_declared(here.path)
    if declared is None:
        return
    kind = declared.kind
    if isinstance(kind, ListOf) and isinstance(kind.of, Thing) and not here.inline:
        yield from _offer_item(kind.of, span)
        return
    if isinstance(kind, ById):
        yield from _offer_ids_to_give(text, here, span)
        return
    if not isinstance(kind, Thing):
        # A list's item that is no mapping: what stands there is a value.
        yield from _offer_values(text, here, here.path, span, _no_rules)
        return
    there = {each.path[-1] for each in outline(text).below(here.path) if each.key != span}
    there.discard(here.word)
    for key in kind.keys:
        if key.name not in there:
            yield Offer(
                label=key.name,
                kind="key",
                text=f"{key.name}:" if _opens_block(key, here) else f"{key.name}: ",
                span=span,
                detail=say_meaning(key).split(". ")[0].rstrip("."),
                says=say_key(key, kind),
            )


def _opens_block(key: Key, here: Here) -> bool:
    """Whether the key's value goes on in the lines below."""
    return not here.inline and isinstance(key.of, Thing | ById)


def _offer_item(thing: Thing, span: Span) -> Iterator[Offer]:
    if thing.examples:
        yield Offer(
            label=f"- {thing.title}",
            kind="example",
            text=f"- {write_inline(thing.examples[0])}",
            span=span,
            detail=thing.says,
        )


def _offer_ids_to_give(text: str, here: Here, span: Span) -> Iterator[Offer]:
    """Where things stand by ids of their own: the ids that are used and not given as yet."""
    wanted = {"rows": "row", "circuits": "circuit", "rooms": "room"}.get(here.path[-1])
    given = {each.name for each in list_ids(text).given}
    for name in dict.fromkeys(
        use.name for use in list_ids(text).used if use.kind == wanted and use.name not in given
    ):
        yield Offer(
            label=name, kind="id", text=f"{name}: ", span=span, detail=f"a {wanted} that is used"
        )
    declared = find_declared(here.path)
    assert declared is not None
    inner = declared.kind.of if isinstance(declared.kind, ById) else None
    if isinstance(inner, Thing) and inner.examples:
        yield Offer(
            label=inner.title,
            kind="example",
            text=f"NAME: {write_inline(inner.examples[0])}",
            span=span,
            detail=f"{inner.says} As an example, to be changed.",
        )


def _offer_values(text: str, here: Here, path: Parts, span: Span, rules: Rules) -> Iterator[Offer]:
    declared = find_declared(path)
    if declared is None:
        return
    named = named_kind(path, declared)
    if named == "rule":
        for rule, finds in rules():
            yield Offer(label=rule, kind="id", text=rule, span=span, detail=finds)
    elif named == "stop":
        yield from _offer_stops(text, path, span)
    elif named is not None:
        yield from _offer_ids(text, named, span)
    kind = declared.kind
    meanings = explain_words(declared)
    for word in list_words(kind):
        says = "" if isinstance(kind, YesNo) else getattr(kind, "says", "")
        yield Offer(label=word, kind="word", text=word, span=span, detail=meanings.get(word, says))
    if declared.key is not None and not list_words(kind) and named is None:
        example = example_value(declared.key)
        if example is not None and not here.word:
            told = write_inline(example)
            yield Offer(label=told, kind="example", text=told, span=span, detail="an example")


def _offer_ids(text: str, kind: str, span: Span) -> Iterator[Offer]:
    ids = list_ids(text)
    names: Iterable[str]
    if kind == "group":
        names = (use.name for use in ids.used if use.kind == "group")
    else:
        names = (each.name for each in ids.given if kind in (each.kind, "any"))
    details = {each.name: f"a {each.kind}" for each in ids.given}
    for name in dict.fromkeys(names):
        yield Offer(label=name, kind="id", text=name, span=span, detail=details.get(name, kind))


def _offer_stops(text: str, path: Parts, span: Span) -> Iterator[Offer]:
    """The stops of a route: what stands in its room; a lead's own circuit is not asked for."""
    room = room_of(path)
    yield Offer(
        label="junction-box", kind="word", text="junction-box", span=span,
        detail="where the leads meet the cable",
    )  # fmt: skip
    if "sensor" in path:
        return
    for each in list_ids(text).given:
        if each.room == room and each.kind in ("row", "strip"):
            yield Offer(
                label=each.name, kind="id", text=each.name, span=span, detail=f"a {each.kind}"
            )
