"""What is looked at: zoom and panes of the drawing, the machine, covers, the drawing as a picture."""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Protocol

from PySide6.QtGui import QGuiApplication, QImage
from PySide6.QtWidgets import QFileDialog

from trainer.errors import SpoolroomError
from trainer.language import tr
from trainer.window.board.arrangement import Panes
from trainer.window.board.drawing_view import DrawingView
from trainer.window.board.machine_pane import MachinePane
from trainer.window.painting import picture
from trainer.window.painting.zoom import STEP
from trainer.window.session.presenter import Presenter

__all__ = ["BoardPresenter"]


class Dials(Protocol):
    """The dials, to be covered."""

    def toggle(self, place: int) -> None:
        """Cover or uncover the instrument at a place, from 1."""

    def toggle_all(self) -> None:
        """Cover all instruments, or uncover all."""


class Page(Protocol):
    """The views that are asked of a page."""

    drawing: DrawingView
    machine: MachinePane

    @property
    def dials(self) -> Dials:
        """The dials."""

    def next_view(self) -> None:
        """Show the drawing, then drawing and machine, then the machine."""

    def set_panes(self, panes: Panes) -> None:
        """Take another arrangement."""


class BoardPresenter(Presenter[Page]):
    """Zooms and moves the drawing, shows the machine, covers instruments, writes the drawing into a file."""

    actions = {
        "larger": "larger",
        "smaller": "smaller",
        "fit": "fit",
        "view": "change_view",
        "panes": "first_panes",
        "cover all": "cover_all",
        "picture": "save_picture",
        "copy": "copy_picture",
    }

    def take(self, page: Page) -> None:
        """Take the new page; the view of one without a machine cannot be changed."""
        super().take(page)
        none = "" if page.machine.exists else tr("This rig has no machine to show, only its circuit.")
        self.stage.actions["view"].allow(none)

    def larger(self) -> None:
        """Magnify the drawing about the pointer."""
        self.page.drawing.magnify(STEP)

    def smaller(self) -> None:
        """Make the drawing smaller, down to the whole."""
        self.page.drawing.magnify(1 / STEP)

    def fit(self) -> None:
        """Show the whole drawing."""
        self.page.drawing.fit()

    def pan(self, right: int, down: int) -> None:
        """Move the magnified drawing by steps."""
        step = 0.08 * self.page.drawing.height()
        self.page.drawing.pan(step * right, step * down)

    def change_view(self) -> None:
        """Show the drawing, then drawing and machine, then the machine."""
        self.page.next_view()

    def first_panes(self) -> None:
        """Bring borders, panes and zoom back to where they were at first."""
        self.page.drawing.fit()
        self.page.set_panes(Panes())

    def cover(self, place: int) -> None:
        """Cover or uncover the instrument at a place, from 1."""
        self.page.dials.toggle(place)

    def cover_all(self) -> None:
        """Cover all instruments, or uncover all."""
        self.page.dials.toggle_all()

    def copy_picture(self) -> None:
        """Put the drawing on the clipboard, as it would be written into a file."""
        with TemporaryDirectory(prefix="spoolroom-") as folder:
            path = Path(folder) / "drawing.png"
            try:
                self._write(path)
            except SpoolroomError as error:
                self.stage.tell(str(error))
                return
            copied = QImage(str(path))
        QGuiApplication.clipboard().setImage(copied)
        self.stage.tell(tr("The drawing is on the clipboard, as a picture in black on white."))

    def save_picture(self) -> None:
        """Ask for a file and write the drawing there."""
        name, _ = QFileDialog.getSaveFileName(
            self.stage.frame,
            tr("Save the drawing"),
            self.stage.places.proposed("picture", self.session.rig.title, ".png"),
            tr("Pictures (*.png *.pdf)"),
        )
        if not name:
            return
        try:
            self._write(Path(name))
        except SpoolroomError as error:
            self.stage.tell(str(error))
        else:
            self.stage.places.went("picture", Path(name))
            self.stage.tell(tr("The drawing is in {name}.").format(name=Path(name).name))

    def _write(self, path: Path) -> None:
        picture.write(
            self.session,
            path,
            system=self.stage.look.system,
            words=self.stage.caption(),
            view=self.page.drawing.state,
        )
