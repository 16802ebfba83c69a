"""Colours, pens and brushes by their roles in a theme."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QBrush, QColor, QPen

from trainer.drawing.theme import Theme

__all__ = ["Inks"]


class Inks:
    """The colours, pens and brushes of one theme, each made once."""

    def __init__(self, theme: Theme) -> None:
        self.theme = theme
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
