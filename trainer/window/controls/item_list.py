"""A list to choose from: items in a view of Qt's own, with the keys of the window, and an entry that filters it."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QItemSelectionModel, QModelIndex, QSize, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QMouseEvent, QResizeEvent
from PySide6.QtWidgets import QFrame, QListView, QWidget

from trainer.language import tr
from trainer.window.controls.items import Item, ItemDelegate, Items, ItemStyle
from trainer.window.controls.own_keys import ENTER, Line
from trainer.window.controls.qt_look import bar_style, coloured, written_in
from trainer.window.controls.tips import set_tip
from trainer.window.painting import fonts
from trainer.window.painting.look import Look

__all__ = ["FilterEntry", "ItemList", "SearchLine"]

_MOVES = (Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_PageUp, Qt.Key.Key_PageDown)


class ItemList(QListView):
    """Items to choose from. ``chosen`` is told the key of another choice, ``entered`` the key that Enter takes.

    ``one_click`` takes an item as Enter does, otherwise a double click; a list that ``seeks`` keeps the letters that
    are typed, and goes to the item that begins with them. Beyond its ends the arrow keys are left to its pane.
    """

    chosen = Signal(str)
    entered = Signal(str)

    def __init__(
        self, look: Look, name: str, parent: QWidget, style: ItemStyle | None = None, *,
        one_click: bool = False, seeks: bool = True,
    ) -> None:  # fmt: skip
        super().__init__(parent)
        self.look, self.seeks = look, seeks
        self.all: list[Item] = []
        self._filter = ""
        self._told = ""
        self.items = Items(self)
        self.setModel(self.items)
        self.delegate = ItemDelegate(look, style or ItemStyle(), self)
        self.setItemDelegate(self.delegate)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setEditTriggers(QListView.EditTrigger.NoEditTriggers)
        self.setResizeMode(QListView.ResizeMode.Adjust)
        self.viewport().setAttribute(Qt.WidgetAttribute.WA_Hover)
        self.viewport().setCursor(Qt.CursorShape.PointingHandCursor)
        self.setObjectName(name)
        self.setAccessibleName(tr(name))
        set_tip(self, tr("{name}: the arrow keys choose, Enter takes what is chosen").format(name=tr(name)))
        self.selectionModel().currentChanged.connect(self._tell)
        (self.clicked if one_click else self.doubleClicked).connect(self._take)
        self.take_look()

    def take_look(self) -> None:
        """Take colours and type of the present look."""
        coloured(self, self.look)
        style = bar_style(self.look)
        if self.verticalScrollBar().styleSheet() != style:
            self.verticalScrollBar().setStyleSheet(style)
        self.setFont(fonts.font(self.delegate.pixels))
        self.doItemsLayout()
        self._leave_what_would_cut()

    # -- what is shown -------------------------------------------------------------------------------------------

    def fill(self, items: Sequence[Item], chosen: str = "") -> None:
        """Show other items, one of them chosen: the first where ``chosen`` is not among them."""
        self.all = list(items)
        self._show(chosen)

    def filter(self, words: str) -> None:
        """Show the items in which every word occurs; the choice stays if it is among them."""
        self._filter = words
        self._show(self.key)

    def _show(self, chosen: str) -> None:
        wanted = self._filter.lower().split()
        self.items.fill(
            [item for item in self.all if all(word in f"{item.key} {item.words}".lower() for word in wanted)]
        )
        if not self.choose(chosen):
            self.setCurrentIndex(self._first())
        self._tell()

    def _first(self) -> QModelIndex:
        row = next((row for row, item in enumerate(self.items.items) if not item.heading), -1)
        return self.items.index(row)

    def choose_end(self, last: bool) -> None:
        """Choose the first item, or the last one."""
        items = [item.key for item in self.items.items if not item.heading]
        if items:
            self.choose(items[-1 if last else 0])

    @property
    def key(self) -> str:
        """The key of the chosen item, "" without any."""
        index = self.currentIndex()
        return self.items.items[index.row()].key if index.isValid() else ""

    def choose(self, key: str) -> bool:
        """Choose an item by its key; return whether it is shown."""
        for row, item in enumerate(self.items.items):
            if item.key == key and not item.heading:
                index = self.items.index(row)
                self.setCurrentIndex(index)
                self.selectionModel().select(index, QItemSelectionModel.SelectionFlag.ClearAndSelect)
                return True
        return False

    def _tell(self) -> None:
        if self.key != self._told:
            self._told = self.key
            self.chosen.emit(self.key)

    def minimumSizeHint(self) -> QSize:
        """Return room for two items."""
        return QSize(10, 2 * max(self.sizeHintForRow(0), 1))

    def updateGeometries(self) -> None:
        self._leave_what_would_cut()
        super().updateGeometries()

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._leave_what_would_cut()
        super().resizeEvent(event)

    def _leave_what_would_cut(self) -> None:
        """Leave room below the items where all are as high; elsewhere one that is half scrolled away is left out."""
        high, spare = max(self.sizeHintForRow(0), 0), 0
        if 0 < high <= self.height() and high == self.sizeHintForRow(len(self.items.items) - 1):
            spare = self.height() % high
        if spare != self.viewportMargins().bottom():
            self.setViewportMargins(0, 0, 0, spare)

    # -- hands ---------------------------------------------------------------------------------------------------

    def event(self, event: QEvent) -> bool:
        """Keep Enter, the arrows and the letters that it seeks for itself; elsewhere they do other things."""
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent) and self._mine(event):
            event.accept()
            return True
        return super().event(event)

    def _mine(self, event: QKeyEvent) -> bool:
        plain = not event.modifiers() & ~(Qt.KeyboardModifier.ShiftModifier | Qt.KeyboardModifier.KeypadModifier)
        typed = self.seeks and bool(event.text().strip()) and event.text().isprintable()
        return plain and (event.key() in (*ENTER, *_MOVES) or typed)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        before = self.currentIndex().row()
        if event.key() in ENTER:
            if not event.isAutoRepeat():
                self._take(self.currentIndex())
        elif event.key() in (Qt.Key.Key_Escape, Qt.Key.Key_Space) or not (self.seeks or not event.text().strip()):
            event.ignore()
        else:
            super().keyPressEvent(event)
            if event.key() in (Qt.Key.Key_Up, Qt.Key.Key_Down):
                event.setAccepted(self.currentIndex().row() != before)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Leave to the pane what is on no item."""
        super().mousePressEvent(event)
        if not self.indexAt(event.position().toPoint()).flags() & Qt.ItemFlag.ItemIsEnabled:
            event.ignore()

    def take_chosen(self) -> None:
        """Take the chosen item, as Enter does."""
        self._take(self.currentIndex())

    def _take(self, index: QModelIndex) -> None:
        item = self.items.items[index.row()] if index.isValid() else None
        if item is not None and not (item.heading or item.inert):
            self.entered.emit(item.key)

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.viewport().update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self.viewport().update()


class SearchLine(Line):
    """A line beside a list, in which words are sought; the arrow keys move in the list, Esc clears the line."""

    def __init__(self, look: Look, rows: ItemList, hint: str, tip: str, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.rows = rows
        self.setFrame(False)
        self.setMaxLength(60)
        self.setPlaceholderText(hint)
        self.setClearButtonEnabled(True)
        self.setAccessibleName(hint)
        set_tip(self, tip)
        self.take_look()

    def take_look(self) -> None:
        """Take colours and type of the present look."""
        written_in(self, self.look)
        self.setFont(fonts.font(self.rows.delegate.pixels))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in _MOVES:
            self.rows.keyPressEvent(event)
        elif event.key() == Qt.Key.Key_Escape and self.text():
            self.clear()
        elif event.key() == Qt.Key.Key_Escape:
            event.ignore()
        else:
            super().keyPressEvent(event)
            event.accept()  # no letter of an entry moves a lever


class FilterEntry(SearchLine):
    """A line that filters a list; Enter takes what is chosen there."""

    def __init__(self, look: Look, rows: ItemList, hint: str, parent: QWidget) -> None:
        tip = tr("Words or letters of what is sought; the arrow keys go through the list, Enter takes it")
        super().__init__(look, rows, hint, tip, parent)
        self.setObjectName(f"filter {rows.objectName()}")
        self.textChanged.connect(rows.filter)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in ENTER:
            self.rows.entered.emit(self.rows.key)
        else:
            super().keyPressEvent(event)
