"""Instruments at hand: fitted from the rail or from the keyboard, moved, taken off; whether what they read counts."""

from __future__ import annotations

import itertools
from dataclasses import replace
from typing import Protocol

from PySide6.QtCore import QPoint, QPointF
from PySide6.QtWidgets import QWidget

from trainer.drawing.instruments import QUANTITIES, scale_of
from trainer.engine.readings import Readings
from trainer.errors import SpoolroomError
from trainer.language import mark, tr
from trainer.measuring.fitting import Fitting, plan, running_allowed
from trainer.measuring.instruments import (
    DAMPINGS,
    fitting_range,
    new_instrument,
    places,
    suits,
    true_reading,
)
from trainer.measuring.validity import verdict
from trainer.parts.part import Parameter
from trainer.rig.names import measured_at
from trainer.rig.rig import Instrument, Rig
from trainer.window.board.drawing_view import DrawingView
from trainer.window.dials.carry import CarryView
from trainer.window.dials.dials import MOST, DialsView
from trainer.window.dials.fitting_pane import FitPane, short_label
from trainer.window.dials.fitting_progress import FittingProgress, moving
from trainer.window.dials.fitting_steps import FitStepsPane
from trainer.window.dials.places import Target, target_at
from trainer.window.painting.look import Look
from trainer.window.session.presenter import Presenter

__all__ = ["DialsPresenter", "usual_range"]

_FULL = mark(
    "There is room for {most} dials. Take one off first: drag it back to the rail, or choose it and press Delete."
)


def usual_range(rig: Rig, kind: str, on: str, value: float) -> float:
    """Return a range [SI] for an instrument that is dropped at a place where ``value`` is read now [SI].

    A gauge must bear the highest relief setting, a flow meter the pumps' delivery, a tachometer what others on the
    same shaft read.
    """
    if kind == "gauge":
        settings = [f.value("setting") for f in rig.parts.values() if "setting" in f.part.declared(Parameter)]
        return fitting_range(kind, max([abs(value), *settings]))
    if kind == "flow meter":
        return fitting_range(kind, max(abs(value), rig.delivery))
    same = [item.range_ for item in rig.instruments.values() if item.kind == kind and item.on == on]
    return max(same) if same else fitting_range(kind, max(abs(value), 60.0 if kind == "thermometer" else 0.0))


class Page(Protocol):
    """The views that are asked of a page."""

    beside: Look
    dials: DialsView
    drawing: DrawingView

    @property
    def strip(self) -> QWidget:
        """The strip."""


class DialsPresenter(Presenter[Page]):
    """Fits instruments, moves them and takes them off, and tells whether a reading counts."""

    actions = {"fit instrument": "open_fit"}
    _now = False

    def take(self, page: Page) -> None:
        """Build the panes of a page, and listen to its dials and its rail."""
        super().take(page)
        board, session = page, self.session
        self.file_rig = session.rig  # where a gauge of its own sits, there is a coupling
        self.chosen = next(iter(session.rig.instruments), "")
        self.carry = CarryView(self.stage.look, self.stage.ground)
        self.pane = FitPane(board.beside, session.rig, self.stage.ground)
        self.steps = FitStepsPane(board.beside, self.stage.ground)
        self.progress: FittingProgress | None = None
        self._wanted: Instrument | None = None  # what the steps lead to; None: an instrument comes off
        self._subject = ""  # the instrument that is moved or taken off
        dials = board.dials
        dials.chosen.connect(self._choose)
        dials.carried.connect(self._carry_dial)
        dials.dropped.connect(self._drop_dial)
        dials.put_down.connect(self._put_down)
        dials.removal_asked.connect(self.take_off)
        dials.change_asked.connect(self.open_change)
        for item in dials.rail.items.values():
            item.opened.connect(self._open_kind)
            item.carried.connect(self._carry_kind)
            item.dropped.connect(self._drop_kind)
            item.put_down.connect(self._put_down)
        self.pane.asked.connect(self._pane_asked)
        self.pane.placed.connect(self._light_pane)
        self.pane.closed.connect(self._dark)
        self.steps.said.connect(self._say)
        self.steps.fit_asked.connect(self._carry_out)
        self.steps.back_asked.connect(self._back)
        self.steps.closed.connect(self._dark)
        self._order()
        self._validity()

    def _order(self) -> None:
        """Let the focus go from the last dial along the rail."""
        dials = self.page.dials
        chain = [*dials.dials[-1:], *dials.rail.items.values(), dials.watch]
        for before, after in itertools.pairwise(chain):
            QWidget.setTabOrder(before, after)

    def refit(self) -> None:
        """Take up what is fitted now."""
        rig = self.session.rig
        if self.chosen not in rig.instruments:
            self.chosen = next(iter(rig.instruments), "")
        self.pane.rig = rig
        self._order()
        self._validity()

    def show_instant(self, live: Readings, seconds: float, passed: float) -> None:
        """Let the drawing's needles stand as those of the dials."""
        state = self.page.drawing.state
        for view in self.page.dials.dials:
            state.needles[view.instrument.name] = view.pointer.needle

    def show_figures(self, seconds: float) -> None:
        """Print whether a reading counts, and the steps that are done."""
        self._now = not self._now or seconds == 0.0
        if self._now:  # four times a second, and where all that is shown is printed at once
            self._validity()
        if self.steps.isVisible():
            self.steps.show_state(self.session.readings)

    def new_look(self) -> None:
        """Write the panes in the present units."""
        self.pane.take_look()

    # -- what counts ---------------------------------------------------------------------------------------------

    def _choose(self, name: str) -> None:
        self.chosen = name
        self._validity()

    def _validity(self) -> None:
        """Say whether the reading of the chosen instrument counts."""
        dials, session, system = self.page.dials, self.session, self.stage.look.system
        view = dials.dial(self.chosen)
        found = None
        if view is not None and dials.validity.there:
            found = verdict(session.rig, session.readings, self.chosen, view.shown, view.resting)
        if view is None or found is None:
            dials.validity.show_pieces(())
            return
        more = "" if view.covered else found.comparison(system)
        pieces = [
            tr("{chosen} against the sheet:").format(chosen=self.chosen),
            *found.told(system),
            *([more] if more else []),
        ]
        dials.validity.show_pieces(pieces)

    # -- carried by hand -----------------------------------------------------------------------------------------

    def _target(self, kind: str, point: QPoint) -> Target | None:
        """Return what lies under a global point of the drawing, None where the drawing is not there."""
        drawing = self.page.drawing
        place = drawing.mapFromGlobal(point)
        if not drawing.isVisible() or not drawing.rect().contains(place):
            return None
        at = drawing.place_of(QPointF(place))
        return target_at(drawing.scene, kind, at.x(), at.y())

    def _over_rail(self, point: QPoint) -> bool:
        rail = self.page.dials.rail
        return rail.rect().contains(rail.mapFromGlobal(point))

    def _carry_kind(self, kind: str, point: QPoint) -> None:
        target = self._target(kind, point)
        words = target.words if target is not None else tr("onto the drawing")
        self._carried(kind, "", point, words, target)

    def _carry_dial(self, name: str, point: QPoint) -> None:
        instrument = self.session.rig.instruments[name]
        target = self._target(instrument.kind, point)
        if target is not None:
            words = tr("it sits here") if target.on == instrument.on else target.words
        elif self._over_rail(point):
            words = tr("take it off")
        else:
            strip = self.page.strip
            over = strip.rect().contains(strip.mapFromGlobal(point))
            words = tr("show it on the strip") if over else tr("another place, the strip, or back to the rail")
        self._carried(instrument.kind, name, point, words, target)

    def _carried(self, kind: str, name: str, point: QPoint, words: str, target: Target | None) -> None:
        board = self.page
        good = target is not None and bool(target.on)
        board.drawing.light(target.lit if target is not None else (), "fit")
        self.carry.show_at(self.stage.ground.mapFromGlobal(point), kind, name, words, good)

    def _put_down(self) -> None:
        self.carry.hide()
        self._dark()

    def _drop_kind(self, kind: str, point: QPoint) -> None:
        target = self._target(kind, point)
        if target is None:
            return
        if not target.on:
            self.stage.tell(f"{target.words[:1].upper()}{target.words[1:]}.")
        else:
            self.fit_at(kind, target.on)

    def _drop_dial(self, name: str, point: QPoint) -> None:
        instrument = self.session.rig.instruments.get(name)
        if instrument is None:
            return
        target = self._target(instrument.kind, point)
        if self._over_rail(point):
            self.take_off(name)
        elif target is not None and target.on and target.on != instrument.on:
            label = short_label(self.session.rig, instrument.kind, target.on)
            ends = new_instrument(self.session.rig, instrument.kind, target.on, instrument.range_).between
            self.want(replace(instrument, on=target.on, label=label, between=ends), name)
        elif target is not None and not target.on:
            self.stage.tell(f"{target.words[:1].upper()}{target.words[1:]}.")

    def fit_at(self, kind: str, on: str) -> None:
        """Fit an instrument of a kind at a place, or tell what stands against it."""
        if self._has_room():
            self.want(self.usual(kind, on))

    def usual(self, kind: str, on: str) -> Instrument:
        """Return an instrument of a kind as a workshop would take it for a place."""
        session = self.session
        value = true_reading(new_instrument(session.rig, kind, on, 1.0), session.readings)
        end = usual_range(session.rig, kind, on, value)
        made = new_instrument(session.rig, kind, on, end, label=short_label(session.rig, kind, on))
        return replace(made, damping=DAMPINGS[kind])

    # -- from the keyboard ---------------------------------------------------------------------------------------

    def open_fit(self) -> None:
        """Open the pane that fits an instrument, or close it."""
        if self.pane.isVisible():
            self.stage.close_pane(self.pane)
            self._dark()
        else:
            self._open_kind(self.pane.kind)

    def open_change(self, name: str) -> None:
        """Open the pane that gives an instrument another range, class or damping where it is."""
        if name in self.session.rig.instruments:
            self.pane.start_change(self.session.rig, name)
            self.stage.open_pane(self.pane)
            self.pane.range_.setFocus()
            self._light_pane()

    def _open_kind(self, kind: str) -> None:
        if kind == "stopwatch" or not self._has_room():
            return
        rig = self.session.rig
        on = self._first_place(rig, kind)
        usual = self.usual(kind, on).range_ if on else None
        self.pane.start(rig, kind, on, usual)
        self.stage.open_pane(self.pane)
        self.pane.filter.setFocus()
        self._light_pane()

    def _first_place(self, rig: Rig, kind: str) -> str:
        """Return where an instrument would go first: where it may while the rig runs and where none sits yet."""
        taken = {item.on for item in rig.instruments.values() if item.kind == kind}
        free = [place.on for place in places(rig, kind) if place.on not in taken]
        allowed = [on for on in free if running_allowed(self.file_rig, kind, on)]
        return next(iter([*allowed, *free, *taken]), "")

    def _has_room(self) -> bool:
        if len(self.session.rig.instruments) < MOST:
            return True
        self.stage.tell(tr(_FULL).format(most=MOST))
        return False

    def _light_pane(self) -> None:
        """Light the place that is chosen in the pane."""
        board, pane = self.page, self.pane
        if not pane.isVisible():
            return
        lit: set[tuple[str, str]] = set()
        if pane.on:
            rig = self.session.rig
            if pane.kind in ("gauge", "vacuum gauge"):
                lit = {("line", pane.on)}
            elif pane.kind == "tachometer":
                lit = {("part", owner) for owner, _ in rig.lines[pane.on].joins}
            else:
                lit = {("part", pane.on.partition(".")[0])}
                if pane.kind == "flow meter":
                    lit.add(("line", rig.line_of(*pane.on.split(".", 1)).name))
        board.drawing.light(lit, "fit")

    def _dark(self) -> None:
        self.page.drawing.light((), "fit")

    def _pane_asked(self) -> None:
        try:
            wanted = self.pane.instrument()
        except ValueError as error:
            self.stage.tell(str(error))
            return
        old = self.pane.subject
        if old is not None:
            self.want(wanted, old.name)
        elif self._has_room():
            self.want(wanted)

    # -- on and off ----------------------------------------------------------------------------------------------

    def take_off(self, name: str) -> None:
        """Take an instrument off, after the steps that its place asks for."""
        instrument = self.session.rig.instruments.get(name)
        if instrument is not None:
            self.want(None, name)

    def want(self, wanted: Instrument | None, subject: str = "") -> None:
        """Lead to an instrument being on, moved or off: at once where its place allows it, else by steps."""
        live, old = self.session.readings, self.session.rig.instruments.get(subject)
        try:
            fitting = Fitting((), "")
            if wanted is not None:
                fitting = plan(self.file_rig, live, wanted.kind, wanted.on)
            if old is not None:
                off = plan(self.file_rig, live, old.kind, old.on, off=True)
                fitting = off if wanted is None else moving(off, fitting)
        except KeyError as error:
            self.stage.tell(tr("This rig has no place {error}.").format(error=error))
            return
        self._wanted, self._subject = wanted, subject
        self.progress = FittingProgress(fitting)
        if not fitting.steps:
            self._carry_out()
            return
        if wanted is None:
            title, verb = tr("Taking {subject} off").format(subject=subject), tr("Take off")
        else:
            on = measured_at(self.session.rig, wanted)
            same = old is not None and old.on == wanted.on
            title, verb = (
                f"{wanted.name}: {wanted.kind}, {on}",
                tr("Change") if same else tr("Move") if subject else tr("Fit"),
            )
        self.steps.show_areas(self.progress, live, title, verb)
        self.stage.open_pane(self.steps)

    def _say(self, key: str) -> None:
        live = self.session.readings
        if self.progress is None:
            return
        self.progress.say(key, live)
        self.steps.show_state(live)
        if self.progress.over(live):
            self.stage.close_pane(self.steps)

    def _back(self) -> None:
        self.stage.close_pane(self.steps)
        wanted, old = self._wanted, self.session.rig.instruments.get(self._subject)
        if wanted is not None and old is not None and old.on == wanted.on:
            self.open_change(old.name)
            self.pane.choose_range(wanted.range_)
        elif self._wanted is not None and not self._subject:
            self._open_kind(self._wanted.kind)
            self.pane.rows.choose(self._wanted.on)
            self.pane.choose_range(self._wanted.range_)

    def _carry_out(self) -> None:
        """Change the instruments, now that nothing is waited for."""
        live, wanted, subject = self.session.readings, self._wanted, self._subject
        if self.progress is None or self.progress.waits_for(live) is not None:
            return
        kept = dict(self.session.rig.instruments)
        if subject and wanted is None:
            kept.pop(subject, None)
        elif wanted is not None:
            kept[wanted.name] = wanted
        stays = wanted is not None and subject and self.session.rig.instruments[subject].on == wanted.on
        try:
            self.controller.refit(kept)
        except SpoolroomError as error:
            self.stage.tell(str(error))
            return
        self.progress.fitted = True
        if wanted is not None:
            self.chosen = wanted.name
        if self.progress.fitting.steps:
            self.steps.show_state(live)
        self.stage.close_pane(self.pane)
        self._dark()
        self.stage.tell(self._told(wanted, subject, bool(stays)))

    def _told(self, wanted: Instrument | None, subject: str, stays: bool) -> str:
        if wanted is None:
            return tr("{subject} is off.").format(subject=subject)
        session = self.session
        where = next((p.words for p in places(session.rig, wanted.kind) if p.on == wanted.on), wanted.on)
        reads = tr("reads {where}").format(where=where)
        if stays:
            scale = scale_of(wanted.range_, QUANTITIES[wanted.kind], self.stage.look.system)
            reads = tr("goes to {end:g} {symbol} now").format(end=scale.end, symbol=scale.symbol)
        odd = suits(wanted, true_reading(wanted, session.readings), self.stage.look.system)
        return f"{wanted.name} {reads}." + (f" {odd}" if odd and wanted.state == "sound" else "")
