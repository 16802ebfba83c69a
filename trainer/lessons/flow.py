"""The way of a task: read, predict, run, seen, why. Nothing that tells the answer comes before an answer.

A ``Task`` is a plain state machine: a window asks it what may be shown and tells it what was done. Seconds are given
to it, it has no clock.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from enum import IntEnum

from trainer.language import mark, tr
from trainer.lessons.cover import Cover
from trainer.lessons.lesson import COVERS, MOST_HINTS, Choice, Exercise, Number, Places
from trainer.lessons.marking import Answer, UnusableAnswer, Verdict, judge, slip_text
from trainer.lessons.posing import OWN, RIGHT, Posed
from trainer.lessons.seen import SEEN
from trainer.rig.rig import Rig
from trainer.units import System

__all__ = ["STEPS", "Cover", "NoReason", "NotYet", "Seen", "Step", "Task", "cover_of"]


class Step(IntEnum):
    """Where a task stands."""

    READ = 0
    PREDICT = 1
    RUN = 2
    SEEN = 3
    WHY = 4


STEPS = {
    Step.READ: mark("Read"),
    Step.PREDICT: mark("Predict"),
    Step.RUN: mark("Run"),
    Step.SEEN: mark("Seen"),
    Step.WHY: mark("Why"),
}


class NoReason(UnusableAnswer):
    """The answer can be taken; its reason is missing."""


class NotYet(Exception):
    """What was asked for would tell the answer, or has its step still to come."""


def cover_of(exercise: Exercise, rig: Rig) -> Cover:
    """Return what a task hides of a rig before its answer.

    Of a number in another unit that is also the unit, of a place that the run decides also the marks of flow: they
    run to it.
    """
    question = exercise.question
    other = isinstance(question, Number) and question.other
    return replace(_cover_of(exercise, rig), units=other, marks=isinstance(question, Places) and not question.role)


def _cover_of(exercise: Exercise, rig: Rig) -> Cover:
    kinds = {"gauge": "pressures", "flow meter": "flows"}

    def those(*which: str) -> frozenset[str]:
        return frozenset(name for name, item in rig.instruments.items() if kinds.get(item.kind) in which)

    match exercise.cover:
        case "all":
            return Cover.all_of(rig)
        case "pressures":
            return Cover(those("pressures"), pressures=True, rest=True)
        case "flows":
            return Cover(those("flows"), flows=True, rest=True)
        case "names":
            return Cover(names=True)
    assert exercise.cover in COVERS
    return Cover()


@dataclass(frozen=True, slots=True)
class Seen:
    """What was said to have been seen, and what the run did; ``right`` is None where nothing was asked."""

    said: str = ""
    did: str = ""

    @property
    def right(self) -> bool | None:
        """Whether it was seen as it was."""
        return None if not self.did else self.said == self.did


@dataclass(slots=True)
class Task:
    """A posed task on its way. Raises NotYet for what has its time still to come, and stays as it was then.

    ``seconds`` is how long the answer took, as the caller measured it. ``uncovered``: the instructor lifted the
    covers without an answer. ``reason_words`` are those of a reason of one's own.
    """

    posed: Posed
    system: System = System.METRIC
    step: Step = Step.READ
    hints: int = 0
    seconds: float = 0.0
    uncovered: bool = False
    answer: Answer | None = None
    reason: str = ""
    reason_words: str = ""
    seen: Seen = field(default_factory=Seen)
    _verdict: Verdict | None = None

    # -- what is done ----------------------------------------------------------------------------------------------

    def begin(self) -> None:
        """Go on from reading to predicting."""
        if self.step is Step.READ:
            self.step = Step.PREDICT

    def commit(self, answer: Answer, reason: str = "", seconds: float = 0.0, words: str = "") -> None:
        """Take an answer and its reason, ``OWN`` with ``words``. Raises UnusableAnswer; nothing has changed then."""
        if self.committed:
            raise NotYet(tr("This task has its answer. Take other numbers to answer again."))
        self._verdict = self.judged(answer, reason, words)
        self.answer, self.reason, self.seconds = answer, reason, seconds
        self.reason_words = " ".join(words.split()) if reason == OWN else ""
        self.step = Step.RUN

    def judged(self, answer: Answer, reason: str = "", words: str = "") -> Verdict:
        """Return what would come of an answer and its reason; the task stays as it was. Raises UnusableAnswer."""
        verdict = judge(self.posed, answer, reason, self.system)
        if self.posed.reasons and not reason:
            raise NoReason(tr("Choose a reason, too."))
        if reason == OWN and not words.strip():
            raise NoReason(tr("Write your reason, or choose one."))
        return verdict

    def explain(self) -> None:
        """Go on to the explanation of an answer without having seen its run, as after an exam."""
        if self.committed:
            self.step = Step.WHY

    def uncover(self) -> None:
        """Lift the covers without an answer, as an instructor may: the task has none then, and the record says so."""
        if not self.committed:
            self.uncovered = True
            self.step = Step.RUN

    def ran(self) -> None:
        """Say that the run has come to its end."""
        self._require(Step.RUN)
        self.step = Step.SEEN if self.posed.seen() else Step.WHY

    def saw(self, what: str) -> bool:
        """Take what was seen, one of ``SEEN``, and return whether it was so. Raises KeyError."""
        self._require(Step.SEEN)
        if what not in SEEN:
            raise KeyError(what)
        self.seen = Seen(what, self.posed.seen())
        self.step = Step.WHY
        return what == self.seen.did

    def hint(self) -> str:
        """Return the next hint, or the last one again, "" where there are none. It is recorded."""
        if self.committed:
            raise NotYet(tr("The answer is given: the explanation follows."))
        hints = self.posed.exercise.hints[:MOST_HINTS]
        if not hints:
            return ""
        self.hints = min(self.hints + 1, len(hints))
        return self.posed.text(hints[self.hints - 1], self.system)

    def _require(self, step: Step) -> None:
        if self.step is not step:
            raise NotYet(tr("First comes: {step}.").format(step=tr(STEPS[Step(min(self.step, step))])))

    # -- what may be shown -----------------------------------------------------------------------------------------

    @property
    def committed(self) -> bool:
        """Whether there is an answer, or the instructor has gone on without one."""
        return self.answer is not None or self.uncovered

    @property
    def cover(self) -> Cover:
        """What is hidden now."""
        return Cover() if self.committed else cover_of(self.posed.exercise, self.posed.rig)

    @property
    def may_run(self) -> bool:
        """Whether time may pass, levers may move, and what has been may be looked at."""
        return self.committed or (self.posed.exercise.own_hands and not self.cover.anything)

    @property
    def frozen_words(self) -> str:
        """Why nothing moves now, "" where it may."""
        return "" if self.may_run else tr("Frozen until you commit")

    @property
    def verdict(self) -> Verdict:
        """What came of the answer; only after the run was made and seen."""
        if self.step is not Step.WHY:
            raise NotYet(tr("The explanation comes after the run."))
        if self._verdict is None:
            why = self.posed.text(self.posed.exercise.why, self.system, self.posed.answer)
            return Verdict(None, why)
        return self._verdict

    @property
    def seen_choices(self) -> Mapping[str, str]:
        """What may have been seen, in words."""
        return {id_: tr(SEEN[id_]) for id_ in self.posed.seen_choices()}

    def explained(self) -> list[tuple[str, str]]:
        """Return option by option what it is, the right one first: what is read, then the others' explanations."""
        if self.step is not Step.WHY:
            raise NotYet(tr("The explanation comes after the run."))
        words = self.posed.option_words(self.system)
        ordered = sorted(words, key=lambda id_: id_ not in self.posed.right)
        if not isinstance(self.posed.exercise.question, Choice):
            return []
        return [(words[id_], judge(self.posed, id_, "", self.system).text) for id_ in ordered]

    @property
    def wrong_reason(self) -> tuple[str, str]:
        """The reason that was chosen, where it was a wrong one, and what shows in it, each in words or "".

        Only once the explanation is due.
        """
        verdict = self.verdict
        chosen = next((one for one in self.posed.reasons if one.id == self.reason), None)
        if verdict.reasoned is not False or chosen is None or chosen.slip is None:
            return "", ""
        told = slip_text(self.posed, chosen.slip, self.system)
        return chosen.words, "" if told in (chosen.slip.idea, "") or told in verdict.text else told

    @property
    def right_reason(self) -> str:
        """The right reason in words; only once the explanation is due."""
        if self.step is not Step.WHY:
            raise NotYet(tr("The explanation comes after the run."))
        return next((one.words for one in self.posed.reasons if one.id == RIGHT), "")
