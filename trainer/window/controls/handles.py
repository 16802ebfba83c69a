"""What can be taken hold of: by keyboard, mouse, wheel and finger."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent, QPointF, QRect, Qt, Signal
from PySide6.QtGui import QEventPoint, QFocusEvent, QKeyEvent, QMouseEvent, QShowEvent, QTouchEvent
from PySide6.QtWidgets import QAbstractButton, QAbstractSlider, QWidget

from trainer.operating.motions import LeverMotion, SpeedMotion
from trainer.window.controls.entry import NumberEntry
from trainer.window.controls.own_keys import ENTER
from trainer.window.painting.canvas import Canvas
from trainer.window.painting.look import Look

__all__ = ["IN", "OUT", "Handle", "LeverKeys", "begins_entry"]

OUT = (Qt.Key.Key_Up, Qt.Key.Key_Right)
IN = (Qt.Key.Key_Down, Qt.Key.Key_Left)
_BY_KEYBOARD = (
    Qt.FocusReason.TabFocusReason,
    Qt.FocusReason.BacktabFocusReason,
    Qt.FocusReason.ShortcutFocusReason,
)


def _lever_key(motion: LeverMotion, event: QKeyEvent, down: bool) -> bool:
    """Give a key to a lever; return whether it was one of its keys. Repeats of a held key do nothing."""
    key = event.key()
    known = key in (*OUT, *IN, Qt.Key.Key_Shift, Qt.Key.Key_Home, Qt.Key.Key_End, Qt.Key.Key_M, Qt.Key.Key_H)
    plain = event.modifiers() & ~(Qt.KeyboardModifier.ShiftModifier | Qt.KeyboardModifier.KeypadModifier)
    if not known or (plain != Qt.KeyboardModifier.NoModifier and down):
        return False
    if event.isAutoRepeat():
        return True
    motion.fine = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier) if key != Qt.Key.Key_Shift else down
    if key in OUT or key in IN:
        (motion.press if down else motion.release)(1 if key in OUT else -1, key)
    elif not down:
        return True
    elif key == Qt.Key.Key_Home:
        motion.centre()
    elif key == Qt.Key.Key_End:
        motion.set_exactly(motion.high)
    elif key == Qt.Key.Key_M:
        motion.turn_over()
    elif key == Qt.Key.Key_H:
        motion.held = not motion.held
    return True


def begins_entry(event: QKeyEvent) -> str | None:
    """Return the first sign of an entry that a key begins, "" for Enter, None for other keys.

    On some keyboards digits and signs need Shift.
    """
    plain = event.modifiers() & ~(Qt.KeyboardModifier.ShiftModifier | Qt.KeyboardModifier.KeypadModifier)
    if event.isAutoRepeat() or plain != Qt.KeyboardModifier.NoModifier:
        return None
    if event.key() in ENTER:
        return ""
    return event.text() if event.text() and event.text() in "0123456789-−+" else None


class LeverKeys:
    """The keys of a lever, for whatever of it has the keyboard: its view, or its spool in the drawing.

    ``write`` opens the entry of an exact percentage with its first sign.
    """

    def __init__(self, motion: LeverMotion, write: Callable[[str], object]) -> None:
        self.motion, self.write = motion, write

    def take(self, event: QKeyEvent, down: bool) -> None:
        """Take a key that goes down or up; one that is none of a lever's is left to others."""
        first = begins_entry(event) if down else None
        if first is not None:
            self.write(first)
        elif not _lever_key(self.motion, event, down):
            event.ignore()


class Handle(QAbstractSlider):
    """What a lever and a speed scale share: a grip that keyboard, mouse, wheel, touch and readers can move.

    As a slider it tells assistive software its value; how it looks is left to a canvas.
    """

    moved = Signal()
    said = Signal(str)
    quantity = "ratio"

    def __init__(self, look: Look, motion: LeverMotion | SpeedMotion, parent: QWidget) -> None:
        super().__init__(parent)
        self.entry: NumberEntry | None = None
        self.stands: float | None = None  # where the instant has it, while that is not where the hand has set it
        self.look = look
        self.motion = motion
        self.canvas = Canvas(self, look)
        self._grip: tuple[float, float] | None = None  # where it was grabbed, and the value there
        self._finger: int | None = None  # that has hold of it
        self._tapped: QAbstractButton | None = None  # a button on it that a finger is on
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAttribute(Qt.WidgetAttribute.WA_AcceptTouchEvents)

    def showEvent(self, event: QShowEvent) -> None:
        """Paint all of it: the style, which takes every slider for transparent, has the ground below painted too."""
        super().showEvent(event)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)

    def show_waiting(self, stands: float | None) -> None:
        """Show that it is taken when the clock runs, and where it ``stands`` until then; None: it is taken."""
        if stands != self.stands:
            self.stands = stands
            self.update()

    def show_moved(self) -> None:
        """Show that its value is another: what does not show it, such as buttons, stays as it is."""
        self.update(self.moving_area())

    def moving_area(self) -> QRect:
        """Return where it changes with its value [widget px]."""
        return self.rect()

    def travel(self, point: QPointF) -> float:
        """Return the value [as the motion's] that a place [widget px] stands for, but for a constant."""
        raise NotImplementedError("a handle needs a scale")

    def entry_area(self) -> QRect:
        """Return where an exact number is written [widget px]."""
        raise NotImplementedError("a handle needs a place for its entry")

    def ask_exactly(self, first: str = "") -> None:
        """Open the entry for an exact number, with a first sign."""
        self._grip = None
        self.motion.forget()
        ends = (self.motion.low, self.motion.high)
        self.entry = NumberEntry(self.look, self.quantity, ends, self._exactly, self)
        self.entry.said.connect(self.said)
        self.entry.closed.connect(self._entered)
        self.entry.open_over(self.entry_area(), first)

    def _exactly(self, value: float) -> None:
        self.motion.set_exactly(value)
        self.moved.emit()

    def _entered(self) -> None:
        self.entry = None
        self.update()

    def begins_entry(self, event: QKeyEvent) -> bool:
        """Open the entry where a key begins one; return whether it did."""
        first = begins_entry(event)
        if first is None:
            return False
        self.ask_exactly(first)
        return True

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            self.ask_exactly()

    def grab_at(self, point: QPointF) -> None:
        """Take hold at a place [widget px]."""
        self._grip = (self.travel(point), self.motion.value)
        self.motion.grab("mouse" if self._finger is None else "finger")
        self.moved.emit()

    def drag_at(self, point: QPointF) -> None:
        """Move to a place [widget px] while grabbed; proportional, without a jump.

        What was let go meanwhile, such as when another program came before the window, is grabbed anew first.
        """
        if self._grip is not None and self.motion.dragged:
            self.motion.drag_to(self._grip[1] + self.travel(point) - self._grip[0])
            self.moved.emit()

    def let_go(self) -> None:
        """Let go; a lever springs back unless it is held."""
        self._grip = None
        self.motion.let_go()
        self.moved.emit()

    def event(self, event: QEvent) -> bool:
        """Take fingers directly, so that two levers can be moved at once; take the plain keys of a lever."""
        kind = event.type()
        if kind == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent) and self._wants(event):
            event.accept()
            return True
        if isinstance(event, QTouchEvent):
            self._touch(event)
            event.accept()
            return True
        return super().event(event)

    def _touch(self, event: QTouchEvent) -> None:
        """Follow the one finger that has hold of it, whatever others do on it or on other levers."""
        if event.type() == QEvent.Type.TouchBegin:
            self._finger = self._tapped = None  # there is none left on it
        for point in event.points():
            if self._finger is None and point.state() == QEventPoint.State.Pressed:
                self._finger = point.id()
                self._put_finger(point.position())
            elif point.id() == self._finger and point.state() == QEventPoint.State.Released:
                self._lift_finger(point.position())
            elif point.id() == self._finger and point.state() == QEventPoint.State.Updated and self._tapped is None:
                self.drag_at(point.position())
        if event.type() in (QEvent.Type.TouchCancel, QEvent.Type.TouchEnd) and self._finger is not None:
            self._lift_finger(None)

    def _put_finger(self, place: QPointF) -> None:
        below = self.childAt(place.toPoint())
        self._tapped = below if isinstance(below, QAbstractButton) else None
        if self._tapped is None:
            self.setFocus(Qt.FocusReason.MouseFocusReason)
            self.canvas.ring = False
            self.grab_at(place)

    def _lift_finger(self, place: QPointF | None) -> None:
        """Let go; a button is pressed where the finger leaves it where it came."""
        tapped, self._finger, self._tapped = self._tapped, None, None
        if tapped is None:
            self.let_go()
        elif place is not None and tapped.isEnabled() and self.childAt(place.toPoint()) is tapped:
            tapped.click()

    @staticmethod
    def _wants(event: QKeyEvent) -> bool:
        return event.key() in (*OUT, *IN) and event.modifiers() == Qt.KeyboardModifier.NoModifier

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            self.canvas.ring = False
            self.grab_at(event.position())

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        self.drag_at(event.position())

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            self.let_go()

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Show the focus ring where the keyboard brought the focus."""
        super().focusInEvent(event)
        self.canvas.ring = event.reason() in _BY_KEYBOARD
        self.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Let every key and the grip go: a lever whose keyboard went elsewhere must not stay out.

        A finger keeps what it has: another one, on the next lever, took the keyboard there.
        """
        if self._finger is None:
            self._grip = None
            self.motion.forget()
        else:
            self.motion.forget_keys()
        super().focusOutEvent(event)
        self.moved.emit()
        self.update()
