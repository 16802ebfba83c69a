"""Buttons of the window: words with a rule below the chosen one, no boxes."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QPointF, QSize, Qt
from PySide6.QtGui import QPainter, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from trainer.language import tr
from trainer.window.controls.actions import Action
from trainer.window.controls.own_keys import PressButton
from trainer.window.controls.tips import set_tip
from trainer.window.painting import fonts
from trainer.window.painting.look import Look

__all__ = ["WordButton"]

_GLYPHS = {  # in a square of 1 by 1
    "run": (((0.0, 0.0), (0.0, 1.0), (0.9, 0.5)),),
    "freeze": (
        ((0.1, 0.0), (0.1, 1.0), (0.35, 1.0), (0.35, 0.0)),
        ((0.6, 0.0), (0.6, 1.0), (0.85, 1.0), (0.85, 0.0)),
    ),
    "step": (((0.0, 0.0), (0.0, 1.0), (0.6, 0.5)), ((0.7, 0.0), (0.7, 1.0), (0.92, 1.0), (0.92, 0.0))),
    "rigs": tuple(((0.0, y), (0.0, y + 0.12), (0.95, y + 0.12), (0.95, y)) for y in (0.08, 0.44, 0.8)),
    "reset": (((0.08, 0.0), (0.08, 1.0), (0.3, 1.0), (0.3, 0.0)), ((1.0, 0.0), (1.0, 1.0), (0.4, 0.5))),
}


class WordButton(PressButton):
    """A button that is a word, with a small sign before it where one helps.

    A click with the mouse leaves the focus where it is; from the keyboard Enter presses it. ``action`` is followed.
    """

    action: Action | None = None
    _words = _more = ""

    def __init__(
        self,
        look: Look,
        text: str,
        name: str,
        tip: str,
        parent: QWidget,
        *,
        glyph: str = "",
        checkable: bool = False,
        size: float = 19.8,
        filled: bool = False,
    ) -> None:
        super().__init__(parent)
        self.look = look
        self.glyph = glyph
        self.text_size = size
        self.filled = filled
        self.always_bold = False
        self.setText(text)
        self.setCheckable(checkable)
        self.setAccessibleName(tr(name))
        self.setAccessibleDescription(tip)
        set_tip(self, tip)
        self.setObjectName(name)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self.setCursor(Qt.CursorShape.PointingHandCursor)

    def follow(self, action: Action, words: str = "", click: bool = True) -> None:
        """Do an action, and be dull while it cannot be done; told are words, or the action's own, with its key.

        Without ``click`` the button does something of its own; key and dullness are the action's.
        """
        self.action, self._words = action, words
        action.changed.connect(self._take_action)
        if click:
            self.clicked.connect(action.trigger)
        self._take_action()

    def tell(self, words: str) -> None:
        """Tell other words of what its action does now."""
        self._words = words
        self._take_action()

    def tell_more(self, more: str) -> None:
        """Tell something below what its action tells."""
        self._more = more
        self._take_action()

    def _take_action(self) -> None:
        assert self.action is not None, "it follows one"
        tip = self.action.tip(self._words)
        self.setEnabled(self.action.isEnabled())
        self.setAccessibleDescription(f"{tip}, {self._more}" if self._more else tip)
        set_tip(self, f"{tip}\n{self._more}" if self._more else tip)

    @property
    def pixels(self) -> int:
        """Height of its type [px]."""
        return self.look.pixels(self.text_size)

    def _sign(self) -> float:
        return 1.15 * self.pixels if self.glyph else 0.0

    def sizeHint(self) -> QSize:
        """Return the size that the word needs, the chosen weight included."""
        width = fonts.metrics(self.pixels, 600).horizontalAdvance(self.text())
        return QSize(round(width + self._sign() + 16 * self.look.scale) + 2, round(2.2 * self.pixels))

    def paintEvent(self, event: QEvent) -> None:
        """Paint the word, its sign, the rule of the chosen one, and the focus ring."""
        painter = QPainter(self)
        inks, chosen = self.look.inks, self.isChecked() or self.isDown()
        colour = inks.colour("accent" if chosen else ("ink" if self.isEnabled() else "ink2"))
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if self.filled:
            self._paint_filled(painter)
            painter.end()
            return
        pixels, inset = self.pixels, 8 * self.look.scale
        baseline = self.height() / 2 + 0.33 * pixels
        if self.glyph:
            side = 0.68 * pixels
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(colour)
            for ring in _GLYPHS[self.glyph]:
                painter.drawPolygon(
                    QPolygonF([QPointF(inset + x * side, baseline - side * (1 - y)) for x, y in ring])
                )
        painter.setFont(fonts.font(pixels, 600 if chosen or self.always_bold else 400))
        painter.setPen(colour)
        painter.drawText(QPointF(inset + self._sign(), baseline), self.text())
        if self.isChecked():
            painter.fillRect(round(inset), self.height() - 3, round(self.width() - 2 * inset), 3, colour)
        if self.underMouse() and not self.isChecked():
            painter.fillRect(round(inset), self.height() - 2, round(self.width() - 2 * inset), 1, inks.colour("ink2"))
        if self.hasFocus():
            painter.setPen(QPen(inks.colour("ink"), 2.0))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(self.rect().adjusted(1, 1, -2, -2))
        painter.end()

    def _paint_filled(self, painter: QPainter) -> None:
        inks = self.look.inks
        painter.fillRect(self.rect(), inks.colour("accent"))
        painter.setFont(fonts.font(self.pixels, 600))
        painter.setPen(inks.colour("paper"))
        painter.drawText(self.rect(), Qt.AlignmentFlag.AlignCenter, self.text())
        if self.hasFocus():
            painter.setPen(QPen(inks.colour("paper"), 3.0))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(self.rect().adjusted(5, 5, -6, -6))
