"""What presenters show things on: this window's page, its notice line, its panes."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QStackedWidget, QWidget

from trainer.window.controls.actions import Actions
from trainer.window.controls.pane import Pane
from trainer.window.controls.places import Places
from trainer.window.painting.look import Look
from trainer.window.session.controller import SessionController
from trainer.window.session.remembered import Remembered
from trainer.window.session.screen import Screen
from trainer.window.shell.notices import Notices
from trainer.window.shell.page import BoardPage

__all__ = ["WindowStage"]


class WindowStage:
    """The stage of one window; ``page`` is the one that is shown, ``caption`` tells what a picture is of."""

    page: BoardPage

    def __init__(
        self, frame: QWidget, pages: QStackedWidget, look: Look, controller: SessionController, places: Places
    ) -> None:
        self._frame, self._pages = frame, pages
        self.look, self.controller, self.places = look, controller, places
        self.remembered = Remembered()
        self.actions = Actions(frame)
        self.notices = Notices()
        self.caption: Callable[[], str] = str

    @property
    def ground(self) -> QWidget:
        """The page that is shown."""
        return self.page

    @property
    def frame(self) -> QWidget:
        """The window."""
        return self._frame

    @property
    def room(self) -> QWidget:
        """What screens are built in."""
        return self._pages

    @property
    def screen(self) -> Screen | None:
        """What is shown instead of the board."""
        shown = self._pages.currentWidget()
        return shown if isinstance(shown, Screen) else None

    def show_screen(self, screen: Screen | None) -> None:
        """Show a screen instead of what was there, over the whole of the display where it asks so; or the board."""
        if self.screen is not None:
            self.screen.leave()
        shown, state, full = screen or self.page, self._frame.windowState(), Qt.WindowState.WindowFullScreen
        if self._pages.indexOf(shown) < 0:
            self._pages.addWidget(shown)
        self.controller.operator.let_go()
        self._pages.setCurrentWidget(shown)
        self._frame.setWindowState(state | full if screen is not None and screen.full else state & ~full)
        self.actions.show_board(screen is None)
        self.controller.show_anew()

    @property
    def standing(self) -> str:
        """A sentence that stays as long as it is true."""
        return self.notices.standing

    @standing.setter
    def standing(self, words: str) -> None:
        self.notices.standing = words

    @property
    def heard(self) -> str:
        """A sentence on what is heard now, where sound is on."""
        return self.notices.heard

    @heard.setter
    def heard(self, words: str) -> None:
        self.notices.heard = words

    def tell(self, words: str, warns: bool = False, frozen: bool = False) -> None:
        """Show a sentence for six seconds; with ``frozen`` also that the clock is, while it is."""
        self.notices.tell(words, warns, frozen)
        self.say(0.0)

    def forget_words(self) -> None:
        """Say nothing of what was to be said: it was of another rig."""
        self.notices = Notices()

    def say(self, seconds: float) -> None:
        """Show what there is to say, some wall seconds after the last time."""
        waits = self.screen is None or self.screen.waits
        words = self.notices.words(self.controller.session, seconds, self.look.system, waits)
        warns = self.notices.warns
        if not words and self.controller.covers.frozen:
            words, warns = f"{self.controller.covers.frozen}.", False
        self.page.notice.say(words, warns)

    def open_pane(self, pane: Pane, focus: bool = True) -> None:
        """Show a pane in its place, instead of the one that was there; with the keyboard where ``focus``."""
        self.page.over.show(pane, focus)
        if focus:
            self.controller.operator.let_go()

    def open_in(self, place: str) -> Pane | None:
        """Return the pane that is open in a place."""
        return self.page.over.open.get(place)

    def close_pane(self, pane: Pane) -> None:
        """Hide a pane."""
        self.page.over.close(pane)
