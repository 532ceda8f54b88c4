"""The report as SARIF 2.1.0, for code hosts and viewers: one result a line, no clock, no host.

Code hosts take so many results and no more (`host_limits`): the gravest stand in the report, and
what was left out is counted in a notification.
"""

import json
import re
import zlib
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from hashlib import sha256
from itertools import chain
from typing import Any

from msgspec.structs import replace

from underfoot.checking.makers_figures import MAKERS_FIGURES
from underfoot.checking.report import Changed, PlanReport
from underfoot.checking.rule import AnyRule
from underfoot.checking.summing import Summary
from underfoot.reporting import host_limits
from underfoot.reporting.gravest import Gravest, Kept, in_order
from underfoot.reporting.json import encode
from underfoot.reporting.sarif_notices import (
    describe_kinds,
    list_configuring,
    list_of_plan,
    list_of_run,
    say_known_left_out,
    say_left_out,
)
from underfoot.reporting.sarif_places import AS_GIVEN, ROOT, PathBase, locate
from underfoot.reporting.sarif_results import UNREADABLE_RULE, Ranked, list_results, problem_result
from underfoot.reporting.sarif_rules import (
    UNREADABLE,
    describe_rules,
    describe_standards,
    refer_to_standards,
)
from underfoot.reporting.spool import Spool

SCHEMA = "https://json.schemastore.org/sarif-2.1.0.json"
# A name, not a page: none on the net is promised to be there.
_INFORMATION = "urn:underfoot"
_LEVELS = ("error", "warning", "note")

_SEMANTIC = re.compile(r"[0-9]+\.[0-9]+\.[0-9]+(?:[-+][0-9A-Za-z.+-]+)?")


class SarifWriter:
    """Writes all of the report at the end: its head lists what only the end knows.

    `rules` are those of the sets in use; listed are the ones that were active for a plan. `told`
    says how paths are told. With `split` five runs hold five times as many results;
    with `only_new` what an earlier report knew is left out.
    """

    def __init__(
        self,
        rules: Sequence[AnyRule],
        told: PathBase = AS_GIVEN,
        *,
        split: bool = False,
        only_new: bool = False,
    ) -> None:
        self.rules = rules
        self.told = told
        self.runs = host_limits.SARIF_RUNS if split else 1
        self.only_new = only_new
        self.results = Gravest(self.runs * host_limits.SARIF_RESULTS_A_RUN)
        self.notices = Gravest(host_limits.SARIF_NOTICES)
        self.known: Counter[str] = Counter()
        self.artifacts = Spool()
        self.count = 0
        self.active: set[str] = set()
        self.changes: dict[Changed, None] = {}
        self.has_waivers = False
        self.has_unreadable = False

    def begin(self, run: Summary) -> Iterable[str]:
        """Take in what could not be checked as asked."""
        for number, problem in enumerate(run.problems):
            if problem.file:
                uri = self.told.uri(problem.file)
                at = locate(uri, problem.line, problem.column)
                self._add(problem_result(problem, at, uri, number))
        for notice in list_of_run(replace(run, passed_over=0), self.told):
            self._note(notice)
        return ()

    def add(self, plan: PlanReport, page: object = None) -> Iterable[str]:
        """Take in one plan."""
        index = self.count
        self.count += 1
        artifact = encode(_artifact(self.told.uri(plan.path)))
        self.artifacts.write((f"{', ' if index else ''}{artifact}",))
        self.active.update(row.rule for row in plan.checks)
        self.active.update(fault.rule for fault in plan.faults)
        self.changes.update(dict.fromkeys(plan.changed))
        for notice in list_of_plan(plan, index, self.told):
            self._note(notice)
        for ranked in list_results(plan, index, self.told):
            self._add(ranked)
        return ()

    def _add(self, ranked: Ranked) -> None:
        if ranked.is_known and self.only_new:
            self.known[ranked.kind] += 1
            return
        self.has_waivers |= "suppressions" in ranked.result
        self.has_unreadable |= ranked.result["ruleId"] == UNREADABLE_RULE
        self.results.add(ranked.rank, ranked.kind, encode(ranked.result))

    def _note(self, notice: dict[str, Any]) -> None:
        level = notice["level"]
        self.notices.add(_LEVELS.index(level), level, encode(notice))

    def end(self, run: Summary) -> Iterable[str]:
        """Write the report, with so many results that it is not too large."""
        for notice in list_of_run(replace(run, problems=(), rules_asked=None), self.told):
            self._note(notice)
        results, notices = self.results.by_gravity(), self.notices.by_gravity()
        while True:
            if not (results or notices) or _is_small(self._written(run, results, notices)):
                return self._written(run, results, notices)
            results = results[: len(results) * 4 // 5]
            notices = notices[: len(notices) * 4 // 5]

    def _written(
        self, run: Summary, results: Sequence[Kept], notices: Sequence[Kept]
    ) -> Iterator[str]:
        rules = self._active()
        places = {rule.id: place for place, rule in enumerate(rules)}
        yield f'{{"$schema": {encode(SCHEMA)}, "version": "2.1.0", "runs": ['
        for number, share in enumerate(self._shares(results)):
            running = self._running(notices, results, places) if number == 0 else iter(())
            yield ",\n" if number else ""
            yield from self._head(run, rules, running, number)
            yield '"results": ['
            before = ""
            for kept in share:
                yield f"{before}\n{self._result(kept, places)}"
                before = ","
            yield "\n]}"
        yield "]}\n"

    def _head(
        self, run: Summary, rules: Sequence[AnyRule], running: Iterator[dict[str, Any]], number: int
    ) -> Iterator[str]:
        driver = {
            "name": "underfoot",
            "version": run.version,
            "informationUri": _INFORMATION,
            "shortDescription": {"text": "Checks plans of electric floor heating laid as film."},
            "fullDescription": {"text": run.caution},
            "notifications": describe_kinds(),
            "supportedTaxonomies": refer_to_standards(rules),
        }
        if _SEMANTIC.fullmatch(run.version):
            driver["semanticVersion"] = run.version
        yield f'{{\n"tool": {{"driver": {encode(driver)[:-1]}, "rules": [\n'
        yield ",\n".join(map(encode, describe_rules(rules))) + "\n]}},\n"
        places = {rule.id: place for place, rule in enumerate(rules)}
        category = "underfoot/" if self.runs == 1 else f"underfoot/{number + 1}/"
        head = {
            "taxonomies": describe_standards(rules),
            "automationDetails": {"id": category},
            "columnKind": "unicodeCodePoints",
            "originalUriBaseIds": {ROOT: {"description": {"text": self.told.means}}},
            "properties": {"caution": run.caution},
        }
        yield "".join(f"{encode(key)}: {encode(value)},\n" for key, value in head.items())
        succeeded = encode(self._succeeded(run))
        yield f'"invocations": [{{"executionSuccessful": {succeeded}, '
        yield '"toolExecutionNotifications": ['
        for place, notice in enumerate(running):
            yield f"{', ' if place else ''}{encode(notice)}"
        configuring = encode(list_configuring(self.changes, places, self.told))
        yield f'], "toolConfigurationNotifications": {configuring}}}],\n'
        yield from chain(('"artifacts": [',), self.artifacts.read(), ("],\n",))

    def _succeeded(self, run: Summary) -> bool:
        return not run.problems and not any(plan.problems or plan.faults for plan in run.plans)

    def _active(self) -> list[AnyRule]:
        # Where no plan could be read, it is not known which rules would have been active.
        listed = list(self.rules)
        if self.active:
            listed = [rule for rule in (*self.rules, MAKERS_FIGURES) if rule.id in self.active]
        if self.has_unreadable:
            listed.append(UNREADABLE)
        return sorted(listed, key=lambda rule: rule.id)

    def _shares(self, results: Sequence[Kept]) -> list[list[Kept]]:
        """Share the results out among the runs, those of a plan into the same one.

        So that a result stays in its run when others go. Only where one is full are they moved on.
        """
        shares: list[list[Kept]] = [[] for _ in range(self.runs)]
        most = host_limits.SARIF_RESULTS_A_RUN
        for kept in results:
            at = 0 if self.runs == 1 else self._home(kept)
            while len(shares[at]) == most:
                at = (at + 1) % self.runs
            shares[at].append(kept)
        return [in_order(share) for share in shares]

    def _home(self, kept: Kept) -> int:
        (location,) = json.loads(self.results.read(kept))["locations"]
        uri = location["physicalLocation"]["artifactLocation"]["uri"]
        return sha256(uri.encode()).digest()[0] % self.runs

    def _result(self, kept: Kept, places: Mapping[str, int]) -> str:
        told = json.loads(self.results.read(kept))
        rule = told.pop("ruleId")
        # Suppressions stand on all results or on none: one without counts as not looked into.
        state = told.pop("baselineState", None)
        suppressions = told.pop("suppressions", [])
        result = {"ruleId": rule, "ruleIndex": places[rule], **told}
        if self.has_waivers:
            result["suppressions"] = suppressions
        if state is not None:
            result["baselineState"] = state
        return encode(result)

    def _running(
        self, notices: Sequence[Kept], results: Sequence[Kept], places: Mapping[str, int]
    ) -> Iterator[dict[str, Any]]:
        for kept in in_order(list(notices)):
            notice = json.loads(self.notices.read(kept))
            rule = notice.get("associatedRule")
            if rule is not None and rule["id"] in places:
                rule["index"] = places[rule["id"]]
            yield notice
        yield from say_known_left_out(self.known)
        yield from say_left_out(
            _left_out(self.results, results), _left_out(self.notices, notices), self.runs
        )


def _left_out(gravest: Gravest, kept: Sequence[Kept]) -> Counter[str]:
    """Count what is not there, with what was cut because the file grew too large."""
    whole = Counter(each.kind for each in gravest.by_gravity())
    return gravest.left_out + (whole - Counter(each.kind for each in kept))


def _is_small(pieces: Iterable[str]) -> bool:
    """Tell whether a file stays below what a host takes once it is gzipped."""
    packer = zlib.compressobj()
    size = sum(len(packer.compress(piece.encode())) for piece in pieces)
    return size + len(packer.flush()) < host_limits.SARIF_BYTES_GZIPPED


def _artifact(uri: str) -> dict[str, Any]:
    return {
        "location": {"uri": uri, "uriBaseId": ROOT},
        "roles": ["analysisTarget"],
        "encoding": "utf-8",
    }
