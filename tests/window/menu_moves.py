"""What a hand does with the menu of what can be done."""

from __future__ import annotations

from PySide6.QtCore import QPoint
from PySide6.QtGui import QContextMenuEvent
from PySide6.QtWidgets import QApplication, QWidget

from trainer.window.offers.presenter import OfferMenu, OfferPresenter
from trainer.window.shell.window import BoardWindow

__all__ = ["choose", "offered", "right_click"]


def right_click(window: BoardWindow, view: QWidget, point: QPoint | None = None) -> OfferMenu:
    """Click with the right button and return the menu."""
    point = view.rect().center() if point is None else point
    event = QContextMenuEvent(QContextMenuEvent.Reason.Mouse, point, view.mapToGlobal(point))
    QApplication.sendEvent(view, event)
    menu = window.presenter(OfferPresenter).menu
    assert menu is not None
    return menu


def offered(menu: OfferMenu) -> list[str]:
    """Return the words of a menu's entries, the title first."""
    return [action.text().partition("\t")[0] for action in menu.actions() if not action.isSeparator()]


def choose(menu: OfferMenu, words: str) -> None:
    """Do what the entry with these words does, and close the menu."""
    action = next(action for action in menu.actions() if action.text().partition("\t")[0] == words)
    menu.close()
    action.trigger()
