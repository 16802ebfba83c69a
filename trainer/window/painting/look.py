"""How the window looks at this moment: theme, unit system, scale, and whether marks move."""

from __future__ import annotations

from dataclasses import dataclass, field

from trainer.drawing.theme import THEMES
from trainer.units import System
from trainer.window.painting.inks import Inks

__all__ = ["LEAST_TEXT", "Look"]

LEAST_TEXT = 12.0  # no text is smaller [logical px]


@dataclass(slots=True)
class _Shared:
    """What all looks of one window have in common."""

    theme: str = ""
    system: System = System.METRIC
    still_marks: bool = False
    inks: Inks = field(default_factory=lambda: Inks(THEMES["light"]))


class Look:
    """Shared by every view of one window; a view repaints when ``key`` has changed.

    ``scale`` is logical pixels per board pixel; ``least`` the smallest text in board pixels.
    """

    def __init__(self, theme: str = "light", system: System = System.METRIC, still_marks: bool = False) -> None:
        self._shared = _Shared(system=system, still_marks=still_marks)
        self.scale = 1.0
        self.set_theme(theme)

    def beside(self) -> Look:
        """Return a look that shares all but the scale."""
        other = Look()
        other._shared = self._shared
        return other

    @property
    def theme(self) -> str:
        """The theme's name."""
        return self._shared.theme

    @property
    def inks(self) -> Inks:
        """Colours, pens and brushes of the theme."""
        return self._shared.inks

    @property
    def system(self) -> System:
        """The unit system."""
        return self._shared.system

    @system.setter
    def system(self, system: System) -> None:
        self._shared.system = system

    @property
    def still_marks(self) -> bool:
        """Whether flow marks stand."""
        return self._shared.still_marks

    @still_marks.setter
    def still_marks(self, still: bool) -> None:
        self._shared.still_marks = still

    def set_theme(self, name: str) -> None:
        """Choose a theme by name; an unknown one becomes "light"."""
        self._shared.theme = name if name in THEMES else "light"
        self._shared.inks = Inks(THEMES[self._shared.theme])

    @property
    def least(self) -> float:
        """The smallest text [board px] at this scale."""
        return LEAST_TEXT / self.scale

    @property
    def key(self) -> tuple[object, ...]:
        """What a cached picture depends on, besides its size."""
        return self.theme, self.system, self.scale, self.still_marks

    def pixels(self, board: float) -> int:
        """Return the height in pixels of a type of ``board`` px, never below the least."""
        return round(max(board * self.scale, LEAST_TEXT))

    def size(self, board: float) -> float:
        """Return a text size [board px] that is not below the least."""
        return max(board, self.least)
