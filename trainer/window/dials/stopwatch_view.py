"""The stopwatch below the rail: the time that runs, three runs and their mean, and the pane of its conditions."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPaintEvent
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from trainer.drawing.shapes import DrawList, Path, Shape, Words
from trainer.language import mark, tr
from trainer.measuring.stopwatch import MOST_RUNS, Stopwatch, Trigger, triggers
from trainer.rig.rig import Rig
from trainer.window.controls.buttons import WordButton
from trainer.window.controls.item_list import ItemList
from trainer.window.controls.items import Item, ItemStyle
from trainer.window.controls.keys import key_of
from trainer.window.controls.labels import Label
from trainer.window.controls.pane import Pane
from trainer.window.controls.tips import set_tip
from trainer.window.painting import fonts
from trainer.window.painting.canvas import Canvas
from trainer.window.painting.look import Look

__all__ = ["StopwatchPane", "StopwatchView", "run_text"]

_ROW, _LINE = 36.0, 22.0  # heights [board px]
_FIGURE, _SIZE = 25.0, 15.4
_STYLE = ItemStyle(_SIZE, pitch=1.4, inset=4.0)
_WORDS = {"still": mark("Start"), "waiting": mark("Do not wait"), "running": mark("Stop")}


def run_text(seconds: float) -> str:
    """Return the time of a run, to a hundredth of a second."""
    return f"{seconds:.2f}"


class StopwatchView(QWidget):
    """One watch in a row, or two with its conditions. A click or Enter opens them: ``opened``."""

    opened = Signal()

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.used = False
        self.state, self.figure, self.words = "still", "0.0", ""
        self.runs: tuple[float, ...] = ()
        self.mean: float | None = None
        self.canvas = Canvas(self, look, live=self._live)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setObjectName("stopwatch")
        self.setAccessibleName(tr("Stopwatch"))
        set_tip(self, tr("What starts and stops it  ({key_of})").format(key_of=key_of("stopwatch condition")))

    def height_board(self) -> float:
        """The height that it needs [board px]: none while it is not used."""
        return (_ROW + (max(_LINE, 1.25 * self.look.size(_SIZE)) if self.words else 0.0)) if self.used else 0.0

    def show_watch(self, watch: Stopwatch) -> bool:
        """Print a watch; return whether it needs another height."""
        before = self.height_board()
        self.used = self.used or watch.state != "still" or bool(watch.runs)
        told = self._words_of(watch)
        now = (watch.state, f"{watch.elapsed:.1f}", told, tuple(watch.runs), watch.mean)
        if now != (self.state, self.figure, self.words, self.runs, self.mean):
            self.state, self.figure, self.words, self.runs, self.mean = now
            runs = ", ".join(
                tr("run {number}: {run_text} s").format(number=k, run_text=run_text(run))
                for k, run in enumerate(self.runs, 1)
            )
            mean = (
                tr(", mean {run_text} s").format(run_text=run_text(self.mean))
                if self.mean is not None and len(self.runs) > 1
                else ""
            )
            self.setAccessibleDescription(f"{self.figure} s, {self.state}. {runs}{mean} {told}".strip())
            self.update()
        return self.height_board() != before

    @staticmethod
    def _words_of(watch: Stopwatch) -> str:
        if watch.note:
            return watch.note
        if watch.start_on.kind == watch.stop_on.kind == "hand":
            return ""
        start, stop = watch.start_on.words(watch.rig), watch.stop_on.words(watch.rig)
        if watch.state == "running":
            return tr("runs until: {stop}").format(stop=stop)
        words = (
            tr("waits: {start} · stops: {stop}")
            if watch.state == "waiting"
            else tr("starts: {start} · stops: {stop}")
        )
        return words.format(start=start, stop=stop)

    def _live(self) -> DrawList:
        size = self.look.size(_SIZE)
        figure = max(_FIGURE, self.look.least)
        ink = "accent" if self.state == "running" else "ink"
        shapes: list[Shape] = [
            Words(76.0, 27.0, self.figure, figure, ink, 600, "right"),
            Words(80.0, 27.0, "s", size, "ink2"),
        ]
        x = 114.0
        for k in range(MOST_RUNS):
            run = run_text(self.runs[k]) if k < len(self.runs) else "–"
            shapes.append(Words(x, 27.0, f"{k + 1}", size, "ink2"))
            shapes.append(Words(x + 0.85 * size, 27.0, run, size, "ink", 600))
            x += 76.0
        wide = self.width() / self.look.scale
        if self.mean is not None and len(self.runs) > 1:
            text = run_text(self.mean)
            room = fonts.metrics(round(size * self.look.scale), 600).horizontalAdvance(text) / self.look.scale
            shapes.append(Words(wide, 27.0, text, size, "ink", 600, "right"))
            shapes.append(Words(wide - room - 8.0, 27.0, tr("mean"), size, "ink2", align="right"))
        if self.words:
            metrics = fonts.metrics(round(size * self.look.scale))
            fitted = metrics.elidedText(self.words, Qt.TextElideMode.ElideRight, self.width())
            shapes.append(Words(0.0, _ROW + 0.75 * size, fitted, size, "ink2"))
        shapes.append(Path(((0.0, 0.5), (wide, 0.5)), "hairline", 1.0))
        return shapes

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton and self.rect().contains(event.position().toPoint()):
            self.opened.emit()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        event.accept()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and not event.isAutoRepeat():
            self.opened.emit()
        else:
            super().keyPressEvent(event)


class StopwatchPane(Pane):
    """What starts and stops the watch, each from a list; ``pressed`` and ``forgotten`` are its two buttons."""

    title = mark("Stopwatch")
    set_asked = Signal(object, object)
    pressed = Signal()
    forgotten = Signal()

    def __init__(self, look: Look, rig: Rig, parent: QWidget) -> None:
        super().__init__(look, parent)
        self.starts = ItemList(look, mark("Starts"), self, _STYLE)
        self.stops = ItemList(look, mark("Stops"), self, _STYLE)
        tip = tr("Start or stop the stopwatch  ({key_of})").format(key_of=key_of("stopwatch"))
        self.button = WordButton(look, tr("Start"), mark("Start or stop"), tip, self, filled=True)
        self.reset = WordButton(look, tr("Forget runs"), mark("Forget runs"), tr("Forget all runs"), self)
        self._known: tuple[dict[str, Trigger], dict[str, Trigger]] = ({}, {})
        self._fill(rig)
        for rows in (self.starts, self.stops):
            rows.chosen.connect(self._set)
            rows.entered.connect(self.pressed)
        self.column, self.foot = QVBoxLayout(self), QHBoxLayout()
        for words, rows in ((tr("It starts"), self.starts), (tr("It stops"), self.stops)):
            self.column.addWidget(Label(look, words, self, size=_SIZE, weight=600))
            self.column.addWidget(rows, 1)
        self.foot.addWidget(self.button)
        self.foot.addWidget(self.reset)
        self.foot.addStretch(1)
        self.column.addLayout(self.foot)
        self.button.clicked.connect(self.pressed)
        self.reset.clicked.connect(self.forgotten)

    def _fill(self, rig: Rig) -> None:
        for known, rows, stop in ((self._known[0], self.starts, False), (self._known[1], self.stops, True)):
            known.clear()
            for trigger in triggers(rig, stop):
                known[f"{trigger.kind} {trigger.on} {trigger.end}"] = trigger
            words = {key: trigger.words(rig) for key, trigger in known.items()}
            rows.fill([Item(key, text[:1].upper() + text[1:]) for key, text in words.items()])

    def show_watch(self, watch: Stopwatch) -> None:
        """Choose what a watch has, and name its button."""
        for rows, trigger in ((self.starts, watch.start_on), (self.stops, watch.stop_on)):
            blocked = rows.blockSignals(True)
            rows.choose(f"{trigger.kind} {trigger.on} {trigger.end}")
            rows.blockSignals(blocked)
        self.show_state(watch)

    def show_state(self, watch: Stopwatch) -> None:
        """Name the button of a watch."""
        words = tr(_WORDS[watch.state])
        if watch.state == "still" and watch.start_on.kind != "hand":
            words = tr("Wait for it")
        if words != self.button.text():
            self.button.setText(words)
            self.arrange()

    def _set(self) -> None:
        start, stop = self._known[0].get(self.starts.key), self._known[1].get(self.stops.key)
        if start is not None and stop is not None:
            self.set_asked.emit(start, stop)

    def lay_out(self) -> None:
        """Size what the layout places for the present look."""
        scale = self.look.scale
        self.column.setSpacing(round(8 * scale))
        self.foot.setSpacing(round(16 * scale))
        self.button.setMinimumWidth(self.button.sizeHint().width() + round(24 * scale))
