"""A presenter: one group of tools of the window, with its views, its panes and its keys in its own files."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, ClassVar

if TYPE_CHECKING:
    from trainer.engine.readings import Readings
    from trainer.window.shell.window import BoardWindow

__all__ = ["Presenter"]


class Presenter:
    """Base of all presenters; the window knows nothing else of them.

    ``actions`` maps actions of the table of keys to methods of the presenter.
    """

    actions: ClassVar[Mapping[str, str]] = {}

    def __init__(self, window: BoardWindow) -> None:
        self.window = window

    def take(self) -> None:
        """A session and its page have just been built: build views and panes for them."""

    def refit(self) -> None:
        """The session's rig has other instruments now; session and page are the same."""

    def show_instant(self, live: Readings, seconds: float, passed: float) -> None:
        """Show a new instant, some wall seconds after the last, ``passed`` of model time; every frame, so quickly."""

    def show_figures(self, seconds: float) -> None:
        """Print figures, eight times a second; ``seconds`` of wall time passed since the last time."""

    def new_look(self) -> None:
        """Theme, units or scale have changed."""

    def close(self) -> None:
        """The window closes."""
