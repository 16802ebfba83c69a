"""The drawing of the rig on the board, live, with a handle over every spool."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from PySide6.QtCore import QPointF, QRect, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen, QWheelEvent
from PySide6.QtWidgets import QWidget

from trainer import units
from trainer.drawing.legend import LEGEND, legend
from trainer.drawing.live import Live
from trainer.drawing.scene import Scene, SceneOptions, SceneState
from trainer.drawing.shapes import DrawList, Words
from trainer.drawing.symbols.symbol import bounds_of
from trainer.drawing.theme import THEMES, Theme
from trainer.rig import Rig
from trainer.window.canvas import Canvas
from trainer.window.handles import lever_key
from trainer.window.look import Look
from trainer.window.motion import LeverMotion
from trainer.window.sizes import sized

__all__ = ["DrawingView", "SpoolHandle"]

_TRAVEL = 60.0  # of an envelope each way [board px]
_LARGEST = 1.7  # zoom


class SpoolHandle(QWidget):
    """A clear handle over a section's envelope: dragging it along its travel moves the same lever."""

    moved = Signal()

    def __init__(self, look: Look, motion: LeverMotion, name: str, tip: str, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.motion = motion
        self.zoom = 1.0
        self._grip: tuple[float, float] | None = None
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.SizeVerCursor)
        self.setObjectName(f"spool {name}")
        self.setAccessibleName(f"{name} spool")
        self.setToolTip(tip)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            self._grip = (event.position().y(), self.motion.value)
            self.motion.grab()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Follow the pointer: the envelope slides down towards +."""
        if self._grip is not None:
            way = (event.position().y() - self._grip[0]) / (_TRAVEL * self.zoom)
            self.motion.drag_to(self._grip[1] + way)
            self.moved.emit()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            self._grip = None
            self.motion.let_go()
            self.moved.emit()

    def wheelEvent(self, event: QWheelEvent) -> None:
        self.motion.nudge(0.01 * event.angleDelta().y() / 120)
        event.accept()
        self.moved.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if not lever_key(self.motion, event, True):
            event.ignore()
        self.moved.emit()

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        if not lever_key(self.motion, event, False):
            event.ignore()
        self.moved.emit()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        self._grip = None
        self.motion.forget()
        self.moved.emit()
        self.update()

    def focusInEvent(self, event: QFocusEvent) -> None:
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Show the focus ring; nothing else stands over the drawing."""
        if self.hasFocus():
            painter = QPainter(self)
            painter.setPen(QPen(self.look.inks.colour("ink"), 2.0, Qt.PenStyle.DotLine))
            painter.drawRect(self.rect().adjusted(1, 1, -2, -2))
            painter.end()


class DrawingView(QWidget):
    """The rig's drawing, fitted to the widget.

    Without a ``theme`` it follows the look; ``painted`` tells of the first frame.
    """

    painted = Signal()

    def __init__(self, look: Look, rig: Rig, live: Live, parent: QWidget, theme: Theme | None = None) -> None:
        super().__init__(parent)
        self.look = look
        self.rig = rig
        self.readings = live
        self.state = SceneState(look.system)
        self.own_theme = theme
        self._scenes: dict[tuple[object, ...], Scene] = {}
        self.canvas = Canvas(self, look, self._still, self._live, self.placing)
        self.handles: dict[str, SpoolHandle] = {}
        self._was_painted = False
        self.words_kept: Callable[[Words, bool], bool] | None = None  # leaves out the others, and the legend
        self.room = (24.0, 8.0, 16.0, 4.0)  # left, top, right, bottom [board px]
        self.setAccessibleName(f"Drawing of {rig.title}")
        self.setObjectName("drawing")

    @property
    def scene(self) -> Scene:
        """The scene in the present theme and unit system."""
        theme = self.own_theme or THEMES[self.look.theme]
        key = (theme.name, theme.label, self.look.system)
        if key not in self._scenes:
            self._scenes[key] = Scene(self.rig, SceneOptions(theme, self.look.system))
        return self._scenes[key]

    def add_handle(self, control: str, motion: LeverMotion, name: str, tip: str) -> SpoolHandle:
        """Lay a handle over the section whose lever ``control`` is."""
        handle = SpoolHandle(self.look, motion, name, tip, self)
        self.handles[control] = handle
        return handle

    def placing(self) -> tuple[float, tuple[float, float]]:
        """Return zoom and origin that fit the drawing into the widget."""
        width, height = self.scene.size
        left, top, right, bottom = (edge * self.look.scale for edge in self.room)
        across, down = max(self.width() - left - right, 1.0), max(self.height() - top - bottom, 1.0)
        zoom = min(across / width, down / height, _LARGEST * self.look.scale)
        x, y = left + (across - width * zoom) / 2, top + (down - height * zoom) / 2
        return zoom, (round(x * 2) / 2, round(y * 2) / 2)

    def columns(self) -> Mapping[str, float]:
        """Return where each section's lever belongs: control -> x [widget px]."""
        zoom, (x, _) = self.placing()
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

    def show_instant(self, live: Live, seconds: float) -> None:
        """Show one instant, the marks moved by some simulated seconds."""
        self.readings = live
        self.state.system = self.look.system
        self.state.reduced = self.look.still_marks
        self.scene.advance(live, self.state, seconds)
        self.update()

    def _still(self) -> DrawList:
        shapes = self.scene.still(self.look.system)
        return self._told(shapes, True) if self.words_kept else [*shapes, *self._legend(shapes)]

    def _told(self, shapes: DrawList, still: bool) -> DrawList:
        kept = self.words_kept
        return [s for s in shapes if kept is None or not isinstance(s, Words) or kept(s, still)]

    def _legend(self, shapes: DrawList) -> DrawList:
        """Return the legend where the drawing leaves room for it [board px of the drawing], or nothing."""
        zoom, (x, y) = self.placing()
        scale = self.look.scale / zoom
        wide, high = LEGEND[0] * scale, LEGEND[1] * scale
        right, bottom = (edge * self.look.scale for edge in self.room[2:])
        west, east = (36 * self.look.scale - x) / zoom, (self.width() - right - x) / zoom - wide
        north, south = (26 * self.look.scale - y) / zoom, (self.height() - bottom - y) / zoom - high
        taken = [bounds_of((s,)) for s in (*shapes, *self.scene.live(self.readings, self.state))]
        taken += [(b[0], b[1], b[0] + b[2], b[1] + b[3]) for b in self.scene.boxes.values()]
        for at, down in (
            (east, south),
            ((west + east) / 2, south),
            (west, south),
            (west, north),
            (east, north),
        ):
            box = (at - 12, down - 12, at + wide + 12, down + high + 12)
            if not any(b[0] < box[2] and b[2] > box[0] and b[1] < box[3] and b[3] > box[1] for b in taken):
                made = legend(self.scene.theme, self.look.system, self.scene.pressure_step)
                return sized(made, scale, (at, down))
        return ()

    def _live(self) -> DrawList:
        shapes = self._told(self.scene.live(self.readings, self.state), False)
        return [*shapes, *self._flows()] if self.look.still_marks else shapes

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
