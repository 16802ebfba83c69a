"""The keys of the whole window, each bound to what it does."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtGui import QKeySequence, QShortcut

from trainer.window.keys import key_of

if TYPE_CHECKING:
    from trainer.window.board import BoardWindow

__all__ = ["ACTIONS", "bind"]

ACTIONS = {  # action of the table of keys -> method of the window
    "run": "change_running",
    "step": "step",
    "slower": "slower",
    "faster": "faster",
    "reset": "reset",
    "rigs": "change_chooser",
    "view": "change_view",
    "larger": "larger",
    "smaller": "smaller",
    "fit": "fit",
    "units": "change_system",
    "theme": "change_theme",
    "marks": "change_marks",
    "cover all": "cover_all",
    "projector": "change_projector",
    "picture": "save_picture",
    "panes": "first_panes",
    "help": "change_help",
}
_REPEATING = ("step", "larger", "smaller")
_ARROWS = (("Left", 1, 0), ("Right", -1, 0), ("Up", 0, 1), ("Down", 0, -1))


def bind(window: BoardWindow) -> None:
    """Bind every action to its keys; Alt with a figure covers, Ctrl with an arrow moves the drawing."""
    for action, method in ACTIONS.items():
        for sequence in (key_of(action), *(("Ctrl+=",) if action == "larger" else ())):  # the same key unshifted
            shortcut = QShortcut(QKeySequence(sequence), window, getattr(window, method))
            shortcut.setAutoRepeat(action in _REPEATING)
    for place in range(1, 10):
        QShortcut(QKeySequence(f"Alt+{place}"), window, partial(window.cover, place))
    for name, right, down in _ARROWS:
        QShortcut(QKeySequence(f"Ctrl+{name}"), window, partial(window.pan, right, down))
