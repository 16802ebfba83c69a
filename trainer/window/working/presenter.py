"""Opens the working of what is clicked: numbers, parts and lines of the drawing, ledger entries; or with a key."""

from __future__ import annotations

from functools import partial
from typing import Protocol

from PySide6.QtCore import QEvent, QObject, QPointF, Qt
from PySide6.QtGui import QMouseEvent

from trainer.drawing.picking import Pick, figure_at
from trainer.drawing.scene_state import Place
from trainer.drawing.shapes import Figure
from trainer.energy.books import FlowBook
from trainer.energy.ledger import Entry
from trainer.engine.readings import Readings
from trainer.formula import hidden
from trainer.parts.roles import Actuator
from trainer.rig.names import capital, line_words
from trainer.window.board.drawing_view import DrawingView
from trainer.window.board.rack_view import RackView
from trainer.window.dials.dials import DialsView, DialView
from trainer.window.ledgers.view import LedgerView
from trainer.window.painting.look import LEAST_TEXT, Look
from trainer.window.session.presenter import Presenter
from trainer.window.working.pane import WorkingPane
from trainer.working import Subject, about, covered_by, title

__all__ = ["WorkingPresenter"]


class _Place(QObject):
    """Remembers where the drawing was last clicked, so that a printed number is told from the part beside it."""

    def __init__(self, view: DrawingView) -> None:
        super().__init__(view)
        self.point: QPointF | None = None
        view.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Keep the point of a release; a key forgets it."""
        if event.type() == QEvent.Type.MouseButtonRelease and isinstance(event, QMouseEvent):
            self.point = event.position() if event.button() == Qt.MouseButton.LeftButton else None
        elif event.type() == QEvent.Type.KeyPress:
            self.point = None
        return False


class Page(Protocol):
    """The views that are asked of a page."""

    beside: Look
    book: FlowBook
    drawing: DrawingView
    flow: LedgerView
    power: LedgerView
    dials: DialsView
    rack: RackView


class WorkingPresenter(Presenter[Page]):
    """Shows the workings of a ``subject``, live while it runs."""

    actions = {"working": "change_pane"}

    def take(self, page: Page) -> None:
        """Listen to the drawing and the ledgers of the new page; nothing is open."""
        super().take(page)
        self.subject: Subject | None = None
        self._lit = True
        self._due = False
        self.pane = WorkingPane(page.beside, self.stage.ground)
        self.pane.gone.connect(self._light)
        self._clicked = _Place(page.drawing)
        page.drawing.picked.connect(self._picked)
        page.drawing.opened.connect(partial(self._picked, always=True))
        page.drawing.missed.connect(self._missed)
        for view in (page.flow, page.power):
            view.opened.connect(partial(self._entry, view))
        page.dials.changed.connect(self.refresh)

    # -- what is asked about ---------------------------------------------------------------------------------------

    def show(self, subject: Subject, always: bool = True, lit: bool = True) -> None:
        """Open the workings of a subject, ``lit`` on the drawing.

        Unless ``always``, another pane that is open keeps its place.
        """
        other = self.stage.open_in(self.pane.place)
        if (other not in (None, self.pane) and not always) or self.refused("working"):
            return
        self.subject, self._lit = subject, lit
        rig = self.session.rig
        self.pane.called = {line: capital(line_words(rig, line)) for line in rig.lines}
        self.pane.open(title(rig, subject, self.page.book))
        self.refresh()
        if not self.pane.isVisible():
            self.stage.open_pane(self.pane, focus=always)
            self.refresh()
        self._light()

    def _light(self) -> None:
        """Light on the drawing what the open working is about."""
        rig, subject = self.session.rig, self.subject
        places: list[Place] = []
        if subject is not None and self._lit and self.pane.isVisible():
            name = subject.name
            if subject.kind == "instrument" and name in rig.instruments:
                name = rig.instruments[name].on
            if subject.kind == "ledger":
                book, live = self.page.book, self.session.readings
                ledgers = book.ledger(live), book.power.ledger(live)
                entries = (entry for ledger in ledgers for entry in ledger.entries if entry.id == name)
                places = [("part", part) for entry in entries for part in entry.parts]
            elif name in rig.lines:
                places = [("line", name)]
            elif name.partition(".")[0] in rig.parts:
                places = [("part", name.partition(".")[0])]
        self.page.drawing.light(places, "working")

    def change_pane(self) -> None:
        """Show the working of what has the keyboard, else of what was asked about last; or put the pane away."""
        asked = self._focused()
        if self.pane.isVisible() and asked in (None, self.subject):
            self.stage.close_pane(self.pane)
        else:
            self.show(asked or self.subject or self._first())

    def show_first(self) -> None:
        """Show the working of the first actuator."""
        self.show(self._first())

    def _first(self) -> Subject:
        """Return what is shown where nothing has been asked about: the first cylinder, else any part."""
        rig = self.session.rig
        cylinders = [id_ for id_, role in rig.having(Actuator).items() if role.linear]
        moving = [id_ for id_ in cylinders if id_ in self.page.drawing.state.moving]
        return Subject("part", next(iter([*moving, *cylinders, *rig.parts])))

    def _focused(self) -> Subject | None:
        """Return what has the keyboard: a dial, a thing of the drawing, an entry, the section of a lever."""
        focus, page = self.stage.frame.focusWidget(), self.page
        if isinstance(focus, DialView):
            return Subject("instrument", focus.instrument.name)
        if focus is page.drawing and (chosen := page.drawing.picks.chosen()) is not None:
            return self._of(chosen, None)
        if isinstance(focus, LedgerView) and 0 <= focus.current < len(focus.entries):
            return Subject("ledger", focus.entries[focus.current].id)
        for controls in (page.rack.handles, page.drawing.handles):
            for name, view in controls.items():
                if view is focus:
                    return Subject("part", name.partition(".")[0])
        return None

    # -- what is clicked -------------------------------------------------------------------------------------------

    def _figure(self) -> Figure | None:
        """Return the printed number under the last click."""
        point, drawing = self._clicked.point, self.page.drawing
        if point is None:
            return None
        place = drawing.place_of(point)
        return figure_at(drawing.words.written, place.x(), place.y(), LEAST_TEXT / drawing.placing()[0])

    def _picked(self, thing: Pick, always: bool = False) -> None:
        """Open what was clicked; a line is lit by the oil that is followed from it, and only as long."""
        self.show(self._of(thing, self._figure()), always, lit=thing.kind != "line")

    def _missed(self) -> None:
        """Open a number that stands away from what it is of; on the ground nothing."""
        figure = self._figure()
        if figure is not None:
            self.show(self._of(Pick(figure.kind, figure.name), figure), always=False)

    def _of(self, thing: Pick, figure: Figure | None) -> Subject:
        """Return the subject of what was picked, of its printed number where that was meant."""
        if figure is None or figure.kind == "instrument":
            if thing.port is None or thing.kind != "part":
                return Subject(thing.kind, thing.name)
            figure = Figure("part", thing.name, "pressure", thing.port[1])
        if figure.quantity == "pressure" and figure.port:
            rig = self.session.rig
            return Subject("line", rig.line_of(figure.name, figure.port).name, "pressure")
        return Subject(figure.kind, figure.name, figure.quantity, figure.port)

    def _entry(self, view: LedgerView, entry: Entry) -> None:
        """Open an entry; what several small ones are together is opened with the whole ledger."""
        page, live = self.page, self.session.readings
        whole = page.book.ledger(live) if view is page.flow else page.book.power.ledger(live)
        known = any(one.id == entry.id for one in whole.entries)
        self.show(Subject("ledger", entry.id if known else whole.id), always=False)

    # -- what is shown ---------------------------------------------------------------------------------------------

    def refresh(self) -> None:
        """Work everything out for the present instant, with what is covered hidden."""
        if self.subject is None:
            return
        session, drawing = self.session, self.page.drawing
        live = session.readings
        workings = about(session.rig, live, self.subject, self.page.book)
        covers = drawing.state.covered
        told = covered_by(session.rig, covers, drawing.scene.hidden(live, drawing.state)) if covers else frozenset()
        self.pane.show_workings(workings, [hidden(working, told) for working in workings])

    def show_figures(self, seconds: float) -> None:
        """Follow the running machine, in a frame that prints nothing else."""
        if self.pane.isVisible():
            self._due = self.session.running
            if not self._due:
                self.refresh()

    def show_instant(self, live: Readings, seconds: float, passed: float) -> None:
        """Print what is due."""
        if self._due and self.pane.isVisible():
            self._due = False
            self.refresh()

    def refit(self) -> None:
        """Let go of an instrument that is fitted no more."""
        subject, rig = self.subject, self.session.rig
        if subject is not None and subject.kind == "instrument" and subject.name not in rig.instruments:
            self.subject = None
            self.stage.close_pane(self.pane)

    def new_look(self) -> None:
        """Show it in other units."""
        if self.pane.isVisible():
            self.pane.lay_out()
            self.refresh()
