"""The lever rack: one lever under each section's column, the prime mover's speed at the left."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Mapping

from PySide6.QtCore import QEvent, QPointF, Qt
from PySide6.QtGui import QKeyEvent, QPaintEvent, QWheelEvent
from PySide6.QtWidgets import QWidget

from trainer import units
from trainer.drawing import rack
from trainer.drawing.labels import words_of
from trainer.drawing.shapes import DrawList, Path
from trainer.parts.part import Control
from trainer.rig import Rig
from trainer.window.buttons import WordButton
from trainer.window.canvas import Canvas
from trainer.window.handles import IN, OUT, Handle, lever_key
from trainer.window.look import Look
from trainer.window.motion import LeverMotion, SpeedMotion

__all__ = ["LeverView", "RackView", "SpeedView", "lever_name", "speed_name"]


def lever_name(rig: Rig, control: str) -> str:
    """Return what a lever is called: its section's label, else the actuator on its work ports, else its id."""
    section = control.partition(".")[0]
    title = rig.parts[section].label
    for port in ("A", "B"):
        if title or port not in rig.parts[section].part.ports:
            break
        others = (rig.parts[id_] for id_, _ in rig.line_of(section, port).joins if id_ != section)
        title = next((other.label for other in others if other.label), "")
    return _capital(title or section)


def speed_name(rig: Rig, control: str) -> str:
    """Return what a prime mover is called: its label, else what it is."""
    fitted = rig.parts[control.partition(".")[0]]
    return _capital(fitted.label or words_of(fitted))


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


class LeverView(Handle):
    """One lever of the rack, ``rack.LEVER_WIDTH`` wide at full scale, narrower where the columns are."""

    def __init__(
        self, look: Look, motion: LeverMotion, name: str, control: Control, key: str, parent: QWidget
    ) -> None:
        super().__init__(look, motion, parent)
        self.name, self.control, self.control_name = name, control, key
        self.canvas = Canvas(self, look, self._still, self._live, self._placing)
        self.hold = WordButton(
            look,
            "hold",
            f"{name} lever hold",
            "Keeps the lever where it is when it is let go  (H)",
            self,
            checkable=True,
            size=15.4,
        )
        self.hold.toggled.connect(self._hold)
        self.setRange(round(100 * motion.low), round(100 * motion.high))
        self.valueChanged.connect(self._asked)
        self.setObjectName(f"lever {key}")
        self.setAccessibleName(f"{name} lever")
        less, more = control.ends
        self.setToolTip(
            f"{name}: drag, or Up for {more or '+'} and Down for {less or '−'}; H holds it; "
            f"0–9 set it exactly; Home centres it"
        )
        self._said = ""
        self.show_value()

    def _hold(self, on: bool) -> None:
        self.motion.held = on
        self.update()

    def _asked(self, value: int) -> None:
        if round(100 * self.motion.value) != value:  # from assistive software, not from the motion
            self.motion.set_exactly(value / 100)
            self.moved.emit()

    def show_value(self) -> None:
        """Bring the value, the hold button and what is read aloud in step with the motion."""
        self.setValue(round(100 * self.motion.value))
        if self.hold.isChecked() != self.motion.held:
            self.hold.setChecked(self.motion.held)
        less, more = self.control.ends
        word = more if self.motion.value > 1e-3 else less if self.motion.value < -1e-3 else "centred"
        said = f"{rack.percent(self.motion.value)}, {word}{', held' if self.motion.held else ''}"
        if said != self._said:
            self._said = said
            self.setAccessibleDescription(said)

    def _placing(self) -> tuple[float, tuple[float, float]]:
        scale = min(self.height() / rack.HEIGHT, self.width() / rack.LEVER_WIDTH)
        return scale, ((self.width() - rack.LEVER_WIDTH * scale) / 2, 0.0)

    def _still(self) -> DrawList:
        return rack.lever_still(self.name, self.motion.low, self.motion.high)

    def _live(self) -> DrawList:
        return rack.lever_live(self.motion.value, self.control.ends)

    def travel(self, point: QPointF) -> float:
        """Return the lever's share of travel at a place; the knob follows the pointer sideways."""
        return rack.lever_share(point.x() / self._placing()[0])

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()

    def resizeEvent(self, event: QEvent) -> None:
        size = self.hold.sizeHint()
        top = min(self.height() - size.height(), round(208 * self._placing()[0]))
        self.hold.setGeometry((self.width() - size.width()) // 2, top, size.width(), size.height())

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Move by one percent a notch, and hold."""
        notches = event.angleDelta().y() / 120
        self.motion.nudge(0.01 * notches)
        event.accept()
        self.moved.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        self.canvas.ring = True
        if not lever_key(self.motion, event, True):
            event.ignore()
        self.moved.emit()

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        if not lever_key(self.motion, event, False):
            event.ignore()
        self.moved.emit()


class SpeedView(Handle):
    """The ruled scale of a prime mover's speed; it stays where it is put."""

    def __init__(
        self, look: Look, motion: SpeedMotion, name: str, control: Control, key: str, parent: QWidget
    ) -> None:
        super().__init__(look, motion, parent)
        self.name, self.control, self.control_name = name, control, key
        self.canvas = Canvas(self, look, self._still, self._live)
        self._factor = units.UNITS["r/min"].factor
        self.setRange(round(motion.low / self._factor), round(motion.high / self._factor))
        self.valueChanged.connect(self._asked)
        self.setObjectName(f"speed {key}")
        self.setAccessibleName(f"{name} speed")
        self.setToolTip(f"{name}: drag the pointer, or Up and Down; Page Up and Page Down by a tenth")
        self.show_value()

    def _asked(self, value: int) -> None:
        if round(self.motion.value / self._factor) != value:
            self.motion.set_exactly(value * self._factor)
            self.moved.emit()

    def show_value(self) -> None:
        """Bring the value and what is read aloud in step with the motion."""
        whole = round(self.motion.value / self._factor)
        self.setValue(whole)
        said = f"{whole} r/min"
        if said != self.accessibleDescription():
            self.setAccessibleDescription(said)

    def _still(self) -> DrawList:
        return rack.speed_still(self.name, self.motion.high, self.look.system)

    def _live(self) -> DrawList:
        return rack.speed_live(self.motion.value, self.motion.high, self.look.system)

    def travel(self, point: QPointF) -> float:
        """Return the speed [rad/s] at a place along the scale."""
        return rack.speed_at(point.x() / self.look.scale, self.motion.high, self.look.system)

    def grab_at(self, point: QPointF) -> None:
        """Take the pointer, or bring it to where the scale was pressed."""
        here = rack.speed_x(self.motion.value, self.motion.high, self.look.system)
        if abs(point.x() / self.look.scale - here) > 24:
            self.motion.drag_to(self.travel(point))
        super().grab_at(point)

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Move by one revolution per minute a notch on a crank, by a hundredth of the range on an engine."""
        step = max(self._factor, (self.motion.high - self.motion.low) / 100)
        self.motion.nudge(step * event.angleDelta().y() / 120)
        event.accept()
        self.moved.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        self._key(event, True)

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        self._key(event, False)

    def _key(self, event: QKeyEvent, down: bool) -> None:
        self.canvas.ring = True
        key, motion = event.key(), self.motion
        tenth = (motion.high - motion.low) / 10
        jumps = {
            Qt.Key.Key_PageUp: motion.value + tenth,
            Qt.Key.Key_PageDown: motion.value - tenth,
            Qt.Key.Key_Home: motion.low,
            Qt.Key.Key_End: motion.high,
        }
        if key == Qt.Key.Key_Shift:
            motion.fine = down
        elif key in OUT or key in IN:
            if not event.isAutoRepeat():
                motion.fine = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
                (motion.press if down else motion.release)(1 if key in OUT else -1)
        elif key in jumps:
            if down and not event.isAutoRepeat():
                motion.set_exactly(jumps[key])
        else:
            event.ignore()
        self.moved.emit()


class RackView(QWidget):
    """All that the operator moves, each lever under its column of the drawing.

    ``moved`` is told the control's name and its new value [SI].
    """

    def __init__(self, look: Look, rig: Rig, read: Callable[[str], float], parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.canvas = Canvas(self, look, self._still)
        self.levers: dict[str, LeverView] = {}
        self.speeds: dict[str, SpeedView] = {}
        self.columns: dict[str, float] = {}
        for name, control in rig.controls().items():
            if control.quantity == "shaft speed":
                motion = SpeedMotion(max(control.low, 0.0), control.high, read(name))
                self.speeds[name] = SpeedView(look, motion, speed_name(rig, name), control, name, self)
            elif control.quantity == "ratio" and name.endswith(".lever"):
                lever = LeverMotion(control.low, control.high, read(name))
                lever.held = abs(lever.value) > 1e-9
                self.levers[name] = LeverView(look, lever, lever_name(rig, name), control, name, self)
        self.setAccessibleName("Lever rack")

    @property
    def handles(self) -> Mapping[str, Handle]:
        """Every handle by its control, speeds first."""
        return {**self.speeds, **self.levers}

    def _still(self) -> DrawList:
        scale = self.look.scale
        rule = [Path(((0.0, 0.5), (self.width() / scale, 0.5)), "hairline", 1.0)]
        return rule + [Path(((x / scale, 0.0), (x / scale, 12.0)), "ink2", 1.5) for x in self.columns.values()]

    def lay_out(self, columns: Mapping[str, float]) -> None:
        """Place the levers at their columns [widget px] and the speed scales at the left."""
        scale, height = self.look.scale, self.height()
        left = 36 * scale
        for view in self.speeds.values():
            width = rack.SPEED_WIDTH * scale
            view.setGeometry(round(left), 4, round(width), height - 4)
            left += width + 8 * scale
        names = sorted(self.levers, key=lambda name: columns.get(name, 0.0))
        places = [columns.get(name, self.width() / 2) for name in names]
        full = rack.LEVER_WIDTH * scale
        places = _spread(places, full, left, self.width())
        pitch = min([full, *(b - a for a, b in itertools.pairwise(places))])
        self.columns = dict(zip(names, places, strict=True))
        for name, x in self.columns.items():
            self.levers[name].setGeometry(round(x - pitch / 2), 4, round(pitch), height - 4)
        self.canvas.forget()
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()


def _spread(places: list[float], width: float, left: float, right: float) -> list[float]:
    """Return places moved right, where they must, so that the first clears ``left``; the last stays inside."""
    if not places:
        return []
    shift = max(left + width / 2 - places[0], 0.0)
    moved = [
        max(place, left + width / 2 + k * min(width, (right - left) / len(places))) if shift else place
        for k, place in enumerate(places)
    ]
    over = max(moved[-1] + width / 2 - right, 0.0)
    return [place - over for place in moved]
