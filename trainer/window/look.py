"""How the window looks at this moment: theme, unit system, scale, and whether marks move."""

from __future__ import annotations

from trainer.drawing.theme import THEMES
from trainer.units import System
from trainer.window.painter import Inks

__all__ = ["LEAST_TEXT", "Look"]

LEAST_TEXT = 12.0  # no text is smaller [logical px]


class Look:
    """Shared by every view of one window; a view repaints when ``key`` has changed.

    ``scale`` is logical pixels per board pixel; ``least`` the smallest text in board pixels.
    """

    def __init__(self, theme: str = "light", system: System = System.METRIC, still_marks: bool = False) -> None:
        self.system = system
        self.scale = 1.0
        self.still_marks = still_marks
        self.theme = ""
        self.set_theme(theme)

    def set_theme(self, name: str) -> None:
        """Choose a theme by name; an unknown one becomes "light"."""
        self.theme = name if name in THEMES else "light"
        self.inks = Inks(THEMES[self.theme])

    @property
    def least(self) -> float:
        """The smallest text [board px] at this scale."""
        return LEAST_TEXT / self.scale

    @property
    def key(self) -> tuple[object, ...]:
        """What a cached picture depends on, besides its size."""
        return self.theme, self.system, self.scale, self.still_marks

    def size(self, board: float) -> float:
        """Return a text size [board px] that is not below the least."""
        return max(board, self.least)
