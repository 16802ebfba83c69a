"""Where presenters show what they have: a sentence for all, panes over the page, screens, dialogs."""

from __future__ import annotations

from typing import Protocol

from PySide6.QtWidgets import QWidget

from trainer.window.controls.actions import Actions
from trainer.window.controls.pane import Pane
from trainer.window.controls.places import Places
from trainer.window.painting.look import Look
from trainer.window.session.remembered import Remembered
from trainer.window.session.screen import Screen

__all__ = ["Stage"]


class Stage(Protocol):
    """What a presenter may ask of whatever holds its views.

    ``ground`` lies below panes; ``frame`` is the window that dialogs stand before. ``standing`` is a sentence that
    stays as long as it is true, ``heard`` one on what is heard now. ``actions`` are all that the window has.
    ``remembered`` is kept for the next start.
    """

    look: Look
    actions: Actions
    places: Places
    remembered: Remembered
    standing: str
    heard: str

    @property
    def ground(self) -> QWidget:
        """The page that is shown."""

    @property
    def frame(self) -> QWidget:
        """The window."""

    @property
    def room(self) -> QWidget:
        """What screens are built in."""

    @property
    def screen(self) -> Screen | None:
        """What is shown instead of the board."""

    def show_screen(self, screen: Screen | None) -> None:
        """Show a screen instead of what was there, over the whole of the display where it asks so; or the board."""

    def tell(self, words: str, warns: bool = False, frozen: bool = False) -> None:
        """Show a sentence for six seconds; with ``frozen`` also that the clock is, while it is."""

    def forget_words(self) -> None:
        """Say nothing of what was to be said: it was of another rig."""

    def open_pane(self, pane: Pane, focus: bool = True) -> None:
        """Show a pane in its place; with the keyboard where ``focus``."""

    def open_in(self, place: str) -> Pane | None:
        """Return the pane that is open in a place."""

    def close_pane(self, pane: Pane) -> None:
        """Hide a pane."""

    def caption(self) -> str:
        """Return what stands below a picture or table of this window's rig, now."""
