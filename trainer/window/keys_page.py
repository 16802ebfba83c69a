"""The page of keys: all that can be done, each with its key; a click or Enter on a row does it."""

from __future__ import annotations

from collections.abc import Container

from PySide6.QtCore import QPointF, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPaintEvent
from PySide6.QtWidgets import QWidget

from trainer.drawing.shapes import DrawList, Path, Shape, Words
from trainer.window.canvas import Canvas
from trainer.window.keys import KEYS, Key
from trainer.window.look import Look

__all__ = ["KeysPage"]

_TOP, _BOTTOM, _COLUMNS, _WIDE = 150.0, 1056.0, (120.0, 1000.0), 800.0  # board px


class KeysPage(QWidget):
    """All keys on one page, over the board. ``asked`` tells an action, ``closed`` that it goes away.

    ``doable``: the actions that a click may do; the other rows only tell.
    """

    asked = Signal(str)
    closed = Signal()

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.doable: Container[str] = ()
        self.chosen = ""
        self.canvas = Canvas(self, look, self._still, self._live)
        self.canvas.ring = False
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setObjectName("keys")
        self.setAccessibleName("Keys")
        self.setAccessibleDescription("; ".join(f"{key.keys}: {key.words} {key.where}" for key in KEYS))

    # -- where the rows stand [board px] -------------------------------------------------------------------------

    def rows(self) -> list[tuple[str | Key, float, float]]:
        """Return (heading or key, left edge, baseline) of every row, in two columns of about the same length."""
        entries: list[str | Key] = []
        for where in dict.fromkeys(key.where for key in KEYS):
            entries += [where[:1].upper() + where[1:], *(key for key in KEYS if key.where == where)]
        half = len(entries) / 2
        breaks = [k for k, entry in enumerate(entries) if isinstance(entry, str)]
        second = min(breaks, key=lambda k: abs(k - half))
        columns = (entries[:second], entries[second:])
        pitch = min(36.0, (_BOTTOM - _TOP) / max(map(len, columns)))
        return [
            (entry, left, _TOP + pitch * (k + 0.8))
            for left, column in zip(_COLUMNS, columns, strict=True)
            for k, entry in enumerate(column)
        ]

    def key_at(self, point: QPointF) -> str:
        """Return the action of the row at a place [px] that can be done, or nothing."""
        x, y = point.x() / self.look.scale, point.y() / self.look.scale
        for entry, left, base in self.rows():
            if isinstance(entry, Key) and left <= x <= left + _WIDE and base - 24.0 <= y <= base + 8.0:
                return entry.action if entry.action in self.doable else ""
        return ""

    def _still(self) -> DrawList:
        shapes: list[Shape] = [
            Words(120.0, 110.0, "Keys", 30.8, weight=600),
            Words(
                1800.0, 110.0, "A click or Enter does it. F1 or Esc: back to the board", 18.0, "ink2", align="right"
            ),
        ]
        for entry, left, base in self.rows():
            if isinstance(entry, str):
                shapes.append(Words(left, base, entry, 19.8, weight=600))
                shapes.append(Path(((left, base + 8.0), (left + _WIDE, base + 8.0)), "hairline", 1.0))
            else:
                shapes.append(Words(left + 20.0, base, entry.keys, 17.0, weight=600))
                shapes.append(Words(left + 224.0, base, entry.words, 17.0))
        return shapes

    def _live(self) -> DrawList:
        for entry, left, base in self.rows():
            if isinstance(entry, Key) and entry.action == self.chosen:
                return [
                    Path(((left + 4.0, base - 17.0), (left + 4.0, base + 5.0)), "accent", 4.0),
                    Words(left + 20.0, base, entry.keys, 17.0, "accent", 600),
                    Words(left + 224.0, base, entry.words, 17.0, "accent"),
                ]
        return ()

    # -- hands ---------------------------------------------------------------------------------------------------

    def _choose(self, action: str) -> None:
        if action != self.chosen:
            self.chosen = action
            self.setCursor(Qt.CursorShape.PointingHandCursor if action else Qt.CursorShape.ArrowCursor)
            self.update()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        self._choose(self.key_at(event.position()))

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self.closed.emit()
        action = self.key_at(event.position())
        if action:
            self.asked.emit(action)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Choose a row with the arrows, do it with Enter."""
        actions = [key.action for key in KEYS if key.action in self.doable]
        key = event.key()
        if key == Qt.Key.Key_Escape:
            self.closed.emit()
        elif key in (Qt.Key.Key_Down, Qt.Key.Key_Up) and actions:
            at = actions.index(self.chosen) if self.chosen in actions else -1 if key == Qt.Key.Key_Down else 0
            self._choose(actions[(at + (1 if key == Qt.Key.Key_Down else -1)) % len(actions)])
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and self.chosen:
            self.closed.emit()
            self.asked.emit(self.chosen)
        else:
            super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()
