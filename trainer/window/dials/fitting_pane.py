"""Choosing an instrument, its place, its range and how it behaves, as a pane."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from trainer import units
from trainer.drawing.instruments import QUANTITIES, scale_of
from trainer.language import mark, tr
from trainer.measuring.instruments import CLASSES, DAMPINGS, RANGES, new_instrument, places
from trainer.rig.instrument_faults import ERRORS, STATES
from trainer.rig.names import capital, measured_at, short_words
from trainer.rig.rig import Instrument, Rig
from trainer.window.controls.buttons import WordButton
from trainer.window.controls.choice import ValueChoice
from trainer.window.controls.flow_layout import FlowLayout
from trainer.window.controls.item_list import FilterEntry, ItemList
from trainer.window.controls.items import Item, ItemStyle
from trainer.window.controls.labels import Label
from trainer.window.controls.pane import Pane
from trainer.window.painting.look import Look

__all__ = ["FitPane", "short_label"]

_DAMPINGS = (0.0, 0.05, 0.15, 0.3, 0.6, 1.0, 2.0, 5.0)  # time constants of a needle to choose from [s]
_GAINS = (-0.1, 0.0, *ERRORS["gain"].shares.values())  # that are offered, of the reading
_SNUBBERS = (0.0, *ERRORS["snubber"].shares.values())  # time constants of snubbers [s]
_ZEROS = (-0.05, -0.02, 0.0, 0.02, 0.05, 0.1)  # zero errors, as shares of the range
_ANY = 16777215  # no limit of a height, as Qt writes it [px]
_CLASS = 1.6  # what is usual in a workshop


def short_label(rig: Rig, kind: str, on: str) -> str:
    """Return a label for a dial: where it reads, in a few letters."""
    return short_words(measured_at(rig, Instrument("", kind, on, 1.0)).replace(", port ", ", "))


def _with(values: Sequence[float], value: float) -> Sequence[float]:
    """Return values that are to be had, with one more where none of them is it."""
    return values if any(math.isclose(value, each) for each in values) else sorted({*values, value})


def _place(values: Sequence[float], value: float) -> int:
    """Return the place of the value nearest to another."""
    return values.index(min(values, key=lambda each: abs(each - value)))


class FitPane(Pane):
    """Kind, place, range, class, damping; in a part that is closed at first its state and its zero error.

    ``asked`` when the choice is made. ``placed`` tells another place, which the drawing may light. ``subject`` is the
    instrument that gets another range, class or damping where it is; None while another one is fitted.
    """

    title = mark("Fit an instrument")
    button_words = (mark("Fit"), mark("Change"))
    asked = Signal()
    placed = Signal()

    def __init__(self, look: Look, rig: Rig, parent: QWidget) -> None:
        super().__init__(look, parent)
        self.rig = rig
        self.kind = "gauge"
        self.subject: Instrument | None = None
        self.ends: Sequence[float] = RANGES["gauge"]  # of the scales that are offered [SI]
        self.classes: Sequence[float] = CLASSES  # that are offered [% of the range]
        self.dampings: Sequence[float] = _DAMPINGS  # that are offered [s]
        self.kinds = {
            kind: WordButton(
                look,
                capital(tr(kind)),
                tr("Kind {kind}").format(kind=tr(kind)),
                tr("Fit a {kind}").format(kind=tr(kind)),
                self,
                checkable=True,
                size=15.4,
            )
            for kind in RANGES
        }
        self.rows = ItemList(look, mark("Places"), self, ItemStyle(pitch=1.4, inset=4.0))
        self.filter = FilterEntry(look, self.rows, tr("Place: type to filter"), self)
        self.range_ = ValueChoice(look, mark("Range"), self)
        self.class_ = ValueChoice(look, mark("Class"), self)
        self.damping = ValueChoice(look, mark("Damping"), self)
        self.state = ValueChoice(look, mark("State"), self)
        self.zero = ValueChoice(look, mark("Zero"), self)
        self.gain = ValueChoice(look, mark("Gain"), self)
        self.snubber = ValueChoice(look, mark("Snubber"), self)
        self.faults = (self.state, self.zero, self.gain, self.snubber)
        tip = tr("Make it faulty; what is chosen here is not shown afterwards")
        self.hidden = WordButton(
            look, tr("For the instructor"), mark("For the instructor"), tip, self, checkable=True, size=15.4
        )
        told = tr("What is chosen here does not show afterwards.")
        self.note = Label(look, told, self, ink="ink2", size=15.4, wraps=False)
        self.button = WordButton(
            look, tr("Fit"), mark("Fit it here"), tr("Fit it here, or see what comes before"), self, filled=True
        )
        self._arrange_form()
        for kind, button in self.kinds.items():
            button.clicked.connect(lambda _=False, kind=kind: self.choose_kind(kind))
        self.rows.chosen.connect(self.placed)
        self.rows.entered.connect(self._enter)
        self.button.clicked.connect(self._enter)
        self.hidden.toggled.connect(self.arrange)
        self.range_.changed.connect(self._fill_zero)
        for choice in (self.range_, self.class_, self.damping, *self.faults):
            choice.entered.connect(self._enter)
        self.choose_kind("gauge")

    def _arrange_form(self) -> None:
        """Put the choices below each other: kinds, place, range, class and damping, the instructor's, the button."""
        self.kind_row, self.hidden_row = FlowLayout(), FlowLayout()
        for button in self.kinds.values():
            self.kind_row.addWidget(button)
        self.hidden_row.addWidget(self.hidden)
        self.column = QVBoxLayout(self)
        self.column.addLayout(self.kind_row)
        self.column.addWidget(self.filter)
        self.column.addWidget(self.rows, 100)
        faulty = self.faults[:2], self.faults[2:]
        for row in ((self.range_,), (self.class_, self.damping), (), (self.note,), *faulty):
            if not row:
                self.column.addLayout(self.hidden_row)
                continue
            line = QHBoxLayout()
            for widget in row:
                line.addWidget(
                    widget, 1, Qt.AlignmentFlag.AlignLeft if widget is not self.note else Qt.AlignmentFlag(0)
                )
            self.column.addLayout(line)
        self.column.addStretch(1)
        self.column.addWidget(self.button)

    # -- what is chosen ------------------------------------------------------------------------------------------

    def start(self, rig: Rig, kind: str, on: str = "", range_: float | None = None) -> None:
        """Begin a choice anew: a kind, a place, a range [SI]; all is sound, the instructor's part closed."""
        self._begin(rig, None, self.button_words[0])
        self.choose_kind(kind, on, range_)

    def start_change(self, rig: Rig, name: str) -> None:
        """Begin to change an instrument where it is: what it has now is chosen, and offered even if no shop has it.

        What goes on in its place is sound. Raises KeyError.
        """
        old = rig.instruments[name]
        self._begin(rig, old, self.button_words[1])
        self.choose_kind(old.kind, old.on, old.range_)

    def _begin(self, rig: Rig, subject: Instrument | None, verb: str) -> None:
        self.rig, self.subject = rig, subject
        self.filter.clear()
        self.hidden.setChecked(False)
        verb = tr(verb)
        self.name(f"{verb} {subject.name}" if subject is not None else tr(FitPane.title))
        self.button.setText(verb)
        self.button.setAccessibleName(tr("{verb} it here").format(verb=verb))
        for widget in (self.filter, *self.kinds.values()):
            widget.setVisible(subject is None)

    def choose_kind(self, kind: str, on: str = "", range_: float | None = None) -> None:
        """Show the places, ranges and habits of a kind of instrument."""
        self.kind = kind
        for name, button in self.kinds.items():
            button.setChecked(name == kind)
        old = self.subject
        found = [Item(place.on, place.words) for place in places(self.rig, kind)]
        self.rows.fill([item for item in found if old is None or item.key == old.on], on or self.rows.key)
        self.ends, self.classes, self.dampings = RANGES[kind], CLASSES, _DAMPINGS
        class_, damping = _CLASS, min(_DAMPINGS, key=lambda time: abs(time - DAMPINGS[kind]))
        if old is not None:
            class_, damping = round(100 * old.accuracy, 9), old.damping
            self.ends = _with(self.ends, old.range_)
            self.classes, self.dampings = _with(self.classes, class_), _with(self.dampings, damping)
        self._fill_ranges(_place(self.ends, range_ or self.ends[len(self.ends) // 2]))
        self.class_.fill(
            [f"{class_:g}" if class_ else "exact" for class_ in self.classes], _place(self.classes, class_)
        )
        self.damping.fill([f"{time:g} s" for time in self.dampings], _place(self.dampings, damping))
        states = [state for state, kinds in STATES.items() if kind in kinds]
        self.state.fill(states, 0)
        self.gain.fill([f"{100 * gain:+.3g} %".replace("-", "−") if gain else "0 %" for gain in _GAINS], 1)
        self.snubber.fill([f"{time:g} s" for time in _SNUBBERS], 0)
        self._fill_zero(anew=True)
        self.placed.emit()
        self.arrange()

    def choose_range(self, range_: float) -> None:
        """Choose the range nearest to a number [SI]."""
        self._fill_ranges(_place(self.ends, range_))
        self._fill_zero()

    def _fill_ranges(self, place: int) -> None:
        quantity = QUANTITIES[self.kind]
        scales = [scale_of(end, quantity, self.look.system) for end in self.ends]
        self.range_.fill([f"{scale.end:g} {scale.symbol}" for scale in scales], place)

    def _fill_zero(self, anew: bool = False) -> None:
        """Write the zero errors in the unit of the range."""
        quantity, system = QUANTITIES[self.kind], self.look.system
        unit = units.shown_unit(quantity, system)
        symbol = units.shown_unit(quantity, system).pretty
        written = []
        for share in _ZEROS:
            off = share * self.ends[self.range_.place] / unit.factor
            written.append(f"{off:+.3g} {symbol}".replace("-", "−") if share else f"0 {symbol}")
        self.zero.fill(written, _ZEROS.index(0.0) if anew or not self.zero.values else self.zero.place)

    @property
    def on(self) -> str:
        """The chosen place, "" where none is shown."""
        return self.rows.key

    def instrument(self) -> Instrument:
        """Return what was chosen, with a free name or its own. Raises ValueError where no place is chosen."""
        if not self.on:
            raise ValueError(tr("No place has these words. Clear the line above the list, or write fewer letters."))
        end = self.ends[self.range_.place]
        accuracy = self.classes[self.class_.place] / 100
        made = self.subject
        if made is None:
            label = short_label(self.rig, self.kind, self.on)
            made = new_instrument(self.rig, self.kind, self.on, end, accuracy, label)
        zero = _ZEROS[self.zero.place] * end
        damping = self.dampings[self.damping.place]
        calibrated = made.calibrated and accuracy == made.accuracy
        return replace(
            made, range_=end, accuracy=accuracy, damping=damping, state=self.state.value, zero=zero,
            calibrated=calibrated, gain=_GAINS[self.gain.place], snubber=_SNUBBERS[self.snubber.place],
        )  # fmt: skip

    def _enter(self) -> None:
        self.asked.emit()

    # -- how it looks --------------------------------------------------------------------------------------------

    def take_look(self) -> None:
        """Write everything in the present look and units; what is chosen stays."""
        self._fill_ranges(self.range_.place)
        self._fill_zero()
        self.arrange()

    def lay_out(self) -> None:
        """Size what the layout places for the present look."""
        scale, row = self.look.scale, round(2.0 * self.rows.delegate.pixels)
        column = self.column
        column.setSpacing(round(4 * scale))
        for flow in (self.kind_row, self.hidden_row):
            flow.outdent = round(8 * scale)
        self.filter.setFixedHeight(row)
        self.rows.setMaximumHeight(row if self.subject is not None else _ANY)
        self.button.setMinimumWidth(self.button.sizeHint().width() + round(36 * scale))
        for widget in (self.note, self.state, self.zero):
            widget.setVisible(self.hidden.isChecked())
        for widget, key in ((self.gain, "gain"), (self.snubber, "snubber")):
            widget.setVisible(self.hidden.isChecked() and self.kind in ERRORS[key].kinds)
