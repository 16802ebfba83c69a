"""The steps of fitting an instrument, as a pane: the hazard above, then what is done and what is waited for."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QFrame, QScrollArea, QWidget

from trainer.drawing.shapes import DrawList, Path, Shape, Words
from trainer.language import mark
from trainer.rig.live import Live
from trainer.window.controls.buttons import WordButton
from trainer.window.controls.own_keys import PressButton
from trainer.window.controls.pane import Pane
from trainer.window.controls.qt_look import bar_style, coloured
from trainer.window.controls.tips import set_tip
from trainer.window.dials.fitting_progress import FIT, FittingProgress, StepState
from trainer.window.painting import fonts
from trainer.window.painting.look import Look

__all__ = ["FitStepsPane", "StepRow"]

_TEXT = 15.4  # size of type [board px]
_SIGN = 30.0  # room of the warning triangle and of a step's mark [board px]


class StepRow(PressButton):
    """One step: a square to press, a circle for what the rig shows by itself; ticked when it is done."""

    def __init__(self, look: Look, number: int, state: StepState, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.number = number
        self.state = state
        self.lines: list[str] = []
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setObjectName(f"step {number}")
        self.setAccessibleName(f"{number}. {state.step.words}")
        self.setText(state.step.words)
        self._tell()

    def show_state(self, state: StepState) -> None:
        """Show how the step stands."""
        if (state.done, state.turn, state.by_hand) != (self.state.done, self.state.turn, self.state.by_hand):
            self.state = state
            self._tell()
            self.update()

    def _tell(self) -> None:
        state = self.state
        self.setEnabled(state.by_hand)
        self.setCursor(Qt.CursorShape.PointingHandCursor if state.by_hand else Qt.CursorShape.ArrowCursor)
        if state.done:
            said = "done"
        elif state.by_hand and state.step.done is None:
            said = "press when it is done"
        elif state.by_hand:
            said = "ticks itself when the rig shows it, or press"
        elif state.step.key == FIT:
            said = "the button below does it"
        else:
            said = "waits for the steps before it" if not state.turn else "ticks itself when the rig shows it"
        set_tip(self, said[:1].upper() + said[1:])
        self.setAccessibleDescription(said)

    def fit(self, width: int) -> int:
        """Break its words for a width [px] and return the height that they need."""
        size = self.look.pixels(_TEXT)
        self.lines = fonts.wrapped(self.text(), size, width - _SIGN * self.look.scale - 6)
        return round(1.18 * size * len(self.lines) + 0.75 * size)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        inks, state, size = self.look.inks, self.state, self.look.pixels(_TEXT)
        painter.fillRect(self.rect(), inks.colour("paper"))
        ink = inks.colour("ink" if state.turn else "ink2")
        side, top = 0.95 * size, 0.42 * size
        box = QRectF(4, top, side, side)
        painter.setPen(QPen(ink, 2.0 if state.turn else 1.25))
        painter.setBrush(inks.brush("cell") if state.by_hand else Qt.BrushStyle.NoBrush)
        by_itself = state.step.key == FIT or (state.step.done is not None and not state.step.by_hand)
        (painter.drawEllipse if by_itself else painter.drawRect)(box)
        if state.done:
            painter.setPen(QPen(inks.colour("ink"), 2.0))
            corners = [(0.2, 0.55), (0.42, 0.78), (0.95, 0.1)]
            points = [QPointF(box.x() + a * side, box.y() + b * side) for a, b in corners]
            painter.drawPolyline(points)
        painter.setFont(fonts.font(size, 600 if state.turn else 400))
        painter.setPen(ink)
        x = _SIGN * self.look.scale + 2
        for k, line in enumerate(self.lines):
            painter.drawText(QPointF(x, top + 0.84 * size + 1.18 * size * k), line)
        if self.hasFocus():
            painter.setPen(QPen(inks.colour("ink"), 2.0))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(self.rect().adjusted(1, 1, -2, -2))
        painter.end()


class FitStepsPane(Pane):
    """Hazard, steps, and the button that fits. ``said`` tells the key of a step that a hand has done."""

    title = mark("Before it is fitted")
    said = Signal(str)
    fit_asked = Signal()
    back_asked = Signal()

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(look, parent)
        self.progress: FittingProgress | None = None
        self.rows: list[StepRow] = []
        self.hazard: list[str] = []
        self.waits: int | None = None
        self.area = QScrollArea(self)
        self.area.setFrameShape(QFrame.Shape.NoFrame)
        self.area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.body = QWidget()
        self.area.setWidget(self.body)
        self.fit_button = WordButton(look, "Fit", "Fit", "Fit the instrument once all before is done", self)
        self.back = WordButton(look, "Back", "Back", "Choose another place or another instrument", self)
        self.fit_button.clicked.connect(self.fit_asked)
        self.back.clicked.connect(self.back_asked)

    def show_areas(self, progress: FittingProgress, live: Live, title: str, verb: str) -> None:
        """Show the steps of one fitting from the start; ``verb`` is what its button is called."""
        self.progress = progress
        self.name(title)
        self.close_button.setAccessibleName(f"Close {title}")
        self.fit_button.setText(verb)
        self.fit_button.setAccessibleName(verb)
        for row in self.rows:
            row.deleteLater()
        self.rows = []
        for number, state in enumerate(progress.states(live), 1):
            row = StepRow(self.look, number, state, self.body)
            key = state.step.key
            row.clicked.connect(lambda _=False, key=key: self.said.emit(key))
            row.show()
            self.rows.append(row)
        self.show_state(live)
        self.arrange()

    def show_state(self, live: Live) -> None:
        """Tick what is done at an instant, and let the button be pressed where nothing is waited for."""
        if self.progress is None:
            return
        for row, state in zip(self.rows, self.progress.states(live), strict=True):
            row.show_state(state)
        waits, fitted = self.progress.waits_for(live), self.progress.fitted
        ready = waits is None and not fitted
        if (waits, ready) != (self.waits, self.fit_button.isEnabled()):
            self.waits = waits
            self.fit_button.setEnabled(ready)
            self.fit_button.filled = ready
            self.fit_button.setVisible(not fitted)
            self.back.setVisible(not fitted)
            set_tip(self.fit_button, "Everything before it is done" if ready else self._waiting())
            self.fit_button.update()
            self.canvas.forget()
            self.update()

    def _waiting(self) -> str:
        if self.progress is None or self.progress.fitted:
            return ""
        return f"waits for step {self.waits}" if self.waits is not None else ""

    def still_shapes(self) -> DrawList:
        """Return the hazard beside its sign, and what the button waits for."""
        if self.progress is None:
            return ()
        scale, inner = self.look.scale, self.inner()
        size = self.look.pixels(_TEXT) / scale
        left, top = inner.left() / scale, inner.top() / scale
        shapes: list[Shape] = [
            Path(
                ((left + 1, top + 21), (left + 11, top + 3), (left + 21, top + 21)), "ink", 2.0, "cell", closed=True
            ),
            Path(((left + 11, top + 9), (left + 11, top + 15)), "ink", 2.0),
            Path(((left + 11, top + 17), (left + 11, top + 19)), "ink", 2.0),
        ]
        for k, line in enumerate(self.hazard):
            shapes.append(Words(left + _SIGN, top + size * (0.95 + 1.18 * k), line, size, "ink"))
        y = self.area.y() / scale - 4
        shapes.append(Path(((left, y), (left + inner.width() / scale, y)), "hairline", 1.0))
        button = self.fit_button.geometry()
        base = (button.center().y() + 1) / scale + 0.34 * size
        waiting = self._waiting()
        if waiting:
            shapes.append(Words(button.right() / scale + 12, base, waiting, size, "ink2"))
        elif self.progress.fitted:
            shapes.append(Words(left, base, "It is fitted. The last step remains.", size, "ink2"))
        return shapes

    def lay_out(self) -> None:
        """Place the steps and the buttons below them."""
        inner, scale = self.inner(), self.look.scale
        size = self.look.pixels(_TEXT)
        coloured(self.area, self.look)
        coloured(self.body, self.look)
        self.area.verticalScrollBar().setStyleSheet(bar_style(self.look))
        self.body.setAutoFillBackground(True)
        words = self.progress.fitting.hazard if self.progress is not None else ""
        self.hazard = fonts.wrapped(words, size, inner.width() - _SIGN * scale - 4)
        top = inner.top() + round(1.18 * size * len(self.hazard) + 0.9 * size)
        foot = self.fit_button.sizeHint().height() + round(8 * scale)
        self.area.setGeometry(inner.left() - 2, top, inner.width() + 4, max(inner.bottom() - foot - top, 40))
        width, y = self.area.width() - 14, 0
        for row in self.rows:
            high = row.fit(width)
            row.setGeometry(0, y, width, high)
            y += high
        self.body.resize(width, y)
        x, y = inner.left(), inner.bottom() - self.fit_button.sizeHint().height()
        hint = self.fit_button.sizeHint()
        self.fit_button.setGeometry(x, y, hint.width() + round(30 * scale), hint.height())
        hint = self.back.sizeHint()
        self.back.setGeometry(inner.right() - hint.width(), y, hint.width(), hint.height())
