"""Choosing what stands beside the board's rig: itself as in its file, worn, with other numbers, or another rig."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from trainer.changing.adjustables import Adjustable, Value
from trainer.changing.changes import Changes
from trainer.changing.rig_shelf import OnShelf, by_topic, fits, shelf
from trainer.language import mark, tr
from trainer.pairing import sides
from trainer.pairing.sides import Otherwise
from trainer.parts.roles import DirectionalValve
from trainer.rig.names import capital, lever_moves
from trainer.rig.rig import Rig
from trainer.rig.topics import heading
from trainer.window.controls.finding import FindLine, SoughtList
from trainer.window.controls.items import Item, ItemStyle
from trainer.window.controls.labels import Label
from trainer.window.controls.own_keys import ENTER, Line
from trainer.window.controls.plain_page import PlainPage
from trainer.window.controls.qt_look import written_in
from trainer.window.opening.chooser import no_rig
from trainer.window.painting import fonts
from trainer.window.painting.look import Look
from trainer.window.session.screen import Screen

__all__ = ["ChoiceScreen"]

_STYLE = ItemStyle(24.0, pitch=1.9, small=18.0, inset=16.0, bold=True, ruled=True, chosen="ring")
_TYPE = 24.0
_AS_IN_FILE, _WORN, _NUMBERS, _NONE, _FILE = "as in file", "worn", "numbers", "none", "file"


class ValueLine(Line):
    """The line in which another number is written; ``entered`` tells what was."""

    entered = Signal(str)
    given_up = Signal()

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.setFrame(False)
        self.setMaxLength(40)
        self.setAccessibleName(tr("The other number"))
        self.setObjectName("other number")
        self.take_look()

    def take_look(self) -> None:
        """Take colours and type of the present look."""
        written_in(self, self.look)
        self.setFont(fonts.font(self.look.pixels(_TYPE)))
        self.setFixedHeight(round(1.9 * self.look.pixels(_TYPE)))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in ENTER:
            self.entered.emit(self.text())
        elif event.key() == Qt.Key.Key_Escape:
            self.given_up.emit()
        else:
            super().keyPressEvent(event)
            event.accept()


class ChoiceScreen(Screen):
    """A list that leads to what stands beside.

    ``rig_chosen`` tells a path, ``file_asked`` that a file is to be sought. It is the same rig for
    ``as_in_file_chosen`` and ``changed``; the latter tells what it has otherwise.
    """

    full = False
    rig_chosen = Signal(object)
    file_asked = Signal()
    as_in_file_chosen = Signal()
    changed = Signal(object)

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look.beside()
        self.page = PlainPage(self.look, tr("Beside another"), tr("Enter: take it. Esc: back"), self)
        self.list = SoughtList(self.look, mark("What can stand beside it"), self.page, _STYLE)
        tip = tr("Write words of what is sought; the arrow keys go through the list, Enter takes it")
        self.line = FindLine(self.look, self.list, tr("Find"), tip, self.page)
        self.line.setObjectName("find beside")
        self.line.textChanged.connect(self._narrow)
        self.items: list[Item] = []  # all of the page
        self.none = Label(self.look, "", self.page, size=_TYPE)
        self.none.hide()
        self.asks = Label(self.look, "", self.page, size=_TYPE)
        self.value = ValueLine(self.look, self.page)
        self.told = Label(self.look, "", self.page, size=_TYPE, ink="accent")
        for widget in (self.line, self.none, self.asks, self.value, self.told, self.list):
            self.page.body.addWidget(widget, 1 if widget is self.list else 0)
        self.below = QWidget(self.page)  # takes the room of the list where there is none
        self.page.body.addWidget(self.below, 1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.page)
        self.page.left.connect(self._back)
        self.list.entered.connect(self._take)
        self.value.entered.connect(self._written)
        self.value.given_up.connect(self._back)
        self.shelf: list[OnShelf] = []  # read when it is shown first
        self.where = ""  # the first page, "worn", "numbers", or the name of a number that is asked for
        self.setAccessibleName(tr("Beside another"))

    # -- what there is -----------------------------------------------------------------------------------------

    def fill(self, changes: Changes, file: Path | None, other: Otherwise) -> None:
        """List what can stand beside a rig; ``other`` is what was last chosen to be otherwise."""
        self.changes, self.file = changes, file
        self.shelf = self.shelf or shelf()
        self.values, self.wrong = dict(other.values), list(other.wrong)
        self.wrongs = sides.wrongs(self.rig)
        self.known = sides.numbers_of(self.rig)
        self._show("")

    def again(self) -> None:
        """List the same in the present units."""
        self._show(self.where)

    def _show(self, where: str) -> None:
        self.where = where
        about = self.known.get(where)
        self.told.hide()
        writes = about is not None and not about.options
        self.items = []
        self.line.clear()
        self._narrow()
        for widget in (self.asks, self.value):
            widget.setVisible(writes)
        self.line.setVisible(not writes)
        if about is not None and writes:
            self.page.beside.setText(about.title)
            self.asks.setText(
                tr("{meaning}, {span}").format(meaning=about.meaning, span=about.span(self.look.system))
            )
            self.value.setText(about.shown(self._now(about), self.look.system))
            self.value.selectAll()
        elif about is not None:
            self.page.beside.setText(f"{about.title}: {about.meaning}")
            now = self._now(about)
            self.items = [Item(word, tr(word), mark=tr("now") if word == now else "") for word in about.options]
            self._narrow()
        else:
            pages = {"": self._first, _WORN: self._worn, _NUMBERS: self._numbers}
            beside = {_WORN: tr("the same rig, worn"), _NUMBERS: tr("the same rig with another number")}
            self.page.beside.setText(beside.get(where, self.rig.title))
            self.items = pages[where]()
            self._narrow()
        self.page.fit_head()
        self.focus()

    def _narrow(self) -> None:
        """List what has all that is sought, below its headings, the first chosen; say where there is nothing."""
        sought = self.line.text().strip()
        rigs = {str(one.path): one.words for one in self.shelf}
        shown: list[Item] = []
        heading: Item | None = None
        for item in self.items:
            if item.heading:
                heading = item
                continue
            above = heading.words if heading is not None else ""
            if fits(rigs.get(item.key) or f"{above} {item.key} {item.name} {item.told}", sought):
                if heading is not None and heading not in shown:
                    shown.append(heading)
                shown.append(item)
        self.list.fill(shown)
        self.list.choose_end(last=False)
        self.list.scrollToTop()
        lost = bool(sought and self.items and not shown)
        told = no_rig(sought) if not self.where else tr("Nothing here has “{sought}” in its name.")
        self.none.setText(told.format(sought=sought) if lost else "")
        self.line.setAccessibleDescription(self.none.text())
        about = self.known.get(self.where)
        self.none.setVisible(lost)
        self.list.setVisible(not lost and (about is None or bool(about.options)))
        self.below.setVisible(not self.list.isVisibleTo(self.page))

    def focus(self) -> None:
        """Give the keyboard to what is written or chosen in."""
        about = self.known.get(self.where)
        shown = self.list if about is None or about.options else self.value
        shown.setFocus(Qt.FocusReason.TabFocusReason)

    def _now(self, about: Adjustable) -> Value:
        return self.values[about.name] if about.name in self.values else self.changes.value(about.name)

    @property
    def rig(self) -> Rig:
        """The rig of the board, as it was built."""
        return self.changes.session.rig

    def _first(self) -> list[Item]:
        system = self.look.system
        found = [Item("same", tr("The same rig"), heading=True)]
        if any(one.about is not None for one in self.changes.different()):
            told = tr("Before and after: what was changed on the board, beside the file it came from.")
            found.append(Item(_AS_IN_FILE, tr("As in its file"), told=told))
        numbers = [self.known[name].set_to(value, system) for name, value in self.values.items()]
        so_far = "; ".join([*self.wrong, *numbers])
        found += [
            Item(
                _WORN,
                tr("Worn …"),
                told=tr("Healthy and worn: what leaks, slips or sticks, by degrees, and what was put back wrong."),
            ),
            Item(_NUMBERS, tr("With another number …"), told=tr("A setting, a size, a load at the start, the oil.")),
        ]
        if self.values or self.wrong:
            found.append(Item(_NONE, tr("As it is, without what was chosen"), told=so_far))
        others = [one for one in self.shelf if self.file is None or one.path.resolve() != self.file.resolve()]
        levers = {lever_moves(self.rig, id_).casefold() for id_ in self.rig.having(DirectionalValve)}
        alike = [one for one in others if levers and levers <= one.moves]
        own = heading(self.rig.teaches)
        rest = by_topic([one for one in others if one not in alike])
        groups = {tr("With the same levers"): alike} | dict(sorted(rest.items(), key=lambda one: one[0] != own))
        for title, rigs in groups.items():
            if rigs:
                found.append(Item(f"of {title}", title, heading=True))
                found += [Item(str(one.path), one.title, told=one.about) for one in rigs]
        return [*found, Item(_FILE, tr("Open a file …"), told=tr("A rig file (.toml) of your own."))]

    def _worn(self) -> list[Item]:
        found, before = [], ""
        for key, wrong in self.wrongs.items():
            title, _, meaning = wrong.words.partition(": ")
            title, meaning = (title, meaning) if meaning else (tr("After a repair"), title)
            if title != before:
                found.append(Item(f"of {key}", title, heading=True))
                before = title
            lines = {f"{key} = {degree}": degree for degree in wrong.degrees} or {key: ""}
            for k, (line, degree) in enumerate(lines.items()):
                words = tr("{meaning}, {degree}").format(meaning=meaning, degree=sides.degree_words(degree))
                found.append(
                    Item(
                        line,
                        capital(words) if degree else f"{key}: {meaning}",
                        right=self._shown(key, wrong.degrees.get(degree)),
                        told=capital(wrong.notice) if k == 0 and wrong.notice != meaning else "",
                        mark=tr("chosen") if line in self.wrong else "",
                    )
                )
        return found

    def _shown(self, key: str, value: Value | None) -> str:
        about = self.known.get(key)
        return "" if about is None or value is None else about.shown(value, self.look.system)

    def _numbers(self) -> list[Item]:
        found, title = [], ""
        for name, about in self.known.items():
            if about.title != title:
                title = about.title
                found.append(Item(f"of {name}", title, heading=True))
            chosen = tr("chosen") if name in self.values else ""
            found.append(
                Item(name, capital(about.meaning), right=about.shown(self._now(about), self.look.system), mark=chosen)
            )
        return found

    # -- what is chosen ----------------------------------------------------------------------------------------

    def _take(self, key: str) -> None:
        about = self.known.get(self.where)
        if about is not None:
            self._written(key)
        elif self.where == _WORN:
            name = key.partition(" = ")[0]  # one degree at each place; several places may be worn
            self.wrong = [line for line in self.wrong if line.partition(" = ")[0] != name]
            self.wrong.append(key)
            self._tell()
        elif self.where == _NUMBERS or key in (_WORN, _NUMBERS):
            self._show(key)
        elif key == _NONE:
            self.values.clear()
            self.wrong.clear()
            self._show("")
        elif key == _AS_IN_FILE:
            self.as_in_file_chosen.emit()
        elif key == _FILE:
            self.file_asked.emit()
        else:
            self.rig_chosen.emit(Path(key))

    def _written(self, written: str) -> None:
        about = self.known[self.where]
        try:
            value = about.read(written, self.look.system)
        except ValueError as error:
            self.told.setText(str(error))
            self.told.show()
            return
        self._choose(about.name, value)

    def _choose(self, name: str, value: Value) -> None:
        self.values[name] = value
        self._tell()

    def _tell(self) -> None:
        self.changed.emit(Otherwise(dict(self.values), tuple(self.wrong)))

    def _back(self) -> None:
        about = self.known.get(self.where)
        if about is not None:
            self._show(_NUMBERS)
        elif self.where:
            self._show("")
        else:
            self.left.emit()

    # -- how it looks ------------------------------------------------------------------------------------------

    def take_look(self) -> None:
        """Take colours and type of the present look."""
        self.look.scale = min(self.width() / 1920.0, self.height() / 1080.0)
        self.page.take_looks()
        self.page.fit_head()

    def resizeEvent(self, event: QResizeEvent) -> None:
        self.take_look()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Go back by a page, then to where one was; Up from the first row goes to the line above."""
        if event.key() == Qt.Key.Key_Escape:
            self._back()
        elif event.key() == Qt.Key.Key_Up and self.line.isVisible():
            self.line.take("")
        else:
            super().keyPressEvent(event)
