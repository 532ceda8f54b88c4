"""A repository with plans and a catalogue, and how tests ask git about it."""

import subprocess

from tests.underfoot.commands.tiny_plans import RIGHT

CATALOGUE = "catalogue_format: 1\nmaterials: {}\n"
SHARING = RIGHT.replace("materials: {}", "catalogue: ../shared/catalogue.yaml\nmaterials: {}")
STRICT = """\
settings_format: 1
rules:
  job-date: {severity: error, because: every plan is dated}
"""


def git(*arguments: str, folder: str = ".") -> str:
    command = ["git", "-c", "user.name=Test", "-c", "user.email=test@localhost",
               "-c", "commit.gpgsign=false", *arguments]  # fmt: skip
    done = subprocess.run(command, cwd=folder, check=True, capture_output=True, text=True)
    return done.stdout.strip()
