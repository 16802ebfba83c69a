"""The board: drawing, lever rack, dials, ledgers, strip and clock in one window, sixty times a second."""

from __future__ import annotations

import gc
import sys
import time
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import TypeVar

from PySide6.QtCore import QEvent, Qt, QTimer
from PySide6.QtGui import QCloseEvent, QContextMenuEvent, QDragEnterEvent, QDropEvent, QGuiApplication
from PySide6.QtWidgets import QFileDialog, QMainWindow, QStackedWidget, QWidget

from trainer.changing.caption import caption
from trainer.changing.opening import session_of, unforeseen
from trainer.engine.readings import Readings
from trainer.engine.session import FRAME, LONGEST_TICK, Session
from trainer.errors import SolverError, SpoolroomError
from trainer.rig.rig import Instrument
from trainer.units import System
from trainer.window.board.arrangement import Panes
from trainer.window.class_view.projector import ProjectorView
from trainer.window.controls.keys import keys_for
from trainer.window.controls.pane import Pane
from trainer.window.painting.day import today
from trainer.window.painting.look import Look
from trainer.window.recovery.presenter import RecoveryPresenter
from trainer.window.rig.presenter import RigPresenter
from trainer.window.session.presenter import Presenter
from trainer.window.shell import settings
from trainer.window.shell.closing import Closing
from trainer.window.shell.file_faults import FaultReports
from trainer.window.shell.notices import Notices
from trainer.window.shell.offer_menu import OfferPresenter
from trainer.window.shell.page import BoardPage
from trainer.window.shell.places import Places
from trainer.window.shell.presenters import PRESENTERS
from trainer.window.shell.shares import Shares
from trainer.window.shell.shortcuts import actions, bind
from trainer.window.shell.snapshot import snapshot_of
from trainer.window.shell.troubles import Troubles
from trainer.window.time.presenter import TimePresenter

__all__ = ["BoardWindow"]

_FIGURES, _CURVES = 1 / 8, 1 / 31  # wall seconds between figures, between curves
_Kind = TypeVar("_Kind", bound=Presenter)
_HARD = 2.5e-3  # wall seconds of the solver from which a frame leaves out what can wait


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
        self.file = file
        self.clock = clock
        kept = kept or settings.Kept()
        self.look = Look(kept.theme, kept.system, kept.still_marks)
        self.troubles = Troubles(self, lambda: self.session.freeze())
        self.faults = FaultReports(self.look, self)
        self.closing = Closing(self)
        self.setAcceptDrops(True)
        self.setMinimumSize(960, 540)
        self.pages = QStackedWidget(self)
        self.setCentralWidget(self.pages)
        self.notices = Notices()
        self.marks: list[tuple[float, str]] = []  # instants to come back to: time [s], name
        self.places = Places(lambda: self.presenter(RigPresenter).file)
        self.presenters = [kind(self) for kind in PRESENTERS]
        self._take(session, kept.panes)
        self._frames = QTimer(self)
        self._frames.setTimerType(Qt.TimerType.PreciseTimer)
        self._frames.setInterval(16)
        self._frames.timeout.connect(self._frame)
        self._later = QTimer(self)
        self._later.setSingleShot(True)
        self._later.timeout.connect(self._after_first_paint)
        self._last = clock()
        bind(self)
        self.resize(*kept.size)
        self.print_figures()

    def _take(self, session: Session, panes: Panes) -> None:
        """Build the pages of a session and show them; where that fails nothing is changed. Raises SpoolroomError."""
        page, projector = self._built(session, panes)
        self.session, self.board, self.projector = session, page, projector
        self.bar, self.drawing, self.rack, self.notice = page.bar, page.drawing, page.rack, page.notice
        self.dials, self.flow, self.power, self.strip = page.dials, page.flow, page.power, page.strip
        self.pages.addWidget(self.board)
        self.pages.addWidget(self.projector)
        session.watch = self._pass_over
        prints = (*page.prints(), self._print_rest)
        self._prints = prints
        self._shares = Shares([*((call, _FIGURES) for call in prints), (self._draw_curves, _CURVES)])
        self._shown: object = None
        self._connect()
        for presenter in self.presenters:
            presenter.take()
        page.help.doable = actions(self)
        rack = page.rack
        page.help.show_keys(keys_for(len(rack.levers), bool(rack.steps), bool(rack.speeds)))

    def _built(self, session: Session, panes: Panes) -> tuple[BoardPage, ProjectorView]:
        """Return the pages of a session; of pages that cannot be, nothing is left. Raises SpoolroomError."""
        before = set(self.pages.children())
        try:
            page = BoardPage(self.look, session, self.pages, panes)
            return page, ProjectorView(self.look, session, page.needles, self.pages)
        except Exception as error:
            for left in self.pages.children():
                if left not in before and isinstance(left, QWidget):
                    left.hide()
                    left.deleteLater()
            if isinstance(error, SpoolroomError):
                raise
            raise unforeseen(session.rig.title, error) from error

    def presenter(self, kind: type[_Kind]) -> _Kind:
        """Return the presenter of a kind. Raises StopIteration where the window has none."""
        return next(presenter for presenter in self.presenters if isinstance(presenter, kind))

    def _connect(self) -> None:
        bar, page = self.bar, self.board
        bar.run_asked.connect(self.run)
        bar.step_asked.connect(self.presenter(TimePresenter).step)
        bar.reset_asked.connect(self.reset)
        bar.speed_asked.connect(self.set_speed)
        bar.system_asked.connect(self.set_system)
        bar.theme_asked.connect(self.change_theme)
        bar.marks_asked.connect(self.change_marks)
        bar.projector_asked.connect(self.change_projector)
        bar.rigs_asked.connect(self.change_chooser)
        bar.open_asked.connect(self.open_file)
        bar.help_asked.connect(page.change_help)
        page.help.asked.connect(self._do)
        page.rigs.chosen.connect(self._chosen)
        page.rigs.closed.connect(self.change_chooser)
        page.levers_moved.connect(self._hand)
        page.said.connect(self.tell)
        for pane in (self.drawing, page.machine):  # whichever is seen first
            pane.painted.connect(self._first_painted)
        self.projector.run_asked.connect(self.run)
        self.projector.back_asked.connect(self.change_projector)

    # -- time ----------------------------------------------------------------------------------------------

    def start(self, running: bool = True) -> None:
        """Let the frame timer run; the window takes over the reports of failures."""
        self.troubles.install()
        if running:
            self.run()
        self._last = self.clock()
        self._frames.start()

    def pause_frames(self, on: bool) -> None:
        """Let the frame timer stand while something long is done, and go on; frames that were due are dropped."""
        if on:
            self._paused = self._frames.isActive()
            self._frames.stop()
        elif self._paused:
            self._last = self.clock()
            self._frames.start()

    _paused = False

    def _first_painted(self) -> None:
        self._later.start(0)

    def _after_first_paint(self) -> None:
        self.strip.start()
        gc.unfreeze()
        gc.collect()
        gc.freeze()

    def _frame(self) -> None:
        now = self.clock()
        seconds, self._last = now - self._last, now
        self.tick(max(seconds, 0.0))

    def tick(self, seconds: float) -> None:
        """Move everything by a stretch of wall time [s]; levers and needles by at most ``LONGEST_TICK``."""
        session, passed = self.session, min(seconds, LONGEST_TICK)
        self.board.move_levers(passed)
        before, begun = session.time, self.clock()
        session.tick(seconds, self.clock)
        hard = self.clock() - begun > _HARD  # what can wait does
        self._show_instant(passed, session.time - before)
        self._shares.pass_time(seconds, hard)

    def _draw_curves(self, seconds: float) -> None:
        if self.pages.currentWidget() is self.board:
            self.strip.draw_curves()

    def _hand(self) -> None:
        self.board.move_levers(0.0)

    def _pass_over(self, live: Readings) -> None:
        """Take an instant that a fast clock passes over: needles follow, the strip records."""
        self.board.needles.take(live, self.session.speed)
        self.strip.push(live)

    def _show_instant(self, seconds: float, passed: float) -> None:
        live = self.session.readings
        moved = live is not self._shown
        self._shown = live
        needles = self.board.needles
        needles.feel(live)
        needles.take(live, self.session.speed, seconds >= 1.0)
        if moved and self.session.time < self.session.history.end:  # an instant that has been
            needles.put(lambda name, before: self.strip.record.stood(name, self.session.time - before))
        if self.pages.currentWidget() is self.board:
            self.board.show_instant(live, seconds, passed, moved)
        else:
            self.projector.show_instant(live, seconds, passed, moved)
        if moved:
            self.strip.push(live)  # after the needles, which it records
            for presenter in self.presenters:
                presenter.show_instant(live, seconds, passed)

    def _print_rest(self, seconds: float) -> None:
        for presenter in self.presenters:
            presenter.show_figures(seconds)
        self.projector.show_state(self.session.running)
        self.notice.say(self.notices.words(self.session, seconds, self.look.system), self.notices.warns)

    def print_figures(self) -> None:
        """Print every figure of the instant that is shown."""
        for prints in self._prints:
            prints(0.0)

    def tell(self, words: str, warns: bool = False, frozen: bool = False) -> None:
        """Show a sentence for six seconds; with ``frozen`` also that the clock is, while it is."""
        self.notices.tell(words, warns, frozen)
        self.notice.say(self.notices.words(self.session, 0.0, self.look.system), self.notices.warns)

    def report(self, error: BaseException) -> None:
        """Take a failure of the program itself, such as one in a paint."""
        self.troubles.report(error)

    # -- what can be asked ----------------------------------------------------------------------------------

    def run(self, on: bool = True) -> None:
        """Run or freeze the clock; while the class has not committed it stays frozen."""
        if on and self.projector.waiting:
            self.projector.remind()
        elif on:
            self.session.run()
        else:
            self.session.freeze()
        self.print_figures()

    def change_running(self) -> None:
        """Run if frozen, freeze if running."""
        self.run(not self.session.running)

    def show_step(self, passed: float) -> None:
        """Show the instant after a step of the frozen clock, ``passed`` of model time."""
        self._show_instant(FRAME, passed)
        self.print_figures()

    def set_speed(self, speed: float) -> None:
        """Choose the speed of the clock."""
        self.session.speed = speed
        self.print_figures()

    def reset(self) -> None:
        """Return to the start, levers and loads and all; what has run is forgotten, the machine stays as it is."""
        try:
            self.session.reset()
        except SolverError as error:
            self.tell(f"No start can be found with these numbers: {error} Nothing was forgotten.")
            return
        self.board.start_anew()
        self.show_now()

    def rewind(self, time: float) -> None:
        """Freeze, and show an instant that has been [s]; going on from there gives up what came after."""
        self.session.rewind(time)
        self.show_now()

    def show_now(self) -> None:
        """Show the session's instant everywhere at once, levers and needles too, where time did not flow there."""
        self.board.take_levers()
        self.drawing.state.steps.clear()
        self.take_figures_anew()

    def show_change(self) -> None:
        """Show at once, and everywhere at one instant, what was just changed of the rig."""
        self._show_instant(0.0, 0.0)
        self.board.take_figures()

    def take_figures_anew(self) -> None:
        """Print every figure of the session's instant."""
        self._shown = None
        self.board.take_figures()
        self._show_instant(1.0, 0.0)
        self.print_figures()
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
        self.board.take_figures()
        self.projector.refresh()
        self._shown = None
        self._show_instant(0.0, 0.0)
        self.print_figures()
        self.board.lay_out()
        for presenter in self.presenters:
            presenter.new_look()

    def change_projector(self) -> None:
        """Change between the board and the question for the class; the clock freezes for a new question."""
        if self.pages.currentWidget() is self.projector:
            self.projector.leave()
            self.pages.setCurrentWidget(self.board)
            self.setWindowState(self.windowState() & ~Qt.WindowState.WindowFullScreen)
        else:
            self.session.freeze()
            self.rack.let_go()
            self.projector.ask(self.drawing.state)
            self.pages.setCurrentWidget(self.projector)
            self.setWindowState(self.windowState() | Qt.WindowState.WindowFullScreen)
        self._shown = None
        self._show_instant(0.0, 0.0)
        self.print_figures()

    # -- what lies over the board ----------------------------------------------------------------------------

    def open_pane(self, pane: Pane, focus: bool = True) -> None:
        """Show a pane in its place, instead of the one that was there; with the keyboard where ``focus``."""
        self.board.over.show(pane, focus)
        if focus:
            self.rack.let_go()

    def close_pane(self, pane: Pane) -> None:
        """Hide a pane."""
        self.board.over.close(pane)

    def _do(self, action: str) -> None:
        actions(self)[action]()

    def change_help(self) -> None:
        """Show or hide the page of keys."""
        self.board.change_help()

    # -- another rig -----------------------------------------------------------------------------------------

    def change_chooser(self) -> None:
        """Show or hide the list of rigs."""
        if self.pages.currentWidget() is self.board:
            self.board.change_chooser(self.presenter(RigPresenter).file, self.session.rig.title)

    def _chosen(self, path: Path | None) -> None:
        if path is None:
            self.open_file()
        else:
            self.open_rig(path)

    def open_file(self) -> None:
        """Ask for a rig file and open it."""
        name, _ = QFileDialog.getOpenFileName(
            self, "Open a rig", str(self.places.folder("open")), "Rigs (*.toml);;All files (*)"
        )
        if name:
            self.places.went("open", Path(name))
            self.open_rig(Path(name))

    def open_rig(self, path: Path) -> bool:
        """Open the rig in a file instead of the present one; with faults they are shown and the present one stays."""
        QGuiApplication.setOverrideCursor(Qt.CursorShape.WaitCursor)
        try:
            session, running = session_of(path), self.session.running
            title, unsaved = self.session.rig.title, self.presenter(RecoveryPresenter).unsaved()
            self.replace_session(session)
        except SpoolroomError as error:
            self.faults.show(path.name, error)
            return False
        finally:
            QGuiApplication.restoreOverrideCursor()
        self.marks.clear()
        self.notices = Notices()
        self.run(running)
        if unsaved and self.presenter(RecoveryPresenter).lay_by(unsaved):
            self.tell(f"What was changed in {title} and not saved is kept, and offered at the next start.")
        return True

    def replace_session(self, session: Session) -> None:
        """Show another session instead of the present one, in the same panes; where that fails all stays.

        Raises SpoolroomError.
        """
        old = (self.board, self.projector)
        self._take(session, self.board.wanted)
        self.pages.setCurrentWidget(self.board)
        for page in old:
            self.pages.removeWidget(page)
            page.hide()
            page.deleteLater()
        self._last = self.clock()
        self.print_figures()

    def refit(self, instruments: Mapping[str, Instrument]) -> None:
        """Fit other instruments to the session's rig; time, levers and everything else stay."""
        session = self.session
        session.refit(replace(session.rig, instruments=dict(instruments)))
        self.board.take_rig(session.rig)
        self.projector.take_rig(session.rig)
        for presenter in self.presenters:
            presenter.refit()
        self.take_figures_anew()

    # -- the window ------------------------------------------------------------------------------------------

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:
        """Offer what can be done with what lies there; by the keyboard, with what has it."""
        if event.reason() == QContextMenuEvent.Reason.Keyboard:
            self.presenter(OfferPresenter).offer()
        else:
            self.presenter(OfferPresenter).offer_at(event.globalPos())

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        """Take one file of this computer."""
        if _dropped(event) is not None:
            event.setDropAction(Qt.DropAction.CopyAction)
            event.accept()

    def dropEvent(self, event: QDropEvent) -> None:
        """Open the rig file that is dropped, after the program it comes from has been let go."""
        path = _dropped(event)
        if path is not None:
            event.setDropAction(Qt.DropAction.CopyAction)
            event.accept()
            QTimer.singleShot(0, self, lambda: self.open_rig(path))

    def changeEvent(self, event: QEvent) -> None:
        """Let go of every lever when another program gets the keyboard."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.ActivationChange and not self.isActiveWindow():
            self.rack.let_go()

    def closeEvent(self, event: QCloseEvent) -> None:
        """Say what becomes of unsaved changes; stop the timers, keep the settings, give back what was taken over."""
        if self.closing.holds():
            event.ignore()
            return
        self._frames.stop()
        self._later.stop()
        self.troubles.remove()
        for presenter in self.presenters:
            presenter.close()
        if self.file is not None:
            size = self.normalGeometry().size() if self.isFullScreen() else self.size()
            look, extent = self.look, (size.width(), size.height())
            kept = settings.Kept(look.theme, look.system, look.still_marks, extent, self.board.wanted)
            if trouble := settings.keep(kept, self.file):
                print(f"spoolroom: the settings were not kept ({trouble})", file=sys.stderr)
        gc.unfreeze()
        super().closeEvent(event)

    def end(self) -> None:
        """Close without a question; what becomes of unsaved changes is said in the terminal."""
        told = " ".join(self.closing.words()).strip()
        if told:
            print(told, file=sys.stderr)
        self.closing.asks = False
        self.close()

    def caption(self) -> str:
        """Return what stands below a picture of this window's rig, now."""
        changed = [found.words(self.look.system) for found in self.presenter(RigPresenter).changes.different()]
        return caption(self.session, today(), changed, self.look.system, self.drawing.state.covered)

    def snapshot(self) -> dict[str, object]:
        """Return what the window shows, as numbers and words."""
        return snapshot_of(self)


def _dropped(event: QDropEvent) -> Path | None:
    """Return the one file of this computer that is dragged, or None."""
    urls = event.mimeData().urls()
    return Path(urls[0].toLocalFile()) if len(urls) == 1 and urls[0].isLocalFile() else None
