"""The board: drawing, lever rack, dials, ledgers, strip and clock in one window, sixty times a second."""

from __future__ import annotations

import gc
import time
from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QEvent, Qt, QTimer
from PySide6.QtGui import QCloseEvent, QKeySequence, QShortcut
from PySide6.QtWidgets import QFileDialog, QMainWindow, QStackedWidget

from trainer.engine.session import Session
from trainer.errors import SpoolroomError
from trainer.units import System
from trainer.window import settings
from trainer.window.clock_bar import SPEEDS, speed_words
from trainer.window.keys import key_of
from trainer.window.look import Look
from trainer.window.page import BoardPage
from trainer.window.projector import ProjectorView
from trainer.window.troubles import Troubles

__all__ = ["BoardWindow"]

_FIGURES, _CURVES, _LONGEST = 1 / 8, 1 / 30, 0.1  # seconds between figures, between curves; of one frame


class BoardWindow(QMainWindow):
    """One rig on the board. ``start`` lets the frame timer run; without it, ``tick`` moves the window.

    ``clock`` is looked at for the length of frames and by the session; tests give their own seconds to ``tick``.
    """

    def __init__(
        self,
        session: Session,
        kept: settings.Kept | None = None,
        file: Path | None = None,
        clock: Callable[[], float] = time.perf_counter,
    ) -> None:
        super().__init__()
        self.session = session
        self.file = file
        self.clock = clock
        kept = kept or settings.Kept()
        self.look = Look(kept.theme, kept.system, kept.still_marks)
        self.troubles = Troubles(self, session.freeze)
        self.setWindowTitle(f"{session.rig.title} · Spoolroom")
        self.setMinimumSize(960, 540)
        self.pages = QStackedWidget(self)
        self.board = BoardPage(self.look, session, self.pages)
        page = self.board
        self.bar, self.drawing, self.rack, self.notice = page.bar, page.drawing, page.rack, page.notice
        self.dials, self.flow, self.power, self.strip = page.dials, page.flow, page.power, page.strip
        self.projector = ProjectorView(self.look, session, self.pages)
        self.pages.addWidget(self.board)
        self.pages.addWidget(self.projector)
        self.setCentralWidget(self.pages)
        self._since_figures = self._since_curves = self._slow_for = 0.0
        self._half = False
        self._shown: object = None
        self._message, self._message_for = "", 0.0
        self._frames = QTimer(self)
        self._frames.setTimerType(Qt.TimerType.PreciseTimer)
        self._frames.setInterval(16)
        self._frames.timeout.connect(self._frame)
        self._later = QTimer(self)
        self._later.setSingleShot(True)
        self._later.timeout.connect(self._after_first_paint)
        self._last = clock()
        self._connect()
        for canvas in (*page.canvases(), self.projector.canvas, self.projector.drawing.canvas):
            canvas.broke = self.troubles.report
        self.resize(*kept.size)
        self._figures()

    def _connect(self) -> None:
        self.bar.run_asked.connect(self.run)
        self.bar.step_asked.connect(self.step)
        self.bar.reset_asked.connect(self.reset)
        self.bar.speed_asked.connect(self.set_speed)
        self.bar.system_asked.connect(self.set_system)
        self.bar.theme_asked.connect(self.change_theme)
        self.bar.marks_asked.connect(self.change_marks)
        self.bar.projector_asked.connect(self.change_projector)
        self.bar.help_asked.connect(self.board.change_help)
        self.drawing.painted.connect(self._first_painted)
        self.projector.run_asked.connect(self.run)
        self.projector.back_asked.connect(self.change_projector)
        self.board.levers_moved.connect(self._hand)
        for action, slot in (
            ("run", self.change_running),
            ("step", self.step),
            ("slower", self.slower),
            ("faster", self.faster),
            ("reset", self.reset),
            ("units", self.change_system),
            ("theme", self.change_theme),
            ("marks", self.change_marks),
            ("cover all", self.dials.toggle_all),
            ("projector", self.change_projector),
            ("picture", self.save_picture),
            ("help", self.board.change_help),
        ):
            shortcut = QShortcut(QKeySequence(key_of(action)), self, slot)
            shortcut.setAutoRepeat(action == "step")
        for place in range(1, min(len(self.dials.dials), 9) + 1):
            shortcut = QShortcut(QKeySequence(f"Alt+{place}"), self, self._cover_key)
            shortcut.setProperty("place", place)

    # -- time ----------------------------------------------------------------------------------------------

    def start(self, running: bool = True) -> None:
        """Let the frame timer run; the window takes over the reports of failures."""
        self.troubles.install()
        if running:
            self.run()
        self._last = self.clock()
        self._frames.start()

    def _first_painted(self) -> None:
        self._later.start(0)

    def _after_first_paint(self) -> None:
        self.strip.start()
        gc.collect()
        gc.freeze()

    def _frame(self) -> None:
        now = self.clock()
        seconds, self._last = now - self._last, now
        self.tick(min(max(seconds, 0.0), _LONGEST))

    def tick(self, seconds: float) -> None:
        """Move everything by a stretch of wall time [s]."""
        session = self.session
        self.board.move_levers(seconds)
        before = session.time
        session.tick(seconds, self.clock)
        self._show_instant(seconds, session.time - before)
        self._since_figures += seconds
        self._since_curves += seconds
        if self._since_figures >= _FIGURES / 2:
            self._since_figures %= _FIGURES / 2
            self._half = not self._half  # one half of the figures now, the other in a later frame
            self._figures(_FIGURES / 2, upper=self._half, lower=not self._half)
        elif self._since_curves >= _CURVES and self.pages.currentWidget() is self.board:
            self._since_curves %= _CURVES  # never in the same frame as the figures
            self.strip.draw_curves()

    def _hand(self) -> None:
        self.board.move_levers(0.0)

    def _show_instant(self, seconds: float, passed: float) -> None:
        live = self.session.readings
        moved = live is not self._shown
        self._shown = live
        if moved:
            self.strip.push(live)
        if self.pages.currentWidget() is self.board:
            self.board.show_instant(live, seconds, passed, moved)
        else:
            self.projector.show_instant(live, seconds, passed, moved)

    def _figures(self, seconds: float = 0.0, upper: bool = True, lower: bool = True) -> None:
        self.board.show_figures(upper, lower)
        self.projector.show_state(self.session.running)
        self.notice.say(self._notice(seconds))

    def _notice(self, seconds: float) -> str:
        session = self.session
        slow = session.running and session.true_speed < 0.9 * session.speed
        self._slow_for = self._slow_for + seconds if slow else 0.0
        self._message_for = max(self._message_for - seconds, 0.0)
        if session.notice:
            return session.notice
        if self._message_for > 0.0:
            return self._message
        if self._slow_for > 1.0:
            return (
                f"The computer cannot keep up: time runs at {session.true_speed:.2g} of real time "
                f"instead of {speed_words(session.speed)}."
            )
        return ""

    def tell(self, words: str) -> None:
        """Show a sentence for six seconds."""
        self._message, self._message_for = words, 6.0
        self.notice.say(self._notice(0.0))

    # -- what can be asked ----------------------------------------------------------------------------------

    def run(self, on: bool = True) -> None:
        """Run or freeze the clock; while the class has not committed it stays frozen."""
        if on and self.projector.waiting:
            self.projector.remind()
        elif on:
            self.session.run()
        else:
            self.session.freeze()
        self._figures()

    def change_running(self) -> None:
        """Run if frozen, freeze if running."""
        self.run(not self.session.running)

    def step(self) -> None:
        """Freeze, and move on by a sixtieth of a second of the chosen speed."""
        if self.projector.waiting:
            self.projector.remind()
            return
        before = self.session.time
        self.session.step(min(self.session.speed, 1.0) / 60)
        self._show_instant(1 / 60, self.session.time - before)
        self._figures()

    def set_speed(self, speed: float) -> None:
        """Choose the speed of the clock."""
        self.session.speed = speed
        self._figures()

    def slower(self) -> None:
        """Choose the next slower speed."""
        self.set_speed(max((s for s in SPEEDS if s < self.session.speed), default=SPEEDS[0]))

    def faster(self) -> None:
        """Choose the next faster speed."""
        self.set_speed(min((s for s in SPEEDS if s > self.session.speed), default=SPEEDS[-1]))

    def reset(self) -> None:
        """Return to the settled start, levers and all."""
        self.session.reset()
        self.board.take_levers()
        self.board.start_anew()
        self._show_instant(1.0, 0.0)
        self._figures()
        self.strip.draw_curves()

    def change_system(self) -> None:
        """Change the unit system."""
        self.set_system(self.look.system.other)

    def set_system(self, system: System) -> None:
        """Show everything in a unit system at once."""
        self.look.system = system
        self._new_look()

    def change_theme(self) -> None:
        """Change between light and dark."""
        self.look.set_theme("light" if self.look.theme == "dark" else "dark")
        self._new_look()

    def change_marks(self) -> None:
        """Let flow marks stand, or move again."""
        self.look.still_marks = not self.look.still_marks
        self._new_look()

    def _new_look(self) -> None:
        for ledger in (self.flow, self.power):
            ledger.refresh()
        self.projector.refresh()
        self._shown = None
        self._show_instant(0.0, 0.0)
        self._figures()
        self.board.lay_out()

    def _cover_key(self) -> None:
        self.dials.toggle(int(self.sender().property("place")))

    def change_projector(self) -> None:
        """Change between the board and the question for the class; the clock freezes for a new question."""
        if self.pages.currentWidget() is self.projector:
            self.projector.leave()
            self.pages.setCurrentWidget(self.board)
            self.setWindowState(self.windowState() & ~Qt.WindowState.WindowFullScreen)
        else:
            self.session.freeze()
            self.projector.ask(self.drawing.state)
            self.pages.setCurrentWidget(self.projector)
            self.setWindowState(self.windowState() | Qt.WindowState.WindowFullScreen)
        self._shown = None
        self._show_instant(0.0, 0.0)
        self._figures()

    def save_picture(self) -> None:
        """Ask for a file and write the drawing there."""
        from trainer.window import picture

        name, _ = QFileDialog.getSaveFileName(
            self, "Save the drawing", f"{self.session.rig.title}.png", "Pictures (*.png *.pdf)"
        )
        if not name:
            return
        try:
            picture.write(self.session, Path(name), self.look.theme, self.look.system)
        except SpoolroomError as error:
            self.tell(str(error))
        else:
            self.tell(f"The drawing is in {Path(name).name}.")

    # -- the window ------------------------------------------------------------------------------------------

    def changeEvent(self, event: QEvent) -> None:
        """Let go of every lever when another program gets the keyboard."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.ActivationChange and not self.isActiveWindow():
            for view in self.rack.handles.values():
                view.motion.forget()

    def closeEvent(self, event: QCloseEvent) -> None:
        """Stop the timers, keep the settings, give back what was taken over."""
        self._frames.stop()
        self._later.stop()
        self.troubles.remove()
        if self.file is not None:
            size = self.normalGeometry().size() if self.isFullScreen() else self.size()
            settings.keep(
                settings.Kept(
                    self.look.theme, self.look.system, self.look.still_marks, (size.width(), size.height())
                ),
                self.file,
            )
        gc.unfreeze()
        super().closeEvent(event)

    def snapshot(self) -> dict[str, object]:
        """Return what the window shows, as numbers and words."""
        session, live = self.session, self.session.readings
        return {
            "time": session.time,
            "running": session.running,
            "speed": session.speed,
            "true speed": session.true_speed,
            "theme": self.look.theme,
            "system": self.look.system,
            "page": "projector" if self.pages.currentWidget() is self.projector else "board",
            "levers": {name: view.motion.value for name, view in self.rack.levers.items()},
            "speeds": {name: view.motion.value for name, view in self.rack.speeds.items()},
            "instruments": self.dials.snapshot(),
            "needles": {dial.instrument.name: dial.needle for dial in self.dials.dials},
            "covered": set(self.drawing.state.covered),
            "spools": {
                name.partition(".")[0]: live.state(name.partition(".")[0], "spool") for name in self.rack.levers
            },
            "flow ledger": self.flow.text,
            "power ledger": self.power.text,
            "strip": {trace.name: self.strip.value_text(k) for k, trace in enumerate(self.strip.traces)},
            "notice": self.notice.words,
            "question": self.projector.snapshot(),
            "troubles": list(self.troubles.seen),
        }
