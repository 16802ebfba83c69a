"""The steps of fitting an instrument, as a pane: the hazard above, then what is done and what is waited for."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QFrame, QHBoxLayout, QScrollArea, QSizePolicy, QVBoxLayout, QWidget

from trainer.drawing.shapes import DrawList, Path
from trainer.language import mark, tr
from trainer.rig.live import Live
from trainer.window.controls.buttons import WordButton
from trainer.window.controls.labels import Label
from trainer.window.controls.own_keys import PressButton
from trainer.window.controls.pane import Pane
from trainer.window.controls.qt_look import bar_style, coloured
from trainer.window.controls.tips import set_tip
from trainer.window.dials.fitting_progress import FIT, FittingProgress, StepState
from trainer.window.painting.canvas import Canvas
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
        self.line = QHBoxLayout(self)
        self.words = Label(look, state.step.words, self, size=_TEXT)
        self.line.addWidget(self.words)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setObjectName(f"step {number}")
        self.setAccessibleName(f"{number}. {state.step.words}")
        self.setText(state.step.words)
        self.take_look()
        self._tell()

    def show_state(self, state: StepState) -> None:
        """Show how the step stands."""
        if (state.done, state.turn, state.by_hand) != (self.state.done, self.state.turn, self.state.by_hand):
            self.state = state
            self._tell()
            self.update()

    def _tell(self) -> None:
        state = self.state
        self.words.set_ink("ink" if state.turn else "ink2")
        self.words.set_weight(600 if state.turn else 400)
        self.setEnabled(state.by_hand)
        self.setCursor(Qt.CursorShape.PointingHandCursor if state.by_hand else Qt.CursorShape.ArrowCursor)
        if state.done:
            said = tr("done")
        elif state.by_hand and state.step.done is None:
            said = tr("press when it is done")
        elif state.by_hand:
            said = tr("ticks itself when the rig shows it, or press")
        elif state.step.key == FIT:
            said = tr("the button below does it")
        else:
            said = tr("waits for the steps before it") if not state.turn else tr("ticks itself when the rig shows it")
        set_tip(self, said[:1].upper() + said[1:])
        self.setAccessibleDescription(said)

    def take_look(self) -> None:
        """Take the sizes of the present look."""
        size = self.look.pixels(_TEXT)
        left = max(round(_SIGN * self.look.scale) + 2, round(4 + 1.5 * size))
        self.line.setContentsMargins(left, round(0.3 * size), 4, round(0.2 * size))

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        inks, state, size = self.look.inks, self.state, self.look.pixels(_TEXT)
        side, top = 0.95 * size, 0.42 * size
        box = QRectF(4, top, side, side)
        painter.setPen(QPen(inks.colour("ink" if state.turn else "ink2"), 2.0 if state.turn else 1.25))
        painter.setBrush(inks.brush("cell") if state.by_hand else Qt.BrushStyle.NoBrush)
        by_itself = state.step.key == FIT or (state.step.done is not None and not state.step.by_hand)
        (painter.drawEllipse if by_itself else painter.drawRect)(box)
        if state.done:
            painter.setPen(QPen(inks.colour("ink"), 2.0))
            corners = [(0.2, 0.55), (0.42, 0.78), (0.95, 0.1)]
            points = [QPointF(box.x() + a * side, box.y() + b * side) for a, b in corners]
            painter.drawPolyline(points)
        if self.hasFocus():
            painter.setPen(QPen(inks.colour("ink"), 2.0))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(self.rect().adjusted(1, 1, -2, -2))
        painter.end()


class HazardSign(QWidget):
    """The triangle beside what is dangerous."""

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.canvas = Canvas(self, look, self._still)
        self.canvas.ring = False
        self.take_look()

    def take_look(self) -> None:
        """Take the size of the present look."""
        self.setFixedSize(round(_SIGN * self.look.scale), round(24 * self.look.scale))
        self.canvas.forget()

    def _still(self) -> DrawList:
        return [
            Path(((1.0, 21.0), (11.0, 3.0), (21.0, 21.0)), "ink", 2.0, "cell", closed=True),
            Path(((11.0, 9.0), (11.0, 15.0)), "ink", 2.0),
            Path(((11.0, 17.0), (11.0, 19.0)), "ink", 2.0),
        ]

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()


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
        self.waits: int | None = None
        self.hazard = Label(look, "", self, size=_TEXT)
        self.told = Label(look, "", self, size=_TEXT, ink="ink2")
        self.area = QScrollArea(self)
        self.area.setFrameShape(QFrame.Shape.NoFrame)
        self.area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.area.setWidgetResizable(True)
        self.fit_button = WordButton(
            look, tr("Fit"), mark("Fit"), tr("Fit the instrument once all before is done"), self
        )
        self.back = WordButton(look, tr("Back"), mark("Back"), tr("Choose another place or another instrument"), self)
        self.fit_button.clicked.connect(self.fit_asked)
        self.back.clicked.connect(self.back_asked)
        self._lay_out()

    def _lay_out(self) -> None:
        """Put the hazard above the steps, the buttons below them."""
        self.column, head, self.foot = QVBoxLayout(self), QHBoxLayout(), QHBoxLayout()
        head.setSpacing(0)
        head.addWidget(HazardSign(self.look, self), 0, Qt.AlignmentFlag.AlignTop)
        head.addWidget(self.hazard, 1)
        self.foot.addWidget(self.fit_button)
        self.foot.addWidget(self.told, 1)
        self.foot.addWidget(self.back)
        self.column.addLayout(head)
        self.column.addWidget(self.area, 1)
        self.column.addLayout(self.foot)

    def show_areas(self, progress: FittingProgress, live: Live, title: str, verb: str) -> None:
        """Show the steps of one fitting from the start; ``verb`` is what its button is called."""
        self.progress = progress
        self.name(title)
        self.close_button.setAccessibleName(tr("Close {title}").format(title=title))
        self.fit_button.setText(verb)
        self.fit_button.setAccessibleName(verb)
        self.hazard.setText(progress.fitting.hazard)
        body = QWidget()
        column = QVBoxLayout(body)
        column.setContentsMargins(0, 0, 2, 0)
        column.setSpacing(0)
        self.rows = []
        for number, state in enumerate(progress.states(live), 1):
            row = StepRow(self.look, number, state, body)
            key = state.step.key
            row.clicked.connect(lambda _=False, key=key: self.said.emit(key))
            column.addWidget(row)
            self.rows.append(row)
        column.addStretch(1)
        body.setAutoFillBackground(True)
        self.area.setWidget(body)
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
            set_tip(self.fit_button, tr("Everything before it is done") if ready else self._waiting())
            self.fit_button.update()
        self.told.setText(tr("It is fitted. The last step remains.") if fitted else self._waiting())

    def _waiting(self) -> str:
        return tr("waits for step {waits}").format(waits=self.waits) if self.waits is not None else ""

    def still_shapes(self) -> DrawList:
        """Return the rule above the steps."""
        scale, inner = self.look.scale, self.inner()
        left, y = inner.left() / scale, self.area.y() / scale - 4.0
        return [Path(((left, y), (left + inner.width() / scale, y)), "hairline", 1.0)]

    def lay_out(self) -> None:
        """Size and colour what the layout places for the present look."""
        scale = self.look.scale
        for widget in (self.area, self.area.widget()):
            if widget is not None:
                coloured(widget, self.look)
        self.area.verticalScrollBar().setStyleSheet(bar_style(self.look))
        self.column.setSpacing(round(8 * scale))
        self.foot.setSpacing(round(12 * scale))
        self.fit_button.setMinimumWidth(self.fit_button.sizeHint().width() + round(30 * scale))
