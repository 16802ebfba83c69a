"""A pane: what lies over a part of the page until it is closed."""

from __future__ import annotations

from typing import ClassVar

from PySide6.QtCore import QRect
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QWidget

from trainer.drawing.shapes import DrawList, Path, Shape, Words
from trainer.language import tr
from trainer.window.controls.buttons import WordButton
from trainer.window.controls.over import Over
from trainer.window.controls.tips import set_tip
from trainer.window.painting.canvas import Canvas
from trainer.window.painting.look import Look

__all__ = ["Pane"]

_EDGE, _HEAD = 24.0, 46.0  # board px


class Pane(Over):
    """Base of all panes: a title, a Close button, Esc, and room for what it is about.

    ``place`` is "side" (over the read-outs below the dials) or "wide" (over drawing and machine); one that
    ``keeps_ledgers`` leaves their bars to be seen and picked.
    """

    place: ClassVar[str] = "side"
    keeps_ledgers: ClassVar[bool] = False
    wants_room = False  # more of it below the drawing than the levers leave
    works = False  # it is worked with, together with the levers: more than the drawing
    title = ""

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(look, parent)
        self.canvas = Canvas(self, look, self._still, self.live_shapes)
        self.canvas.ring = False
        self.setObjectName(self.title)
        self.title = tr(self.title)
        close = tr("Close {title}").format(title=self.title)
        self.close_button = WordButton(look, tr("Close"), close, tr("Close  (Esc)"), self)
        self.close_button.clicked.connect(self.closed)
        self.setAccessibleName(self.title)
        set_tip(self, tr("{title}: Esc closes it").format(title=self.title))

    def name(self, title: str) -> None:
        """Give it another title."""
        if title != self.title:
            self.title = title
            self.setAccessibleName(title)
            self.canvas.forget()
            self.update()

    def inner(self) -> QRect:
        """Return the room below the title [px]."""
        scale = self.look.scale
        edge, head = round(_EDGE * scale), round(_HEAD * scale)
        return QRect(edge, head, max(self.width() - 2 * edge, 1), max(self.height() - head - edge // 2, 1))

    def lay_out(self) -> None:
        """Place the children, those that no layout places; to be extended."""

    def arrange(self) -> None:
        """Place everything for the present size and look; the page calls it."""
        scale = self.look.scale
        size = self.close_button.sizeHint()
        self.close_button.setGeometry(
            self.width() - round(14 * scale) - size.width(), round(2 * scale), size.width(), round(40 * scale)
        )
        self.take_looks()
        self.lay_out()
        layout = self.layout()
        if layout is not None:
            room = self.inner()
            layout.setContentsMargins(
                room.x(), room.y(), self.width() - room.x() - room.width(), self.height() - room.y() - room.height()
            )
            layout.activate()
        self.canvas.forget()
        self.update()

    def _still(self) -> DrawList:
        width, height = self.width() / self.look.scale, self.height() / self.look.scale
        frame: list[Shape] = [
            Words(_EDGE, 29.0, self.title, 19.8, weight=600),
            Path(((_EDGE, 40.0), (width - _EDGE, 40.0)), "ink", 1.5),
        ]
        if self.place == "side":
            frame.append(Path(((0.5, 0.0), (0.5, height)), "hairline", 1.0))
        return [*frame, *self.still_shapes()]

    def resizeEvent(self, event: QResizeEvent) -> None:
        self.arrange()
