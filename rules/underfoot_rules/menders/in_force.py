"""The limits in force, as the rules' own functions want them."""

from collections.abc import Mapping

from msgspec import Struct

from underfoot.api.facts import Facts


class InForce(Struct, frozen=True, kw_only=True):
    """The limits of one rule, and by `of` those of the others."""

    rule: str
    by_rule: Mapping[str, Mapping[str, float]]

    def __getitem__(self, key: str) -> float:
        """Return the rule's own limit."""
        return self.by_rule[self.rule][key]

    def of(self, rule: str) -> Mapping[str, float]:
        """Return another rule's limits."""
        return self.by_rule[rule]


def limits_of(rule: str, facts: Facts) -> InForce:
    """Return the limits of a rule that are in force for a plan."""
    return InForce(rule=rule, by_rule=facts.limits)
