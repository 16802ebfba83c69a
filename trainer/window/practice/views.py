"""What practice asks of a page, and of its presenter."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Protocol

from PySide6.QtCore import QSize

from trainer.engine.session import Session
from trainer.measuring.needles import Needles
from trainer.window.board.drawing_view import DrawingView
from trainer.window.board.rack_view import RackView
from trainer.window.lesson.presenter import LessonPresenter
from trainer.window.opening.presenter import OpeningPresenter
from trainer.window.session.controller import SessionController
from trainer.window.session.stage import Stage

__all__ = ["Owner", "Page"]


class Notice(Protocol):
    """What the window has to say."""

    words: str


class Page(Protocol):
    """The views that are asked of a page."""

    needles: Needles
    drawing: DrawingView
    rack: RackView

    @property
    def notice(self) -> Notice:
        """The line that tells."""

    def stand_at(self, size: QSize) -> None:
        """Take a size [px] and place everything for it, seen or not."""


class Owner(Protocol):
    """Who has the desk. ``caption`` returns what is heard, ``sticks`` which stick leads which lever, in words."""

    controller: SessionController
    stage: Stage
    opening: OpeningPresenter
    lesson: LessonPresenter
    page: Page

    @property
    def session(self) -> Session:
        """The session that is shown."""

    def caption(self) -> str:
        """Return what is heard."""

    def says(self) -> str:
        """Return what is wrong with the sticks, or what else the window has to say."""

    def sticks(self) -> Mapping[str, str]:
        """Return which stick leads which lever now."""
