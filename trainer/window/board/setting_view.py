"""A setting on a ruled scale, such as the speed of the prime mover."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QPointF, QRect, Qt
from PySide6.QtGui import QKeyEvent, QPaintEvent, QWheelEvent
from PySide6.QtWidgets import QWidget

from trainer import units
from trainer.drawing import rack
from trainer.drawing.shapes import DrawList
from trainer.language import tr
from trainer.operating.motions import SpeedMotion
from trainer.parts.part import Control
from trainer.window.controls.handles import IN, OUT, Handle
from trainer.window.controls.tips import set_tip
from trainer.window.painting.canvas import Canvas
from trainer.window.painting.look import Look

__all__ = ["SettingView"]


class SettingView(Handle):
    """A ruled scale of a setting that stays where it is put: a prime mover's speed, an opening.

    ``droop`` of its governor, where it has one: by what share it turns faster without load. Then the scale says so
    while it is pointed at or has the keyboard.
    """

    motion: SpeedMotion

    def __init__(
        self,
        look: Look,
        motion: SpeedMotion,
        name: str,
        control: Control,
        key: str,
        droop: Callable[[], float] | None,
        parent: QWidget,
    ) -> None:
        super().__init__(look, motion, parent)
        self.name, self.control, self.control_name = name, control, key
        self.droop = droop
        self.canvas = Canvas(self, look, self._still, self._live)
        self.quantity = control.quantity
        self._factor = units.shown_unit(control.quantity, look.system).factor
        self.setRange(round(motion.low / self._factor), round(motion.high / self._factor))
        self.valueChanged.connect(self._asked)
        what = "speed" if control.quantity == "shaft speed" else key.partition(".")[2]
        self.setObjectName(f"{what} {key}")
        self.setAccessibleName(tr("{name} {what}").format(name=name, what=tr(what)))
        self.setAttribute(Qt.WidgetAttribute.WA_Hover)
        self._shown: tuple[object, ...] = ()  # what was in step when it was looked at last
        self.show_value()

    def _tell(self) -> None:
        told = tr(
            "{name}: drag the pointer, or Up and Down; Page Up and Page Down by a tenth; "
            "digits or a double click write it exactly"
        ).format(name=self.name)
        set_tip(self, f"{told}\n{self.governor()}".rstrip())

    def _faster(self) -> int:
        """Return by how much it turns faster without load at most [as shown], 0 without a governor."""
        return round(self.droop() * self.motion.value / self._factor) if self.droop is not None else 0

    def governor(self) -> str:
        """Return what its governor does at the speed that is asked for, or nothing."""
        more, unit = self._faster(), self.ruled.unit
        if not more:
            return ""
        return tr(
            "Governor: unloaded it turns up to {more} {unit} above what is asked, full load "
            "brings it down to what is asked."
        ).format(more=more, unit=unit)

    def _asked(self, value: int) -> None:
        if round(self.motion.value / self._factor) != value:
            self.motion.set_exactly(value * self._factor)
            self.moved.emit()

    def show_value(self) -> None:
        """Bring the value and what is read aloud in step with the motion."""
        if self._shown == self._standing():
            return
        self.setValue(round(self.motion.value / self._factor))
        said = " ".join(units.text(self.motion.value, self.quantity, self.look.system, 0))
        said = f"{said}{f', {tr(rack.WAITS)}' if self.stands is not None else ''}. {self.governor()}".rstrip(". ")
        if said != self.accessibleDescription() or not self.toolTip():
            self.setAccessibleDescription(said)
            self._tell()
        self._shown = self._standing()

    def _standing(self) -> tuple[object, ...]:
        """Return what is to be in step."""
        return self.value(), self.motion.value, self.stands, self.look.system, self._faster()

    @property
    def ruled(self) -> rack.Ruled:
        """The scale in the present unit system."""
        return rack.Ruled(self.quantity, self.motion.low, self.motion.high, self.look.system)

    def _still(self) -> DrawList:
        return self.ruled.still(self.name, self.look.least)

    def _live(self) -> DrawList:
        more, note = self._faster(), tr(rack.WAITS) if self.stands is not None else ""
        if not note and more and (self.hasFocus() or self.underMouse()):
            top = round(self.motion.value / self._factor) + more
            note = tr("unloaded up to {top} {unit}").format(top=top, unit=self.ruled.unit)
        return self.ruled.live(self.motion.value, note, self.look.least)

    def travel(self, point: QPointF) -> float:
        """Return the value [SI] at a place along the scale."""
        return self.ruled.at(point.x() / self.look.scale)

    def grab_at(self, point: QPointF) -> None:
        """Take the pointer, or bring it to where the scale was pressed; above it nothing is pressed."""
        here = self.ruled.x(self.motion.value)
        if point.y() < 100 * self.look.scale:
            return
        if abs(point.x() / self.look.scale - here) > 24:
            self.motion.drag_to(self.travel(point))
        super().grab_at(point)

    def entry_area(self) -> QRect:
        """Return where an exact number is written: over its figure."""
        scale = self.look.scale
        return QRect(0, round(50 * scale), round(max(170 * scale, 116.0)), round(max(42 * scale, 24.0)))

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Move by one revolution per minute a notch on a crank, by a hundredth of the range on an engine."""
        step = max(self._factor, (self.motion.high - self.motion.low) / 100)
        self.motion.nudge(step * event.angleDelta().y() / 120)
        event.accept()
        self.moved.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if not self.begins_entry(event):
            self._key(event, True)

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        self._key(event, False)

    def _key(self, event: QKeyEvent, down: bool) -> None:
        self.canvas.ring = True
        key, motion = event.key(), self.motion
        tenth = (motion.high - motion.low) / 10
        jumps: dict[int, float] = {
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
                (motion.press if down else motion.release)(1 if key in OUT else -1, key)
        elif key in jumps:
            if down and not event.isAutoRepeat():
                motion.set_exactly(jumps[key])
        else:
            event.ignore()
        self.moved.emit()
