"""The numbers of the rig in a pane: parts to be found, one part's numbers, what is not as in the file."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from functools import partial

from PySide6.QtCore import QRect, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QPalette
from PySide6.QtWidgets import QFrame, QScrollArea, QWidget

from trainer.changing.adjustables import OIL, Adjustable, owner_title
from trainer.changing.changes import Changes
from trainer.changing.screws import Screw, screws
from trainer.drawing.shapes import DrawList, Words
from trainer.units import trade_step
from trainer.window.board.steps_view import steps_of
from trainer.window.controls.actions import Actions
from trainer.window.controls.buttons import WordButton
from trainer.window.controls.own_keys import Line
from trainer.window.controls.pane import Pane
from trainer.window.controls.rows import (
    NAME,
    ChangeRow,
    DeedRow,
    PartRow,
    WordsRow,
)
from trainer.window.controls.tips import set_tip
from trainer.window.painting import fonts
from trainer.window.painting.look import Look
from trainer.window.rig.blocks import AskBar, LoadBlock, OilBlock
from trainer.window.rig.column import AnyRow, Column
from trainer.window.rig.number import NumberRow
from trainer.window.rig.screw_view import ScrewView

__all__ = ["RigPane"]

_PARTS, _NUMBERS, _CHANGES = "parts", "numbers", "changes"
_BAR = 9.0  # width of the scroll bar [board px]


def _fits(text: str, sought: list[str]) -> bool:
    return all(word in text.lower() for word in sought)


class RigPane(Pane):
    """All that can be changed of the rig.

    ``asked`` is told (name, value), ``turned`` (part, eighths), ``nut`` (part, loose); ``said`` sentences. ``gauge``
    returns what the gauge at a part's screw shows.
    """

    place = "side"
    title = "Numbers of the rig"
    asked = Signal(str, object)
    turned = Signal(str, int)
    nut = Signal(str, bool)
    said = Signal(str)
    file_asked = Signal()

    def __init__(
        self, look: Look, parent: QWidget, changes: Changes, gauge: Callable[[str], str], actions: Actions
    ) -> None:
        super().__init__(look, parent)
        self.changes, self.gauge, self.all_actions = changes, gauge, actions
        self.page, self.part = _PARTS, ""
        self.setObjectName("numbers of the rig")
        self.finder = Line(self)
        self.finder.setPlaceholderText("Find a part or a number")
        self.finder.setAccessibleName("Find a part or a number")
        self.finder.setObjectName("find")
        set_tip(self.finder, "Write a part's id, what it is called, or what a number means")
        self.finder.setFrame(False)
        self.finder.setTextMargins(6, 0, 6, 0)
        self.finder.setMaxLength(60)
        self.finder.textEdited.connect(self._sought)
        self.finder.returnPressed.connect(self._first)
        self.back = WordButton(look, "‹ All parts", "All parts", "Back to the list of parts", self)
        self.back.clicked.connect(self.show_parts)
        self.area = QScrollArea(self)
        self.area.setFrameShape(QFrame.Shape.NoFrame)
        self.area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.column = Column(look, self.area)
        self.area.setWidget(self.column)
        self.undo = WordButton(look, "Undo", "Undo", "", self)
        self.redo = WordButton(look, "Redo", "Redo", "", self)
        self.save = WordButton(look, "Save as …", "Save the rig", "", self)
        self.differ = WordButton(look, "", "Changes", "What is not as in the rig's file", self)
        for button, action, words in ((self.undo, "undo", ""), (self.redo, "redo", ""),
                                      (self.save, "save", "Save it as a rig file")):  # fmt: skip
            button.follow(actions[action], words)
        self.differ.clicked.connect(self._changes_asked)
        self.question = AskBar(look, self)
        self._changed: tuple[object, ...] = ()
        self.new_look()
        self.show_parts()

    @property
    def rows(self) -> list[AnyRow]:
        """The rows that are shown."""
        return self.column.rows

    def new_look(self) -> None:
        """Colour the ordinary widgets for the theme."""
        inks = self.look.inks
        palette = QPalette(self.palette())
        for role, ink in (
            (QPalette.ColorRole.Window, "paper"),
            (QPalette.ColorRole.Base, "cell"),
            (QPalette.ColorRole.Text, "ink"),
            (QPalette.ColorRole.PlaceholderText, "ink2"),
            (QPalette.ColorRole.Highlight, "accent"),
            (QPalette.ColorRole.HighlightedText, "paper"),
        ):
            palette.setColor(role, inks.colour(ink))
        self.finder.setPalette(palette)
        self.area.setPalette(palette)
        thumb, ground = (inks.colour(role).name() for role in ("cover-hatch", "paper"))
        self.area.verticalScrollBar().setStyleSheet(
            f"QScrollBar {{ background: {ground}; width: {self._bar}px; margin: 0; }}"
            f"QScrollBar::handle {{ background: {thumb}; min-height: 24px; }}"
            "QScrollBar::add-line, QScrollBar::sub-line { height: 0; }"
            "QScrollBar::add-page, QScrollBar::sub-page { background: none; }"
        )

    # -- what is shown -----------------------------------------------------------------------------------------

    def show_parts(self) -> None:
        """Show the parts, those that fit what is sought."""
        self._turn_to(_PARTS)
        self._fill_parts()
        if self.isVisible():
            self.finder.setFocus(Qt.FocusReason.OtherFocusReason)

    def _fill_parts(self) -> None:
        sought = self.finder.text().lower().split()
        changed = {difference.name.partition(".")[0] for difference in self.changes.different()}
        rows: list[AnyRow] = [] if sought else self._deeds()
        for id_ in (OIL, *self.changes.session.rig.parts):
            title = owner_title(self.changes.session.rig, id_)
            whole = f"{id_} {title}".lower()
            told = ""
            if not _fits(whole, sought):
                told = next(
                    (a.meaning for a in self._known(id_) if _fits(f"{whole} {a.meaning} {a.own}", sought)), ""
                )
                if not told:
                    continue
            row = PartRow(self.look, id_, title, told, id_ in changed, self.column)
            row.clicked.connect(self._chosen)
            rows.append(row)
        self._fill(rows)

    def _deeds(self) -> list[AnyRow]:
        """Return what can be done to the whole machine: nothing while it is as in its file, now and then."""
        rows: list[AnyRow] = []
        count = sum(difference.about is not None for difference in self.changes.different())
        if count:
            numbers = "the one number that was changed" if count == 1 else f"the {count} numbers that were changed"
            undoes = f"{self.all_actions['undo'].key} undoes it"
            row = DeedRow(self.look, "As in the file", f"Bring back {numbers}; {undoes}", self.column)
            row.clicked.connect(self.file_asked)
            rows.append(row)
        told = self.changes.then(self.look.system)
        if told:
            then = self.all_actions["then"]
            row = DeedRow(self.look, "As it was then", f"{'; '.join(told)}  ({then.key})", self.column)
            row.clicked.connect(then.trigger)
            rows.append(row)
        return rows

    def _fill(self, rows: list[AnyRow]) -> None:
        """Show other rows, from the first."""
        self.column.fill(rows)
        self._stack()
        self.area.verticalScrollBar().setValue(0)
        self._order()

    def _known(self, part: str) -> list[Adjustable]:
        return [about for about in self.changes.known.values() if about.part == part]

    def _sought(self) -> None:
        if self.page == _PARTS:
            self._fill_parts()

    def _first(self) -> None:
        parts = [row for row in self.rows if isinstance(row, PartRow)]
        if self.page == _PARTS and parts:
            parts[0].click()

    def _chosen(self) -> None:
        row = self.sender()
        if isinstance(row, PartRow):
            own = next((about.name for about in self._known(row.id) if about.meaning == row.sought), "")
            self.show_numbers(row.id, own)

    def show_numbers(self, part: str, name: str = "", focus: bool = True) -> None:
        """Show the numbers of a part, one of them with the focus; nothing for what is no part."""
        if part != OIL and part not in self.changes.session.rig.parts:
            return
        self.part = part
        self._turn_to(_NUMBERS)
        rows: list[AnyRow] = [*self._blocks(part)]
        for about in self._known(part):
            row: WordsRow | NumberRow
            if about.options:
                row = WordsRow(self.look, self.changes, about, self.column)
            else:
                row = NumberRow(self.look, self.changes, about, self.column)
                row.said.connect(self.said)
            row.asked.connect(self.asked)
            rows.append(row)
        self._fill(rows)
        wanted = next((row for row in rows if row.objectName() == f"number {name}"), None)
        if wanted is not None:
            wanted.setFocus(Qt.FocusReason.TabFocusReason)
            self.area.ensureWidgetVisible(wanted)
        elif self.isVisible() and focus:
            self._focus_first()

    def _blocks(self, part: str) -> list[AnyRow]:
        rig = self.changes.session.rig
        blocks: list[AnyRow] = []
        if part == OIL:
            oil = OilBlock(self.look, self.changes, self.column)
            oil.asked.connect(self.asked)
            blocks.append(oil)
        for name in self.changes.loads():
            if name.partition(".")[0] == part:
                controls = rig.controls()
                steps = steps_of(controls[name], self.look.system) if name in controls else self._masses(name)
                block = LoadBlock(self.look, self.changes, name, steps, self.column)
                block.asked.connect(self.asked)
                blocks.append(block)
        if part in (turned := screws(rig)):
            screw = Screw(self.changes, part, turned[part])
            view = ScrewView(self.look, screw, partial(self.gauge, part), self.column)
            view.turned.connect(partial(self.turned.emit, part))
            view.nut.connect(partial(self.nut.emit, part))
            blocks.append(view)
        return blocks

    def _masses(self, name: str) -> tuple[float, ...]:
        part, _, own = name.partition(".")
        own_mass = self.changes.original.value(part, own)
        less, more = (trade_step(share * own_mass, "mass", self.look.system) for share in (0.5, 1.5))
        return less, own_mass, more

    def show_changes(self, focus: bool = True) -> None:
        """Show what is not as in the file."""
        self._turn_to(_CHANGES)
        rows: list[AnyRow] = []
        for difference in self.changes.different():
            back = difference.was if difference.about is not None else None
            row = ChangeRow(self.look, difference.name, difference.words(self.look.system), back, self.column)
            row.asked.connect(self.asked)
            rows.append(row)
        self._fill([*self._deeds(), *rows])
        if focus:
            self.back.setFocus(Qt.FocusReason.TabFocusReason)

    def _turn_to(self, page: str) -> None:
        self.page = page
        self.question.hide()
        self.finder.setVisible(page == _PARTS)
        self.back.setVisible(page != _PARTS)
        self.canvas.forget()
        self.update()
        self._footer()

    def _changes_asked(self) -> None:
        self.show_changes()

    def again(self) -> None:
        """Build the page that is shown anew, for other units or another session; the keyboard stays where it is."""
        place, focus = self.area.verticalScrollBar().value(), self.window().focusWidget()
        inside = focus is not None and self.column.isAncestorOf(focus)
        name = focus.objectName() if focus is not None else ""
        if self.page == _NUMBERS:
            self.show_numbers(self.part, focus=False)
        elif self.page == _CHANGES:
            self.show_changes(focus=False)
        else:
            self._fill_parts()
        self.area.verticalScrollBar().setValue(place)
        if inside:
            found = self.column.findChild(QWidget, name) if name else None
            (found or self.back).setFocus(Qt.FocusReason.OtherFocusReason)

    def refresh(self) -> None:
        """Show present values; rows that need another height move."""
        if [row.refresh() for row in self.rows].count(True):
            self._stack()
        differences = (*((d.name, d.now) for d in self.changes.different()), *self.changes.then(self.look.system))
        if differences != self._changed:
            self._changed = differences
            if self.page != _NUMBERS:
                self.again()
        self._footer()

    def _footer(self) -> None:
        count = len(self.changes.different())
        word = "As in the file" if not count else f"{count} change{'s' if count > 1 else ''}"
        if self.differ.text() != word:
            self.differ.setText(word)
            self.differ.setEnabled(count > 0)
            self.lay_out()

    # -- where things are ------------------------------------------------------------------------------------------

    def _stack(self) -> None:
        self.column.stack(max(self.area.width() - self._bar - 2, 1))

    @property
    def _bar(self) -> int:
        return max(round(_BAR * self.look.scale), 6)  # px; a narrower one Qt does not make

    def lay_out(self) -> None:
        """Place what is sought, the rows, the buttons at the foot and the question."""
        room, name = self.inner(), self.look.pixels(NAME)
        top, foot = round(2.2 * name), round(2.4 * name)
        self.finder.setFont(fonts.font(name))
        self.finder.setGeometry(QRect(room.left(), room.top() + 2, room.width(), top - 8))
        self.back.setGeometry(room.left() - 8, room.top(), self.back.sizeHint().width(), top)
        self.area.setGeometry(room.left(), room.top() + top, room.width(), room.height() - top - foot)
        x, y = room.left() - round(8 * self.look.scale), room.bottom() - foot
        for button in (self.undo, self.redo, self.save):
            button.setGeometry(x, y, button.sizeHint().width(), foot)
            x += button.sizeHint().width()
        wide = self.differ.sizeHint().width()
        self.differ.setGeometry(room.right() - wide + round(8 * self.look.scale), y, wide, foot)
        high = min(self.question.height_for(room.width()), room.height())
        self.question.setGeometry(room.left(), room.bottom() - high, room.width(), high)
        self._stack()

    def still_shapes(self) -> DrawList:
        """Return the heading of the page."""
        if self.page == _PARTS:
            return ()
        heading = "Not as in the file" if self.page == _CHANGES else owner_title(self.changes.session.rig, self.part)
        scale, name = self.look.scale, self.look.pixels(NAME)
        x = (self.back.geometry().right() + 14) / scale
        y = (self.inner().top() + 1.42 * name) / scale
        room = self.width() - (x + 24.0) * scale
        fitted = fonts.metrics(name, 600).elidedText(heading, Qt.TextElideMode.ElideRight, room)
        return [Words(x, y, fitted, NAME, weight=600)]

    # -- the keyboard ------------------------------------------------------------------------------------------------

    def _order(self) -> None:
        """Let Tab go down the page: what is sought, the rows with their buttons, the foot."""
        chain: list[QWidget] = [self.finder, self.back, *self._inside(), self.undo, self.redo, self.save, self.differ]
        for before, after in itertools.pairwise(chain):
            QWidget.setTabOrder(before, after)

    def _inside(self) -> list[QWidget]:
        """Return the rows, each with its buttons."""
        return [one for row in self.rows for one in (row, *row.findChildren(WordButton))]

    def _focus_first(self) -> None:
        if self.page == _PARTS:
            self.finder.setFocus(Qt.FocusReason.OtherFocusReason)
            return
        for widget in self._inside():
            if widget.focusPolicy() & Qt.FocusPolicy.TabFocus and widget.isEnabled():
                widget.setFocus(Qt.FocusReason.TabFocusReason)
                return
        self.back.setFocus(Qt.FocusReason.TabFocusReason)

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Give the keyboard to what is used first."""
        self._focus_first()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Seek what is typed while the parts are shown; Down goes to the first of them."""
        typed = event.text()
        plain = not event.modifiers() & ~(Qt.KeyboardModifier.ShiftModifier | Qt.KeyboardModifier.KeypadModifier)
        if self.page == _PARTS and event.key() == Qt.Key.Key_Down and self.finder.hasFocus() and self.rows:
            self.rows[0].setFocus(Qt.FocusReason.TabFocusReason)
        elif self.page == _PARTS and plain and typed.isprintable() and typed and not self.finder.hasFocus():
            self.finder.setFocus(Qt.FocusReason.OtherFocusReason)
            self.finder.insert(typed)
            self._fill_parts()
        else:
            super().keyPressEvent(event)
