"""What a finding advises: one thing to do, and the finding and plan that it is about."""

from msgspec import Struct

from tests.underfoot_rules.advice_tried import doing
from tests.underfoot_rules.advice_tried.doing import Do
from underfoot.api.rules import Data
from underfoot.checking.report import ReportedFinding

_READINGS = frozenset(
    {"load-resistance", "strip-readings", "resistance-drift", "test-stages", "test-date",
     "insulation-resistance", "rcd-trip", "covering-delay"}
)  # fmt: skip
Key = tuple[str, str | None, tuple[str, ...]]


class Advised(Struct, frozen=True, kw_only=True):
    """One thing to do."""

    kind: str
    said: str
    do: Do

    def leaves(self, key: Key) -> bool:
        """Tell what its words leave to whoever does it: how a new lead or conduit is to lie, and
        the readings that are to be taken anew."""
        rule, _, items = key
        if self.kind == "circuits":
            if rule in _READINGS and "Test each of them anew" in self.said:
                return True
            beside = any(doing.BESIDE in item for item in items)
            return beside and (rule.startswith("lead-") or rule == "sensor-near-lead")
        return self.said.startswith("Draw one at") and rule.startswith("sensor-")


class Reading(Struct, frozen=True, kw_only=True):
    """A finding whose advice is read, with the plan that it is about."""

    finding: ReportedFinding
    data: Data

    @property
    def room(self) -> str:
        """The room; it must have one."""
        assert self.finding.room is not None, self.finding
        return self.finding.room

    @property
    def item(self) -> str:
        """The first thing that the finding is about; empty where it is about the whole room."""
        return self.finding.items[0] if self.finding.items else ""
