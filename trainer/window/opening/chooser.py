"""Choosing a rig: a page with the shipped ones and a file of one's own."""

from __future__ import annotations

import re
from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QWidget

from trainer import resources
from trainer.drawing.shapes import DrawList, Words
from trainer.errors import SpoolroomError
from trainer.language import mark, tr
from trainer.rig import file as rig_file
from trainer.window.controls.item_list import ItemList
from trainer.window.controls.items import Item, ItemStyle
from trainer.window.controls.over import Over
from trainer.window.painting.look import Look

__all__ = ["ChooserPage", "first_sentence", "shipped"]

_OPEN, _ANY = mark("open now"), "any"  # the mark of what is open, the key of a file of one's own
_MACHINES = ("one-spool-bench", "timber-trailer-loader", "timber-trailer-loader-load-sensing")
_STYLE = ItemStyle(24.0, pitch=2.5, small=18.0, inset=16.0, bold=True, ruled=True, chosen="ring")


def shipped() -> list[tuple[Path, str, str]]:
    """Return (file, title, first sentence of its notes) of the shipped rigs: machines first, small rigs by title."""
    found = []
    try:
        files = resources.rigs()
    except SpoolroomError:
        return []
    for name, path in files.items():
        try:
            rig = rig_file.load(path)
        except SpoolroomError:
            found.append((path, name, tr("This file cannot be read.")))
        else:
            found.append((path, rig.title, first_sentence(rig.notes)))
    return sorted(found, key=lambda rig: (not _machine(rig[0]), rig[1]))


def _machine(path: Path) -> bool:
    """Return whether a shipped rig is one to begin with, and not one of the small ones for a single idea."""
    return path.stem in _MACHINES


def _same(one: Path, other: Path | None) -> bool:
    return other is not None and one.resolve() == other.resolve()


def first_sentence(notes: str) -> str:
    """Return the first sentence of some notes, on one line."""
    line = " ".join(notes.split())
    found = re.search(r"[.?!] ", line)
    return line[: found.start() + 1] if found else line


class ChooserPage(Over):
    """A file of one's own and the shipped rigs in a list, over the board.

    ``chosen`` is told a path, or None for a file to be sought.
    """

    gives_way = True
    chosen = Signal(object)

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(look, parent)
        self.list = ItemList(look, mark("Rigs"), self, _STYLE, one_click=True)
        self.list.entered.connect(self._choose)
        self.line = QHBoxLayout(self)
        self.line.addWidget(self.list)
        self.setFocusProxy(self.list)
        self.setObjectName("rigs")
        self.setAccessibleName(tr("Rigs"))
        self.setAccessibleDescription(tr("Choose a rig with the arrow keys and Enter; Esc goes back to the board"))

    def fill(self, file: Path | None = None, title: str = "") -> None:
        """List what there is now.

        The file that is open, with its rig's title, is marked; it has an item of its own where it is no shipped one.
        """
        own = tr("A rig file (.toml) of your own, or drop it on the window; the present rig stays if it has faults.")
        items, open_now = [Item(_ANY, tr("Open a file …"), told=own)], False
        heading = ""
        for path, name, about in shipped():
            before, heading = heading, mark("Machines") if _machine(path) else mark("Small rigs, each for one idea")
            if heading != before:
                items.append(Item(heading, tr(heading), heading=True))
            same = _same(path, file)
            open_now = open_now or same
            items.append(Item(str(path), name, told=about, mark=tr(_OPEN) if same else ""))
        if file is not None and not open_now:
            items.insert(1, Item(str(file), title, told=str(file), mark=tr(_OPEN)))
        self.list.fill(items)
        self.list.choose_end(last=False)
        self.lay_out()
        self.list.setFocus(Qt.FocusReason.TabFocusReason)

    def _choose(self, key: str) -> None:
        self.chosen.emit(Path(key) if key != _ANY else None)

    def lay_out(self) -> None:
        """Place the list for the present look."""
        scale = self.look.scale
        left, top, bottom = (round(length * scale) for length in (104, 150, 24))
        self.line.setContentsMargins(left, top, max(self.width() - left - round(1100 * scale), left), bottom)
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
