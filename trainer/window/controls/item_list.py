"""A list to choose from in a pane: words in rows, the arrow keys, an entry above it that filters."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QPalette
from PySide6.QtWidgets import QFrame, QListWidget, QListWidgetItem, QWidget

from trainer.window.controls.own_keys import Line
from trainer.window.controls.tips import set_tip
from trainer.window.painting import fonts
from trainer.window.painting.look import Look

__all__ = ["ChoiceList", "FilterEntry", "bar_style", "coloured", "pixels", "whole_rows"]

_SIZE = 15.4  # of the rows [board px]
_MOVES = (Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_PageUp, Qt.Key.Key_PageDown)


def coloured(widget: QWidget, look: Look, highlight: str = "accent-pale") -> None:
    """Give a widget of Qt's own the colours of the look."""
    palette = widget.palette()
    for role, colour in (
        (QPalette.ColorRole.Base, "paper"),
        (QPalette.ColorRole.Window, "paper"),
        (QPalette.ColorRole.Text, "ink"),
        (QPalette.ColorRole.WindowText, "ink"),
        (QPalette.ColorRole.PlaceholderText, "ink2"),
        (QPalette.ColorRole.Highlight, highlight),
        (QPalette.ColorRole.HighlightedText, "ink"),
        (QPalette.ColorRole.Button, "paper"),
        (QPalette.ColorRole.Mid, "hairline"),
    ):
        palette.setColor(role, look.inks.colour(colour))
    widget.setPalette(palette)


def bar_style(look: Look) -> str:
    """Return a plain scroll bar in the colours of the look, as a style sheet."""
    ink, wide = look.inks.colour("cover-hatch").name(), max(round(9 * look.scale), 7)
    return (
        f"QScrollBar:vertical {{ width: {wide}px; background: transparent; border: none; margin: 0px; }}"
        f"QScrollBar::handle:vertical {{ background: {ink}; min-height: 24px; margin: 0px 2px; }}"
        "QScrollBar::add-line, QScrollBar::sub-line, QScrollBar::add-page, QScrollBar::sub-page "
        "{ height: 0px; background: transparent; }"
    )


def pixels(look: Look) -> int:
    """Return the height of a row's type [px]."""
    return look.pixels(_SIZE)


def whole_rows(rows: QListWidget, room: int) -> int:
    """Return how high a list is that cuts none of its rows in so much room [px]."""
    high = rows.sizeHintForRow(0)
    return room // high * high if 0 < high <= room else room


class ChoiceList(QListWidget):
    """Rows of (key, words). ``chosen`` is told the key of another choice, ``entered`` on Enter and a double click."""

    chosen = Signal(str)
    entered = Signal()

    def __init__(self, look: Look, name: str, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.rows: list[tuple[str, str]] = []
        self._filter = ""
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setTextElideMode(Qt.TextElideMode.ElideRight)
        self.setObjectName(name)
        self.setAccessibleName(name)
        set_tip(self, f"{name}: the arrow keys choose, Enter takes what is chosen")
        self.currentItemChanged.connect(self._told)
        self.itemDoubleClicked.connect(self.entered)
        self.take_look()

    def take_look(self) -> None:
        """Take colours and type of the present look."""
        coloured(self, self.look, "accent-pale" if self.hasFocus() else "hairline")
        style = bar_style(self.look)
        if self.verticalScrollBar().styleSheet() != style:
            self.verticalScrollBar().setStyleSheet(style)
        self.setFont(fonts.font(pixels(self.look)))

    def fill(self, rows: Sequence[tuple[str, str]], chosen: str = "") -> None:
        """Show other rows, one of them chosen: the first where ``chosen`` is not among them."""
        self.rows = list(rows)
        self._show(chosen)

    def filter(self, words: str) -> None:
        """Show the rows in which every word occurs; the choice stays if it is among them."""
        self._filter = words
        self._show(self.key)

    def _show(self, chosen: str) -> None:
        wanted = self._filter.lower().split()
        shown = [row for row in self.rows if all(word in f"{row[0]} {row[1]}".lower() for word in wanted)]
        before = self.key
        blocked = self.blockSignals(True)
        self.clear()
        for key, words in shown:
            item = QListWidgetItem(words, self)
            item.setData(Qt.ItemDataRole.UserRole, key)
            set_tip(item, words)
        keys = [key for key, _ in shown]
        self.setCurrentRow(keys.index(chosen) if chosen in keys else (0 if keys else -1))
        self.blockSignals(blocked)
        if self.key != before:
            self.chosen.emit(self.key)

    @property
    def key(self) -> str:
        """The key of the chosen row, "" without any."""
        item = self.currentItem()
        return str(item.data(Qt.ItemDataRole.UserRole)) if item is not None else ""

    def choose(self, key: str) -> None:
        """Choose a row by its key; nothing where it is not shown."""
        for row in range(self.count()):
            if self.item(row).data(Qt.ItemDataRole.UserRole) == key:
                self.setCurrentRow(row)

    def _told(self) -> None:
        self.chosen.emit(self.key)

    def event(self, event: QEvent) -> bool:
        """Keep letters and Enter for itself; elsewhere they move levers."""
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent) and self._mine(event):
            event.accept()
            return True
        return super().event(event)

    @staticmethod
    def _mine(event: QKeyEvent) -> bool:
        keys = (Qt.Key.Key_Return, Qt.Key.Key_Enter, *_MOVES)
        return not event.modifiers() and (event.key() in keys or bool(event.text().strip()))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.entered.emit()
        elif event.key() == Qt.Key.Key_Escape:
            event.ignore()
        else:
            super().keyPressEvent(event)
            if event.text().strip():
                event.accept()  # no letter of a list moves a lever

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.take_look()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self.take_look()


class FilterEntry(Line):
    """A line that filters a list; the arrow keys move in the list, Enter takes what is chosen there."""

    def __init__(self, look: Look, rows: ChoiceList, hint: str, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.rows = rows
        self.setFrame(False)
        self.setMaxLength(60)
        self.setPlaceholderText(hint)
        self.setClearButtonEnabled(True)
        self.setObjectName(f"filter {rows.objectName()}")
        self.setAccessibleName(hint)
        set_tip(self, "Words or letters of what is sought; the arrow keys go through the list, Enter takes it")
        self.textChanged.connect(rows.filter)
        self.take_look()

    def take_look(self) -> None:
        """Take colours and type of the present look."""
        coloured(self, self.look, "accent")
        palette = self.palette()
        palette.setColor(QPalette.ColorRole.HighlightedText, self.look.inks.colour("paper"))
        palette.setColor(QPalette.ColorRole.Base, self.look.inks.colour("cell"))
        self.setPalette(palette)
        self.setFont(fonts.font(pixels(self.look)))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in _MOVES:
            self.rows.keyPressEvent(event)
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.rows.entered.emit()
        elif event.key() == Qt.Key.Key_Escape and self.text():
            self.clear()
        elif event.key() == Qt.Key.Key_Escape:
            event.ignore()
        else:
            super().keyPressEvent(event)
            event.accept()  # no letter of an entry moves a lever
