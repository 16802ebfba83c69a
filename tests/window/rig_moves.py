"""How the tests take hold of the numbers of a rig."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from trainer.window.controls.buttons import WordButton
from trainer.window.rig.number import NumberRow
from trainer.window.rig.pane import RigPane

__all__ = ["BAR", "CTRL", "LEFT", "button", "click", "listed", "row_of", "write"]

BAR = 1e5
CTRL = Qt.KeyboardModifier.ControlModifier
LEFT = Qt.MouseButton.LeftButton


def row_of(pane: RigPane, name: str) -> NumberRow:
    found = pane.findChild(NumberRow, f"number {name}")
    assert found is not None
    return found


def button(parent: QWidget, name: str) -> WordButton:
    found = parent.findChild(WordButton, name)
    assert found is not None, name
    return found


def write(qtbot: QtBot, row: NumberRow, text: str) -> None:
    """Open the entry of a number with Enter, write over it and press Enter."""
    row.setFocus()
    qtbot.keyClick(row, Qt.Key.Key_Return)
    assert row.entry is not None
    qtbot.keyClicks(row.entry, text)
    qtbot.keyClick(row.entry, Qt.Key.Key_Return)


def listed(pane: RigPane) -> list[str]:
    """Return the keys of what the list of a pane shows."""
    return [item.key for item in pane.list.items.items]


def click(qtbot: QtBot, pane: RigPane, key: str) -> None:
    """Click on an item of the list of a pane."""
    index = pane.list.items.index(listed(pane).index(key))
    pane.list.scrollTo(index)
    qtbot.mouseClick(pane.list.viewport(), LEFT, pos=pane.list.visualRect(index).center())
