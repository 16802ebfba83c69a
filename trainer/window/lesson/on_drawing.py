"""Answers that are given on the drawing: a place, a path, and the numbers of symbols that are to be named."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from typing import cast

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QWidget

from trainer.drawing.picking import Pick, targets
from trainer.drawing.scene_state import Place, StepShown
from trainer.language import tr
from trainer.lessons.lesson import Places
from trainer.lessons.marking import UnusableAnswer
from trainer.lessons.posing import Posed
from trainer.rig.names import capital
from trainer.tracing.words import place_words
from trainer.window.board.drawing_view import DrawingView
from trainer.window.controls.buttons import WordButton
from trainer.window.controls.labels import Label
from trainer.window.lesson.forms import TEXT, Form, NamesForm, State
from trainer.window.painting.look import Look

__all__ = ["OWNER", "NumberedNames", "OnDrawing", "PlaceForm", "TraceForm"]

OWNER = "lesson"


class _Walk(QObject):
    """While it is on, Tab goes from place to place on a drawing that has the keyboard; then ``beyond`` is called.

    ``digit`` takes a figure that is pressed there.
    """

    def __init__(
        self, drawing: DrawingView, places: Sequence[Place], digit: Callable[[int], bool],
        beyond: Callable[[], object],
    ) -> None:  # fmt: skip
        super().__init__(drawing)
        self.drawing, self.places, self.digit, self.beyond = drawing, places, digit, beyond
        drawing.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Take Tab and Shift+Tab, until the last place, or the first; and figures."""
        if event.type() != QEvent.Type.KeyPress or not isinstance(event, QKeyEvent):
            return False
        plain = not event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier
        if plain and Qt.Key.Key_1 <= event.key() <= Qt.Key.Key_9:
            return self.digit(event.key() - Qt.Key.Key_0)
        if event.key() not in (Qt.Key.Key_Tab, Qt.Key.Key_Backtab) or not self.places:
            return False
        state, step = self.drawing.state, -1 if event.key() == Qt.Key.Key_Backtab else 1
        at = self.places.index(state.chosen) + step if state.chosen in self.places else (0 if step > 0 else -1)
        if at >= len(self.places):
            self.beyond()
            return True
        if at < 0 and state.chosen in self.places:
            return False
        self.drawing.picks.come_to(self.places[at])
        return True

    def stop(self) -> None:
        """Let Tab do what it does elsewhere."""
        self.drawing.removeEventFilter(self)
        self.deleteLater()


class OnDrawing(Form):
    """Base of what is clicked on the drawing, or gone to with Tab or the arrow keys and taken with Enter.

    ``walked`` tells that Tab has gone beyond the last place.
    """

    walked = Signal()

    def __init__(self, look: Look, posed: Posed, drawing: DrawingView, parent: QWidget) -> None:
        super().__init__(look, posed, parent)
        self.drawing = drawing
        self.told = Label(look, "", self, size=TEXT, weight=600)
        self.column.addWidget(self.told)
        self._walk: _Walk | None = None

    def places(self) -> Sequence[Place]:
        """Return where Tab goes."""
        return ()

    def in_sight(self, wanted: Collection[Place] = ()) -> Sequence[Place]:
        """Return parts and lines as they stand from left to right; those of the ``wanted``, where any are."""
        known = targets(self.drawing.scene)
        found = [place for place in known if place[0] in ("part", "line") and (not wanted or place in wanted)]
        return sorted(found, key=lambda place: known[place])

    def begin(self) -> None:
        """Ask on the drawing."""
        self.drawing.asker = self._asked
        self._walk = _Walk(self.drawing, self.places(), self.digit, self.walked.emit)
        self._show()

    def end(self) -> None:
        """Take what was asked off the drawing."""
        if self._walk is not None:
            self._walk.stop()
            self._walk = None
            self.drawing.asker = None
        self.drawing.light((), OWNER)
        self.drawing.number(())
        self.drawing.picks.end()

    def focus(self) -> None:
        """Give the keyboard to the drawing."""
        self.drawing.setFocus(Qt.FocusReason.OtherFocusReason)
        if self.places():
            self.drawing.picks.end()
            self.drawing.setAccessibleDescription("")

    def _asked(self, thing: Pick) -> None:
        """Take what was clicked; an instrument has no oil of its own."""

    def _show(self) -> None:
        """Show what is answered so far."""

    def words(self, place: Place) -> str:
        """Return what a place is called, where names may be told."""
        if self.drawing.state.nameless:
            return tr("the part that is lit") if place[0] == "part" else tr("the line that is lit")
        return place_words(self.posed.rig, place)


class PlaceForm(OnDrawing):
    """One place of the drawing."""

    def __init__(self, look: Look, posed: Posed, drawing: DrawingView, parent: QWidget) -> None:
        self.chosen = ""
        super().__init__(look, posed, drawing, parent)

    def places(self) -> Sequence[Place]:
        """Return the places that are spoken of, or all of them, from left to right."""
        question = self.posed.exercise.question
        assert isinstance(question, Places)
        rig = self.posed.rig
        return self.in_sight({("part" if name in rig.parts else "line", name) for name in question.places})

    def _asked(self, thing: Pick) -> None:
        if thing.kind == "instrument":
            self.said.emit(tr("A gauge or meter takes no oil. Choose a line or a part."))
            return
        self.chosen = thing.name
        self._show()
        self.changed.emit()

    def _place(self) -> Place:
        return ("part" if self.chosen in self.posed.rig.parts else "line", self.chosen)

    def _show(self) -> None:
        if not self.chosen:
            self.told.setText(tr("Click it on the drawing, or go there with Tab and press Enter."))
            return
        self.drawing.light([self._place()], OWNER)
        self.told.setText(tr("Chosen: {place}").format(place=self.words(self._place())))

    def answer(self) -> str:
        """Return the part or line."""
        if not self.chosen:
            raise UnusableAnswer(tr("Click a part or a line of the drawing."))
        return self.chosen

    @property
    def state(self) -> str:
        """The part or line."""
        return self.chosen

    def restore(self, state: State) -> None:
        """Choose as it was."""
        rig = self.posed.rig
        if isinstance(state, str) and (state in rig.parts or state in rig.lines):
            self.chosen = state
            self._show()


class TraceForm(OnDrawing):
    """A path, place by place; the last one can be taken back."""

    def __init__(self, look: Look, posed: Posed, drawing: DrawingView, parent: QWidget) -> None:
        self.path: list[Place] = []
        super().__init__(look, posed, drawing, parent)
        self.undo = WordButton(
            look, tr("Take the last back"), tr("Take the last back"), tr("The last place that was clicked"), self
        )
        self.undo.clicked.connect(self.take_back)
        self.column.addWidget(self.undo, 0, Qt.AlignmentFlag.AlignLeft)

    def places(self) -> Sequence[Place]:
        """Return all parts and lines, from left to right."""
        return self.in_sight()

    def _asked(self, thing: Pick) -> None:
        if thing.kind == "instrument":
            self.said.emit(tr("A gauge or meter takes no oil. Choose a line or a part."))
            return
        if self.path and self.path[-1] == thing.place:
            return
        self.path.append(thing.place)
        self._show()
        self.changed.emit()

    def take_back(self) -> None:
        """Forget the place that was clicked last."""
        if self.path:
            self.path.pop()
            self._show()
            self.changed.emit()

    def _show(self) -> None:
        self.drawing.light(self.path, OWNER)
        self.drawing.number(StepShown(k, place) for k, place in enumerate(self.path, 1))
        if not self.path:
            self.told.setText(tr("Click the path, place by place; Tab and Enter do the same."))
            return
        told = ", ".join(self.words(place) for place in self.path)
        self.told.setText(f"{len(self.path)}: {capital(told)}")

    def answer(self) -> Sequence[tuple[str, str]]:
        """Return the places in their order."""
        if not self.path:
            raise UnusableAnswer(tr("Click the path, place by place."))
        return tuple(self.path)

    @property
    def state(self) -> list[str | list[str]]:
        """The places so far."""
        return [[*place] for place in self.path]

    def restore(self, state: State) -> None:
        """Follow the path as it was."""
        rig = self.posed.rig
        pairs = [cast("Place", tuple(one)) for one in state if isinstance(one, list) and len(one) == 2]
        self.path = [place for place in pairs if place[1] in rig.parts or place[1] in rig.lines]
        self._show()


class NumberedNames(NamesForm):
    """Names of symbols that are numbered on the drawing."""

    def __init__(self, look: Look, posed: Posed, drawing: DrawingView, parent: QWidget) -> None:
        super().__init__(look, posed, parent)
        self.drawing = drawing

    def _steps(self) -> Iterable[StepShown]:
        return (StepShown(k, place) for k, place in enumerate(self.posed.asked_places, 1))

    def begin(self) -> None:
        """Number the symbols."""
        self.drawing.number(self._steps())

    def end(self) -> None:
        """Take the numbers off."""
        self.drawing.number(())
