"""`underfoot why RULE`: one rule in full."""

import click

from underfoot.checking.makers_figures import MAKERS_FIGURES
from underfoot.checking.page import PageError, page_of
from underfoot.commands.on_terminal import ink_out, width_out
from underfoot.commands.output_files import write_out
from underfoot.reading.wording import suggest
from underfoot.running.checking import rule_sets_to_use
from underfoot.running.errors import CommandError


@click.command(short_help="Explain one rule: why, limit, basis, right and wrong.")
@click.argument("rule")
def why(rule: str) -> int:
    """Explain RULE: why it matters, its limits and basis, a right and a wrong example."""
    from underfoot.reporting.rule_page import write_page

    sets = rule_sets_to_use()
    rules = {one.id: one for rule_set in sets for one in (*rule_set.rules, MAKERS_FIGURES)}
    if rule not in rules:
        raise CommandError(
            f"there is no rule {rule!r}{suggest(rule, rules) or '; `underfoot rules` lists them'}"
        )
    try:
        page = page_of(rules[rule])
    except PageError as error:
        raise CommandError(str(error)) from None
    write_out(write_page(rules[rule], page, ink=ink_out(), width=width_out()))
    return 0
