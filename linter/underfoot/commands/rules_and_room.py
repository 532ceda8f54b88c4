"""The rules and the room that a command line asks for by name, where it does not ask for all."""

from collections.abc import Collection, Sequence

from underfoot.checking.makers_figures import MAKERS_FIGURES
from underfoot.checking.report import RulesAsked
from underfoot.checking.rule import RuleSet
from underfoot.reading.wording import suggest
from underfoot.running.errors import CommandError


def rules_asked(
    sets: Sequence[RuleSet], rules: Sequence[str], topics: Sequence[str]
) -> RulesAsked | None:
    """List the rules asked for, None where all are; CommandError where a name is not known."""
    if not rules and not topics:
        return None
    known = {rule.id: rule for rule_set in sets for rule in rule_set.rules}
    for name in rules:
        if name not in known and name != MAKERS_FIGURES.id:
            near = suggest(name, known) or "; `underfoot rules` lists them"
            raise CommandError(f"--rule {name}: there is no such rule{near}")
    there = list(dict.fromkeys(_spell(rule.topic) for rule in known.values()))
    for topic in topics:
        if _spell(topic) not in there:
            near = suggest(topic, there) or f"; there are {', '.join(there)}"
            raise CommandError(f"--topic {topic}: there is no such topic{near}")
    wanted = set(map(_spell, topics))
    of_topics = {name for name, rule in known.items() if _spell(rule.topic) in wanted}
    return RulesAsked(rules=tuple(sorted({*rules, *of_topics})), of=len(known))


def see_that_there_is(room: str, rooms: Collection[str]) -> None:
    """CommandError where a plan has no room of that name; it says which it has."""
    if room not in rooms:
        near = suggest(room, rooms) or f"; there are {', '.join(rooms)}"
        raise CommandError(f"--room {room}: the plan has no such room{near}")


def _spell(topic: str) -> str:
    """Write a topic as a command line has it; as the list prints it, it is the same topic."""
    return topic.lower().replace("_", "-").replace(" ", "-")
