"""The door to two rigs beside each other: chooses what stands beside the board's rig, and gives the board back."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QFileDialog

from trainer.changing.caption import caption
from trainer.errors import SpoolroomError
from trainer.language import tr
from trainer.pairing import sides
from trainer.pairing.sides import Otherwise, Side
from trainer.window.opening.presenter import OpeningPresenter
from trainer.window.painting.day import today
from trainer.window.rig.presenter import RigPresenter
from trainer.window.session.controller import SessionController
from trainer.window.session.presenter import Presenter
from trainer.window.session.screen import Screen
from trainer.window.session.stage import Stage
from trainer.window.strip.presenter import file_asked
from trainer.window.strip.time_axis import time_text

if TYPE_CHECKING:
    from trainer.window.beside.choosing import ChoiceScreen
    from trainer.window.beside.screen import BesideScreen
    from trainer.window.strip.export import Sheet

__all__ = ["BesidePresenter"]


class Notice(Protocol):
    """What the window has to say."""

    words: str


class Page(Protocol):
    """The views that are asked of a page."""

    @property
    def notice(self) -> Notice:
        """The line that tells."""


class BesidePresenter(Presenter[Page]):
    """Shows the ``choice``, then both rigs, made when they are asked for; the board's session stands meanwhile.

    ``other``: what the rig beside has otherwise, where it is the same one.
    """

    actions = {"beside": "change_screen"}
    everywhere = ("beside",)
    choice: ChoiceScreen | None = None
    screen: BesideScreen | None = None
    _was_running = False
    _before: Screen | None = None  # from where the choice was asked for

    def __init__(
        self, controller: SessionController, stage: Stage, opening: OpeningPresenter, rig: RigPresenter
    ) -> None:
        super().__init__(controller, stage)
        self.opening, self.rig = opening, rig
        self.other = Otherwise()

    def take(self, page: Page) -> None:
        """Take another session; what stood beside the one before goes with its screens."""
        super().take(page)
        self._give_up()
        if self.screen is not None:
            self.screen.returns = False
        self.choice = self.screen = self._before = None
        self.other = Otherwise()

    # -- what stands beside --------------------------------------------------------------------------------------

    def change_screen(self) -> None:
        """Choose what stands beside the rig of the board; from there and from both rigs back."""
        shown = self.stage.screen
        if shown is not None and shown is self.screen:
            self.leave()
        elif shown is not None and shown is self.choice:
            self._leave_choice()
        elif shown is None:
            self.show_choice()

    def begin(self, path: Path | None, other: Otherwise) -> None:
        """Show what was asked for before there was a window: another rig, the same one changed, or the choice."""
        if path is not None:
            self.show_rig(path)
        elif other:
            self.show_changed(other)
        else:
            self.show_choice()

    def show_choice(self) -> None:
        """Show what can stand beside the rig; while a question covers something it is said why not."""
        if self.refused("beside"):
            return
        if self.choice is None:
            from trainer.window.beside.choosing import ChoiceScreen

            self.choice = choice = ChoiceScreen(self.stage.look, self.stage.room)
            choice.left.connect(self._leave_choice)
            choice.rig_chosen.connect(self.show_rig)
            choice.file_asked.connect(self._ask_file)
            choice.as_in_file_chosen.connect(self.show_as_in_file)
            choice.changed.connect(self._change)
        self.choice.fill(self.rig.changes, self.rig.file, self.other)
        if self.stage.screen is not self.choice:
            self._before = self.stage.screen
        self.stage.show_screen(self.choice)
        self.choice.take_look()
        self.choice.focus()

    def _leave_choice(self) -> None:
        self.stage.show_screen(self._before)

    def _ask_file(self) -> None:
        places = self.stage.places
        name, _ = QFileDialog.getOpenFileName(
            self.stage.frame, tr("Open a rig"), str(places.folder("open")), tr("Rigs (*.toml);;All files (*)")
        )
        if name:
            places.went("open", Path(name))
            self.show_rig(Path(name))

    def show_rig(self, path: Path) -> bool:
        """Show the rig of a file beside the board's; with faults they are told, and nothing changes."""
        self.other = Otherwise()
        return self._show(path.name, lambda first: sides.another(path, first.session, self.controller.kept))

    def show_as_in_file(self) -> bool:
        """Show the board's rig as its file has it beside what it is now: before and after a change."""
        self.other = Otherwise()
        original = self.rig.changes.original
        return self._show(
            original.title, lambda first: sides.as_in_file(first.session, original, self.controller.kept)
        )

    def show_changed(self, other: Otherwise) -> bool:
        """Show the same rig beside it, with something otherwise."""
        self.other = other
        original = self.rig.changes.original
        return self._show(original.title, lambda first: sides.changed(first.session, original, other))

    def _change(self, other: Otherwise) -> None:
        self.show_changed(other)

    def _show(self, source: str, other: Callable[[Side], Side]) -> bool:
        """Show the board's rig at its start, and another one that is made for it, beside each other."""
        if self.refused("beside"):
            return False
        from trainer.window.beside.screen import BesideScreen

        QGuiApplication.setOverrideCursor(Qt.CursorShape.WaitCursor)
        try:
            first = Side(sides.at_start(self.session), self.rig.changes.original)
            second = other(first)
            made = BesideScreen(
                self.stage.look, (first, second), self.controller, self.stage.actions, self.stage.room
            )
        except (SpoolroomError, ValueError) as error:
            self.opening.faults.show(source, error)
            return False
        finally:
            QGuiApplication.restoreOverrideCursor()
        running = self._was_running if self.screen is not None else self.session.running
        self._put_away()
        self._was_running, self.screen = running, made
        made.left.connect(self.leave)
        made.another_asked.connect(self.show_choice)
        made.export_asked.connect(self.export)
        made.copy_asked.connect(self.copy)
        self.stage.show_screen(made)
        if self.controller.machine_code and self.controller.translator is not None:
            session = second.session
            session.solver.translate(self.controller.translator, session.x, session.pu)
        self.controller.run(True)
        if words := made.left_out():
            self.stage.tell(words)
        return True

    def leave(self) -> None:
        """Give the board back as it was: its rig at its instant, running where it ran."""
        running = self._was_running
        self.stage.show_screen(None)
        self._put_away()
        self.controller.run(running)

    def _put_away(self) -> None:
        """Let go of both rigs."""
        screen = self.screen
        self._give_up()
        self.screen = self._before = None
        if screen is not None:
            screen.hide()
            screen.deleteLater()

    def _give_up(self) -> None:
        """Wait no longer for machine code of the rig beside."""
        if self.screen is not None:
            other = self.screen.pair.second.solver
            if other is not self.screen.pair.first.solver:
                other.give_up_translation()

    # -- its strip, into a file ----------------------------------------------------------------------------------

    def _sheet(self, screen: BesideScreen) -> tuple[Sheet, str, str]:
        """Return the strip of both as it is written, what it is called, and the words below it."""
        system, words = self.stage.look.system, []
        for number, side in enumerate(screen.sides, 1):
            words.append(f"{number}: {caption(side.session, today(), side.differs(system), system)}")
        words += [
            tr("mark {name} at {time}").format(name=name, time=time_text(time, 60.0)) for time, name in screen.marks
        ]
        title = tr("{first} beside {second}").format(first=screen.sides[0].title, second=screen.sides[1].title)
        return screen.strip.picture.sheet(), title, " · ".join(words)

    def export(self) -> None:
        """Ask for a file and write the shown stretch of both there."""
        screen = self.screen
        path = file_asked(self.stage, screen.sides[0].title, " beside.csv") if screen is not None else None
        if path is not None:
            self.write(path)

    def write(self, path: Path) -> bool:
        """Write the shown stretch of both into a file; say where it is, or why not. Return whether it was written."""
        from trainer.window.strip.export import write_sheet

        if self.screen is None:
            return False
        try:
            sheet, title, words = self._sheet(self.screen)
            write_sheet(sheet, path, title, words)
        except SpoolroomError as error:
            self.stage.tell(str(error))
            return False
        self.stage.places.went("strip", path)
        self.stage.tell(tr("The strip of both is in {name}.").format(name=path.name))
        return True

    def copy(self) -> None:
        """Put the shown stretch of both on the clipboard, as it would be written into a file."""
        from trainer.window.strip.export import image_of

        if self.screen is not None:
            QGuiApplication.clipboard().setImage(image_of(*self._sheet(self.screen)))
            self.stage.tell(tr("The strip of both is on the clipboard, as a picture in black on white."))

    # -- what is shown -------------------------------------------------------------------------------------------

    def show_figures(self, seconds: float) -> None:
        """Print the figures of both, and what there is to say."""
        screen = self.screen
        if screen is None or self.stage.screen is not screen:
            return
        screen.take_figures()
        words = self.page.notice.words
        own = self.session.notice
        screen.bar.say(screen.says() or (words if words not in (self.stage.heard, own) else ""))

    def new_look(self) -> None:
        """Take other colours and units."""
        if self.screen is not None and self.stage.screen is self.screen:
            self.screen.new_look()
        elif self.choice is not None and self.stage.screen is self.choice:
            self.choice.take_look()
            self.choice.again()

    def close(self) -> None:
        """Wait for nothing."""
        self._give_up()
