"""Opening the board: the application, its window, whether there is a screen for it."""

from __future__ import annotations

import sys
from collections.abc import Sequence

from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QApplication

from trainer import garbage, screen
from trainer.changing.opening import running as running_session
from trainer.engine.kept import Kept
from trainer.engine.machine_code import Translator
from trainer.rig.rig import Rig
from trainer.window.lesson.presenter import LessonPresenter
from trainer.window.painting import fonts
from trainer.window.recovery.presenter import RecoveryPresenter, recovery_folder
from trainer.window.shell import settings
from trainer.window.shell.interrupt import closed_by_signals
from trainer.window.shell.window import BoardWindow

__all__ = ["application", "open_board", "probe", "run"]


def probe() -> str:
    """Return in a few words why no window can be seen here, or nothing; Qt is tried in a child process."""
    return screen.trouble()


def application(arguments: Sequence[str] = ()) -> QApplication:
    """Return the one application, with the type family loaded."""
    found = QApplication.instance()
    made = found if isinstance(found, QApplication) else QApplication([sys.argv[0], *arguments])
    made.setApplicationName("spoolroom")
    made.setApplicationDisplayName("Spoolroom")
    fonts.load()
    made.setFont(fonts.font(14))
    return made


def open_board(rig: Rig, running: bool = True, compiler: bool = True, known: Kept | None = None) -> BoardWindow:
    """Open a rig on the board and return its window, live. Without ``compiler`` none is used.

    ``known``: what is kept of rigs, of this user if nothing is said.

    Raises SpoolroomError.
    """
    application()
    file = settings.place()
    free = [screen.availableGeometry() for screen in QGuiApplication.screens()]
    kept = settings.within_screens(settings.recall(file), [(room.width(), room.height()) for room in free])
    known = known or Kept.of_this_user()
    with garbage.unsought():
        window = BoardWindow(running_session(rig, kept=known), kept, file)
    window.controller.kept = known
    if compiler:
        window.controller.translator = Translator.of_this_computer()
    window.show()
    if trouble := settings.passed_over(file):
        window.tell(trouble)
    window.start(running)
    for presenter in window.presenters:
        if isinstance(presenter, RecoveryPresenter):
            presenter.begin(recovery_folder())
        elif isinstance(presenter, LessonPresenter):
            presenter.begin(recovery_folder().parent)
    return window


def run(rig: Rig, compiler: bool = True) -> int:
    """Open a rig on the board and stay until its window is closed; return the program's exit code."""
    made = application()
    window = open_board(rig, compiler=compiler)
    with closed_by_signals(window):
        code = made.exec()
    del window
    return int(code)
