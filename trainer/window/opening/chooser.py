"""Choosing a rig: a page with the shipped ones and a file of one's own."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QWidget

from trainer.changing.rig_shelf import OnShelf, by_topic, shelf
from trainer.drawing.scene_picture import scene_picture
from trainer.drawing.shapes import DrawList, Words
from trainer.drawing.theme import THEMES
from trainer.errors import SpoolroomError
from trainer.language import mark, tr
from trainer.rig import file as rig_file
from trainer.window.controls.items import Item
from trainer.window.controls.over import Over
from trainer.window.opening.rig_list import RigList
from trainer.window.painting.look import Look

__all__ = ["ChooserPage"]

_OPEN, _ANY = mark("open now"), "any"  # the mark of what is open, the key of a file of one's own


def _same(one: Path, other: Path | None) -> bool:
    return other is not None and one.resolve() == other.resolve()


class ChooserPage(Over):
    """A file of one's own and the shipped rigs in a list, by what they teach, over the board.

    ``chosen`` is told a path, or None for a file to be sought.
    """

    gives_way = True
    chosen = Signal(object)

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(look, parent)
        self.shelf: list[OnShelf] = []  # read when it is shown first
        self.list = RigList(look, self)
        self.list.entered.connect(self._choose)
        self.line = QHBoxLayout(self)
        self.line.addWidget(self.list)
        self.setFocusProxy(self.list)
        self.setObjectName("rigs")
        self.setAccessibleName(tr("Rigs"))
        self.setAccessibleDescription(tr("Choose a rig with the arrow keys and Enter; Esc goes back to the board"))

    def share(self, other: ChooserPage) -> None:
        """Take what another one has read and drawn: the shipped rigs are the same."""
        self.shelf = other.shelf
        self.list.pictures = other.list.pictures

    def fill(self, file: Path | None = None, title: str = "") -> None:
        """List what there is now.

        The file that is open, with its rig's title, is marked; it has an item of its own where it is no shipped one.
        """
        own = tr("A rig file (.toml) of your own, or drop it on the window; the present rig stays if it has faults.")
        items, open_now = [Item(_ANY, tr("Open a file …"), told=own)], False
        self.shelf = self.shelf or shelf()
        for heading, rigs in by_topic(self.shelf).items():
            items.append(Item(heading, heading, heading=True))
            for one in rigs:
                same = _same(one.path, file)
                open_now = open_now or same
                items.append(Item(str(one.path), one.title, told=one.about, mark=tr(_OPEN) if same else ""))
        self.list.makers = {str(one.path): partial(self._drawn, one.path) for one in self.shelf}
        if file is not None and not open_now:
            items.insert(1, Item(str(file), title, told=str(file), mark=tr(_OPEN)))
        self.list.fill(items)
        self.list.choose_end(last=False)
        self.lay_out()
        self.list.setFocus(Qt.FocusReason.TabFocusReason)

    def _drawn(self, path: Path) -> DrawList:
        """Return the drawing of a rig, nothing where it has none."""
        try:
            return scene_picture(rig_file.load(path), THEMES[self.look.theme], simple=True)
        except SpoolroomError:
            return ()

    def _choose(self, key: str) -> None:
        self.chosen.emit(Path(key) if key != _ANY else None)

    def lay_out(self) -> None:
        """Place the list for the present look."""
        scale = self.look.scale
        left, top, bottom = (round(length * scale) for length in (114, 150, 24))
        self.line.setContentsMargins(left, top, left, bottom)
        self.take_looks()
        self.line.activate()
        self.canvas.forget()
        self.update()

    def still_shapes(self) -> DrawList:
        """Return the title, and the way back."""
        right = self.width() / self.look.scale - 120.0
        return [
            Words(120.0, 110.0, tr("Rigs"), 30.8, weight=600),
            Words(right, 110.0, tr("Esc: back to the board"), 18.0, "ink2", align="right"),
        ]

    def resizeEvent(self, event: QResizeEvent) -> None:
        self.lay_out()
