"""A rule set that kills, stops or blocks the process in which it judges, where the title asks."""

import os
import signal
import time
from collections.abc import Iterator
from pathlib import Path

from underfoot.api.facts import Facts
from underfoot.api.rules import Basis, Finding, Limits, Rule, RuleSet, Subject
from underfoot.checking.check import CheckedPlan
from underfoot.checking.report import PlanReport


def keep(examined: CheckedPlan) -> PlanReport:
    """Keep the report."""
    return examined.report


def job(facts: Facts) -> Iterator[Subject]:
    """The job."""
    yield Subject(room=None, items=("title",), path="job", payload=facts.plan.job)


def check_title(subject: Subject, facts: Facts, limits: Limits) -> Finding | None:
    """Do what the title says; else find that the plan has one."""
    title = subject.payload.title or ""
    what, _, where = title.partition(" at ")
    if what == "die":
        os.kill(os.getpid(), signal.SIGKILL)
    if what == "leave":
        os._exit(7)
    if what == "die once" and not Path(where).exists():
        Path(where).write_text("died")
        os.kill(os.getpid(), signal.SIGKILL)
    if what == "hang":
        time.sleep(300)
    if what == "loop":
        while True:
            try:
                time.sleep(0.01)
            except Exception:
                continue
    if what == "be deaf":
        # As compiled code that does not come back: no alarm is heard.
        signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGALRM})
        time.sleep(300)
    if what == "wait a little":
        time.sleep(0.3)
    return Finding(message=f"It is called {title}.", remedy="Call it something else.")


TITLE = Rule(
    id="job-title",
    topic="job_papers",
    severities=("note",),
    finds="a title",
    why="It is there.",
    unit=None,
    basis=Basis(kind="own default", text="made for this test"),
    subjects=job,
    check=check_title,
    module=__name__,
)
# What the standard set's rules do is the plan's doing.
DEADLY = RuleSet(name="standard", api=3, rules=(TITLE,))
