"""Tracing the oil: a click on a line lights the path that shares its oil, step by step; or the path is asked for."""

from __future__ import annotations

from collections.abc import Container, Sequence
from typing import Protocol

from PySide6.QtCore import Qt

from trainer.drawing.meters import figures
from trainer.drawing.picking import Pick
from trainer.drawing.scene_state import StepShown
from trainer.engine.readings import Readings
from trainer.language import tr
from trainer.parts.roles import Pump
from trainer.rig.names import (
    capital,
    part_words,
    short_words,
    the_line,
)
from trainer.tracing import OilPath, PathStep, lit_by, sharing, trace
from trainer.tracing.path import Way
from trainer.tracing.question import PathQuestion
from trainer.tracing.words import no_oil, place_words
from trainer.window.board.drawing_view import DrawingView
from trainer.window.painting.look import Look
from trainer.window.session.presenter import Presenter
from trainer.window.tracing.pane import StepRow, TracePane

__all__ = ["TracingPresenter"]

_OWNER = "trace"
_EVERY = 10**6  # more steps than any path has


class Page(Protocol):
    """The views that are asked of a page."""

    beside: Look
    drawing: DrawingView

    def focus_levers(self) -> None:
        """Give the keyboard to the first lever."""


def _passed(part: str, way: Way) -> str:
    return tr("{part}, {start} to {end}").format(part=part, start=way.start, end=way.end)


class TracingPresenter(Presenter[Page]):
    """Lights the path of the oil on the drawing and lists it.

    ``line`` is the line whose oil is followed, "" for all the oil of the pumps; ``count`` how many steps are lit,
    None while nothing is traced; ``question`` is the path being asked for.
    """

    actions = {"trace": "next_step", "ask path": "change_asking"}

    def take(self, page: Page) -> None:
        """Listen to the drawing of the new page; nothing is traced."""
        super().take(page)
        self.line = ""
        self.count: int | None = None
        self.question: PathQuestion | None = None
        self.steps: tuple[PathStep, ...] = ()
        self._sweeping = False
        self._instant: Readings | None = None
        self._said = ""
        self.pane = pane = TracePane(page.beside, self.stage.ground, self.stage.actions)
        pane.all_asked.connect(self._whole)
        pane.closed.connect(self.stop)
        drawing = self.page.drawing
        drawing.picked.connect(self._picked)
        drawing.missed.connect(self._missed)
        drawing.escaped.connect(self.stop)
        drawing.said.connect(self.stage.tell)

    # -- what is traced ------------------------------------------------------------------------------------------

    def _picked(self, thing: Pick) -> None:
        if thing.kind != "line":
            return
        if self.count is not None and self.line == thing.name:
            self.stop()
        else:
            self.follow(thing.name)

    def _missed(self) -> None:
        if self.question is None:
            self.stop()

    def follow(self, line: str) -> None:
        """Light the path that shares its oil with a line, step after step; "" for all the oil of the pumps."""
        if self.refused("trace"):
            return
        self._end_asking()
        self.line = line
        self._sweeping = not self.stage.look.still_marks
        self.count = 1 if self._sweeping else _EVERY
        self._said = ""
        self._look()

    def next_step(self) -> None:
        """Light one step more and list the path; after the last begin anew. While it is asked for, show a step."""
        if self.question is not None:
            self._show_one()
            return
        if self.count is None:
            self.line = ""
        restart = self.count is None or self._sweeping or self.count >= len(self.steps)
        self.count = 1 if restart or self.count is None else self.count + 1
        self._sweeping = False
        self._said = ""
        if self.pane.isHidden():
            self.stage.open_pane(self.pane)
        self._look()

    def _whole(self) -> None:
        if self.question is not None:
            self._begin_asking()
        else:
            self.follow(self.line)

    def stop(self) -> None:
        """Light nothing any more; no ring stays around what was asked for or chosen on the way."""
        asked = self.question is not None
        traced = asked or self.count is not None
        self._end_asking()
        self.line, self.count, self.steps = "", None, ()
        self._sweeping = False
        self.page.drawing.light((), _OWNER)
        self.page.drawing.number(())
        self.stage.close_pane(self.pane)
        if asked and self.page.drawing.hasFocus():  # it had been brought there
            self.page.focus_levers()
        if traced:
            self.page.drawing.picks.end()

    def show_figures(self, seconds: float) -> None:
        """Keep the path up to date; light one step more of a path that is being lit."""
        if self.question is not None:
            if self.session.time != self.question.now.time:
                self.stage.tell(tr("Time went on: the questions about the path are over."))
                self.stop()
            elif self.pane.isHidden():  # something else is in its place
                self.stop()
            return
        if self.count is None:
            return
        if self._sweeping:
            self._sweeping = self.count + 1 < len(self.steps)
            self.count = self.count + 1 if self._sweeping else _EVERY
        elif self._instant is self.session.readings:
            return
        self._look()

    def new_look(self) -> None:
        """Show the list in the present units."""
        if self.question is not None:
            self._show_question(self.pane.words)
        elif self.count is not None:
            self._look()

    def _look(self) -> None:
        """Work the path out at the present instant and show what is lit of it."""
        now = self._instant = self.session.readings
        found = trace(now)
        self.steps = sharing(found, self.line) if self.line else found.steps
        self._say(now, found)
        lit = self.steps[: self.count]
        alone = {("line", self.line)} if self.line and not self.steps else set()
        self.page.drawing.light(lit_by(lit) | alone, _OWNER)
        self.page.drawing.number(_numbered(lit, self.page.drawing.scene.layout.drains))
        if self.pane.isHidden():
            return
        rig = self.session.rig
        told = (
            tr("Oil that shares its path with {line}").format(line=the_line(rig, self.line))
            if self.line
            else tr("All oil of the pump")
        )
        self.pane.show_path(
            tr("{told}, now:").format(told=told), self._rows(self.steps, len(lit)), self._said, self._covered(), False
        )

    def _say(self, now: Readings, found: OilPath) -> None:
        """Tell why there is no path, once as long as the reason is the same."""
        words = ""
        if not self.steps:
            place = ("line", self.line) if self.line else next(iter(_outlets(now)), ("line", ""))
            words = no_oil(now, found, place, self.stage.look.system)
        if words and words != self._said:
            self.stage.tell(words)
        self._said = words

    def _covered(self) -> bool:
        rig, covered = self.session.rig, self.page.drawing.state.covered
        return any(rig.instruments[name].kind == "flow meter" for name in covered)

    def _rows(self, steps: Sequence[PathStep], lit: int) -> list[StepRow]:
        rig, system = self.session.rig, self.stage.look.system
        fine = self.page.drawing.scene.pressure_step < 20e5
        return [
            StepRow(
                number,
                place_words(rig, step.place),
                self._way(step),
                figures(step.flow, "flow", system, fine),
                number <= lit,
            )
            for number, step in enumerate(steps, 1)
        ]

    def _way(self, step: PathStep) -> str:
        rig, way = self.session.rig, step.ways[0]
        if not way.end:
            return tr("from {place_words}").format(place_words=place_words(rig, way.begin))
        if step.pushed:
            return tr("other oil, pushed out by the {part}").format(part=part_words(rig, way.part))
        if len({way.part for way in step.ways}) > 1:
            return "; ".join(dict.fromkeys(_passed(w.part, w) for w in step.ways))
        return _passed(part_words(rig, way.part), way)

    # -- asked for -----------------------------------------------------------------------------------------------

    def change_asking(self) -> None:
        """Ask for the path with names hidden and the clock frozen, or end the questions."""
        if self.question is not None:
            self.stop()
        else:
            self._begin_asking()

    def _begin_asking(self) -> None:
        self.controller.run(False)
        question = PathQuestion(self.session.readings)
        if not question.path.steps:
            now = question.now
            place = next(iter(_outlets(now)), ("line", ""))
            self.stage.tell(no_oil(now, question.path, place, self.stage.look.system))
            return
        self.question = question
        self.line, self.count, self._sweeping = "", None, False
        self.page.drawing.set_nameless(True)
        self.page.drawing.asker = self._answered
        self.stage.open_pane(self.pane)
        self._show_question(tr("Click on the line or part, or go there with the arrow keys and press Enter."))
        self.page.drawing.picks.last = Pick(*question.told[0].place)
        self.page.drawing.setFocus(Qt.FocusReason.TabFocusReason)

    def _end_asking(self) -> None:
        if self.question is not None:
            self.question = None
            self.page.drawing.asker = None
            self.page.drawing.set_nameless(False)

    def _answered(self, thing: Pick) -> None:
        question = self.question
        if question is None:
            return
        if thing.kind == "instrument":
            self._show_question(tr("A gauge or meter takes no oil. Choose a line or a part."))
            return
        self._show_question(question.choose(thing.kind, thing.name, self.stage.look.system).words)

    def _show_one(self) -> None:
        assert self.question is not None
        step = self.question.show()
        rig = self.session.rig
        words = "" if step is None else f"{capital(place_words(rig, step.place))}: {self._way(step)}."
        self._show_question(words or tr("The whole path is told."))

    def _show_question(self, words: str) -> None:
        """Light and list what has been told, with what there is to say of the last choice."""
        question, drawing, rig = self.question, self.page.drawing, self.session.rig
        assert question is not None
        told = question.told
        drawing.light(lit_by(told), _OWNER)
        drawing.number(
            StepShown(shown.number, shown.place, shown.entry, short_words(place_words(rig, shown.place)))
            for shown in _numbered(told, drawing.scene.layout.drains)
        )
        if question.done:
            words = f"{words} {question.verdict()}".strip()
            heading = tr("The whole path, in its order:")
        else:
            heading = tr("Where does the oil get to next?")
        self.pane.show_path(heading, self._rows(told, len(told)), words, self._covered(), True)


def _numbered(steps: Sequence[PathStep], drains: Container[tuple[str, str]]) -> list[StepShown]:
    """Return steps as they are numbered on the drawing, from 1, each where the oil enters it first.

    What comes by ``drains`` has no pipe on the drawing.
    """
    found = []
    for number, step in enumerate(steps, 1):
        ports = [(way.part, way.end) for way in step.ways if way.end]
        drawn = [port for port in ports if port not in drains]
        found.append(StepShown(number, step.place, next(iter(drawn or ports), None)))
    return found


def _outlets(now: Readings) -> list[tuple[str, str]]:
    """Return the lines at the outlets of the pumps."""
    network = now.network
    pumps = network.rig.having(Pump).items()
    return [("line", network.line_of[id_, outlet]) for id_, role in pumps for outlet in role.outlets]
