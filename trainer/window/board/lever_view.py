"""A lever of the rack: dragged, keyed, wheeled, held, or written exactly."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QPointF, QRect
from PySide6.QtGui import QKeyEvent, QPaintEvent, QWheelEvent
from PySide6.QtWidgets import QAbstractSlider, QWidget

from trainer.drawing import rack
from trainer.drawing.shapes import DrawList, Moving
from trainer.language import tr
from trainer.operating.motions import LeverMotion
from trainer.parts.part import Control
from trainer.window.board.steps_view import Switch
from trainer.window.controls.buttons import WordButton
from trainer.window.controls.handles import Handle, LeverKeys
from trainer.window.controls.tips import set_tip
from trainer.window.painting.canvas import Canvas
from trainer.window.painting.look import LEAST_TEXT, Look

__all__ = ["LeverView"]


class LeverView(Handle):
    """One lever of the rack, as wide as its column."""

    motion: LeverMotion
    named = True  # whether its name stands on it

    def __init__(
        self, look: Look, motion: LeverMotion, name: str, control: Control, key: str, parent: QWidget
    ) -> None:
        super().__init__(look, motion, parent)
        self.name, self.control, self.control_name = name, control, key
        self.keys = LeverKeys(motion, self.ask_exactly)
        self.canvas = Canvas(self, look, self._still, self._live, self._placing)
        self.canvas.keep_texts()
        self.hold = WordButton(
            look,
            tr("hold"),
            tr("{name} lever hold").format(name=name),
            tr("Keeps the lever where it is when it is let go  (H)"),
            self,
            checkable=True,
            size=15.4,
        )
        self.hold.toggled.connect(self._hold)
        self.float_switch: Switch | None = None
        self.joined = False  # its column begins where another one ends
        self.setRange(round(100 * motion.low), round(100 * motion.high))
        self.valueChanged.connect(self._asked)
        self.setObjectName(f"lever {key}")
        self.setAccessibleName(tr("{name} lever").format(name=name))
        less, more = control.ends
        self.less, self.more = less or "−", more or "+"
        self.tell_keys("")
        self.asked: float | None = None  # where it is to go to
        self._said = ""
        self._shown: tuple[object, ...] = ()  # what was in step when it was looked at last
        self.show_value()

    def tell_keys(self, pair: str) -> None:
        """Say in the tooltip which keys move it; ``pair`` are its letters, out and in."""
        letters = tr(", or {pair} and {pair2} from anywhere").format(pair=pair[0], pair2=pair[1]) if pair else ""
        self.tip = tr(
            "{name}: drag, or Up for {more} and Down for {less}{letters}; H holds it; "
            "digits, a minus before them, or a double click write it exactly; M mirrors it, "
            "Home centres it"
        ).format(name=self.name, more=self.more, less=self.less, letters=letters)
        set_tip(self, self.tip)

    def _hold(self, on: bool) -> None:
        self.motion.held = on
        self.update()

    def _asked(self, value: int) -> None:
        if round(100 * self.motion.value) != value:  # from assistive software, not from the motion
            self.motion.set_exactly(value / 100)
            self.moved.emit()

    def show_value(self) -> None:
        """Bring the value, the hold button and what is read aloud in step with the motion."""
        if self._shown == self._standing():
            return
        self.setValue(round(100 * self.motion.value))
        if self.hold.isChecked() != self.motion.held:
            self.hold.setChecked(self.motion.held)
        less, more = self.control.ends
        word = more if self.motion.value > 1e-3 else less if self.motion.value < -1e-3 else tr("centred")
        told = [rack.percent(self.motion.value), word, *([tr("held")] if self.motion.held else [])]
        if self.asked is not None:
            told.append(tr("it is to go to {percent}").format(percent=rack.percent(self.asked)))
        if self.stands is not None:
            told += [tr(rack.WAITS), tr("{percent} at this instant").format(percent=rack.percent(self.stands))]
        said = ", ".join(told)
        if said != self._said:
            self._said = said
            self.setAccessibleDescription(said)
        self._shown = self._standing()

    def _standing(self) -> tuple[object, ...]:
        """Return what is to be in step."""
        motion = self.motion
        return self.value(), self.hold.isChecked(), motion.value, motion.held, self.asked, self.stands

    def ask_for(self, asked: float | None) -> None:
        """Show where it is to go to, or that it is to go nowhere."""
        if asked != self.asked:
            self.asked = asked
            self.show_value()
            self.update()

    def _scale(self) -> float:
        return max(self.height(), 1) / rack.HEIGHT

    def _placing(self) -> tuple[float, tuple[float, float]]:
        return self._scale(), (0.0, 0.0)

    @property
    def board_width(self) -> float:
        """Its width [board px]."""
        return self.width() / self._scale()

    def needs(self, height: int) -> float:
        """Return the width that its column needs for its name at a height [px]."""
        scale = max(height, 1) / rack.HEIGHT if self.named else 0.0
        return scale and rack.lever_needs(self.name, LEAST_TEXT / scale) * scale

    def _still(self) -> DrawList:
        least = LEAST_TEXT / self._scale()
        low, high = self.motion.low, self.motion.high
        return rack.lever_still(self.name, low, high, self.board_width, least, self.joined)

    def _live(self) -> Moving:
        least = LEAST_TEXT / self._scale()
        value, ends = self.motion.value, self.control.ends
        return rack.lever_live(value, ends, self.board_width, least, self.stands, self.asked)

    def travel(self, point: QPointF) -> float:
        """Return the lever's share of travel at a place; the knob follows the pointer sideways."""
        return rack.lever_share(point.x() / self._scale(), self.board_width)

    def entry_area(self) -> QRect:
        """Return where an exact percentage is written: over its value."""
        scale = self._scale()
        wide = min(round(max(110 * scale, 84.0)), self.width())
        return QRect((self.width() - wide) // 2, round(48 * scale), wide, round(max(34 * scale, 22.0)))

    def sliderChange(self, _change: QAbstractSlider.SliderChange) -> None:
        """Show a change of its value."""
        self.show_moved()

    def moving_area(self) -> QRect:
        """Return what stands above its buttons."""
        return QRect(0, 0, self.width(), self.hold.y())

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint(event.rect())

    def resizeEvent(self, event: QEvent) -> None:
        buttons = [self.hold, *([self.float_switch] if self.float_switch is not None else [])]
        sizes = [button.sizeHint() for button in buttons]
        left = (self.width() - sum(size.width() for size in sizes)) // 2
        for button, size in zip(buttons, sizes, strict=True):
            top = min(self.height() - size.height(), round(208 * self._scale()))
            button.setGeometry(left, top, size.width(), size.height())
            left += size.width()

    def add_float(self, switch: Switch) -> None:
        """Put the switch of its float detent beside the hold button."""
        self.float_switch = switch

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Move by one percent a notch, and hold."""
        notches = event.angleDelta().y() / 120
        self.motion.nudge(0.01 * notches)
        event.accept()
        self.moved.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        self.canvas.ring = True
        self.keys.take(event, True)
        self.moved.emit()

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        self.keys.take(event, False)
        self.moved.emit()
