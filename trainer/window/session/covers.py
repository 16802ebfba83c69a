"""What may not be told now, and why nothing moves: the one owner, which every view and tool asks."""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal

from trainer.lessons.cover import Cover

__all__ = ["HELD", "NAMING", "TELLING", "Covers"]

HELD = (  # actions that move time or the machine, or show an instant that has been
    "run", "step", "tenth", "back", "earlier mark", "later mark", "reset", "undo", "redo", "then", "numbers",
    "fit instrument", "beside",
)  # fmt: skip
TELLING = (
    "working",
    "trace",
    "ask path",
    "ledgers",
    "traces",
    "runs",
    "export",
    "beside",
)  # actions that tell what is covered
NAMING = ("part page", "glossary", "numbers")  # actions that tell what parts are called


class Covers(QObject):
    """``cover`` is what is hidden; ``frozen`` why nothing moves, ``led`` why no hand moves a lever, "" where it may.

    ``changed`` tells of others, ``lift_asked`` that somebody wants all uncovered without an answer.
    """

    changed = Signal()
    lift_asked = Signal()

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self.cover = Cover()
        self.frozen = self.led = ""

    def put(self, cover: Cover, frozen: str = "", led: str = "") -> None:
        """Hide these from now on, and say why nothing moves, or no lever by a hand."""
        if (cover, frozen, led) != (self.cover, self.frozen, self.led):
            self.cover, self.frozen, self.led = cover, frozen, led
            self.changed.emit()

    def lift(self) -> None:
        """Hide nothing, let everything move."""
        self.put(Cover())

    def refusals(self) -> dict[str, str]:
        """Return why actions cannot be done now, by their names."""
        told = dict.fromkeys(TELLING, self.frozen) if self.cover.anything else {}
        if self.cover.units:  # a working is told in both
            told |= dict.fromkeys(("units", "working"), self.frozen)
        if self.cover.names:
            told |= dict.fromkeys(NAMING, self.frozen)
        return told | (dict.fromkeys(HELD, self.frozen) if self.frozen else {})
