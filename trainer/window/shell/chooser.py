"""Choosing a rig: a page with the shipped ones and a file of one's own."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QRect, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen, QResizeEvent
from PySide6.QtWidgets import QWidget

from trainer import resources
from trainer.drawing.shapes import DrawList, Words
from trainer.errors import SpoolroomError
from trainer.rig import file as rig_file
from trainer.window.controls.own_keys import PressButton
from trainer.window.controls.tips import set_tip
from trainer.window.painting import fonts
from trainer.window.painting.canvas import Canvas
from trainer.window.painting.look import Look

__all__ = ["ChooserPage", "first_sentence", "shipped"]

_OPEN = "open now"


def shipped() -> list[tuple[Path, str, str]]:
    """Return (file, title, first sentence of its notes) of the shipped rigs."""
    found = []
    try:
        files = resources.rigs()
    except SpoolroomError:
        return []
    for name, path in files.items():
        try:
            rig = rig_file.load(path)
        except SpoolroomError:
            found.append((path, name, "This file cannot be read."))
        else:
            found.append((path, rig.title, first_sentence(rig.notes)))
    return found


def _same(one: Path, other: Path | None) -> bool:
    return other is not None and one.resolve() == other.resolve()


def first_sentence(notes: str) -> str:
    """Return the first sentence of some notes, on one line."""
    line = " ".join(notes.split())
    at = line.find(". ")
    return line if at < 0 else line[: at + 1]


class _RigRow(PressButton):
    """One choice: a title and what it is about; ``open_now`` where it is the one on the board."""

    def __init__(
        self, look: Look, title: str, about: str, path: Path | None, open_now: bool, parent: QWidget
    ) -> None:
        super().__init__(parent)
        self.open_now = open_now
        self.look = look
        self.about = about
        self.path = path
        self.setText(title)
        self.setObjectName(f"rig {title}")
        self.setAccessibleName(f"{title}, {_OPEN}" if open_now else title)
        set_tip(self, about)
        self.setAccessibleDescription(about)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Choose on Enter; the arrows go to the next row."""
        if event.key() in (Qt.Key.Key_Down, Qt.Key.Key_Up):
            self.focusNextPrevChild(event.key() == Qt.Key.Key_Down)
        else:
            super().keyPressEvent(event)

    def fitted(self) -> str:
        """Return what it is about, as far as it has room."""
        pixels = self.look.pixels(18.0)
        room = self.width() - 32 * self.look.scale
        return fonts.metrics(pixels).elidedText(self.about, Qt.TextElideMode.ElideRight, room)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        inks, scale = self.look.inks, self.look.scale
        if self.underMouse():  # a ground, no light: what is open is marked otherwise
            painter.fillRect(self.rect(), inks.colour("cell"))
        chosen = self.hasFocus()
        painter.setFont(fonts.font(self.look.pixels(24.0), 600))
        painter.setPen(inks.colour("accent" if chosen else "ink"))
        painter.drawText(round(16 * scale), round(38 * scale), self.text())
        painter.setFont(fonts.font(self.look.pixels(18.0)))
        painter.setPen(inks.colour("ink2"))
        painter.drawText(round(16 * scale), round(70 * scale), self.fitted())
        if self.open_now:
            painter.fillRect(0, round(10 * scale), max(round(5 * scale), 2), round(68 * scale), inks.colour("ink"))
            painter.setFont(fonts.font(self.look.pixels(20.0), 600))
            painter.setPen(inks.colour("ink"))
            right = QRect(0, 0, self.width() - round(16 * scale), round(56 * scale))
            painter.drawText(right, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, _OPEN)
        painter.fillRect(0, self.height() - 1, self.width(), 1, inks.colour("hairline"))
        if self.hasFocus():
            painter.setPen(QPen(inks.colour("ink"), 2.0))
            painter.drawRect(self.rect().adjusted(1, 1, -2, -2))
        painter.end()


class ChooserPage(QWidget):
    """A file of one's own and the shipped rigs, over the board.

    ``chosen`` is told a path, or None for a file to be sought.
    """

    chosen = Signal(object)
    closed = Signal()

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.canvas = Canvas(self, look, self._still)
        self.canvas.ring = False
        self.rows: list[_RigRow] = []
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setObjectName("rigs")
        self.setAccessibleName("Rigs")
        self.setAccessibleDescription("Choose a rig with the arrow keys and Enter; Esc goes back to the board")

    def fill(self, file: Path | None = None, title: str = "") -> None:
        """List what there is now.

        The file that is open, with its rig's title, is marked; it has a row of its own where it is no shipped one.
        """
        for row in self.rows:
            row.deleteLater()
        own = "A rig file (.toml) of your own, or drop it on the window; the present rig stays if it has faults."
        choices: list[tuple[Path | None, str, str]] = [(None, "Open a file …", own), *shipped()]
        now = [k for k, (path, *_) in enumerate(choices) if path is not None and _same(path, file)]
        if file is not None and not now:
            choices.insert(1, (file, title, str(file)))
            now = [1]
        self.rows = [
            _RigRow(self.look, title, about, path, k in now, self) for k, (path, title, about) in enumerate(choices)
        ]
        for row in self.rows:
            row.clicked.connect(self._choose)
            row.show()
        self.lay_out()
        self.rows[0].setFocus(Qt.FocusReason.TabFocusReason)

    def _choose(self) -> None:
        row = self.sender()
        if isinstance(row, _RigRow):
            self.chosen.emit(row.path)

    def lay_out(self) -> None:
        """Place the rows."""
        scale = self.look.scale
        pitch = round(92 * scale)
        for k, row in enumerate(self.rows):
            row.setGeometry(
                QRect(round(104 * scale), round(160 * scale) + k * (pitch + 4), round(1100 * scale), pitch)
            )
        self.canvas.forget()

    def _still(self) -> DrawList:
        return [
            Words(120.0, 110.0, "Rigs", 30.8, weight=600),
            Words(1800.0, 110.0, "Esc: back to the board", 18.0, "ink2", align="right"),
        ]

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.closed.emit()
        else:
            super().keyPressEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self.closed.emit()

    def resizeEvent(self, event: QResizeEvent) -> None:
        self.lay_out()

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()
