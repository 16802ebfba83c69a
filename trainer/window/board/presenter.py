"""What is looked at: zoom and panes of the drawing, the machine, covers, the drawing as a picture."""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory

from PySide6.QtGui import QGuiApplication, QImage
from PySide6.QtWidgets import QFileDialog

from trainer.errors import SpoolroomError
from trainer.window.board.arrangement import Panes
from trainer.window.painting import picture
from trainer.window.painting.zoom import STEP
from trainer.window.session.presenter import Presenter

__all__ = ["BoardPresenter"]


class BoardPresenter(Presenter):
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

    def take(self) -> None:
        """Listen to the bar of the new page."""
        self.window.bar.view_asked.connect(self.change_view)

    def larger(self) -> None:
        """Magnify the drawing about the pointer."""
        self.window.drawing.magnify(STEP)

    def smaller(self) -> None:
        """Make the drawing smaller, down to the whole."""
        self.window.drawing.magnify(1 / STEP)

    def fit(self) -> None:
        """Show the whole drawing."""
        self.window.drawing.fit()

    def pan(self, right: int, down: int) -> None:
        """Move the magnified drawing by steps."""
        step = 0.08 * self.window.drawing.height()
        self.window.drawing.pan(step * right, step * down)

    def change_view(self) -> None:
        """Show the drawing, then drawing and machine, then the machine."""
        if self.window.board.machine.exists:
            self.window.board.next_view()
        else:
            self.window.tell("This rig has no machine to show, only its circuit.")

    def first_panes(self) -> None:
        """Bring borders, panes and zoom back to where they were at first."""
        self.window.drawing.fit()
        self.window.board.set_panes(Panes())

    def cover(self, place: int) -> None:
        """Cover or uncover the instrument at a place, from 1."""
        self.window.dials.toggle(place)

    def cover_all(self) -> None:
        """Cover all instruments, or uncover all."""
        self.window.dials.toggle_all()

    def copy_picture(self) -> None:
        """Put the drawing on the clipboard, as it would be written into a file."""
        window = self.window
        with TemporaryDirectory(prefix="spoolroom-") as folder:
            path = Path(folder) / "drawing.png"
            try:
                self._write(path)
            except SpoolroomError as error:
                window.tell(str(error))
                return
            copied = QImage(str(path))
        QGuiApplication.clipboard().setImage(copied)
        window.tell("The drawing is on the clipboard, as a picture in black on white.")

    def save_picture(self) -> None:
        """Ask for a file and write the drawing there."""
        window = self.window
        name, _ = QFileDialog.getSaveFileName(
            window,
            "Save the drawing",
            window.places.proposed("picture", window.session.rig.title, ".png"),
            "Pictures (*.png *.pdf)",
        )
        if not name:
            return
        try:
            self._write(Path(name))
        except SpoolroomError as error:
            window.tell(str(error))
        else:
            window.places.went("picture", Path(name))
            window.tell(f"The drawing is in {Path(name).name}.")

    def _write(self, path: Path) -> None:
        window = self.window
        picture.write(
            window.session, path, system=window.look.system, words=window.caption(), view=window.drawing.state
        )
