"""The page of keys: all that can be done, each with its key; a click or Enter on a row does it."""

from __future__ import annotations

from PySide6.QtCore import QPointF, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPaintEvent, QWheelEvent
from PySide6.QtWidgets import QWidget

from trainer.drawing.shapes import DrawList, Path, Shape, Words
from trainer.drawing.type_widths import text_width
from trainer.window.controls.actions import Actions
from trainer.window.controls.keys import KEYS, Key
from trainer.window.painting.canvas import Canvas
from trainer.window.painting.look import Look

__all__ = ["KeysPage"]

_TOP, _EDGE, _WORDS, _TEXT = 124.0, 60.0, 224.0, 17.0  # board px


class KeysPage(QWidget):
    """All keys on one page, over the board; a row of an action does it, the others only tell.

    ``closed`` tells that it goes away, ``refused`` why an action cannot be done now.
    """

    closed = Signal()
    refused = Signal(str)

    def __init__(self, look: Look, actions: Actions, parent: QWidget) -> None:
        super().__init__(parent)
        self.look, self.all_actions = look, actions
        self.keys = KEYS
        self.chosen = ""
        self._scrolled = 0.0  # by how much the rows are moved up [board px]
        self.canvas = Canvas(self, look, self._still, self._live)
        self.canvas.ring = False
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setObjectName("keys")
        self.setAccessibleName("Keys")
        self.show_keys(KEYS)

    def show_keys(self, keys: tuple[Key, ...]) -> None:
        """Show the keys of a rig."""
        self.keys = keys
        self.setAccessibleDescription("; ".join(f"{key.keys}: {key.words} {key.where}" for key in keys))
        self.canvas.forget()
        self.update()

    # -- where the rows stand [board px] -------------------------------------------------------------------------

    def _size(self) -> float:
        return self.look.size(_TEXT)

    def _words_x(self) -> float:
        """Return where the words stand from the left edge of a column: beyond the longest keys."""
        return max(_WORDS, 40.0 + max(text_width(key.keys, self._size(), 600) for key in self.keys))

    def _columns(self) -> tuple[float, ...]:
        """Return the left edges of two columns, or of one where two have no room."""
        width = self.width() / self.look.scale
        wide = self._words_x() + max(text_width(key.words, self._size()) for key in self.keys)
        second = max(width / 2 + _EDGE / 2, _EDGE + wide + _EDGE / 2)
        return (_EDGE, second) if second + wide <= width - _EDGE / 2 else (_EDGE,)

    def _wide(self) -> float:
        """Return the width of a column."""
        columns, width = self._columns(), self.width() / self.look.scale
        return width - 2 * _EDGE if len(columns) == 1 else columns[1] - columns[0] - _EDGE

    def _all_rows(self) -> tuple[list[tuple[str | Key, float, float]], float]:
        """Return every row as ``rows`` does, unscrolled, and by how much they can be scrolled."""
        entries: list[str | Key] = []
        for where in dict.fromkeys(key.where for key in self.keys):
            entries += [where[:1].upper() + where[1:], *(key for key in self.keys if key.where == where)]
        lefts = self._columns()
        second = len(entries)
        if len(lefts) == 2:
            breaks = [k for k, entry in enumerate(entries) if isinstance(entry, str)]
            second = min(breaks, key=lambda k: abs(k - len(entries) / 2))
        columns = (entries[:second], entries[second:])
        longest, room = max(map(len, columns)), self.height() / self.look.scale - 24.0 - _TOP
        pitch = max(min(36.0, room / longest), 1.3 * self._size())
        rows = [
            (entry, left, _TOP + pitch * (k + 0.8))
            for left, column in zip(lefts, columns, strict=False)
            for k, entry in enumerate(column)
        ]
        return rows, max(pitch * longest - room, 0.0)

    def rows(self) -> list[tuple[str | Key, float, float]]:
        """Return (heading or key, left edge, baseline) of every row that is seen, in as many columns as have room."""
        rows, most = self._all_rows()
        self._scrolled = min(max(self._scrolled, 0.0), most)
        bottom = self.height() / self.look.scale - 12.0
        moved = ((entry, left, base - self._scrolled) for entry, left, base in rows)
        return [row for row in moved if row[2] - 0.8 * self._size() >= _TOP - 8.0 and row[2] + 8.0 <= bottom]

    def scroll_by(self, way: float) -> None:
        """Move the rows up by a way [board px], as far as there are more."""
        self._scrolled = min(max(self._scrolled + way, 0.0), self._all_rows()[1])
        self.canvas.forget()
        self.update()

    def key_at(self, point: QPointF) -> str:
        """Return the action of the row at a place [px] that can be done, or nothing."""
        x, y = point.x() / self.look.scale, point.y() / self.look.scale
        wide = self._wide()
        for entry, left, base in self.rows():
            if isinstance(entry, Key) and left <= x <= left + wide and base - self._size() <= y <= base + 6.0:
                return entry.action if entry.action in self.all_actions else ""
        return ""

    def _still(self) -> DrawList:
        more = "The wheel or Page Down: more. " if self._all_rows()[1] else ""
        told = f"{more}A click or Enter does it. F1 or Esc: back to the board"
        right, wide, words = self.width() / self.look.scale - _EDGE, self._wide(), self._words_x()
        shapes: list[Shape] = [
            Words(_EDGE, 96.0, "Keys", 30.8, weight=600),
            Words(right, 96.0, told, 18.0, "ink2", align="right"),
        ]
        for entry, left, base in self.rows():
            if isinstance(entry, str):
                shapes.append(Words(left, base, entry, 19.8, weight=600))
                shapes.append(Path(((left, base + 8.0), (left + wide, base + 8.0)), "hairline", 1.0))
            else:
                shapes.append(Words(left + 20.0, base, entry.keys, _TEXT, weight=600))
                shapes.append(Words(left + words, base, entry.words, _TEXT))
        return shapes

    def _live(self) -> DrawList:
        for entry, left, base in self.rows():
            if isinstance(entry, Key) and entry.action == self.chosen:
                return [
                    Path(((left + 4.0, base - 17.0), (left + 4.0, base + 5.0)), "accent", 4.0),
                    Words(left + 20.0, base, entry.keys, _TEXT, "accent", 600),
                    Words(left + self._words_x(), base, entry.words, _TEXT, "accent"),
                ]
        return ()

    # -- hands ---------------------------------------------------------------------------------------------------

    def _choose(self, action: str) -> None:
        if action != self.chosen:
            self.chosen = action
            self.setCursor(Qt.CursorShape.PointingHandCursor if action else Qt.CursorShape.ArrowCursor)
            self.update()

    def _bring(self) -> None:
        """Scroll so that the chosen row is seen."""
        seen = {entry.action for entry, *_ in self.rows() if isinstance(entry, Key)}
        if self.chosen in seen:
            return
        (base,) = (
            base for entry, _, base in self._all_rows()[0] if isinstance(entry, Key) and entry.action == self.chosen
        )
        self.scroll_by(base - self._scrolled - self.height() / self.look.scale / 2)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Scroll where the rows have no room."""
        self.scroll_by(-event.angleDelta().y() / 120 * 3 * 1.3 * self._size())
        event.accept()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        self._choose(self.key_at(event.position()))

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self.closed.emit()
        action = self.key_at(event.position())
        if action:
            self._do(action)

    def _do(self, name: str) -> None:
        action = self.all_actions[name]
        if action.isEnabled():
            action.trigger()
        else:
            self.refused.emit(action.refusal)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Choose a row with the arrows, do it with Enter."""
        actions = [key.action for key in self.keys if key.action in self.all_actions]
        key = event.key()
        if key == Qt.Key.Key_Escape:
            self.closed.emit()
        elif key in (Qt.Key.Key_Down, Qt.Key.Key_Up) and actions:
            at = actions.index(self.chosen) if self.chosen in actions else -1 if key == Qt.Key.Key_Down else 0
            self._choose(actions[(at + (1 if key == Qt.Key.Key_Down else -1)) % len(actions)])
            self._bring()
        elif key in (Qt.Key.Key_PageDown, Qt.Key.Key_PageUp):
            self.scroll_by((1 if key == Qt.Key.Key_PageDown else -1) * 0.8 * self.height() / self.look.scale)
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and self.chosen:
            self.closed.emit()
            self._do(self.chosen)
        else:
            super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()
