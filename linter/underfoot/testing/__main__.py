"""The kit at the command line: what a rule gives, and the files of a new one."""

import sys
from argparse import ArgumentParser
from pathlib import Path

from underfoot.checking.page import PageError
from underfoot.checking.rule_sets import RuleSetError, installed_rule_sets
from underfoot.commands.ending import end_well
from underfoot.testing.new_rule import NewRuleError, Written, write_rule
from underfoot.testing.showing import show_all

USAGE = (
    "write: python -m underfoot.testing RULE [PLAN.yaml ...]\n"
    "   or: python -m underfoot.testing new ID [--topic TOPIC [--new-topic]] "
    "[--set NAME | --into FOLDER]"
)


def main(arguments: list[str]) -> str:
    """Return what is to be printed; SystemExit with words where something is wrong."""
    if arguments and arguments[0] in ("-h", "--help"):
        return USAGE
    if not arguments or arguments[0].startswith("-"):
        sys.exit(USAGE)
    try:
        if arguments[0] == "new":
            return _start(arguments[1:])
        return show_all(installed_rule_sets(), arguments[0], [Path(each) for each in arguments[1:]])
    except (ValueError, OSError, NewRuleError, PageError, RuleSetError) as error:
        sys.exit(str(error))


def _start(arguments: list[str]) -> str:
    parser = ArgumentParser("python -m underfoot.testing new", description="Start a rule.")
    parser.add_argument("id", help="the rule's name: small letters in words joined by hyphens")
    parser.add_argument("--topic", help="the topic that it belongs to")
    parser.add_argument("--new-topic", action="store_true", help="the topic is a new one")
    where = parser.add_mutually_exclusive_group()
    where.add_argument("--set", default="standard", help="the installed set (standard)")
    where.add_argument("--into", type=Path, help="the folder of a package of your own")
    told = parser.parse_args(arguments)
    return _describe(
        write_rule(
            told.id,
            installed_rule_sets(),
            topic=told.topic,
            rule_set=told.set,
            into=told.into,
            new_topic=told.new_topic,
        )
    )


def _describe(written: Written) -> str:
    lines = [f"written:  {path}" for path in written.made]
    lines += [f"extended: {path}" for path in written.extended]
    lines += ["", "It runs as it is. What is left to do:"]
    lines += [f"{number}. {each}" for number, each in enumerate(written.left, 1)]
    return "\n".join(lines)


if __name__ == "__main__":
    sys.exit(end_well(lambda: print(main(sys.argv[1:]))))
