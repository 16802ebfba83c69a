"""Pictures of every screen: both rigs, themes, unit systems and three sizes, made by one command to be looked at."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from trainer import resources, rig_file
from trainer.engine.session import FRAME, Session
from trainer.errors import SpoolroomError
from trainer.units import System
from trainer.window import settings
from trainer.window.app import application
from trainer.window.arrangement import Panes
from trainer.window.board import BoardWindow

__all__ = ["SIZES", "make"]

SIZES = ((1280, 720), (1366, 768), (1920, 1080))
_THEMES = ("light", "dark")
_LEVERS = {"1V1.lever": 0.6, "3V1.lever": 0.6}  # what is moved where the rig has it
_SECONDS = 2.0  # of lifting before the pictures


def make(folder: Path, rigs: Sequence[str] = (), screens: Sequence[str] = ()) -> int:
    """Write the pictures into a folder as "rig-screen-theme-units-WIDTHxHEIGHT.png"; return how many.

    ``rigs`` and ``screens`` choose some of them. Raises SpoolroomError for a folder that cannot be written to and for
    a screen that there is not.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise SpoolroomError(f"{folder} cannot be written to: {error.strerror or error}.") from error
    count = 0
    for name in rigs or resources.rigs():
        for theme, system, size in itertools.product(_THEMES, System, SIZES):
            window = _board(name, theme, system, size)
            shown = set()
            for screen, show in _screens(window):
                shown.add(screen)
                if screens and screen not in screens:
                    continue
                show()
                _let_pass(window, 0.3)
                file = folder / f"{name}-{screen}-{theme}-{system.name.lower()}-{size[0]}x{size[1]}.png"
                if not window.grab().save(str(file)):
                    raise SpoolroomError(f"{file} cannot be written.")
                count += 1
                _put_away(window)
            unknown = sorted(set(screens) - shown)
            if unknown:
                raise SpoolroomError(f"'{unknown[0]}' is no screen. Write one of {', '.join(sorted(shown))}.")
            window.close()
            window.deleteLater()
            application().processEvents()
    return count


def _board(name: str, theme: str, system: System, size: tuple[int, int]) -> BoardWindow:
    application()
    rig = rig_file.load(resources.rigs()[name])
    window = BoardWindow(Session(rig), settings.Kept(theme, system, False, size, Panes()))
    window.show()
    window.resize(*size)
    window.run()
    _let_pass(window, 0.5)
    for lever, value in _LEVERS.items():
        if lever in window.rack.levers and (lever == "3V1.lever" or "3V1.lever" not in window.rack.levers):
            window.rack.levers[lever].motion.set_exactly(value)
    _let_pass(window, _SECONDS)
    return window


def _let_pass(window: BoardWindow, seconds: float) -> None:
    for _ in range(round(seconds / FRAME)):
        window.tick(FRAME)
        application().processEvents()


def _screens(window: BoardWindow) -> Iterator[tuple[str, Callable[[], object]]]:
    """Yield (name, what shows it) of every screen that a window has."""
    yield "board", lambda: None
    if window.board.machine.exists:
        yield "machine", lambda: window.board.set_panes(Panes("machine"))
        yield "both", lambda: window.board.set_panes(Panes("both"))
    yield "keys", window.change_help
    yield "rigs", window.change_chooser
    yield "projector", window.change_projector
    for desk in window.desks:
        for screen, method in desk.screens.items():
            yield screen, getattr(desk, method)


def _put_away(window: BoardWindow) -> None:
    """Bring the window back to the plain board."""
    page = window.board
    if window.pages.currentWidget() is window.projector:
        window.change_projector()
    for over, change in ((page.help, window.change_help), (page.rigs, window.change_chooser)):
        if over.isVisible():
            change()
    for pane in [*page.over.open.values()]:
        page.over.close(pane)
    if page.panes.view != "drawing":
        page.set_panes(Panes())
    window.run()
    _let_pass(window, 2 * FRAME)
