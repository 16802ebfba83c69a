"""The numbers of the rig in a pane: parts to be found, one part's numbers, what is not as in the file."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent
from PySide6.QtWidgets import QHBoxLayout, QListView, QScrollArea, QVBoxLayout, QWidget

from trainer.changing.adjustables import OIL, Adjustable, owner_title
from trainer.changing.changes import Changes
from trainer.changing.screws import Screw, screws
from trainer.language import mark, tr, trn
from trainer.units import trade_step
from trainer.window.board.steps_view import steps_of
from trainer.window.controls.actions import Actions
from trainer.window.controls.buttons import WordButton
from trainer.window.controls.item_list import ItemList
from trainer.window.controls.items import Item, ItemStyle
from trainer.window.controls.labels import Label
from trainer.window.controls.own_keys import Line
from trainer.window.controls.pane import Pane
from trainer.window.controls.qt_look import bar_style, coloured, written_in
from trainer.window.controls.tips import set_tip
from trainer.window.painting import fonts
from trainer.window.painting.look import Look
from trainer.window.rig.blocks import AskBar, LoadBlock, OilBlock
from trainer.window.rig.forms import INSET, NAME, SMALL, Piece, WordsRow
from trainer.window.rig.number import NumberRow
from trainer.window.rig.screw_view import ScrewView

__all__ = ["RigPane"]

_PARTS, _NUMBERS, _CHANGES = "parts", "numbers", "changes"
_FILE, _THEN = mark("As in the file"), mark("As it was then")
_STYLE = ItemStyle(NAME, pitch=1.75, small=SMALL, before=2.75, inset=INSET, lines=3, bold=True, ruled=True,
                   chosen="ring")  # fmt: skip
Row = Piece | NumberRow


def _fits(text: str, sought: list[str]) -> bool:
    return all(word in text.lower() for word in sought)


class RigPane(Pane):
    """All that can be changed of the rig.

    ``asked`` is told (name, value), ``turned`` (part, eighths), ``nut`` (part, loose); ``said`` sentences. ``gauge``
    returns what the gauge at a part's screw shows.
    """

    place = "side"
    title = mark("Numbers of the rig")
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
        self.rows: list[Row] = []  # of the form
        self.finder = Line(self)
        self.finder.setPlaceholderText(tr("Find a part or a number"))
        self.finder.setAccessibleName(tr("Find a part or a number"))
        self.finder.setObjectName("find")
        set_tip(self.finder, tr("Write a part's id, what it is called, or what a number means"))
        self.finder.setFrame(False)
        self.finder.setTextMargins(6, 0, 6, 0)
        self.finder.setMaxLength(60)
        self.finder.textEdited.connect(self._sought)
        self.finder.returnPressed.connect(self._first)
        self.back = WordButton(look, tr("‹ All parts"), mark("All parts"), tr("Back to the list of parts"), self)
        self.back.clicked.connect(self.show_parts)
        self.heading = Label(look, "", self, size=NAME, weight=600)
        self.list = ItemList(look, mark("Parts"), self, _STYLE, one_click=True, seeks=False)
        self.list.setVerticalScrollMode(QListView.ScrollMode.ScrollPerPixel)
        self.list.entered.connect(self._entered)
        self.area = QScrollArea(self)
        self.area.setFrameShape(QScrollArea.Shape.NoFrame)
        self.area.setWidgetResizable(True)
        self.area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.undo = WordButton(look, tr("Undo"), mark("Undo"), "", self)
        self.redo = WordButton(look, tr("Redo"), mark("Redo"), "", self)
        self.save = WordButton(look, tr("Save as …"), mark("Save the rig"), "", self)
        self.differ = WordButton(look, "", mark("Changes"), tr("What is not as in the rig's file"), self)
        for button, action, words in ((self.undo, "undo", ""), (self.redo, "redo", ""),
                                      (self.save, "save", tr("Save it as a rig file"))):  # fmt: skip
            button.follow(actions[action], words)
        self.differ.clicked.connect(self._changes_asked)
        self.question = AskBar(look, self)
        self._changed: tuple[object, ...] = ()
        self._lay_out()
        self.new_look()
        self.show_parts()

    def _lay_out(self) -> None:
        """Put what is sought or the heading above the list or the form, the buttons or a question below."""
        head, self.feet = QHBoxLayout(), QWidget(self)
        head.addWidget(self.finder, 1)
        head.addWidget(self.back)
        head.addWidget(self.heading, 1)
        foot = QHBoxLayout(self.feet)
        foot.setContentsMargins(0, 0, 0, 0)
        foot.setSpacing(0)
        for button in (self.undo, self.redo, self.save):
            foot.addWidget(button)
        foot.addStretch(1)
        foot.addWidget(self.differ)
        self.column = QVBoxLayout(self)
        self.column.setSpacing(2)
        self.column.addLayout(head)
        self.column.addWidget(self.list, 1)
        self.column.addWidget(self.area, 1)
        self.column.addWidget(self.feet)
        self.column.addWidget(self.question)
        self.question.asking.connect(self.feet.setHidden)

    def new_look(self) -> None:
        """Colour the ordinary widgets for the theme."""
        written_in(self.finder, self.look)
        coloured(self.area, self.look)
        self.area.verticalScrollBar().setStyleSheet(bar_style(self.look))

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
        items = [] if sought else self._deeds()
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
            items.append(
                Item(id_, title.removesuffix(f" {id_}"), before=id_ if id_ != OIL else "", told=told,
                     mark=tr("changed") if id_ in changed else "", tip=tr("{title}: its numbers").format(title=title))
            )  # fmt: skip
        self.list.fill(items)

    def _deeds(self) -> list[Item]:
        """Return what can be done to the whole machine: nothing while it is as in its file, now and then."""
        items: list[Item] = []
        count = sum(difference.about is not None for difference in self.changes.different())
        if count:
            numbers = (
                tr("the one number that was changed")
                if count == 1
                else tr("the {count} numbers that were changed").format(count=count)
            )
            undoes = tr("{key} undoes it").format(key=self.all_actions["undo"].key)
            items.append(
                Item(
                    _FILE, tr(_FILE), told=tr("Bring back {numbers}; {undoes}").format(numbers=numbers, undoes=undoes)
                )
            )
        told = self.changes.then(self.look.system)
        if told:
            items.append(Item(_THEN, tr(_THEN), told=f"{'; '.join(told)}  ({self.all_actions['then'].key})"))
        return items

    def _entered(self, key: str) -> None:
        """Do what an item of the list is for: the whole machine, a part, a change that is brought back."""
        if key == _FILE:
            self.file_asked.emit()
        elif key == _THEN:
            self.all_actions["then"].trigger()
        elif self.page == _PARTS:
            sought = next(item.told for item in self.list.all if item.key == key)
            own = next((about.name for about in self._known(key) if about.meaning == sought), "")
            self.show_numbers(key, own)
        else:
            self.asked.emit(key, next(found.was for found in self.changes.different() if found.name == key))

    def _fill(self, rows: list[Row], body: QWidget) -> None:
        """Show the rows of another form, from the first."""
        column = QVBoxLayout(body)
        column.setContentsMargins(0, 0, 2, 0)
        column.setSpacing(0)
        for row in rows:
            column.addWidget(row)
        column.addStretch(1)
        self.rows = rows
        body.setAutoFillBackground(True)
        self.area.setWidget(body)
        coloured(body, self.look)
        self._order()

    def _known(self, part: str) -> list[Adjustable]:
        return [about for about in self.changes.known.values() if about.part == part]

    def _sought(self) -> None:
        if self.page == _PARTS:
            self._fill_parts()

    def _first(self) -> None:
        part = next((item.key for item in self.list.all if item.key not in (_FILE, _THEN)), "")
        if self.page == _PARTS and part:
            self._entered(part)

    def show_numbers(self, part: str, name: str = "", focus: bool = True) -> None:
        """Show the numbers of a part, one of them with the focus; nothing for what is no part."""
        if part != OIL and part not in self.changes.session.rig.parts:
            return
        self.part = part
        self._turn_to(_NUMBERS)
        body = QWidget()
        rows = self._blocks(part, body)
        for about in self._known(part):
            row: WordsRow | NumberRow
            if about.options:
                row = WordsRow(self.look, self.changes, about, body)
            else:
                row = NumberRow(self.look, self.changes, about, body)
                row.said.connect(self.said)
            row.asked.connect(self.asked)
            rows.append(row)
        self._fill(rows, body)
        wanted = next((row for row in rows if row.objectName() == f"number {name}"), None)
        if wanted is not None:
            wanted.setFocus(Qt.FocusReason.TabFocusReason)
            self.area.ensureWidgetVisible(wanted)
        elif self.isVisible() and focus:
            self._focus_first()

    def _blocks(self, part: str, body: QWidget) -> list[Row]:
        rig = self.changes.session.rig
        blocks: list[Row] = []
        if part == OIL:
            oil = OilBlock(self.look, self.changes, body)
            oil.asked.connect(self.asked)
            blocks.append(oil)
        for name in self.changes.loads():
            if name.partition(".")[0] == part:
                controls = rig.controls()
                steps = steps_of(controls[name], self.look.system) if name in controls else self._masses(name)
                block = LoadBlock(self.look, self.changes, name, steps, body)
                block.asked.connect(self.asked)
                blocks.append(block)
        for own in screws(rig).get(part, ()):
            view = ScrewView(self.look, Screw(self.changes, part, own), partial(self.gauge, part), body)
            view.turned.connect(partial(self.turned.emit, f"{part}.{own}"))
            view.nut.connect(partial(self.nut.emit, f"{part}.{own}"))
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
        items = self._deeds()
        for difference in self.changes.different():
            title, told = difference.title, difference.told(self.look.system)
            back = difference.about is not None
            tip = tr("Enter or a click brings back what the file has") if back else title
            items.append(
                Item(difference.name, title, right=tr("Back") if back else "", told=told, tip=tip, inert=not back)
            )
        self.list.fill(items, self.list.key)
        if focus:
            self.list.setFocus(Qt.FocusReason.TabFocusReason)

    def _turn_to(self, page: str) -> None:
        self.page = page
        self.question.hide()
        self.finder.setVisible(page == _PARTS)
        self.back.setVisible(page != _PARTS)
        self.heading.setVisible(page != _PARTS)
        self.list.setVisible(page != _NUMBERS)
        self.area.setVisible(page == _NUMBERS)
        title = owner_title(self.changes.session.rig, self.part) if page == _NUMBERS else tr("Not as in the file")
        self.heading.setText(title)
        self._footer()

    def _changes_asked(self) -> None:
        self.show_changes()

    def again(self) -> None:
        """Build the page that is shown anew, for other units or another session; the keyboard stays where it is."""
        if self.page == _CHANGES:
            self.show_changes(focus=False)
            return
        if self.page == _PARTS:
            self._fill_parts()
            return
        place, focus = self.area.verticalScrollBar().value(), self.window().focusWidget()
        inside = focus is not None and self.area.isAncestorOf(focus)
        name = focus.objectName() if focus is not None else ""
        self.show_numbers(self.part, focus=False)
        self.area.verticalScrollBar().setValue(place)
        if inside:
            found = self.area.findChild(QWidget, name) if name else None
            (found or self.back).setFocus(Qt.FocusReason.OtherFocusReason)

    def refresh(self) -> None:
        """Show present values."""
        if self.page == _NUMBERS:
            for row in self.rows:
                row.refresh()
        differences = (*((d.name, d.now) for d in self.changes.different()), *self.changes.then(self.look.system))
        if differences != self._changed:
            self._changed = differences
            if self.page != _NUMBERS:
                self.again()
        self._footer()

    def _footer(self) -> None:
        count = len(self.changes.different())
        word = (
            tr("As in the file") if not count else trn("{count} change", "{count} changes", count).format(count=count)
        )
        if self.differ.text() != word:
            self.differ.setText(word)
            self.differ.setEnabled(count > 0)
            self.differ.updateGeometry()

    def lay_out(self) -> None:
        """Size what the layout places for the present look."""
        name = self.look.pixels(NAME)
        self.finder.setFont(fonts.font(name))
        self.finder.setFixedHeight(round(2.2 * name) - 8)
        self.area.verticalScrollBar().setStyleSheet(bar_style(self.look))

    # -- the keyboard ------------------------------------------------------------------------------------------------

    def _order(self) -> None:
        """Let Tab go down the page: what is sought, the rows with their buttons, the foot."""
        inside = [one for row in self.rows for one in (row, *row.findChildren(WordButton))]
        chain = [self.finder, self.back, self.list, *inside, self.undo, self.redo, self.save, self.differ]
        for before, after in itertools.pairwise(chain):
            QWidget.setTabOrder(before, after)

    def _focus_first(self) -> None:
        if self.page == _PARTS:
            self.finder.setFocus(Qt.FocusReason.OtherFocusReason)
            return
        if self.page == _CHANGES:
            self.list.setFocus(Qt.FocusReason.TabFocusReason)
            return
        for widget in (one for row in self.rows for one in (row, *row.findChildren(WordButton))):
            if widget.focusPolicy() & Qt.FocusPolicy.TabFocus and widget.isEnabled():
                widget.setFocus(Qt.FocusReason.TabFocusReason)
                return
        self.back.setFocus(Qt.FocusReason.TabFocusReason)

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Give the keyboard to what is used first."""
        self._focus_first()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Seek what is typed while the parts are shown; Down goes to the first of them, Up back from there."""
        typed = event.text()
        plain = not event.modifiers() & ~(Qt.KeyboardModifier.ShiftModifier | Qt.KeyboardModifier.KeypadModifier)
        if self.page == _PARTS and event.key() == Qt.Key.Key_Down and self.finder.hasFocus():
            self.list.choose_end(last=False)
            self.list.setFocus(Qt.FocusReason.TabFocusReason)
        elif self.page == _PARTS and event.key() == Qt.Key.Key_Up and self.list.hasFocus():
            self.finder.setFocus(Qt.FocusReason.OtherFocusReason)
        elif self.page == _PARTS and plain and typed.isprintable() and typed and not self.finder.hasFocus():
            self.finder.setFocus(Qt.FocusReason.OtherFocusReason)
            self.finder.insert(typed)
            self._fill_parts()
        else:
            super().keyPressEvent(event)
