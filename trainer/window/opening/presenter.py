"""Opening another rig: from the list, from a file that is asked for or dropped; with faults the present one stays."""

from __future__ import annotations

from pathlib import Path
from typing import Protocol

from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QFileDialog

from trainer.changing.opening import session_of
from trainer.engine.session import Session
from trainer.errors import SpoolroomError
from trainer.language import tr
from trainer.window.opening.chooser import ChooserPage
from trainer.window.opening.file_faults import FaultReports
from trainer.window.recovery.presenter import RecoveryPresenter
from trainer.window.rig.presenter import RigPresenter
from trainer.window.session.controller import SessionController
from trainer.window.session.presenter import Presenter
from trainer.window.session.stage import Stage
from trainer.window.time.clock_bar import ClockBar

__all__ = ["OpeningPresenter"]


class Page(Protocol):
    """The views that are asked of a page."""

    bar: ClockBar
    rigs: ChooserPage

    def change_chooser(self, file: Path | None, title: str) -> None:
        """Show or hide the list of rigs; the one that is open is marked."""


class OpeningPresenter(Presenter[Page]):
    """Puts the rig of a file in the place of the one that is open. ``faults`` shows what is wrong with one."""

    actions = {"rigs": "change_chooser"}
    rigs: ChooserPage | None = None

    def __init__(
        self, controller: SessionController, stage: Stage, rig: RigPresenter, recovery: RecoveryPresenter
    ) -> None:
        super().__init__(controller, stage)
        self.rig, self.recovery = rig, recovery
        self.faults = FaultReports(stage.look, stage.frame)

    def take(self, page: Page) -> None:
        """Listen to the list and the bar of another page; what is known of the shipped rigs goes on there."""
        if self.rigs is not None:
            page.rigs.share(self.rigs)
        self.rigs = page.rigs
        super().take(page)
        page.rigs.chosen.connect(self._chosen)
        page.rigs.closed.connect(self.change_chooser)
        page.bar.open_asked.connect(self.open_file)

    def change_chooser(self) -> None:
        """Show or hide the list of rigs."""
        if self.stage.screen is None:
            self.page.change_chooser(self.rig.file, self.session.rig.title)

    def _chosen(self, path: Path | None) -> None:
        if path is None:
            self.open_file()
        else:
            self.open_rig(path)

    def open_file(self) -> None:
        """Ask for a rig file and open it."""
        places = self.stage.places
        name, _ = QFileDialog.getOpenFileName(
            self.stage.frame, tr("Open a rig"), str(places.folder("open")), tr("Rigs (*.toml);;All files (*)")
        )
        if name:
            places.went("open", Path(name))
            self.open_rig(Path(name))

    def open_rig(self, path: Path) -> bool:
        """Open the rig in a file instead of the present one; with faults they are shown and the present one stays."""
        controller = self.controller
        QGuiApplication.setOverrideCursor(Qt.CursorShape.WaitCursor)
        try:
            session, running = session_of(path, kept=controller.kept), self.session.running
            self.show_session(session)
        except SpoolroomError as error:
            self.faults.show(path.name, error)
            return False
        finally:
            QGuiApplication.restoreOverrideCursor()
        controller.run(running)
        return True

    def show_session(self, session: Session) -> None:
        """Show a fresh session instead of the present one, whose unsaved changes are kept. Raises SpoolroomError."""
        title, unsaved = self.session.rig.title, self.recovery.unsaved()
        self.controller.replace(session)
        self.controller.marks.clear()
        self.stage.forget_words()
        if unsaved and self.recovery.lay_by(unsaved):
            self.stage.tell(
                tr("What was changed in {title} and not saved is kept, and offered at the next start.").format(
                    title=title
                )
            )
