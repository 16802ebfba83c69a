"""Whether a reading counts: its conditions against those of the spec sheet, in a line or two below the dials."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtGui import QPaintEvent
from PySide6.QtWidgets import QWidget

from trainer.drawing.shapes import DrawList, Words
from trainer.language import tr
from trainer.measuring.validity import Met
from trainer.window.controls.tips import set_tip
from trainer.window.painting import fonts
from trainer.window.painting.canvas import Canvas
from trainer.window.painting.look import Look

__all__ = ["ValidityView", "in_lines"]

_SIZE, _ABOVE = 15.4, 3.0  # of the type; room above it [board px]
_TWO = 20.0  # largest type that stands in two lines [board px]
_DOT = " · "


def in_lines(pieces: Sequence[str], room: float, pixels: int, most: int) -> list[str]:
    """Return pieces joined by dots in at most ``most`` lines that fit into ``room`` [px].

    The first is a head without a dot behind it. Where there is not enough room, conditions that are met go first,
    then a head that would stand alone.
    """
    kept = list(pieces)
    while True:
        lines = _wrapped(kept, room, pixels)
        met = [piece for piece in kept if isinstance(piece, Met)]
        if len(lines) > most and met:
            kept.remove(met[0])
        elif len(lines) > most == 1 and kept[0] == lines[0] == pieces[0]:
            kept.pop(0)
        else:
            return lines[:most]


def _wrapped(pieces: Sequence[str], room: float, pixels: int) -> list[str]:
    metrics, lines = fonts.metrics(pixels), [""]
    for k, piece in enumerate(pieces):
        longer = f"{lines[-1]}{' ' if k == 1 else _DOT}{piece}" if lines[-1] else piece
        if lines[-1] and metrics.horizontalAdvance(longer) > room:
            lines.append(piece)
        else:
            lines[-1] = longer
    return lines


class ValidityView(QWidget):
    """The pieces of ``show_pieces`` in small type; ``there`` is False for a rig without a spec sheet."""

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.pieces: tuple[str, ...] = ()
        self.there = False
        self.canvas = Canvas(self, look, live=self._live)
        self.setObjectName("validity")
        self.setAccessibleName(tr("Valid?"))

    @property
    def _lines(self) -> int:
        return 2 if self.look.size(_SIZE) <= _TWO else 1

    def height_board(self) -> float:
        """The height that it needs [board px]."""
        return self._lines * 1.12 * self.look.size(_SIZE) + _ABOVE if self.there else 0.0

    def show_pieces(self, pieces: Sequence[str]) -> None:
        """Print other words: a head, then what is said one by one."""
        if tuple(pieces) != self.pieces:
            self.pieces = tuple(pieces)
            self.setAccessibleDescription(", ".join(pieces))
            set_tip(self, _DOT.join(pieces))
            self.update()

    def _live(self) -> DrawList:
        size = self.look.size(_SIZE)
        lines = in_lines(self.pieces, self.width(), round(size * self.look.scale), self._lines) if self.pieces else []
        return [Words(0.0, _ABOVE + (0.82 + 1.12 * k) * size, line, size, "ink2") for k, line in enumerate(lines)]

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()
