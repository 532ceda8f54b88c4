"""Files that stand beside plans: what in them cannot be read."""

from msgspec.structs import replace

from underfoot.editor.judgement import Judgement
from underfoot.reading.catalogue import read_catalogue
from underfoot.reading.problem import Problem
from underfoot.reading.review_file import read_review
from underfoot.reading.settings_file import read_settings

# The key that a file of each kind begins with.
KINDS = ("settings_format", "catalogue_format", "review_format")


def judge_file(kind: str, source: bytes, name: str) -> Judgement:
    """Tell what of a file cannot be read; whether settings fit the rules, plans tell."""
    problems: tuple[Problem, ...]
    if kind == "settings_format":
        problems = read_settings(source, name).problems
    elif kind == "review_format":
        problems = read_review(source, name).problems
    else:
        problems = tuple(read_catalogue(source, name, {})[1])
    return Judgement(verdict="", problems=tuple(replace(each, file=None) for each in problems))
