"""What the window's actions do: methods of the window, those of the presenters, covers and moves of the drawing."""

from __future__ import annotations

from collections.abc import Iterable
from functools import partial

from trainer.language import tr
from trainer.window.board.presenter import BoardPresenter
from trainer.window.controls.actions import Actions
from trainer.window.controls.keys import KEYS
from trainer.window.session.presenter import Presenter
from trainer.window.shell.page import BoardPage

__all__ = ["bind"]

_OWN = {  # action of the table of keys -> method of the window; those of the presenters stand there
    "run": "change_running",
    "reset": "reset",
    "units": "change_system",
    "theme": "change_theme",
    "marks": "change_marks",
    "help": "change_help",
}
_EVERYWHERE = ("units", "theme", "marks")  # on every screen, as all that is time's
_ARROWS = (("Left", 1, 0), ("Right", -1, 0), ("Up", 0, 1), ("Down", 0, -1))


def bind(actions: Actions, window: object, presenters: Iterable[Presenter[BoardPage]]) -> None:
    """Add every action with what it does; Alt with a figure covers, Ctrl with an arrow moves the drawing."""
    everywhere = {*_EVERYWHERE, *(key.action for key in KEYS if key.where == "time")}
    for owner, methods in ((window, _OWN), *((presenter, presenter.actions) for presenter in presenters)):
        for name, method in methods.items():
            actions.add(name, getattr(owner, method))
        if isinstance(owner, Presenter):
            everywhere |= {*owner.everywhere}
        if isinstance(owner, BoardPresenter):
            for place in range(1, 10):
                actions.add(f"cover {place}", partial(owner.cover, place), f"Alt+{place}", tr("Cover or uncover it"))
            for key, right, down in _ARROWS:
                actions.add(f"pan {key}", partial(owner.pan, right, down), f"Ctrl+{key}", tr("Move the drawing"))
    actions.leave_to_board(everywhere)
