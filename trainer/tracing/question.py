"""Asking for the path of the oil, one place after the other: what is right, what is not and why."""

from __future__ import annotations

from dataclasses import dataclass

from trainer.engine.readings import Readings
from trainer.language import tr
from trainer.rig.names import capital, part_words, the_line
from trainer.tracing.path import OilPath, PathPlace, PathStep, Way, trace
from trainer.tracing.words import no_oil, place_words
from trainer.units import System

__all__ = ["Answer", "PathQuestion"]


@dataclass(frozen=True, slots=True)
class Answer:
    """What came of a choice: the step that was found or nothing, and a sentence about it."""

    step: PathStep | None
    words: str


class PathQuestion:
    """The path at one instant, asked step by step; the pump's own line is told at the beginning.

    ``told`` are the steps already on the table, in the order in which they were found; ``first`` counts those that
    were right at first try.
    """

    def __init__(self, now: Readings) -> None:
        self.now = now
        self.path: OilPath = trace(now)
        self.told: list[PathStep] = [step for step in self.path.steps if step.level == 0]
        self.first = 0
        self._failed = False

    @property
    def whole(self) -> int:
        """How many steps there are to ask for."""
        return sum(step.level > 0 for step in self.path.steps)

    @property
    def done(self) -> bool:
        """Whether the whole path is told."""
        return len(self.told) == len(self.path.steps)

    def due(self) -> list[PathStep]:
        """Return the steps that may come next: those of the lowest level that is not told, in their order."""
        left = [step for step in self.path.steps if step not in self.told]
        return [step for step in left if step.level == left[0].level]

    def choose(self, kind: str, name: str, system: System) -> Answer:
        """Take a line or a part that was chosen as the next place. Nothing is counted once the path is told."""
        if self.done:
            return Answer(None, tr("The whole path is told."))
        place: PathPlace = (kind, name)
        for step in self.due():
            if step.place == place or (kind == "part" and any(name == way.part for way in self._new(step))):
                words = tr("Right: {reached}.").format(reached=self._reached(step))
                self._take(step)
                return Answer(step, words)
        self._failed = True
        return Answer(None, self._why_not(place, system))

    def _why_not(self, place: PathPlace, system: System) -> str:
        kind, name = place
        rig = self.now.network.rig
        what = capital(the_line(rig, name)) if kind == "line" else tr("The {part}").format(part=part_words(rig, name))
        passed = {step.place for step in self.told} | {("part", way.part) for step in self.told for way in step.ways}
        own = self.path.step(place)
        if place in passed:
            return tr("{what} is on the path already. Where does the oil get to next?").format(what=what)
        through = (step for step in self.path.steps if kind == "part" and any(name == w.part for w in step.ways))
        later = own or next(through, None)
        if later is None:
            return no_oil(self.now, self.path, place, system)
        if kind == "part":
            return tr("{what}: later, not next.").format(what=what)
        return tr("{what}: later, not next; the oil comes there through the {part}.").format(
            what=what, part=part_words(rig, later.ways[0].part)
        )

    def show(self) -> PathStep | None:
        """Show the next step; it counts as not known."""
        if self.done:
            return None
        self._failed = True
        step = self.due()[0]
        self._take(step)
        return step

    def _new(self, step: PathStep) -> list[Way]:
        """Return the ways by which a step is reached from what is told."""
        told = {other.place for other in self.told}
        return [way for way in step.ways if way.begin in told]

    def _take(self, step: PathStep) -> None:
        self.first += not self._failed
        self._failed = False
        self.told.append(step)

    def _reached(self, step: PathStep) -> str:
        """Return how a step is reached: "boom, cap end, through the boom section"."""
        rig, way = self.now.network.rig, step.ways[0]
        if step.place[0] == "part":
            return tr("the oil ends in the {place_words}").format(place_words=place_words(rig, step.place))
        where = place_words(rig, step.place)
        if way.pushed:
            return tr("{where}: other oil, pushed out by the {part}").format(
                where=where, part=part_words(rig, way.part)
            )
        return tr("{where}, through the {part}").format(where=where, part=part_words(rig, way.part))

    def verdict(self) -> str:
        """Return how it went, once the path is told."""
        return tr("Right at first try: {first} of {whole}.").format(first=self.first, whole=self.whole)
