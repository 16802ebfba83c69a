"""What can be done with a thing: a menu at a right click, at the menu key, and at Shift+F10."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Protocol

from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QLabel, QMenu, QWidget, QWidgetAction

from trainer.drawing.picking import Pick, targets
from trainer.language import tr
from trainer.window.board.drawing_view import DrawingView
from trainer.window.board.lever_view import LeverView
from trainer.window.board.machine_pane import MachinePane
from trainer.window.board.setting_view import SettingView
from trainer.window.board.spool_handle import SpoolHandle
from trainer.window.board.steps_view import StepsView, Switch
from trainer.window.dials.dials import DialView
from trainer.window.dials.rail import RailItem
from trainer.window.ledgers.view import LedgerView
from trainer.window.offers.offers import Offer, Offers, Tools
from trainer.window.offers.offers import Page as Views
from trainer.window.painting import fonts
from trainer.window.painting.look import Look
from trainer.window.session.controller import SessionController
from trainer.window.session.presenter import Presenter
from trainer.window.session.stage import Stage
from trainer.window.strip.view import StripView
from trainer.window.time.clock_bar import ClockBar
from trainer.window.time.line import TimeLine

__all__ = ["OfferMenu", "OfferPresenter"]

_SIZE = 17.0  # of the type [board px]
_Found = tuple[str, list[Offer], QPoint]  # what it is called, what is offered, where [global px]


class OfferMenu(QMenu):
    """The offers, below the name of the thing; Space is the clock's here too."""

    def __init__(self, look: Look, title: str, offers: Iterable[Offer], run: Callable[[], object],
                 parent: QWidget) -> None:  # fmt: skip
        super().__init__(parent)
        self.run = run
        self.setObjectName("offers")
        self.setAccessibleName(tr("What can be done with {title}").format(title=title))
        pixels, colour = look.pixels(_SIZE), look.inks.theme.colour
        self.setFont(fonts.font(pixels))
        pad, side = round(0.28 * pixels), round(0.9 * pixels)
        self.setStyleSheet(
            f"QMenu {{ background: {colour('cell')}; color: {colour('ink')}; border: 1px solid {colour('ink2')}; }}"
            f"QMenu::item {{ padding: {pad}px {side}px; }}"
            f"QMenu::item:selected {{ background: {colour('accent-pale')}; }}"
            f"QMenu::item:disabled {{ color: {colour('ink2')}; background: {colour('cell')}; }}"
            f"QMenu QLabel {{ color: {colour('ink')}; }}"
            f"QMenu::separator {{ height: 1px; background: {colour('hairline')}; margin: {pad}px {side}px; }}"
        )
        head = QWidgetAction(self)
        called = QLabel(title, self)
        called.setTextFormat(Qt.TextFormat.PlainText)
        called.setFont(fonts.font(pixels, 600))
        called.setContentsMargins(side, pad, side, pad)
        head.setText(title)
        head.setDefaultWidget(called)
        head.setEnabled(False)
        self.addAction(head)
        self.addSeparator()
        for offer in offers:
            if offer.do is None:
                self.addSeparator()
            else:
                words = _plain(offer.words)
                entry = self.addAction(f"{words}\t{offer.key}" if offer.key else words)
                entry.setEnabled(not offer.refusal)
                entry.triggered.connect(lambda _=False, do=offer.do: do())

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Space:
            self.run()
        else:
            super().keyPressEvent(event)


def _plain(words: str) -> str:
    """Return words as a menu writes them: an ampersand would be a mark of a letter."""
    return words.replace("&", "&&")


class Page(Views, Protocol):
    """The views that are asked of a page, and what covers them."""

    @property
    def covered(self) -> bool:
        """Whether a list or the keys lie over all of it."""


class OfferPresenter(Presenter[Page]):
    """Offers what can be done with what is pointed at, or has the keyboard. ``menu`` is the open one."""

    actions = {"offers": "offer"}
    menu: OfferMenu | None = None

    def __init__(self, controller: SessionController, stage: Stage, tools: Tools) -> None:
        super().__init__(controller, stage)
        self.tools = tools

    def take(self, page: Page) -> None:
        """Offer what belongs to the new page."""
        super().take(page)
        self.offers = Offers(self.session, page, self.tools)

    def offer(self) -> None:
        """Offer what can be done with what has the keyboard."""
        focus = self.stage.frame.focusWidget()
        if focus is not None:
            self._open(self._found(focus, None))

    def offer_at(self, place: QPoint) -> None:
        """Offer what can be done with what lies at a place of the screen [global px]."""
        frame = self.stage.frame
        widget = frame.childAt(frame.mapFromGlobal(place))
        if widget is not None:
            self._open(self._found(widget, place))

    def _open(self, found: _Found | None) -> None:
        if self.menu is not None:
            self.menu.close()
        if found is None:
            return
        title, offers, place = found
        self.menu = menu = OfferMenu(self.stage.look, title, offers, self.controller.change_running, self.stage.frame)
        self.controller.operator.let_go()
        menu.aboutToHide.connect(self._closed)
        menu.popup(place)

    def _closed(self) -> None:
        menu, self.menu = self.menu, None
        if menu is not None:
            menu.deleteLater()

    # -- what is meant -------------------------------------------------------------------------------------------

    def _found(self, widget: QWidget, place: QPoint | None) -> _Found | None:
        """Return what a widget, or the one that it lies on, offers at a place; without one by the keyboard."""
        ground = self.stage.ground
        if not ground.isVisible() or self.page.covered:
            return None
        at: QWidget | None = widget
        while at is not None and at is not ground:
            point = None if place is None else QPointF(at.mapFromGlobal(place))
            found = self._of(at, point)
            if found is not None:
                return *found, place or at.mapToGlobal(self._beside(at))
            at = at.parentWidget()
        return (
            self.session.rig.title,
            [*self.offers.time(), *self.offers.rest()],
            place or widget.mapToGlobal(QPoint(8, 8)),
        )

    def _of(self, view: QWidget, point: QPointF | None) -> tuple[str, list[Offer]] | None:
        """Return the name and the offers of one view at a place of it [px], None where it has none of its own."""
        offers, rig = self.offers, self.session.rig
        if isinstance(view, DrawingView):
            return self._drawn(view, point)
        if isinstance(view, SpoolHandle):
            control = next(name for name, handle in self.page.drawing.handles.items() if handle is view)
            lever = self.page.rack.levers[control]
            return tr("{name} lever and spool").format(name=lever.name), [*offers.lever(lever)]
        if isinstance(view, DialView):
            return f"{view.instrument.name} {view.instrument.label}".strip(), [
                *offers.instrument(view.instrument.name)
            ]
        if isinstance(view, LedgerView):
            entry = view.entry_at(point) if point is not None else None
            if point is None and 0 <= view.current < len(view.entries):
                entry = view.entries[view.current]
            return (
                (entry.name, [*offers.entry(view, entry)]) if entry else (view.accessibleName(), [*offers.ledger()])
            )
        if isinstance(view, LeverView):
            return tr("{name} lever").format(name=view.name), [*offers.lever(view)]
        for control, handle in self.page.rack.handles.items():
            if handle is view and isinstance(view, SettingView | StepsView | Switch):
                return view.accessibleName(), [*offers.setting(view, control)]
        if isinstance(view, StripView):
            trace = view.trace_at(point) if point is not None else None
            return (trace.name if trace is not None else tr("Strip")), [*offers.trace(trace)]
        if isinstance(view, RailItem):
            return view.accessibleName(), [*offers.rail(view.kind)]
        if isinstance(view, TimeLine | ClockBar):
            return rig.title, [*offers.time(), *offers.rest()]
        return (rig.title, [*offers.ground(), *offers.rest()]) if isinstance(view, MachinePane) else None

    def _drawn(self, view: DrawingView, point: QPointF | None) -> tuple[str, list[Offer]] | None:
        if not view.pickable:
            return None
        if view.asker is not None and not self.controller.covers.frozen:
            return tr("The oil's path is asked for"), [*self.offers.asked()]
        thing = view.picks.chosen() if point is None else view.picks.at(point)
        if thing is None or view.state.nameless:
            return self.session.rig.title, [*self.offers.ground(), *self.offers.rest()]
        view.picks.last = thing
        place = self._place(view, thing) if point is None else view.place_of(point)
        return view.picks.words(thing), [*self.offers.picked(thing, place)]

    @staticmethod
    def _place(view: DrawingView, thing: Pick) -> QPointF | None:
        place = targets(view.scene).get(thing.place)
        return QPointF(*place) if place is not None else None

    def _beside(self, view: QWidget) -> QPoint:
        """Return where the menu opens by the keyboard: at the thing with the ring, else in the view."""
        if isinstance(view, DrawingView) and (thing := view.picks.chosen()) is not None:
            place = self._place(view, thing)
            if place is not None:
                return view.at(place.x(), place.y()).toPoint()
        return QPoint(min(view.width() // 2, 60), view.height() // 2)
