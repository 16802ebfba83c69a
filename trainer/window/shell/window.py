"""The board: drawing, lever rack, dials, ledgers, strip and clock in one window, sixty times a second."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import partial
from importlib import import_module
from pathlib import Path
from typing import Any, TypeVar

from PySide6.QtCore import QEvent, Qt, QTimer
from PySide6.QtGui import QCloseEvent, QContextMenuEvent, QDragEnterEvent, QDropEvent, QKeyEvent
from PySide6.QtWidgets import QMainWindow, QStackedWidget, QWidget

from trainer import garbage, resources
from trainer.changing.caption import caption
from trainer.changing.opening import unforeseen
from trainer.engine.readings import Readings
from trainer.engine.session import Session
from trainer.errors import SpoolroomError
from trainer.language import tr
from trainer.operating.operator import Operator
from trainer.rig.rig import Instrument
from trainer.units import System
from trainer.window.board.arrangement import Panes
from trainer.window.class_view.presenter import ClassPresenter
from trainer.window.controls.keys import keys_for
from trainer.window.controls.pane import Pane
from trainer.window.controls.places import Places
from trainer.window.hands.presenter import HandsPresenter
from trainer.window.lesson.presenter import LessonPresenter
from trainer.window.offers.presenter import OfferPresenter
from trainer.window.opening.presenter import OpeningPresenter
from trainer.window.painting.day import today
from trainer.window.painting.look import Look
from trainer.window.recovery.closing import Closing
from trainer.window.recovery.presenter import RecoveryPresenter
from trainer.window.rig.presenter import RigPresenter
from trainer.window.session.controller import SessionController
from trainer.window.session.pace import RATES
from trainer.window.session.presenter import Presenter
from trainer.window.shell import settings
from trainer.window.shell.afterwards import Afterwards
from trainer.window.shell.page import BoardPage
from trainer.window.shell.presenters import TOOLS, presenters
from trainer.window.shell.shares import Shares
from trainer.window.shell.shortcuts import bind
from trainer.window.shell.snapshot import snapshot_of
from trainer.window.shell.stage import WindowStage
from trainer.window.shell.troubles import Troubles
from trainer.window.sound.presenter import SoundPresenter

__all__ = ["BoardWindow"]

_FIGURES, _CURVES = 1 / 8, 1 / 31  # wall seconds between figures, between curves
_Kind = TypeVar("_Kind", bound=Presenter[BoardPage])


class BoardWindow(QMainWindow):
    """One rig on the board. ``start`` lets the frame timer run; without it, ``tick`` moves the window.

    ``resumes``: the lesson that was open the last time is opened once the first picture is live;
    ``reads_controllers``: sticks that are plugged in move the levers from then on.
    ``clock`` is looked at for the length of frames and by the session; tests give their own seconds to ``tick``.
    """

    resumes = reads_controllers = False

    def __init__(
        self,
        session: Session,
        kept: settings.Kept | None = None,
        file: Path | None = None,
        clock: Callable[[], float] = time.perf_counter,
    ) -> None:
        super().__init__()
        self.file = file
        kept = kept or settings.Kept()
        self.look = Look(kept.theme, kept.system, kept.still_marks)
        self.controller = SessionController(clock, self)
        self.controller.machine_code = kept.machine_code
        self.troubles = Troubles(self, lambda: self.session.freeze())
        self.setAcceptDrops(True)
        self.setMinimumSize(960, 540)
        self.pages = QStackedWidget(self)
        self.setCentralWidget(self.pages)
        self.places = Places(lambda: self.presenter(RigPresenter).file)
        self.stage = WindowStage(self, self.pages, self.look, self.controller, self.places)
        self.stage.caption = self.caption
        self.stage.remembered = replace(kept.remembered)
        self.presenters = presenters(self.controller, self.stage)
        bind(self.stage.actions, self, self.presenters)
        self.closing = Closing(
            self.controller, self.stage, self.presenter(RigPresenter), self.presenter(RecoveryPresenter)
        )
        self.controller.replace = self.replace_session
        self._later = QTimer(self)
        self._later.setSingleShot(True)
        self._later.timeout.connect(self._after_first_paint)
        self.afterwards = Afterwards(self)
        self._seen_page: BoardPage | None = None
        self._goes_back = False
        self._take(session, kept.panes)
        self._follow()
        self.resize(*kept.size)
        self.print_figures()

    def _follow(self) -> None:
        """Follow the session's controller."""
        controller = self.controller
        controller.instant.connect(self._show)
        controller.given.connect(self._hands_gave)
        controller.passed.connect(self._pass_time)
        controller.rewound.connect(self._stand_anew)
        controller.restarted.connect(self._begin_anew)
        controller.refitted.connect(self._take_rig)
        controller.changed.connect(self.print_figures)
        controller.renewed.connect(self._renew)
        controller.renumbered.connect(self._look_anew)
        controller.said.connect(self.tell)
        controller.covers.changed.connect(self._cover)

    @property
    def session(self) -> Session:
        """The session that is shown."""
        return self.controller.session

    @property
    def marks(self) -> list[tuple[float, str]]:
        """Instants to come back to: time [s], name."""
        return self.controller.marks

    @property
    def clock(self) -> Callable[[], float]:
        """The clock of this window."""
        return self.controller.clock

    def _take(self, session: Session, panes: Panes) -> None:
        """Build the page of a session and show it; where that fails nothing is changed. Raises SpoolroomError."""
        operator = Operator(session.rig, session.control)
        page = self._built(session, operator, panes)
        self.controller.begin(session, operator)
        self.board = self.stage.page = page
        self.bar, self.drawing, self.rack, self.notice = page.bar, page.drawing, page.rack, page.notice
        self.dials, self.flow, self.power, self.strip = page.dials, page.flow, page.power, page.strip
        self.pages.addWidget(self.board)
        session.watch = self._pass_over
        prints = (*page.prints(), self._print_rest)
        self._prints = prints
        self._shares = Shares([*((call, _FIGURES) for call in prints), (self._draw_curves, _CURVES)])
        self._connect()
        for presenter in self.presenters:
            presenter.take(page)
        rack = page.rack
        page.help.show_keys(keys_for(len(rack.levers), bool(rack.steps), bool(rack.speeds)))
        if self.controller.covers.frozen or self.controller.covers.cover.anything:
            self._cover()

    def _built(self, session: Session, operator: Operator, panes: Panes) -> BoardPage:
        """Return the page of a session; of one that cannot be, nothing is left. Raises SpoolroomError."""
        before = set(self.pages.children())
        try:
            return BoardPage(self.look, session, operator, self.stage.actions, self.pages, panes)
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
        bar.speed_asked.connect(self.set_speed)
        bar.system_asked.connect(self.set_system)
        page.help.refused.connect(self.tell)
        page.levers_moved.connect(self.controller.move_hands)
        page.said.connect(self.tell)
        for pane in (self.drawing, page.machine):  # whichever is seen first
            pane.painted.connect(self.first_painted)

    # -- time ----------------------------------------------------------------------------------------------

    def start(self, running: bool = True) -> None:
        """Let the frame timer run; the window takes over the reports of failures."""
        self.troubles.install()
        if running:
            self.run()
        self.controller.start()

    def tick(self, seconds: float) -> None:
        """Move everything by a stretch of wall time [s]."""
        self.controller.tick(seconds)

    def run(self, on: bool = True) -> None:
        """Run or freeze the clock; while the class has not committed it stays frozen."""
        self.controller.run(on)

    def change_running(self) -> None:
        """Run if frozen, freeze if running."""
        self.controller.change_running()

    def set_speed(self, speed: float) -> None:
        """Choose the speed of the clock."""
        self.controller.set_speed(speed)

    def reset(self) -> None:
        """Return to the start, levers and loads and all."""
        self.controller.reset()

    def rewind(self, time: float) -> None:
        """Freeze, and show an instant that has been [s]."""
        self.controller.rewind(time)

    def refit(self, instruments: Mapping[str, Instrument]) -> None:
        """Fit other instruments to the session's rig."""
        self.controller.refit(instruments)

    # -- what the controller tells -----------------------------------------------------------------------------

    def first_painted(self) -> None:
        """Something is seen: load what waits for it."""
        self._later.start(0)

    def _after_first_paint(self) -> None:
        """Once for each page, whichever of what stands on it or over it is seen first."""
        if self._seen_page is self.board:
            return
        self._seen_page = self.board
        self.strip.start()
        self.afterwards.begin(
            [
                self.controller.translate,
                garbage.tidy,
                self.controller.keep,
                *(partial(import_module, name) for name in TOOLS),
                *([self.presenter(LessonPresenter).resume] if self.resumes else []),
                *([self.presenter(HandsPresenter).begin] if self.reads_controllers else []),
                self.presenter(SoundPresenter).begin,
            ]
        )

    def _cover(self) -> None:
        covers = self.controller.covers
        self.stage.actions.hold(covers.refusals())
        self.board.cover(covers.cover, covers.frozen, covers.led)
        self.print_figures()

    def _hands_gave(self, given: list[str]) -> None:
        self.board.show_hands(given)

    def _pass_time(self, seconds: float, hard: bool) -> None:
        figures = _FIGURES if self.controller.pace.rate == RATES[0] else 2 * _FIGURES
        self._shares.periods[:-1] = [figures] * (len(self._shares.periods) - 1)
        self._shares.pass_time(seconds, hard)

    def _draw_curves(self, seconds: float) -> None:
        if self.stage.screen is None:
            self.board.draw_curves()

    def _pass_over(self, live: Readings) -> None:
        """Take an instant of which no picture is made: needles follow as ever, the strip records."""
        self.board.needles.feel(live)
        self.board.needles.take(live, self.session.speed)
        self.strip.push(live)

    def _show(self, live: Readings, seconds: float, passed: float, moved: bool) -> None:
        needles = self.board.needles
        needles.feel(live)
        needles.take(live, self.session.speed, seconds >= 1.0)
        has_been, self._goes_back = self._goes_back or self.session.time < self.session.history.end, False
        if moved and has_been:
            needles.put(lambda name, before: self.strip.record.stood(name, self.session.time - before))
        if self.stage.screen is not None:
            self.stage.screen.show_instant(live, seconds, passed)
        else:
            self.board.show_instant(live, seconds, passed, moved)
        if moved:
            self.strip.push(live)  # after the needles, which it records
            for presenter in self.presenters:
                presenter.show_instant(live, seconds, passed)

    def _stand_anew(self) -> None:
        self._goes_back = True  # to the latest instant too, where needles may have been on their way
        self.board.show_hands_anew()
        self.drawing.state.steps.clear()

    def _begin_anew(self) -> None:
        self.board.start_anew()

    def _renew(self) -> None:
        self.board.take_figures()
        self.strip.draw_curves()

    def _look_anew(self) -> None:
        self.drawing.look_anew()

    def _take_rig(self) -> None:
        self.board.take_rig(self.session.rig)
        for presenter in self.presenters:
            presenter.refit()

    def _print_rest(self, seconds: float) -> None:
        for presenter in self.presenters:
            presenter.show_figures(seconds)
        self.stage.say(seconds)

    def print_figures(self) -> None:
        """Print every figure of the instant that is shown."""
        for prints in self._prints:
            prints(0.0)

    def tell(self, words: str, warns: bool = False, frozen: bool = False) -> None:
        """Show a sentence for six seconds; with ``frozen`` also that the clock is, while it is."""
        self.stage.tell(words, warns, frozen)

    def report(self, error: BaseException) -> None:
        """Take a failure of the program itself, such as one in a paint."""
        self.troubles.report(error)

    # -- how it looks ------------------------------------------------------------------------------------------

    def change_system(self) -> None:
        """Change the unit system."""
        self.set_system(self.look.system.other)

    def set_system(self, system: System) -> None:
        """Show everything in a unit system at once, where it would not tell the answer of a question."""
        if self.stage.actions["units"].refusal:
            self.stage.tell(self.stage.actions["units"].refusal)
            self.bar.show_look()
            return
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
        self.controller.show_anew()
        self.board.lay_out()
        for presenter in self.presenters:
            presenter.new_look()

    # -- what lies over the board ----------------------------------------------------------------------------

    def open_pane(self, pane: Pane, focus: bool = True) -> None:
        """Show a pane in its place, instead of the one that was there; with the keyboard where ``focus``."""
        self.stage.open_pane(pane, focus)

    def close_pane(self, pane: Pane) -> None:
        """Hide a pane."""
        self.stage.close_pane(pane)

    def change_help(self) -> None:
        """Show or hide the page of keys."""
        self.board.change_help()

    # -- another session -------------------------------------------------------------------------------------

    def replace_session(self, session: Session) -> None:
        """Show another session instead of the present one, in the same panes; where that fails all stays.

        Raises SpoolroomError.
        """
        old = [page for k in range(self.pages.count()) if (page := self.pages.widget(k)) is not None]
        before = self.session
        self._take(session, self.board.wanted)
        before.solver.give_up_translation()
        garbage.seek_everywhere()
        self.stage.show_screen(None)
        for page in old:
            self.pages.removeWidget(page)
            page.hide()
            page.deleteLater()

    # -- the window ------------------------------------------------------------------------------------------

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Say why what a key is for cannot be done now."""
        if refusal := self.stage.actions.refused(event):
            self.tell(refusal)
        else:
            super().keyPressEvent(event)

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
            QTimer.singleShot(0, self, lambda: self.presenter(OpeningPresenter).open_rig(path))

    def event(self, event: QEvent) -> bool:
        """Take how long it takes to paint all that was changed: Qt does so in one event of the window."""
        if event.type() != QEvent.Type.UpdateRequest:
            return super().event(event)
        begun = self.clock()
        done = super().event(event)
        self.controller.pace.painted(self.clock() - begun)
        return done

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
        self.controller.stop()
        self._later.stop()
        self.afterwards.stop()
        self.controller.keep()
        self.troubles.remove()
        for presenter in self.presenters:
            presenter.close()
        if self.file is not None:
            size = self.normalGeometry().size() if self.isFullScreen() else self.size()
            look, extent = self.look, (size.width(), size.height())
            panes, code = self.board.wanted, self.controller.machine_code
            kept = settings.Kept(
                look.theme, look.system, look.still_marks, extent, panes, code, self.rig_name(), self.stage.remembered
            )
            if trouble := settings.keep(kept, self.file):
                print(
                    tr("spoolroom: the settings were not kept ({trouble})").format(trouble=trouble), file=sys.stderr
                )
        self.session.solver.give_up_translation()
        garbage.seek_everywhere()
        super().closeEvent(event)

    def rig_name(self) -> str:
        """Return what opens the rig again at the next start: a shipped one's name, else its file."""
        file = self.presenter(RigPresenter).file
        if file is None:
            return ""
        return file.stem if resources.is_shipped(file) and file.stem in resources.rigs() else str(file.resolve())

    def end(self) -> None:
        """Close without a question; what becomes of unsaved changes is said in the terminal."""
        told = " ".join(self.closing.words()).strip()
        if told:
            print(told, file=sys.stderr)
        self.closing.asks = False
        self.close()

    def caption(self) -> str:
        """Return what stands below a picture of this window's rig at the instant that is shown."""
        changes, system = self.presenter(RigPresenter).changes, self.look.system
        changed = [*(found.words(system) for found in changes.different()), *changes.then(system)]
        return caption(self.session, today(), changed, system, self.drawing.state.covered)

    def snapshot(self) -> dict[str, Any]:
        """Return what the window shows, as numbers and words."""
        put = self.presenter(ClassPresenter).put
        question = put.snapshot() if put is not None else {}
        return snapshot_of(self.session, self.board, question, self.stage.screen is None, self.troubles.seen)


def _dropped(event: QDropEvent) -> Path | None:
    """Return the one file of this computer that is dragged, or None."""
    urls = event.mimeData().urls()
    return Path(urls[0].toLocalFile()) if len(urls) == 1 and urls[0].isLocalFile() else None
