"""Every word that a window shows: painted, on widgets, in tips and menus, and what is told to assistive software."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from PySide6.QtCore import QAbstractItemModel, QAbstractListModel, QModelIndex, Qt
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QAbstractButton, QAbstractItemView, QLabel, QLineEdit, QWidget

from trainer.window.controls.actions import Action

__all__ = ["seen"]

_ROLES = (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.ToolTipRole, Qt.ItemDataRole.AccessibleTextRole)


def _items(model: QAbstractItemModel, parent: QModelIndex) -> Iterator[str]:
    for row in range(model.rowCount(parent)):
        for column in range(1 if isinstance(model, QAbstractListModel) else model.columnCount(parent)):
            index = model.index(row, column, parent)
            yield from (str(index.data(role) or "") for role in _ROLES)


def _of_widget(widget: QWidget) -> Iterator[str]:
    yield from (widget.toolTip(), widget.accessibleName(), widget.accessibleDescription(), widget.windowTitle())
    if isinstance(widget, (QAbstractButton, QLabel)):
        yield widget.text()
    if isinstance(widget, QLineEdit):
        yield from (widget.text(), widget.placeholderText())
    if isinstance(widget, QAbstractItemView) and widget.model() is not None:
        yield from _items(widget.model(), QModelIndex())
    canvas = getattr(widget, "canvas", None)
    if canvas is not None and widget.isVisible():
        yield from (text for text, _, _ in canvas.texts())


def seen(window: QWidget) -> Iterator[tuple[str, str]]:
    """Yield (kind of widget, text) of all that is visible in a window now, and of all its actions."""
    painted: list[str] = []
    draw = QPainter.drawText

    def drawn(painter: QPainter, *given: Any) -> Any:
        painted.extend(text for text in given if isinstance(text, str))
        return draw(painter, *given)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(QPainter, "drawText", drawn)
        window.grab()
    yield from (("painter", text) for text in painted)
    for action in window.findChildren(Action):
        yield from (("Action", text) for text in (action.text(), action.toolTip(), action.statusTip()))
    for widget in (window, *window.findChildren(QWidget)):
        if widget.isVisibleTo(window):
            kind = f"{type(widget).__module__}.{type(widget).__name__}".removeprefix("trainer.window.")
            yield from ((kind, text) for text in _of_widget(widget) if text)
