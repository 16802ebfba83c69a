"""What of a drawing is under the pointer or has the keyboard's ring: its name, and the way from one to the next."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtWidgets import QToolTip

from trainer.drawing.picking import Pick, beside, pick, targets
from trainer.rig.names import capital, line_words, part_words
from trainer.window.controls.tips import show_tip

if TYPE_CHECKING:
    from trainer.window.board.drawing_view import DrawingView

__all__ = ["NEAR", "DrawingPicks"]

NEAR = 4.0  # px that a pointer may move between press and release of a click
_ARROWS = {
    Qt.Key.Key_Left: (-1, 0),
    Qt.Key.Key_Right: (1, 0),
    Qt.Key.Key_Up: (0, -1),
    Qt.Key.Key_Down: (0, 1),
}


class DrawingPicks:
    """Finds things in one view. ``last`` is what was picked last, or has the ring."""

    def __init__(self, view: DrawingView) -> None:
        self.view = view
        self.last: Pick | None = None

    def at(self, point: QPointF) -> Pick | None:
        """Return what stands at a point of the widget [px], or nothing; a finger's breadth on a small drawing."""
        place = self.view.place_of(point)
        zoom = self.view.placing()[0]
        return pick(self.view.scene, place.x(), place.y(), max(8.0, 7.0 / zoom))

    def words(self, thing: Pick) -> str:
        """Return what a thing is called, "Boom, cap end", a part with its id."""
        rig = self.view.rig
        if thing.kind == "instrument":
            instrument = rig.instruments[thing.name]
            return f"{thing.name}, {instrument.label or instrument.kind}"
        if thing.kind == "part":
            told = part_words(rig, thing.name)
            return told if thing.name in told else f"{thing.name}, {told}"
        return capital(line_words(rig, thing.name))

    def tell(self, point: QPoint, thing: Pick | None) -> None:
        """Show what a thing is called beside a point of the widget; nothing while names are asked for."""
        if thing is None or self.view.state.nameless:
            QToolTip.hideText()
        else:
            show_tip(self.view.mapToGlobal(point), self.words(thing), self.view)

    # -- the keyboard's ring -------------------------------------------------------------------------------------

    def begin(self) -> None:
        """Put the ring around what was picked last, or around the first thing."""
        scene, state = self.view.scene, self.view.state
        known = targets(scene)
        last = self.last.place if self.last is not None else None
        state.chosen = last if last in known else beside(scene, None, 0, 0)
        self._told()

    def end(self) -> None:
        """Take the ring away."""
        self.view.state.chosen = None
        self.view.update()

    def go(self, key: int) -> bool:
        """Move the ring by an arrow key, or bring it back; return whether it was one."""
        way = _ARROWS.get(Qt.Key(key))
        if way is None:
            return False
        state = self.view.state
        if state.chosen is None:
            self.begin()
            return True
        state.chosen = beside(self.view.scene, state.chosen, *way)
        self._told()
        return True

    def chosen(self) -> Pick | None:
        """Return what has the ring."""
        place = self.view.state.chosen
        return Pick(*place) if place is not None else None

    def _told(self) -> None:
        view, thing = self.view, self.chosen()
        self.last = thing or self.last
        view.setAccessibleDescription("" if thing is None or view.state.nameless else self.words(thing))
        if thing is not None and not view.state.nameless:
            view.said.emit(f"{self.words(thing)}.")
        view.update()
