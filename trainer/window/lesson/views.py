"""The views of a page that a lesson needs."""

from __future__ import annotations

from typing import Protocol

from trainer.window.board.drawing_view import DrawingView
from trainer.window.board.rack_view import RackView
from trainer.window.dials.dials import DialsView
from trainer.window.painting.look import Look
from trainer.window.time.clock_bar import ClockBar

__all__ = ["Page"]


class Page(Protocol):
    """The views that are asked of a page."""

    beside: Look
    drawing: DrawingView
    dials: DialsView
    bar: ClockBar
    rack: RackView

    def lay_out(self) -> None:
        """Place everything."""

    def focus_levers(self) -> None:
        """Give the keyboard to the first lever."""
