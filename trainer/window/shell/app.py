"""Opening the board: the application, its window, whether there is a screen for it."""

from __future__ import annotations

import errno
import os
import sys
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import platformdirs
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QApplication

from trainer import files, garbage, resources, screen
from trainer.changing.opening import running as running_session
from trainer.changing.recovery import found
from trainer.engine.kept import Kept
from trainer.engine.machine_code import Translator
from trainer.engine.session import Session
from trainer.errors import SpoolroomError
from trainer.language import tr
from trainer.pairing.sides import Otherwise
from trainer.rig import file as rig_file
from trainer.rig.rig import Rig
from trainer.window.beside.presenter import BesidePresenter
from trainer.window.first_start.presenter import DoorsPresenter
from trainer.window.hands.presenter import HandsPresenter
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


def open_board(
    rig: Rig, running: bool = True, compiler: bool = True, known: Kept | None = None, named: bool = True
) -> BoardWindow:
    """Open a rig on the board and return its window, live. Without ``compiler`` none is used.

    ``known``: what is kept of rigs, of this user if nothing is said. Where the rig was not ``named`` by the user, the
    one that was open last comes instead, and the lesson; who has not been here before is shown the first page.

    Raises SpoolroomError.
    """
    application()
    file = settings.place()
    free = [screen.availableGeometry() for screen in QGuiApplication.screens()]
    kept = settings.within_screens(settings.recall(file), [(room.width(), room.height()) for room in free])
    known = known or Kept.of_this_user()
    told = [settings.passed_over(file)]
    with garbage.unsought():
        session, trouble = (running_session(rig, kept=known), "") if named else _last(kept.rig, rig, known)
        window = BoardWindow(session, kept, file)
    window.controller.kept = known
    window.reads_controllers = True
    told.append(window.presenter(HandsPresenter).keep_in(file.parent))
    if compiler:
        window.controller.translator = Translator.of_this_computer()
    recovery = window.presenter(RecoveryPresenter)
    unsaved = bool(found(recovery_folder()))
    greeted = named or kept.remembered.welcomed or unsaved
    if greeted:
        told.append(trouble)
    else:
        told.append(not_kept(file, replace(kept, remembered=replace(kept.remembered, welcomed=True))))
    words = " ".join(filter(None, told))
    if not greeted:
        window.presenter(DoorsPresenter).show(words).painted.connect(window.first_painted)
    window.show()
    if words:
        window.tell(words)
    window.start(running)
    recovery.begin(recovery_folder())
    if recovery.pane is not None:  # it may hide all of the board
        recovery.pane.painted.connect(window.first_painted, Qt.ConnectionType.SingleShotConnection)
    window.presenter(LessonPresenter).begin(recovery_folder().parent)
    window.resumes = greeted and not (named or unsaved)
    return window


def _last(name: str, rig: Rig, known: Kept) -> tuple[Session, str]:
    """Return a session of the rig that was open last, a shipped one's name or a file, and nothing to be told.

    Of another rig where there is none, and why it is that one.
    """
    shipped, trouble = resources.rigs(), ""
    if name:
        try:
            return running_session(rig_file.load(shipped.get(name) or Path(name)), kept=known), ""
        except SpoolroomError:
            trouble = tr("{name}, which was open the last time, cannot be opened any more.").format(name=name)
    return running_session(rig, kept=known), trouble


def not_kept(file: Path, kept: settings.Kept) -> str:
    """Keep the settings, and return what cannot be kept for this user, settings or answers, or nothing."""
    told = []
    if why := settings.keep(kept, file):
        told.append(tr("Settings cannot be kept in {folder} ({why}).").format(folder=file.parent, why=why))
    folder = platformdirs.user_data_path("spoolroom", appauthor=False)
    try:
        if not os.access(files.own_folder(folder), os.W_OK):
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
    except OSError as error:
        told.append(tr("Answers cannot be kept in {folder} ({why}).").format(folder=folder, why=files.reason(error)))
    return " ".join(told)


def run(
    rig: Rig, compiler: bool = True, named: bool = True, beside: tuple[Path | None, Otherwise] | None = None
) -> int:
    """Open a rig on the board and stay until its window is closed; return the program's exit code.

    One that the user has not ``named`` gives way to the one that was open last. ``beside``: another rig's file that
    stands beside it, or None and what the same one has otherwise there; with neither it is asked for.
    """
    made = application()
    window = open_board(rig, compiler=compiler, named=named)
    if beside is not None:
        window.presenter(BesidePresenter).begin(*beside)
        window.first_painted()  # the board may not be seen at all: what waits for it is loaded all the same
    with closed_by_signals(window):
        code = made.exec()
    del window
    return int(code)
