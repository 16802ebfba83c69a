"""The drawing of the rig on the board, live, with a handle over every spool."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from PySide6.QtCore import QEvent, QPoint, QPointF, QRect, Qt, Signal
from PySide6.QtGui import QFocusEvent, QHelpEvent, QKeyEvent, QMouseEvent, QPaintEvent, QWheelEvent
from PySide6.QtWidgets import QToolTip, QWidget

from trainer.drawing.picking import Pick, beside, pick, targets
from trainer.drawing.resting import Looks
from trainer.drawing.route import Box
from trainer.drawing.scene import Scene, SceneOptions, SceneState, Steps
from trainer.drawing.scene_state import Place, StepShown
from trainer.drawing.shapes import DrawList, Moving, Path, Words
from trainer.drawing.theme import THEMES, Theme
from trainer.language import tr
from trainer.operating.motions import LeverMotion
from trainer.rig.live import Live, Number
from trainer.rig.names import capital, line_words, part_words
from trainer.rig.rig import Rig
from trainer.window.board.spool_handle import SpoolHandle
from trainer.window.board.words import DrawingWords
from trainer.window.controls.tips import set_tip, show_tip
from trainer.window.painting.canvas import Between, Canvas
from trainer.window.painting.figures import SteadyFigures
from trainer.window.painting.look import Look
from trainer.window.painting.pictures import sliding_grid
from trainer.window.painting.zoom import STEP, Zoom

__all__ = ["DrawingView"]

_LARGEST = 1.7  # zoom
_LETTERS = 1.5  # zoom from which the ports' letters are written


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
            return f"{thing.name}, {instrument.label or tr(instrument.kind)}"
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

    def come_to(self, place: Place) -> None:
        """Put the ring around a thing, and tell what it is called."""
        self.view.state.chosen = place
        self._told()

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


class DrawingView(QWidget):
    """The rig's drawing, fitted to the widget, or magnified: Ctrl and the wheel, and dragging the ground.

    Without a ``theme`` it follows the look, and what stands in it can be picked: ``picked`` tells a Pick on a click
    or Enter, ``opened`` on a double click, ``missed`` of a click on the ground, ``escaped`` of Esc. ``painted`` tells
    of the first frame, ``zoomed`` of another zoom, ``said`` what the keyboard has got to. While there is an
    ``asker``, it is given what is picked instead, and nothing is opened.
    """

    painted = Signal()
    zoomed = Signal()
    picked = Signal(object)
    opened = Signal(object)
    missed = Signal()
    escaped = Signal()
    said = Signal(str)

    def __init__(
        self, look: Look, rig: Rig, live: Live, number: Number, parent: QWidget, theme: Theme | None = None
    ) -> None:
        super().__init__(parent)
        self.look = look
        self.rig = rig
        self.readings, self.numbers = live, number
        self.state = SceneState(look.system, steady=True)
        self.own_theme = theme
        self.zoom = Zoom()
        self._scenes: dict[tuple[object, ...], Scene] = {}
        self.canvas = Canvas(self, look, self._still, self._live, self.placing, self._pipes)
        self.handles: dict[str, SpoolHandle] = {}
        self._was_painted = False
        self._steady = SteadyFigures()
        self._figures_of: Live | None = None
        self._grip: QPointF | None = None  # of the ground, while it is dragged
        self._press: QPointF | None = None  # of what may become a click
        self._lights: dict[str, frozenset[Place]] = {}  # by who asked for them
        self._steps_of: tuple[object, ...] = (None, None)
        self._steps: Steps = {}
        self._resting: Looks = {}
        self._halo: tuple[object, DrawList] = (None, ())
        self.canvas.keep_texts()
        self.words = DrawingWords(self)
        self.picks = DrawingPicks(self)
        self.pickable = theme is None
        self.asker: Callable[[Pick], object] | None = None
        self.words_kept: Callable[[Words | Path, bool], bool] | None = None  # of words and covers; no legend
        self.extent: Box | None = None  # what of the drawing is fitted [px of it], None: all with its words
        self.room = (24.0, 8.0, 16.0, 4.0)  # left, top, right, bottom [board px]
        self.setAccessibleName(tr("Drawing of {title}").format(title=rig.title))
        self.setObjectName("drawing")
        if self.pickable:
            self.canvas.ring = False  # the ring is around the thing that is chosen
            set_tip(self, tr("Arrow keys go from one thing to the next, Enter picks it, Esc lets go"))
            self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
            self.setMouseTracking(True)

    @property
    def scene(self) -> Scene:
        """The scene in the present theme and unit system; with the ports' letters where they are large enough."""
        theme = self.own_theme or THEMES[self.look.theme]
        letters = True if not self.zoom.fitted and self._magnified() >= _LETTERS else None
        key = (theme.name, theme.label, self.look.system, letters)
        found = self._scenes.get(key)
        if found is None:
            found = self._scenes[key] = Scene(self.rig, SceneOptions(theme, self.look.system, letters))
        return found

    def _magnified(self) -> float:
        size = next(iter(self._scenes.values())).size if self._scenes else (1.0, 1.0)
        return self.zoom.applied(*self._fitted(size))[0] / self.look.scale

    def add_handle(self, control: str, motion: LeverMotion, name: str, tip: str) -> SpoolHandle:
        """Lay a handle over the section whose lever ``control`` is."""
        handle = SpoolHandle(self.look, motion, name, tip, self)
        handle.clicked.connect(self._click)
        handle.opened.connect(self._open)
        self.handles[control] = handle
        return handle

    # -- where it stands -------------------------------------------------------------------------------------

    def _fitted(self, size: tuple[float, float]) -> tuple[float, tuple[float, float]]:
        begin_x, begin_y, end_x, end_y = self.extent or (0.0, 0.0, *size)
        width, height = end_x - begin_x, end_y - begin_y
        left, top, right, bottom = (edge * self.look.scale for edge in self.room)
        across, down = max(self.width() - left - right, 1.0), max(self.height() - top - bottom, 1.0)
        zoom = min(across / width, down / height, _LARGEST * self.look.scale)
        x, y = left + (across - width * zoom) / 2, top + (down - height * zoom) / 2
        x, y = x - begin_x * zoom, y - begin_y * zoom
        return zoom, (round(x * 2) / 2, round(y * 2) / 2)

    def placing(self) -> tuple[float, tuple[float, float]]:
        """Return the present zoom and origin."""
        return self.zoom.applied(*self._fitted(self.scene.size))

    def columns(self) -> Mapping[str, float]:
        """Return where each section's lever belongs: control -> x [widget px]; as fitted, however it is zoomed."""
        zoom, (x, _) = self._fitted(self.scene.size)
        return {f"{id_}.lever": x + place * zoom for id_, place in self.scene.levers.items()}

    def lay_out(self) -> None:
        """Place the handles over the spools."""
        zoom, (x, y) = self.placing()
        for control, handle in self.handles.items():
            box = self.scene.boxes.get(control.partition(".")[0])
            if box is not None:
                left, top, width, height = box
                handle.zoom = zoom
                handle.setGeometry(
                    QRect(
                        round(x + left * zoom),
                        round(y + top * zoom),
                        round(width * zoom),
                        round(height * zoom),
                    )
                )

    def magnify(self, factor: float, point: QPointF | None = None) -> None:
        """Zoom by a factor about a point of the widget; without one about the pointer, else the middle."""
        if point is None:
            point = QPointF(self.mapFromGlobal(self.cursor().pos()))
            if not self.rect().contains(point.toPoint()):
                point = QPointF(self.rect().center())
        self.zoom.by(factor, (point.x(), point.y()), (self.width(), self.height()))
        self._moved()

    def pan(self, right: float, down: float) -> None:
        """Move the magnified drawing [widget px]; a fitted one stays."""
        self.zoom.move((right, down), (self.width(), self.height()))
        self._moved()

    def fit(self) -> None:
        """Show the whole drawing."""
        self.zoom.fit()
        self._moved()

    def _moved(self) -> None:
        self._show_cursor(None)
        self.lay_out()
        self.zoomed.emit()
        self.update()

    def place_of(self, point: QPointF) -> QPointF:
        """Return where a point of the widget [px] stands in the drawing [px]."""
        zoom, (left, top) = self.placing()
        return QPointF((point.x() - left) / zoom, (point.y() - top) / zoom)

    def at(self, x: float, y: float) -> QPointF:
        """Return where a point of the drawing stands in the widget."""
        zoom, (left, top) = self.placing()
        return QPointF(left + x * zoom, top + y * zoom)

    # -- hands -----------------------------------------------------------------------------------------------

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Zoom about the pointer with Ctrl."""
        if event.modifiers() & Qt.KeyboardModifier.ControlModifier and event.angleDelta().y():
            self.magnify(STEP ** (event.angleDelta().y() / 120), event.position())
            event.accept()
        else:
            event.ignore()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() in (Qt.MouseButton.LeftButton, Qt.MouseButton.MiddleButton):
            self._press = event.position()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Drag the ground of a magnified drawing; show that something can be picked."""
        press = self._press
        if press is not None and (event.position() - press).manhattanLength() > NEAR:
            self._press = None  # no click any more
            self._grip = None if self.zoom.fitted else press
        if self._grip is not None:
            way, self._grip = event.position() - self._grip, event.position()
            self.pan(way.x(), way.y())
        elif self.pickable and not event.buttons():
            self._show_cursor(event.position())

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        press, self._press, self._grip = self._press, None, None
        if press is not None and event.button() == Qt.MouseButton.LeftButton:
            self._click(press)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            self._open(event.position())

    def _click(self, point: QPointF) -> None:
        """Pick what stands at a point, or tell that nothing does."""
        if not self.pickable:
            return
        thing = self.picks.at(point)
        if thing is None:
            self.missed.emit()
            return
        self._pick(thing)

    def _pick(self, thing: Pick) -> None:
        if self.asker is not None:
            self.asker(thing)
            return
        self.picks.last = thing
        self.picked.emit(thing)

    def _open(self, point: QPointF) -> None:
        """Open what stands at a point; on the ground show the whole drawing."""
        thing = self.picks.at(point) if self.pickable else None
        if thing is None:
            self.fit()
        elif self.asker is None:
            self.opened.emit(thing)

    def _show_cursor(self, point: QPointF | None) -> None:
        over = point is not None and self.picks.at(point) is not None
        shape = Qt.CursorShape.ArrowCursor if self.zoom.fitted else Qt.CursorShape.OpenHandCursor
        shape = Qt.CursorShape.PointingHandCursor if over else shape
        if self.cursor().shape() != shape:
            self.setCursor(shape)

    def event(self, event: QEvent) -> bool:
        """Say what is under the resting pointer."""
        if event.type() == QEvent.Type.ToolTip and self.pickable and isinstance(event, QHelpEvent):
            self.picks.tell(event.pos(), self.picks.at(QPointF(event.pos())))
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Go from one thing to the next with the arrows, pick with Enter, let go with Esc."""
        chosen = self.picks.chosen()
        if event.modifiers() & ~(Qt.KeyboardModifier.KeypadModifier | Qt.KeyboardModifier.ShiftModifier):
            super().keyPressEvent(event)
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and chosen is not None and not event.isAutoRepeat():
            self._pick(chosen)
        elif event.key() == Qt.Key.Key_Escape:
            self.escaped.emit()
        elif not self.picks.go(event.key()):
            super().keyPressEvent(event)

    def focusInEvent(self, event: QFocusEvent) -> None:
        led = self.asker is not None and event.reason() is Qt.FocusReason.OtherFocusReason
        if self.pickable and not led:  # who asks has nothing framed before a key has gone there
            self.picks.begin()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        self.picks.end()

    # -- what it shows -----------------------------------------------------------------------------------------

    def show_instant(self, live: Live, seconds: float, paint: bool = True) -> None:
        """Show one instant, the marks moved by some simulated seconds; without ``paint`` the next one is painted."""
        self.readings = live
        self.state.system = self.look.system
        self.state.reduced = self.look.still_marks
        self.scene.advance(live, self.state, seconds)
        if paint:
            self.update()

    def take_rig(self, rig: Rig) -> None:
        """Show the same session with other instruments: zoom, flow marks and what is lit stay."""
        self.rig = rig
        self._scenes.clear()
        self._steps_of = (None, None)
        self.state.covered &= set(rig.instruments)
        self.lay_out()
        self.look_anew()

    def look_anew(self) -> None:
        """Draw everything anew."""
        self.words.choose_anew()
        self.canvas.forget()
        self.update()

    def light(self, names: Iterable[Place], owner: str) -> None:
        """Light lines and parts, ("line", name) and ("part", id), for one owner; without any its light goes out."""
        wanted = frozenset(names)
        if wanted == self._lights.get(owner, frozenset()):
            return
        if wanted:
            self._lights[owner] = wanted
        else:
            del self._lights[owner]
        self.state.lit = set().union(*self._lights.values())
        self.update()

    def number(self, steps: Iterable[StepShown]) -> None:
        """Number the steps of a path on the lines; without any the numbers go."""
        wanted = tuple(steps)
        if wanted != self.state.steps_shown:
            self.state.steps_shown = wanted
            self.update()

    def set_nameless(self, nameless: bool) -> None:
        """Write no ids, names and sizes, or write them again."""
        if nameless != self.state.nameless:
            self.state.nameless = nameless
            self.setAccessibleDescription("")
            self.look_anew()

    def take_figures(self, places: bool = True) -> None:
        """Let the next frame print the figures of its instant; until then they stay while all else moves.

        It also looks for their ``places`` anew, or that is left for another frame.
        """
        self._steady.take()
        self.state.printed.clear()
        if places:
            self.words.choose_anew()
        if self._figures_of is not self.readings:
            self._figures_of = self.readings
            self.update()

    def steps(self) -> Steps:
        """Return the pressure steps of the instant that is shown, worked out once for it."""
        state = self.state
        scene = self.scene
        wanted = (self.readings, scene, set(state.covered), state.unseen, set(state.lit), state.chosen)
        if wanted[:2] != self._steps_of[:2] or wanted != self._steps_of:
            self._steps_of = wanted
            self._steps = scene.steps_at(self.readings, state)
            self._resting = scene.resting_at(self.readings, state)
        return self._steps

    def _pipes(self) -> Between:
        steps, live, scene = self.steps(), self.readings, self.scene
        scene.grid = sliding_grid(self.placing()[0], self.devicePixelRatioF())
        key, make = scene.pipes_at(live, self.state, steps, self._resting)
        if not (self.state.lit or self.state.chosen):
            return key, make
        resting = self._resting
        return key, lambda: [*self._under(), *scene.piped(steps), *scene.rested(live, steps, resting)]

    def _under(self) -> DrawList:
        """Return the halo with the words it would run through, kept as long as nothing else is lit."""
        wanted = (self.scene, frozenset(self.state.lit), self.state.chosen, self.placing(), self.words.shown)
        if self._halo[0] != wanted:
            halo = self.scene.halo(self.state)
            self._halo = (wanted, [*halo, *self.words.over(halo)])
        return self._halo[1]

    def _still(self) -> DrawList:
        return self.words.still(self.scene.still(self.look.system, self.numbers, self.state.nameless))

    def _live(self) -> Moving:
        steps = self.steps()
        shapes, words = self.scene.sliding(self.readings, self.state, steps, self._resting)
        found = [*shapes, *self.words.moving(self._steady.of(words))]
        if self.state.steps_shown:
            found += self.scene.discs(self.state, self.canvas.least / self.placing()[0])
        return found

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()
        if not self._was_painted:
            self._was_painted = True
            self.painted.emit()
