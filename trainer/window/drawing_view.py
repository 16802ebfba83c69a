"""The drawing of the rig on the board, live, with a handle over every spool."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping

from PySide6.QtCore import QPointF, QRect, QRectF, Qt, Signal
from PySide6.QtGui import QMouseEvent, QPaintEvent, QWheelEvent
from PySide6.QtWidgets import QWidget

from trainer import units
from trainer.drawing.legend import LEGEND, legend
from trainer.drawing.live import Live
from trainer.drawing.scene import Scene, SceneOptions, SceneState
from trainer.drawing.shapes import DrawList, Path, Words
from trainer.drawing.theme import THEMES, Theme
from trainer.rig import Rig
from trainer.window.canvas import Canvas
from trainer.window.figures import SteadyFigures
from trainer.window.layer import extents
from trainer.window.look import Look
from trainer.window.motion import LeverMotion
from trainer.window.painter import text_boxes
from trainer.window.sizes import sized
from trainer.window.spool_handle import SpoolHandle
from trainer.window.zoom import STEP, Zoom

__all__ = ["DrawingView"]

_LARGEST = 1.7  # zoom
_LETTERS = 1.5  # zoom from which the ports' letters are written


class DrawingView(QWidget):
    """The rig's drawing, fitted to the widget, or magnified: Ctrl and the wheel, and dragging the ground.

    Without a ``theme`` it follows the look; ``painted`` tells of the first frame, ``zoomed`` of another zoom.
    """

    painted = Signal()
    zoomed = Signal()

    def __init__(self, look: Look, rig: Rig, live: Live, parent: QWidget, theme: Theme | None = None) -> None:
        super().__init__(parent)
        self.look = look
        self.rig = rig
        self.readings = live
        self.state = SceneState(look.system)
        self.own_theme = theme
        self.zoom = Zoom()
        self._scenes: dict[tuple[object, ...], Scene] = {}
        self.canvas = Canvas(self, look, self._still, self._live, self.placing, self._pipes)
        self.handles: dict[str, SpoolHandle] = {}
        self._was_painted = False
        self._steady = SteadyFigures()
        self._figures_of: Live | None = None
        self._grip: QPointF | None = None
        self._crowded: tuple[int, set[int]] | None = None  # number of moving words, those without room
        self._taken: list[QRectF] = []  # by words that stand still
        self.words_kept: Callable[[Words | Path, bool], bool] | None = None  # of words and covers; no legend
        self.room = (24.0, 8.0, 16.0, 4.0)  # left, top, right, bottom [board px]
        self.setAccessibleName(f"Drawing of {rig.title}")
        self.setObjectName("drawing")

    @property
    def scene(self) -> Scene:
        """The scene in the present theme and unit system; with the ports' letters where they are large enough."""
        theme = self.own_theme or THEMES[self.look.theme]
        letters = True if not self.zoom.fitted and self._magnified() >= _LETTERS else None
        key = (theme.name, theme.label, self.look.system, letters)
        if key not in self._scenes:
            self._scenes[key] = Scene(self.rig, SceneOptions(theme, self.look.system, letters))
        return self._scenes[key]

    def _magnified(self) -> float:
        size = next(iter(self._scenes.values())).size if self._scenes else (1.0, 1.0)
        return self.zoom.applied(*self._fitted(size))[0] / self.look.scale

    def add_handle(self, control: str, motion: LeverMotion, name: str, tip: str) -> SpoolHandle:
        """Lay a handle over the section whose lever ``control`` is."""
        handle = SpoolHandle(self.look, motion, name, tip, self)
        self.handles[control] = handle
        return handle

    # -- where it stands -------------------------------------------------------------------------------------

    def _fitted(self, size: tuple[float, float]) -> tuple[float, tuple[float, float]]:
        width, height = size
        left, top, right, bottom = (edge * self.look.scale for edge in self.room)
        across, down = max(self.width() - left - right, 1.0), max(self.height() - top - bottom, 1.0)
        zoom = min(across / width, down / height, _LARGEST * self.look.scale)
        x, y = left + (across - width * zoom) / 2, top + (down - height * zoom) / 2
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
        self.setCursor(Qt.CursorShape.ArrowCursor if self.zoom.fitted else Qt.CursorShape.OpenHandCursor)
        self.lay_out()
        self.zoomed.emit()
        self.update()

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Zoom about the pointer with Ctrl."""
        if event.modifiers() & Qt.KeyboardModifier.ControlModifier and event.angleDelta().y():
            self.magnify(STEP ** (event.angleDelta().y() / 120), event.position())
            event.accept()
        else:
            event.ignore()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() in (Qt.MouseButton.LeftButton, Qt.MouseButton.MiddleButton) and not self.zoom.fitted:
            self._grip = event.position()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Drag the ground."""
        if self._grip is not None:
            way, self._grip = event.position() - self._grip, event.position()
            self.pan(way.x(), way.y())

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        self._grip = None

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            self.fit()

    # -- what it shows -----------------------------------------------------------------------------------------

    def show_instant(self, live: Live, seconds: float) -> None:
        """Show one instant, the marks moved by some simulated seconds."""
        self.readings = live
        self.state.system = self.look.system
        self.state.reduced = self.look.still_marks
        self.scene.advance(live, self.state, seconds)
        self.update()

    def take_figures(self) -> None:
        """Let the next frame print the figures of its instant; until then they stay while all else moves."""
        self._steady.take()
        self._crowded = None
        if self._figures_of is not self.readings:
            self._figures_of = self.readings
            self.update()

    def _pipes(self) -> tuple[Hashable, Callable[[], DrawList]]:
        return self.scene.pipes_at(self.readings, self.state)

    def _still(self) -> DrawList:
        shapes = self.scene.still(self.look.system)
        if self.words_kept:
            return self._told(shapes, True)
        shapes = self._readable(shapes)
        return [*shapes, *self._legend(shapes)] if self.zoom.fitted else shapes

    def _readable(self, shapes: DrawList) -> DrawList:
        """Return the still shapes without ids and sizes that have no room beside what must be read."""
        taken = self._boxes(s for s in self.scene.moving(self.readings, self.state) if isinstance(s, Words))
        taken += self._boxes(s for s in shapes if isinstance(s, Words) and s.ink != "ink2")
        if self._enlarged():
            zoom, origin = self.placing()
            pipes = (box for s in self._pipes()[1]() for box in extents(s, zoom, origin, self.canvas.least))
            taken += [QRectF(box).adjusted(2, 2, -2, -2) for box in pipes]
        inside = QRectF(self.rect())
        kept, self._taken = [], self._boxes(s for s in shapes if isinstance(s, Words) and s.ink != "ink2")
        for shape in shapes:
            if isinstance(shape, Words) and shape.ink == "ink2":
                (box,) = self._boxes((shape,)) or (QRectF(),)
                cut = self.zoom.fitted and not inside.contains(box)
                if cut or any(_meet(box, other) for other in taken):
                    continue
                taken.append(box)
                self._taken.append(box)
            kept.append(shape)
        return kept

    def _boxes(self, words: object) -> list[QRectF]:
        return [box for _, box, _ in text_boxes(words, *self.placing(), self.canvas.least)]

    def _legend(self, shapes: DrawList) -> DrawList:
        """Return the legend where the drawing leaves room for it [board px of the drawing], or nothing."""
        zoom, (x, y) = self.placing()
        scale = self.look.scale
        wide, high = LEGEND[0] * scale, LEGEND[1] * scale
        west, east = 36 * scale, self.width() - self.room[2] * scale - wide
        north, south = 26 * scale, self.height() - (self.room[3] + 6) * scale - high
        drawn = [*shapes, *self._pipes()[1](), *self.scene.moving(self.readings, self.state)]
        taken = [QRectF(box) for s in drawn for box in extents(s, zoom, (x, y), self.canvas.least)]
        taken += [
            QRectF(x + b[0] * zoom, y + b[1] * zoom, b[2] * zoom, b[3] * zoom) for b in self.scene.boxes.values()
        ]
        slack = 10 * scale
        places = [(at, south) for at in (east, (west + east) / 2, west)]
        places += [(at, y + self.scene.size[1] * zoom - high) for at in (east, (west + east) / 2)]
        for at, down in [*places, (west, north), (east, north)]:
            box = QRectF(at - slack, down - slack, wide + 2 * slack, high + 2 * slack)
            if at >= west and down >= north and not any(box.intersects(other) for other in taken):
                made = legend(self.scene.theme, self.look.system, self.scene.pressure_step)
                return sized(made, scale / zoom, ((at - x) / zoom, (down - y) / zoom))
        return ()

    def _live(self) -> DrawList:
        shapes = self._steady.of(self.scene.moving(self.readings, self.state))
        if self.words_kept:
            return self._told(shapes, False)
        shapes = [*shapes, *self._flows()] if self.look.still_marks else shapes
        return self._with_room(shapes) if self._enlarged() else shapes

    def _enlarged(self) -> bool:
        """Return whether words are larger than the drawing around them, so as to stay readable."""
        return self.placing()[0] * self.scene.theme.label < self.canvas.least

    def _told(self, shapes: DrawList, still: bool) -> DrawList:
        """Return the shapes without words and covers that are not kept, and without words that have no room."""
        kept, inside = self.words_kept, QRectF(self.rect())
        assert kept is not None
        taken = [] if still else list(self._taken)
        found = []
        for shape in shapes:
            if isinstance(shape, Words):
                boxes = self._boxes((shape,))
                if not kept(shape, still) or not all(inside.contains(box) for box in boxes):
                    continue
                if any(_meet(box, other) for box in boxes for other in taken):
                    continue
                taken += boxes
            elif isinstance(shape, Path) and shape.hatch == "cover-hatch" and not kept(shape, still):
                continue
            found.append(shape)
        if still:
            self._taken = taken
        return found

    def _with_room(self, shapes: DrawList) -> DrawList:
        """Return the moving shapes without words that would run into others, the bold ones kept first.

        Which they are is found anew when figures are printed, so that none flickers.
        """
        words = [shape for shape in shapes if type(shape) is Words]
        if self._crowded is None or self._crowded[0] != len(words):
            taken, out, inside = list(self._taken), set(), QRectF(self.rect())
            for k, shape in sorted(enumerate(words), key=lambda pair: -pair[1].weight):
                for box in self._boxes((shape,)):
                    cut = self.zoom.fitted and not inside.contains(box)
                    if cut or any(_meet(box, other) for other in taken):
                        out.add(k)
                    else:
                        taken.append(box)
            self._crowded = (len(words), out)
        if not self._crowded[1]:
            return shapes
        gone = {id(words[k]) for k in self._crowded[1]}
        return [shape for shape in shapes if id(shape) not in gone]

    def _flows(self) -> DrawList:
        """Return the flow into each port of each cylinder in figures, for marks that stand."""
        theme, written = self.scene.theme, []
        if any(self.rig.instruments[name].kind == "flow meter" for name in self.state.covered):
            return written
        for id_, placed in self.scene.layout.placed.items():
            if placed.symbol.name != "cyl_da":
                continue
            for port in ("A", "B"):
                anchor = placed.symbol.anchors[port]
                flow = self.readings.flow(id_, port)
                text, unit = units.text(abs(flow), "flow", self.look.system)
                way = "in" if flow > 0 else "out"
                if float(text) > 0:
                    words = f"{text} {unit} {way}"
                    written.append(
                        Words(anchor.x + 84, anchor.y + 0.34 * theme.label, words, theme.label, "ink", 600)
                    )
        return written

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()
        if not self._was_painted:
            self._was_painted = True
            self.painted.emit()

    def at(self, x: float, y: float) -> QPointF:
        """Return where a point of the drawing stands in the widget."""
        zoom, (left, top) = self.placing()
        return QPointF(left + x * zoom, top + y * zoom)


def _meet(one: QRectF, other: QRectF) -> bool:
    shared = one.intersected(other)
    return shared.width() > 1.0 and shared.height() > 1.0
