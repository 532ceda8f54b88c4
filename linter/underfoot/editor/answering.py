"""The answers of the judging process, by name."""

import os
from collections.abc import Sequence
from datetime import date
from typing import Any

from underfoot.checking.rule import RuleSet
from underfoot.editor.explaining import explain
from underfoot.editor.judgement import Judgement
from underfoot.editor.judging import Judge
from underfoot.editor.other_files import judge_file
from underfoot.editor.worker import Question


class Answering:
    """Answers questions about texts."""

    def __init__(self, sets: Sequence[RuleSet], today: date | None = None) -> None:
        self._judge = Judge(sets, today)

    def answer(self, question: Question) -> Any:
        """Answer one question."""
        match question.what:
            case "judge":
                return self._judge_plan(question)
            case "file":
                (kind,) = question.more
                return judge_file(kind, question.source, os.path.basename(question.place))
            case "explain":
                return self._explain(question)
            case "mends":
                return self._judge.offer_mends(question.place, question.source, *question.more)
            case "rules":
                return self._judge.list_rules()
            case "forget":
                return self._judge.forget()
        raise ValueError(f"nothing answers {question.what}")

    def _judge_plan(self, question: Question) -> Judgement:
        return self._judge.judge(question.place, question.source).told

    def _explain(self, question: Question) -> str | None:
        judged = self._judge.recall(question.place, question.source)
        if judged.facts is None or judged.bench is None:
            return None
        kind, name = question.more
        return explain(judged.facts, judged.bench.settings, kind, name)
