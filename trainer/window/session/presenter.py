"""A presenter: one group of tools of the window, with its views, its panes and its keys in a room of its own."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import ClassVar, Generic, TypeVar

from trainer.engine.readings import Readings
from trainer.engine.session import Session
from trainer.window.session.controller import SessionController
from trainer.window.session.stage import Stage

__all__ = ["Presenter"]

Page = TypeVar("Page", contravariant=True)  # whoever needs less than the board gives may have the board


class Presenter(Generic[Page]):
    """Base of all presenters; the window knows nothing else of them.

    It is given the ``controller`` of the session, the ``stage`` for what it shows, and by ``take`` the ``page``: the
    views that it names as ``Page``. ``actions`` maps actions of the table of keys to its methods; those that can be
    done on every screen, not only on the board, are named in ``everywhere``.
    """

    actions: ClassVar[Mapping[str, str]] = {}
    everywhere: ClassVar[Collection[str]] = ()
    page: Page

    def __init__(self, controller: SessionController, stage: Stage) -> None:
        self.controller, self.stage = controller, stage

    @property
    def session(self) -> Session:
        """The session that is shown."""
        return self.controller.session

    def refused(self, action: str) -> bool:
        """Whether an action cannot be done now, however it is asked for; it is said why."""
        refusal = self.stage.actions[action].refusal
        if refusal:
            self.stage.tell(refusal)
        return bool(refusal)

    def take(self, page: Page) -> None:
        """A session and its page have just been built: build views and panes for them."""
        self.page = page

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
