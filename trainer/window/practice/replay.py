"""An attempt looked at again: any instant, by hand or as it went; machine, circuit, ledgers, strip."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent, QPointF, QRect, Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPaintEvent
from PySide6.QtWidgets import QAbstractSlider, QWidget

from trainer.drawing.shapes import DrawList, Path, Shape, Words
from trainer.language import mark, tr
from trainer.measuring.needles import Needles
from trainer.operating.operator import Operator
from trainer.practice.telling import filled
from trainer.window.board.drawing_view import DrawingView
from trainer.window.board.rack_view import RackView
from trainer.window.controls.actions import Actions
from trainer.window.controls.buttons import WordButton
from trainer.window.controls.own_keys import takes
from trainer.window.painting.canvas import Canvas
from trainer.window.painting.look import Look
from trainer.window.practice.fixed import fixed_rows
from trainer.window.practice.head import HEIGHT as HEAD
from trainer.window.practice.live import Live
from trainer.window.practice.machine_run import load_place
from trainer.window.practice.replay_books import WIDTH as _BOOKS
from trainer.window.practice.replay_books import ReplayBooks
from trainer.window.practice.run_screen import RunScreen

__all__ = ["InstantSlider", "ReplayScreen"]

_STEP, _LEAP, _FRAME = 0.1, 1.0, 33  # s; ms between pictures
_SMALL = 18.4
_VIEWS = {
    "machine": (mark("Machine"), mark("The machine from every side")),
    "circuit": (mark("Circuit"), mark("The circuit at this instant")),
    "books": (mark("Ledgers"), mark("The circuit with its ledgers and the strip at this instant")),
}
_KEYS = (Qt.Key.Key_Left, Qt.Key.Key_Right, Qt.Key.Key_Home, Qt.Key.Key_End, Qt.Key.Key_PageUp, Qt.Key.Key_PageDown)


class InstantSlider(QAbstractSlider):
    """The time of an attempt in hundredths of a second; ``chosen`` tells an instant that a hand asks for [s]."""

    chosen = Signal(float)

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.canvas = Canvas(self, look, self._still, self._live)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(tr("Instant of the attempt"))
        self.setCursor(Qt.CursorShape.PointingHandCursor)

    def show_time(self, seconds: float, until: float) -> None:
        """Show an instant of so many [s]."""
        self.setRange(0, max(round(100 * until), 1))
        self.setValue(round(100 * seconds))
        self.setAccessibleDescription(tr("{time:.2f} s of {until:.1f} s").format(time=seconds, until=until))
        self.update()

    def _ends(self) -> tuple[float, float]:
        return 12.0, self.width() / self.look.scale - 74.0

    def _still(self) -> DrawList:
        left, right = self._ends()
        y = self.height() / self.look.scale / 2
        words = tr("{time:.1f} s").format(time=self.maximum() / 100)
        return [Path(((left, y), (right, y)), "hairline", 5.0), Words(right + 14.0, y + 6.0, words, _SMALL, "ink2")]

    def _live(self) -> DrawList:
        left, right = self._ends()
        y = self.height() / self.look.scale / 2
        x = left + (right - left) * self.value() / max(self.maximum(), 1)
        shapes: list[Shape] = [Path(((left, y), (x, y)), "accent", 5.0)]
        knob = ((x - 7, y - 13), (x + 7, y - 13), (x + 7, y + 13), (x - 7, y + 13))
        return [*shapes, Path(knob, None, 0.0, "accent", True)]

    def event(self, event: QEvent) -> bool:
        """Keep its own keys."""
        return takes(event, _KEYS) or super().event(event)

    def _choose(self, place: QPointF) -> None:
        left, right = self._ends()
        share = (place.x() / self.look.scale - left) / max(right - left, 1.0)
        self.chosen.emit(min(max(share, 0.0), 1.0) * self.maximum() / 100)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self._choose(event.position())

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if event.buttons() & Qt.MouseButton.LeftButton:
            self._choose(event.position())

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Go along by a tenth of a second, by a second, to the ends."""
        now, end = self.value() / 100, self.maximum() / 100
        ways = {
            Qt.Key.Key_Left: now - _STEP, Qt.Key.Key_Right: now + _STEP, Qt.Key.Key_PageUp: now - _LEAP,
            Qt.Key.Key_PageDown: now + _LEAP, Qt.Key.Key_Home: 0.0, Qt.Key.Key_End: end,
        }  # fmt: skip
        wanted = ways.get(Qt.Key(event.key()))
        if wanted is None:
            event.ignore()
        else:
            self.chosen.emit(min(max(wanted, 0.0), end))

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()


class ReplayScreen(RunScreen):
    """The laps of an attempt that is over, each on the session that it was run on; nothing of them changes.

    ``seconds`` is the instant that is shown, since the first lever.
    """

    def __init__(
        self, look: Look, live: Live, step: float, board_rack: Callable[[], RackView], actions: Actions,
        parent: QWidget, clock: Callable[[], float],
    ) -> None:  # fmt: skip
        self.at_lap = min(len(live.sessions), len(live.attempt.traces)) - 1
        self.seconds = 0.0
        session = live.sessions[self.at_lap]
        super().__init__(
            look, live, session, Operator(session.rig, session.control), Needles(session.rig), step, board_rack,
            actions, parent,
        )  # fmt: skip
        self.clock, self._last = clock, clock()
        self.slider = InstantSlider(look, self)
        self.slider.chosen.connect(self.show_at)
        self.drawing = DrawingView(look, session.rig, session.readings, session.number, self)
        self.drawing.hide()
        self.books: ReplayBooks | None = None  # of the lap, once they were asked for
        self.view_buttons: dict[str, WordButton] = {}
        for name, (words, tip) in _VIEWS.items():
            button = WordButton(look, tr(words), words, tr(tip), self, checkable=True, size=21.0)
            button.clicked.connect(lambda _=False, name=name: self.show_view(name))
            self.view_buttons[name] = button
        self.laps_buttons: list[WordButton] = []
        for k in range(self.at_lap + 1 if self.at_lap > 0 else 0):
            button = WordButton(
                look,
                filled(live.attempt.laps[k].words, look.system),
                f"lap {k + 1}",
                tr("Look at this lap"),
                self,
                checkable=True,
                size=21.0,
            )
            button.clicked.connect(lambda _=False, k=k: self.show_lap(k))
            self.laps_buttons.append(button)
        self._frames = QTimer(self)
        self._frames.setInterval(_FRAME)
        self._frames.timeout.connect(self._frame)
        self.shown = "machine"  # of the views
        self.head.show_aids((), "")
        self.head.run.setEnabled(True)
        self.setAccessibleName(tr("The attempt again"))
        self._begin()
        self.show_state()

    def _begin(self) -> None:
        trace = self.live.attempt.traces[self.at_lap]
        self.until = float(trace.times[-1]) if len(trace) else 0.0
        end = self.session.history.end
        self.begin = max(end - self.until, 0.0)  # the lap ended with its last call
        self.model.aid = "path" if "path" in self.live.task.aids else "target"
        self.model.covered = False
        self.model.still_aids = False
        self.model.trail.clear()
        if self.crane:
            self._trail()
        if self.books is not None:
            self.books.deleteLater()
            self.books = None
        self.show_at(0.0)
        self.show_view(self.shown)

    def _trail(self) -> None:
        """Go through the lap once for its trail."""
        steps = max(2, min(round(self.until / 0.15), 160))
        for k in range(steps + 1):
            self.session.rewind(self.begin + self.until * k / steps)
            self.model.trail.take(load_place(self.session.readings, self.crane))

    # -- what it shows -----------------------------------------------------------------------------------------

    def show_at(self, seconds: float, passed: float = 0.0) -> None:
        """Show an instant, some seconds after the first lever; ``passed`` is how long after the one before."""
        self.seconds = min(max(seconds, 0.0), self.until)
        session = self.session
        session.rewind(self.begin + self.seconds)
        live = session.readings
        self.model.live, self.model.seconds = live, self.seconds
        self.needles.take(live, rest=True)
        self.operator.take(session)
        for view in (self.machine, self.plan, self.along, self.cylinder, self.dial):
            if view is not None:
                view.show_instant()
        self.note.show_instant(live, True)
        self._show_circuit(passed)
        self.rack.show_hands([*self.rack.levers], {})
        self.slider.show_time(self.seconds, self.until)
        self.take_figures("")
        self.head.show_time(self._told(), self.seconds)

    def _told(self) -> str:
        return tr("{code} · attempt {number}").format(code=self.live.task.code, number=self.live.number)

    def show_lap(self, lap: int) -> None:
        """Look at another lap."""
        self.play(False)
        self.at_lap = lap
        self.session = session = self.live.sessions[lap]
        self.operator = Operator(session.rig, session.control)
        self.needles.take_rig(session.rig)
        self.take_instruments()
        for name, view in self.rack.levers.items():
            view.motion = self.operator.levers[name]
        self._begin()
        self.lay_out()

    def _show_circuit(self, passed: float) -> None:
        """Show the instant in the views that lie over the machine."""
        live = self.session.readings
        if self.shown != "machine":
            self.drawing.show_instant(live, 0.0)
            self.drawing.take_figures()
        if self.shown == "books" and self.books is not None:
            self.books.show_instant(live, passed)

    def show_view(self, name: str) -> None:
        """Show the machine, the circuit, or the circuit with its ledgers and the strip."""
        self.shown = name
        for other, button in self.view_buttons.items():
            button.setChecked(other == name)
        if name == "books" and self.books is None:
            self.books = ReplayBooks(self.look, self.session, self.needles, self)
            self.books.pointed.connect(self.drawing.light)
            self.books.take_lap(self.session, self.begin, self.until, self.live.task.levers)
            self.session.rewind(self.begin + self.seconds)
        self.drawing.setVisible(name != "machine")
        if self.books is not None:
            self.books.setVisible(name == "books")
        self._show_circuit(0.0)
        self.lay_out()

    def show_state(self) -> None:
        """Say what is looked at."""
        if not hasattr(self, "slider"):
            return
        attempt = self.live.attempt
        told = attempt.sentence or filled(self.live.task.goal, self.look.system)
        self.told.say(told, "", "")
        self.rack.hold(True)
        rows = fixed_rows(self.session, self.live.task, attempt.laps[self.at_lap], self.look.system, False)
        self.rack.say(rows, tr("Space: run or freeze · arrow keys: a tenth of a second · Esc: back"))
        playing = self._frames.isActive()
        self.head.run.setChecked(playing)
        self.head.freeze.setChecked(not playing)
        self.head.freeze.setEnabled(True)

    def show_aid(self) -> None:
        """All aids are drawn."""
        if self.laps is not None:
            self.laps.covered = self.laps.load_covered = False
            self.laps.ghost = self.live.ghost
        self.lay_out()

    # -- as it went --------------------------------------------------------------------------------------------

    def play(self, on: bool) -> None:
        """Let it go on as it went, or stand."""
        if on and self.seconds >= self.until - 1e-6:
            self.show_at(0.0)
        self._last = self.clock()
        (self._frames.start if on else self._frames.stop)()
        self.show_state()

    def _frame(self) -> None:
        now = self.clock()
        passed, self._last = now - self._last, now
        self.advance(passed)

    def advance(self, seconds: float) -> None:
        """Go on by some wall seconds; at its end it stands."""
        self.show_at(self.seconds + seconds, seconds)
        if self.seconds >= self.until:
            self.play(False)

    def leave(self) -> None:
        """Stand."""
        self._frames.stop()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Run and freeze by Space; the arrows go along from anywhere."""
        if self.named(event) == "run":
            self.play(not self._frames.isActive())
        elif event.key() in _KEYS and not event.modifiers():
            self.slider.keyPressEvent(event)
        elif event.key() == Qt.Key.Key_Escape or self.named(event) == "reset":
            super().keyPressEvent(event)

    def new_look(self) -> None:
        """Show all in the present units and theme."""
        self.show_aid()
        self.show_at(self.seconds)
        self.show_state()

    # -- where it stands ---------------------------------------------------------------------------------------

    def lay_out(self) -> None:
        """Place everything for the present size."""
        super().lay_out()
        if not hasattr(self, "shown"):
            return
        scale, wide = self.look.scale, self.width()
        y = round((HEAD + 66.0) * scale)
        x = round(28.0 * scale)
        high = round(46.0 * scale)
        for button in (*self.view_buttons.values(), *self.laps_buttons):
            size = button.sizeHint()
            button.setGeometry(x, y, size.width(), high)
            button.raise_()
            x += size.width() + round(6 * scale)
        for k, button in enumerate(self.laps_buttons):
            button.setChecked(k == self.at_lap)
        books = round(_BOOKS * scale) if self.shown == "books" else 0
        right = max(round(350.0 * scale) if not self.single else round(20.0 * scale), books)
        end = max(right, round(350.0 * scale)) + round(40 * scale)
        self.slider.setGeometry(x + round(10 * scale), y, wide - x - end, high)
        self.slider.raise_()
        top = round((HEAD + 118.0) * scale)
        left = round(20.0 * scale) if not self.single else 0
        self.drawing.setGeometry(QRect(left, top, wide - right - left, self.rack.y() - top))
        self.drawing.lay_out()
        self.drawing.raise_()
        if self.books is not None and books:
            above = round(HEAD * scale)
            self.books.setGeometry(wide - books, above, books, self.rack.y() - above)
            self.books.lay_out()
            self.books.raise_()
        under: list[QWidget | None] = [self.machine, self.plan, self.cylinder, self.laps]
        beside: list[QWidget | None] = [self.dial, self.note, self.along]
        machine, circuit = (self.shown == name for name in ("machine", "circuit"))
        for views, seen in ((under, machine), (beside, machine or (circuit and not self.single))):
            for view in views:  # what lies below circuit and ledgers is not seen
                if view is not None:
                    view.setVisible(seen)
        if books:
            self.told.setGeometry(0, self.told.y(), wide - books, self.told.height())
