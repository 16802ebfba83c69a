"""Choosing a rig: a page with the shipped ones and a file of one's own."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from trainer.changing.rig_shelf import OnShelf, fits, found_by_topic, shelf
from trainer.drawing.scene_picture import scene_picture
from trainer.drawing.shapes import DrawList, Words
from trainer.drawing.theme import THEMES
from trainer.errors import SpoolroomError
from trainer.language import mark, tr, trn
from trainer.rig import file as rig_file
from trainer.window.controls.finding import FindLine
from trainer.window.controls.items import Item
from trainer.window.controls.labels import Label
from trainer.window.controls.over import Over
from trainer.window.opening.rig_list import RigList
from trainer.window.painting import fonts
from trainer.window.painting.look import Look

__all__ = ["ChooserPage", "no_rig"]

_OPEN, _ANY = mark("open now"), "any"  # the mark of what is open, the key of a file of one's own
_HEAD, _SMALL = 30.8, 18.0  # type of the title, and of what stands beside it [board px]
_EDGE, _LINE = 120.0, 110.0  # where these begin, and their line [board px]
_WIDE, _GAP = 600.0, 36.0  # of the line in which a rig is sought, and beside it [board px]


def _same(one: Path, other: Path | None) -> bool:
    return other is not None and one.resolve() == other.resolve()


def no_rig(sought: str) -> str:
    """Say that no rig has what is sought."""
    told = tr("No rig has “{sought}” in its title, its sentence, its file's name or its parts.")
    return told.format(sought=sought)


class ChooserPage(Over):
    """A file of one's own and the shipped rigs in a list, by what they teach, over the board; typing narrows it.

    ``chosen`` is told a path, or None for a file to be sought.
    """

    gives_way = True
    chosen = Signal(object)

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(look, parent)
        self.shelf: list[OnShelf] = []  # read when it is shown first
        self.file: Path | None = None
        self.title = ""
        self.list = RigList(look, self)
        self.list.entered.connect(self._choose)
        tip = tr("Words of a rig's title, sentence, file or parts; the arrow keys go through the list, Enter opens")
        self.finder = FindLine(look, self.list, tr("Find a rig, or a part in one"), tip, self)
        self.finder.setObjectName("find rig")
        self.finder.textChanged.connect(self._narrow)
        self.count = Label(look, "", self, size=_SMALL, ink="ink2", wraps=False)
        self.none = Label(look, "", self, size=22.0)
        self.none.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        self.none.hide()
        self.column = QVBoxLayout(self)
        self.column.addWidget(self.none)
        self.column.addWidget(self.list, 1)
        self.setFocusProxy(self.list)
        QWidget.setTabOrder(self.finder, self.list)
        self.setObjectName("rigs")
        self.setAccessibleName(tr("Rigs"))
        self.setAccessibleDescription(
            tr("Choose a rig with the arrow keys and Enter, or type to find one; Esc goes back to the board")
        )

    def share(self, other: ChooserPage) -> None:
        """Take what another one has read and drawn: the shipped rigs are the same."""
        self.shelf = other.shelf
        self.list.pictures = other.list.pictures

    def fill(self, file: Path | None = None, title: str = "") -> None:
        """List what there is now.

        The file that is open, with its rig's title, is marked; it has an item of its own where it is no shipped one.
        """
        self.file, self.title = file, title
        self.shelf = self.shelf or shelf()
        self.list.makers = {str(one.path): partial(self._drawn, one.path) for one in self.shelf}
        if self.finder.text():
            self.finder.clear()
        else:
            self._narrow()
        self.lay_out()
        self.list.setFocus(Qt.FocusReason.TabFocusReason)

    def _narrow(self) -> None:
        """List the rigs in which all that is sought occurs, the first of them chosen, and say how many they are."""
        sought = self.finder.text().strip()
        rigs = found_by_topic(self.shelf, sought)
        items: list[Item] = []
        if not sought:
            own = tr(
                "A rig file (.toml) of your own, or drop it on the window; the present rig stays if it has faults."
            )
            items.append(Item(_ANY, tr("Open a file …"), told=own))
        own_file = self.file is not None and not any(_same(one.path, self.file) for one in self.shelf)
        shown = own_file and fits(f"{self.title} {self.file}", sought)
        if shown:
            items.append(Item(str(self.file), self.title, told=str(self.file), mark=tr(_OPEN)))
        for heading, those in rigs.items():
            items.append(Item(heading, heading, heading=True))
            for one in those:
                here = tr(_OPEN) if _same(one.path, self.file) else ""
                items.append(Item(str(one.path), one.title, told=one.about, mark=here))
        self.list.fill(items)
        self.list.choose_end(last=False)
        self.list.scrollToTop()
        self._tell(sought, sum(map(len, rigs.values())) + shown, len(self.shelf) + own_file)

    def _tell(self, sought: str, left: int, count: int) -> None:
        """Say how many rigs are left, and in words where none is; who hears the line hears it with it."""
        told = tr("{left} of {count} rigs").format(left=left, count=count)
        if not sought:
            told = trn("{count} rig", "{count} rigs", count).format(count=count)
        self.none.setText(no_rig(sought))
        lost = bool(sought) and not left
        self.none.setVisible(lost)
        self.list.setVisible(not lost)
        self.count.setText(told)
        self.finder.setAccessibleDescription(self.none.text() if lost else told)
        self._stand_beside()
        self.canvas.forget()
        self.update()

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
        self.column.setContentsMargins(left, top, left, bottom)
        self.take_looks()
        self._stand_beside()
        self.column.activate()
        self.canvas.forget()
        self.update()

    def _stand_beside(self) -> None:
        """Place the line in which a rig is sought right of the title, and right of it how many there are."""
        scale, small = self.look.scale, self.look.pixels(_SMALL)
        gap, high = round(_GAP * scale), round(1.9 * self.list.delegate.pixels)
        title = round(fonts.metrics(self.look.pixels(_HEAD), 600).horizontalAdvance(tr("Rigs")))
        way_back = round(fonts.metrics(small).horizontalAdvance(self._way_back))
        x, right = round(_EDGE * scale) + title + gap, self.width() - round(_EDGE * scale) - way_back - gap
        counted = round(fonts.metrics(small).horizontalAdvance(self.count.text())) + 2
        middle = round(_LINE * scale - 0.35 * self.look.pixels(_HEAD))
        wide = max(min(round(_WIDE * scale), right - x - counted - gap // 2), 0)
        self.finder.setGeometry(x, middle - high // 2, wide, high)
        self.count.setGeometry(x + wide + gap // 2, round(_LINE * scale - 0.35 * small) - high // 2, counted, high)

    @property
    def _way_back(self) -> str:
        return tr("Esc: all rigs again") if self.finder.text() else tr("Esc: back to the board")

    def still_shapes(self) -> DrawList:
        """Return the title, and the way back."""
        right = self.width() / self.look.scale - _EDGE
        return [
            Words(_EDGE, _LINE, tr("Rigs"), _HEAD, weight=600),
            Words(right, _LINE, self._way_back, _SMALL, "ink2", align="right"),
        ]

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Give up what is sought first, then close; Up from the first rig goes to the line above."""
        if event.key() == Qt.Key.Key_Escape and self.finder.text():
            self.finder.clear()
        elif event.key() == Qt.Key.Key_Up:
            self.finder.take("")
        else:
            super().keyPressEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        self.lay_out()
