"""The keys of the whole window, each bound to what it does."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial

from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QWidget

from trainer.window.board.presenter import BoardPresenter
from trainer.window.controls.keys import key_of

__all__ = ["ACTIONS", "bind"]

ACTIONS = {  # action of the table of keys -> method of the window; those of the presenters stand there
    "run": "change_running",
    "reset": "reset",
    "rigs": "change_chooser",
    "units": "change_system",
    "theme": "change_theme",
    "marks": "change_marks",
    "projector": "change_projector",
    "help": "change_help",
}
_ALSO = {"larger": "Ctrl+=", "offers": "Menu"}  # the same key unshifted; a key that not every keyboard has
_REPEATING = ("step", "tenth", "back", "larger", "smaller", "undo", "redo", "trace")
_ARROWS = (("Left", 1, 0), ("Right", -1, 0), ("Up", 0, 1), ("Down", 0, -1))


def bind(window: QWidget, actions: Mapping[str, Callable[[], object]], view: BoardPresenter) -> None:
    """Bind every action to its keys; Alt with a figure covers, Ctrl with an arrow moves the drawing."""
    for action, method in actions.items():
        for sequence in filter(None, (key_of(action), _ALSO.get(action))):
            shortcut = QShortcut(QKeySequence(sequence), window, method)
            shortcut.setAutoRepeat(action in _REPEATING)
    for place in range(1, 10):
        QShortcut(QKeySequence(f"Alt+{place}"), window, partial(view.cover, place))
    for name, right, down in _ARROWS:
        QShortcut(QKeySequence(f"Ctrl+{name}"), window, partial(view.pan, right, down))
