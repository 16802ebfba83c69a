"""The page of hands: the pattern as a picture, what leads each lever, how sticks are felt, calibrating them."""

from __future__ import annotations

import itertools
from collections.abc import Callable

from msgspec.structs import replace
from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from trainer.drawing.shapes import DrawList
from trainer.drawing.sticks_view import pattern_view, travel_view
from trainer.language import mark, tr
from trainer.operating.axes import CURVES, DEAD
from trainer.operating.hands_kept import LONGEST
from trainer.operating.patterns import SLOTS, slot_words, stick_ways, way_words
from trainer.parts.part import Control
from trainer.rig.names import capital, lever_label
from trainer.rig.rig import Rig
from trainer.window.controls.buttons import WordButton
from trainer.window.controls.choice import ValueChoice
from trainer.window.controls.flow_layout import FlowLayout
from trainer.window.controls.item_list import ItemList
from trainer.window.controls.items import Item, ItemStyle
from trainer.window.controls.labels import Label
from trainer.window.controls.own_keys import Line
from trainer.window.controls.picture_view import PictureView
from trainer.window.controls.plain_page import PlainPage
from trainer.window.controls.qt_look import written_in
from trainer.window.controls.tips import set_tip
from trainer.window.hands.setup import Setup
from trainer.window.painting import fonts
from trainer.window.painting.look import Look
from trainer.window.session.screen import Screen

__all__ = ["HandsScreen"]

_STYLE = ItemStyle(19.0, pitch=1.8, inset=12.0, chosen="ground")
_TEXT = 19.0
_STICKS = SLOTS[:4]


class NameLine(Line):
    """A line in which a pattern is named; Enter takes the name, Esc leaves it as it was."""

    named = Signal(str)
    left_so = Signal()

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.setFrame(False)
        self.setMaxLength(LONGEST)
        self.setObjectName("pattern name")
        self.setAccessibleName(tr("Name of the pattern"))
        self.setPlaceholderText(tr("Name of the pattern, such as your machine's"))
        set_tip(self, tr("Write a name; Enter takes it, Esc leaves it as it was"))
        self.setTextMargins(6, 0, 6, 0)
        self.take_look()

    def take_look(self) -> None:
        """Take colours and type of the present look."""
        written_in(self, self.look)
        pixels = self.look.pixels(_TEXT)
        self.setFont(fonts.font(pixels))
        self.setFixedHeight(round(1.9 * pixels))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.named.emit(self.text())
        elif event.key() == Qt.Key.Key_Escape:
            self.left_so.emit()
        else:
            super().keyPressEvent(event)
            event.accept()


class HandsScreen(Screen):
    """Levers and what leads them at the left, the picture of the pattern and how sticks are felt at the right."""

    full = False
    why_none = ""  # why there are no controllers to read

    def __init__(self, look: Look, setup: Setup, parent: QWidget) -> None:
        super().__init__(parent)
        self.look, self.setup, self.sticks = look.beside(), setup, setup.sticks
        self.levers: dict[str, Control] = {}
        self.names: dict[str, str] = {}
        self.places: dict[str, float] = {}
        self.page = PlainPage(self.look, tr("Hands"), tr("Enter: push a stick for the lever. Esc: back"), self)
        page = self.page
        self.there = Label(self.look, "", page, size=_TEXT)
        self.swap = self._button(
            tr("Change hands"), mark("Change hands"), tr("Every single stick is in the other hand")
        )
        self.pattern = ValueChoice(self.look, mark("Pattern"), page)
        self.add = self._button(tr("New"), mark("New pattern"), tr("One more like this, to be changed"))
        self.rename = self._button(tr("Name"), mark("Name the pattern"), tr("Give this pattern a name"))
        self.remove = self._button(tr("Delete"), mark("Delete the pattern"), tr("Delete this pattern"))
        self.line = NameLine(self.look, page)
        self.line.hide()
        self.list = ItemList(self.look, mark("Levers"), page, _STYLE, seeks=False)
        self.slot = ValueChoice(self.look, mark("Led by"), page)
        self.way = ValueChoice(self.look, mark("Direction"), page)
        self.picture = PictureView(self.look, self._picture, page, largest=2.0)
        self.felt = PictureView(self.look, self._travel, page, largest=1.6)
        self.hint = Label(self.look, "", page, size=_TEXT, weight=600)
        self.seek = self._button(
            tr("Find centres and ends"),
            mark("Find centres and ends"),
            tr("Where each axis rests and how far it goes"),
        )
        self.dead = ValueChoice(self.look, mark("Dead zone"), page)
        self.curve = ValueChoice(self.look, mark("Curve"), page)
        self.axis = ValueChoice(self.look, mark("Axis"), page)
        self.alike = self._button(
            tr("All axes like this one"),
            mark("All axes like this one"),
            tr("The same dead zone and curve everywhere"),
        )
        self._lay_out()
        self._order()
        self._connect()
        self.setAccessibleName(tr("Hands"))
        self.setFocusPolicy(Qt.FocusPolicy.ClickFocus)
        self.setFocusProxy(self.list)

    def _button(self, words: str, name: str, tip: str) -> WordButton:
        return WordButton(self.look, words, name, tip, self.page, size=_TEXT)

    def _lay_out(self) -> None:
        self.halves = QHBoxLayout()
        self.left_half, self.right_half = QVBoxLayout(), QVBoxLayout()
        self.rows = [FlowLayout() for _ in range(4)]
        for row, widgets in zip(
            self.rows,
            (
                (self.pattern, self.add, self.rename, self.remove),
                (self.slot, self.way),
                (self.seek, self.swap),
                (self.dead, self.curve, self.axis, self.alike),
            ),
            strict=True,
        ):
            for widget in widgets:
                row.addWidget(widget)
        self.left_half.addLayout(self.rows[0])
        self.left_half.addWidget(self.line)
        self.left_half.addWidget(self.list, 8)
        self.left_half.addLayout(self.rows[1])
        self.left_half.addWidget(self.felt, 8)
        self.left_half.addLayout(self.rows[3])
        self.right_half.addWidget(self.there)
        self.right_half.addWidget(self.picture, 1)
        self.right_half.addWidget(self.hint)
        self.right_half.addLayout(self.rows[2])
        self.halves.addLayout(self.left_half, 8)
        self.halves.addLayout(self.right_half, 14)
        self.page.body.addLayout(self.halves)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.page)

    def _order(self) -> None:
        """Set the order of the focus: as it is read, the left half before the right one."""
        chain = (
            self.pattern, self.add, self.rename, self.remove, self.line, self.list, self.slot, self.way, self.dead,
            self.curve, self.axis, self.alike, self.seek, self.swap,
        )  # fmt: skip
        for before, after in itertools.pairwise(chain):
            QWidget.setTabOrder(before, after)

    def _connect(self) -> None:
        setup = self.setup
        self.page.left.connect(self._back)
        self.list.chosen.connect(lambda _: self._show_lever())
        self.list.entered.connect(self._ask)
        self.pattern.changed.connect(lambda: self._do(lambda: setup.choose(self.pattern.place)))
        self.add.clicked.connect(lambda: self._do(setup.add))
        self.remove.clicked.connect(lambda: self._do(setup.remove))
        self.rename.clicked.connect(self._begin_name)
        self.line.named.connect(self._name)
        self.line.left_so.connect(self._end_name)
        self.slot.changed.connect(lambda: self._do(lambda: setup.lead(self.list.key, self._slots()[self.slot.place])))
        self.way.changed.connect(lambda: self._do(lambda: setup.turn(self.list.key, bool(self.way.place))))
        self.swap.clicked.connect(lambda: self._do(self._swap))
        self.seek.clicked.connect(self._find)
        for choice in (self.dead, self.curve, self.axis):
            choice.changed.connect(self._felt)
        self.alike.clicked.connect(self._all_alike)

    # -- what is shown -------------------------------------------------------------------------------------------

    def take_rig(self, rig: Rig) -> None:
        """Show the levers of a rig."""
        controls = rig.controls()
        self.levers = {name: controls[name] for name in controls if name.endswith(".lever")}
        self.names = {name: capital(lever_label(rig, name)) for name in self.levers}
        self.page.beside.setText(rig.title)
        self.setup.give_up()
        self.fill()

    def fill(self) -> None:
        """Show all as it is set now."""
        hands, chosen = self.setup.hands, self.list.key
        self.pattern.fill([one.name for one in hands.patterns], hands.chosen)
        self.remove.setEnabled(len(hands.patterns) > 1)
        leads = self.setup.pattern.leads
        self.list.fill(
            [
                Item(name, words, right=self._led_by(leads[name].slot) if name in leads else tr("nothing"))
                for name, words in self.names.items()
            ],
            chosen,
        )
        self.list.setMaximumHeight((len(self.names) + 1) * max(self.list.sizeHintForRow(0), 1))
        self._show_lever()
        self._show_there()
        self.picture.forget()

    @property
    def _there_now(self) -> set[str]:
        """The slots of the controllers that are there."""
        return {self.sticks.slot(pad, name) for pad in self.sticks.pads for name in pad.raw}

    def _led_by(self, slot: str) -> str:
        """Return what leads a lever, and whether no controller that is there has it."""
        lacks = bool(self.sticks.pads) and slot not in self._there_now
        return tr("{slot}: not there").format(slot=slot_words(slot)) if lacks else slot_words(slot)

    def _slots(self) -> list[str]:
        """Return what may lead a lever: "" for nothing, all slots, and axes of the controllers that are there."""
        there = self._there_now
        leads = {lead.slot for lead in self.setup.pattern.leads.values()}
        return ["", *SLOTS, *sorted((there | leads) - {*SLOTS})]

    def _show_lever(self) -> None:
        """Show what leads the chosen lever, and how its axis is felt."""
        control = self.list.key
        lead, slots = self.setup.pattern.leads.get(control), self._slots()
        self.slot.fill(
            [slot_words(slot) if slot else tr("nothing") for slot in slots], slots.index(lead.slot) if lead else 0
        )
        ends = self.levers[control].ends if control in self.levers else ("", "")
        more = ends[1] or "+"
        ways = way_words(lead.slot) if lead is not None else ("−", "+")
        self.way.fill(
            [tr("{way}: {word}").format(way=way, word=more) for way in (ways[1], ways[0])],
            int(lead is not None and lead.turned),
        )
        self.way.setEnabled(lead is not None)
        axis = self.setup.axis_of(control)
        self.felt.forget()
        for widget in (self.dead, self.curve, self.axis, self.alike):
            widget.setVisible(axis is not None)
        if axis is not None:
            travel = self.sticks.travel(*axis)
            self.dead.fill([f"{100 * share:.0f} %" for share in _with(DEAD, travel.dead)],
                           _with(DEAD, travel.dead).index(travel.dead))  # fmt: skip
            self.curve.fill(_curve_words(travel.curve), _with(CURVES, travel.curve).index(travel.curve))
            self.axis.fill([tr("as it is"), tr("turned round")], int(travel.turned))
        for choice in (self.pattern, self.slot, self.way, self.dead, self.curve, self.axis):
            choice.updateGeometry()  # its values have other widths

    def _show_there(self) -> None:
        """Say which controllers are there, or how to get them; and what to do next."""
        pads = self.sticks.pads
        hands = {"left": tr("left hand"), "right": tr("right hand"), "": tr("both hands")}
        told = [
            tr("{name} ({hand})").format(name=pad.name, hand=hands[self.sticks.hand(pad)]) for pad in pads
        ]  # fmt: skip
        none = self.why_none or tr("No controller is plugged in: keys, mouse and touch move the levers.")
        self.there.setText(" · ".join(told) or none)
        self.swap.setVisible(any(not pad.both for pad in pads))
        self.seek.setEnabled(bool(pads))
        self.hint.setText(self._hint())
        finder = self.setup.calibrating
        words = {"rest": tr("All are let go: on"), "ends": tr("All were at their ends: done")}
        self.seek.setText(words.get(finder.phase, "") if finder is not None else tr("Find centres and ends"))
        self.seek.updateGeometry()

    def _hint(self) -> str:
        setup, finder = self.setup, self.setup.calibrating
        if setup.asked and self.sticks.waiting:
            return tr("Let go of the sticks.")
        if setup.asked:
            ends = self.levers[setup.asked].ends
            return tr("{lever}: push a stick the way that is to be “{word}”. Esc leaves it as it was.").format(
                lever=self.names[setup.asked], word=ends[1] or "+"
            )
        if finder is None and not self.sticks.pads and not setup.told:
            return tr("Without one: what leads the chosen lever is set below it by the arrow keys.")
        if finder is None:
            return setup.told
        if finder.phase == "rest":
            return setup.told or tr("Let go of all sticks, then Enter.")
        count = sum(all(ends) for ends in finder.moved().values())
        return tr("Move every stick to all its ends, then Enter: {count} of {all} axes so far.").format(
            count=count, all=len(finder.before)
        )

    def _picture(self) -> DrawList:
        pattern = self.setup.pattern
        ways = stick_ways(pattern, self.levers, self.names, pattern.by_slot())
        others = [
            (slot, tr("{slot}: {less}: {lever} {first} · {more}: {lever} {second}").format(
                slot=capital(slot_words(slot)), lever=name.lower(), less=way_words(slot)[0], first=first,
                more=way_words(slot)[1], second=second,
            ))
            for slot, (name, first, second) in ways.items()
            if slot not in _STICKS
        ]  # fmt: skip
        titles = tr("left hand, seen from above"), tr("right hand, seen from above")
        return pattern_view(ways, self.places, titles, others, "–")

    def _travel(self) -> DrawList:
        """Return how the axis of the chosen lever is felt, nothing where none leads it."""
        axis = self.setup.axis_of(self.list.key)
        if axis is None:
            return []
        travel, (pad, name) = self.sticks.travel(*axis), axis
        words = tr("stick"), tr("lever"), tr("hatched: let go")
        return travel_view(travel.share, pad.raw[name], travel.centre, travel.zone, words)

    def pass_frame(self) -> None:
        """Show where the sticks are, once a frame; let what is asked for be set by them."""
        seen = [(pad.number, self.sticks.hand(pad)) for pad in self.sticks.pads]
        if self.setup.pass_frame() or seen != self._seen:
            self._seen = seen
            self.fill()
        self.sticks.places()  # what is let go may lead
        places = self.sticks.standing()
        if places != self.places:
            self.places = places
            self.picture.forget()
            self.felt.forget()
        if (self.setup.calibrating is not None or self.setup.asked) and (hint := self._hint()) != self.hint.text():
            self.hint.setText(hint)

    _seen: list[tuple[int, str]] = []

    def take_look(self) -> None:
        """Take the look of the window, at the scale of this size."""
        self.look.scale = min(self.width() / 1920.0, self.height() / 1080.0)
        self.page.take_looks()
        scale = self.look.scale
        self.halves.setSpacing(round(60 * scale))
        for half in (self.left_half, self.right_half):
            half.setSpacing(round(14 * scale))
        for row in self.rows:
            row.setSpacing(round(10 * scale))
        self.rows[2].outdent = round(8 * scale)
        self.felt.largest = 1.25 * scale
        self.fill()

    def resizeEvent(self, event: QResizeEvent) -> None:
        self.take_look()

    # -- hands ---------------------------------------------------------------------------------------------------

    def _do(self, change: Callable[[], object]) -> None:
        change()
        self.fill()

    def _swap(self) -> None:
        self.sticks.swap()
        self.setup.choose(self.setup.hands.chosen)

    def _ask(self, control: str) -> None:
        """Ask for a stick to be pushed for a lever, where there is one; a phase of calibrating ends by Enter too."""
        if self.setup.calibrating is not None:
            self._find()
        elif self.sticks.pads:
            self.setup.ask(control)
            self._show_there()

    def _find(self) -> None:
        self.setup.asked = ""
        self._do(self.setup.go_on)

    def _begin_name(self) -> None:
        self.line.setText(self.setup.pattern.name)
        self.line.show()
        self.line.selectAll()
        self.line.setFocus()

    def _name(self, words: str) -> None:
        self._do(lambda: self.setup.name(words))
        self._end_name()

    def _end_name(self) -> None:
        self.line.hide()
        self.rename.setFocus(Qt.FocusReason.TabFocusReason)

    def _felt(self) -> None:
        axis = self.setup.axis_of(self.list.key)
        if axis is not None:
            before = self.sticks.travel(*axis)
            dead, curve = _with(DEAD, before.dead)[self.dead.place], _with(CURVES, before.curve)[self.curve.place]
            travel = replace(before, dead=dead, curve=curve, turned=bool(self.axis.place))
            self._do(lambda: self.setup.set_travel(*axis, travel))

    def _all_alike(self) -> None:
        axis = self.setup.axis_of(self.list.key)
        if axis is not None:
            self._do(lambda: self.setup.all_alike(*axis))

    def leave(self) -> None:
        """Give up what is begun."""
        self.setup.give_up()
        self.line.hide()

    def _back(self) -> None:
        """Give up what is begun, or go back."""
        if self.setup.give_up():
            self.fill()
        else:
            self.left.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self._back()
        else:
            super().keyPressEvent(event)


def _with(values: tuple[float, ...], value: float) -> list[float]:
    """Return values to choose from, with one that was found among them."""
    return sorted({*values, value})


def _curve_words(value: float) -> list[str]:
    known = dict(zip(CURVES, (tr("straight"), tr("a little finer"), tr("finer"), tr("finest")), strict=True))
    return [known.get(one, f"{one:.2f}") for one in _with(CURVES, value)]
