"""The panes that lie over the page: one in each place, put where the page has room for it."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QMetaObject, QObject, QRect, Qt
from PySide6.QtWidgets import QWidget
from shiboken6 import isValid

from trainer.window.controls.pane import Pane

if TYPE_CHECKING:
    from trainer.window.shell.page import BoardPage

__all__ = ["PaneStack"]


class PaneStack:
    """Opens and closes the panes of a page; ``open`` holds them by place."""

    def __init__(self, page: BoardPage) -> None:
        self.page = page
        self.open: dict[str, Pane] = {}
        self._before: dict[str, QWidget | None] = {}  # what had the keyboard when a pane was opened
        self._links: dict[str, QMetaObject.Connection] = {}

    def show(self, pane: Pane, focus: bool = True) -> None:
        """Show a pane in its place, instead of the one that was there, and give it the keyboard where ``focus``."""
        before = self.open.get(pane.place)
        if before is not pane:
            if before is not None:
                self.close(before)
            self._links[pane.place] = pane.closed.connect(partial(self.close, pane))
        self.open[pane.place] = pane
        self._before[pane.place] = self.page.window().focusWidget()
        self._fold()
        pane.show()
        pane.raise_()
        if focus:
            pane.setFocus(Qt.FocusReason.TabFocusReason)

    def close(self, pane: Pane) -> None:
        """Hide a pane; where the keyboard was in it, it goes back to where it was before, or to the levers."""
        if self.open.get(pane.place) is not pane:
            return
        del self.open[pane.place]
        QObject.disconnect(self._links.pop(pane.place))
        focus = self.page.window().focusWidget()
        within = focus is not None and (focus is pane or pane.isAncestorOf(focus))
        pane.hide()
        self._fold()
        before = self._before.pop(pane.place)
        if within and before is not None and isValid(before) and before.isVisible() and not pane.isAncestorOf(before):
            before.setFocus(Qt.FocusReason.OtherFocusReason)
        elif within:
            self.page.focus_levers()

    def _fold(self) -> None:
        """Place everything; the ledgers are folded while a pane keeps them beside itself."""
        folded = any(pane.keeps_ledgers for pane in self.open.values())
        if folded != self.page.folded:
            self.page.folded = folded
            self.page.lay_out()
        else:
            self.lay_out()

    def lay_out(self) -> None:
        """Put every open pane where it belongs."""
        page = self.page
        for place, pane in self.open.items():
            if place == "side":
                top = page.readout.y() + (page.strip if pane.keeps_ledgers else page.flow).y() - 6
                pane.setGeometry(page.readout.x(), top, page.readout.width(), page.height() - top)
            else:
                top = page.drawing.y() if page.drawing.isVisible() else page.machine.y()
                pane.setGeometry(QRect(0, top, page.readout.x(), page.notice.y() - top))
            pane.arrange()
            pane.raise_()
