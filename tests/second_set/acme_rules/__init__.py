"""A tiny rule set of somebody else's: the house wants a name on every drawing."""

from acme_rules.drawn_by import RULE
from underfoot.api.rules import RuleSet

BASE_PLAN = """
plan_format: 1
job: {title: Example, reference: EX-1, revision: P1, date: "2026-01-01", drawn_by: site office}
materials: {}
supply: {voltage: 230 V}
rooms:
  room: {outline: [[0, 0], [1000, 0], [1000, 1000], [0, 1000]]}
"""

ACME = RuleSet(name="acme", api=3, rules=(RULE,), base_plan=BASE_PLAN)
