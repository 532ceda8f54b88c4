"""Which rules no plan may waive, and why not."""

from underfoot.checking.makers_figures import MAKERS_FIGURES
from underfoot.checking.rule_order import RuleOrder
from underfoot.checking.settings import Settings

NOT_WAIVED = "the settings in force do not let {} be waived"
ALWAYS_TOLD = "{} is told always, and no plan may waive it"
PROTECTS_LIFE = (
    "{} protects life, and no plan may waive it unless the settings allow that by name and reason "
    "(`may_waive`)"
)


def list_unwaivable(program: RuleOrder, settings: Settings) -> dict[str, str]:
    """Tell of each rule that no plan may waive why not."""
    forbidden = {rule.id: NOT_WAIVED.format(rule.id) for rule in program.rules if rule.last}
    for rule in program.rules:
        if rule.protects_life and rule.id not in settings.may_waive:
            forbidden[rule.id] = PROTECTS_LIFE.format(rule.id)
    forbidden[MAKERS_FIGURES.id] = ALWAYS_TOLD.format(MAKERS_FIGURES.id)
    return forbidden | {rule: NOT_WAIVED.format(rule) for rule in settings.never_waive}
