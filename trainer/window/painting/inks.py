"""Colours, pens and brushes by their roles in a theme, and the small pictures made with them."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import Qt
from PySide6.QtGui import QBrush, QColor, QPen, QPixmap

from trainer.drawing.theme import Theme
from trainer.window.painting.kept import Kept

__all__ = ["ROOM", "WRITTEN", "Inks", "Small"]

ROOM = 16_000_000  # bytes of the small pictures that are kept; a moving loader makes few anew with these
WRITTEN = 4_000_000  # bytes of those of texts besides: figures go by, and are not to push out what comes again
_BESIDES = 1_000  # bytes of a picture besides its pixels, about


@dataclass(slots=True)
class Small:
    """A small picture; ``right`` and ``down`` are where in it the place lies that it is put to [device px].

    ``of`` is what it shows, where its key does not say it.
    """

    picture: QPixmap
    right: int
    down: int
    of: object = None

    @property
    def size(self) -> int:
        """How much memory it takes [bytes], about."""
        return self.picture.width() * self.picture.height() * self.picture.depth() // 8 + _BESIDES


class Inks:
    """The colours, pens and brushes of one theme, each made once.

    ``pictures`` and those of ``texts`` are kept here for all that paint with them: together they have a bound.
    """

    def __init__(self, theme: Theme) -> None:
        self.theme = theme
        self.pictures: Kept[tuple[object, ...], Small] = Kept(ROOM, lambda small: small.size)
        self.texts: Kept[tuple[object, ...], Small] = Kept(WRITTEN, lambda small: small.size)
        self._colours: dict[str, QColor] = {}
        self._brushes: dict[str, QBrush] = {}
        self._pens: dict[tuple[str, float, tuple[float, ...]], QPen] = {}

    def colour(self, role: str) -> QColor:
        """Return the colour of a role of the theme."""
        found = self._colours.get(role)
        if found is None:
            found = self._colours[role] = QColor(self.theme.colour(role))
        return found

    def brush(self, role: str) -> QBrush:
        """Return the solid brush of a role."""
        found = self._brushes.get(role)
        if found is None:
            found = self._brushes[role] = QBrush(self.colour(role))
        return found

    def pen(self, role: str, width: float, dash: tuple[float, ...] = ()) -> QPen:
        """Return the pen of a role: flat caps, mitred joins; dash lengths in pixels, not in widths."""
        key = (role, width, dash)
        found = self._pens.get(key)
        if found is None:
            found = QPen(
                self.colour(role),
                width,
                Qt.PenStyle.SolidLine,
                Qt.PenCapStyle.FlatCap,
                Qt.PenJoinStyle.MiterJoin,
            )
            if dash:
                found.setDashPattern([length / max(width, 0.1) for length in dash])
            if len(self._pens) > 1000:
                self._pens.clear()
            self._pens[key] = found
        return found
