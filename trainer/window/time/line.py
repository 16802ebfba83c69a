"""The time line: from the start to the latest instant, with the instant that is shown, and the marks."""

from __future__ import annotations

import math
from collections.abc import Sequence

from PySide6.QtCore import QPointF, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPaintEvent
from PySide6.QtWidgets import QWidget

from trainer.drawing.shapes import DrawList, Path, Shape, Words
from trainer.drawing.type_widths import text_width
from trainer.language import tr
from trainer.window.controls.tips import set_tip
from trainer.window.painting.canvas import Canvas
from trainer.window.painting.look import Look

__all__ = ["SHORTEST", "TimeLine", "stretch_words"]

_EDGE, _RULE, _SMALL = 36.0, 9.0, 15.4  # left and right edge, height of the rule, text [board px]
_STEPS = (0.1, 0.5, 1.0, 5.0, 10.0, 30.0, 60.0, 300.0, 600.0, 1800.0, 3600.0)  # seconds between ticks
_LEAST = 10.0  # seconds that the line is long at least
_LOUD, _BAND = 21.0, 7.0  # text of what going on gives up, and height of the strokes under its stretch [board px]
SHORTEST = 0.005  # a stretch that is not told [s]


def clock_words(seconds: float, step: float = 1.0) -> str:
    """Return a time as it is written on the line: "0.5 s", "42 s", "3:05"."""
    if seconds < 60:
        return f"{seconds:.1f} s" if step < 1 else f"{seconds:.0f} s"
    return f"{int(seconds + 0.5) // 60}:{int(seconds + 0.5) % 60:02d}"


def stretch_words(begin: float, end: float) -> tuple[str, str]:
    """Return two instants of one stretch as they are told, with the decimals that it needs: "12.4 s", "31.0 s"."""
    places = 1 if end - begin >= 1.0 else 2

    def told(time: float) -> str:
        return f"{time:.{places}f} s" if end < 60 else f"{int(time) // 60}:{time % 60:0{3 + places}.{places}f}"

    return told(begin), told(end)


class TimeLine(QWidget):
    """A rule from the start to the latest instant. Dragging its pointer, or the arrow keys, go to an instant.

    ``asked`` tells the time [s]; ``mark_asked`` that this instant is to be marked (a double click).
    """

    asked = Signal(float)
    mark_asked = Signal()

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.time = self.end = 0.0
        self.marks: tuple[tuple[float, str], ...] = ()
        self.canvas = Canvas(self, look, live=self._live)
        self._held = False
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setObjectName("time line")
        self.setAccessibleName(tr("Rewind"))
        set_tip(self, tr("Rewind: drag along the line, or use the arrow keys; a double click sets a mark  (Ctrl+K)"))
        self.setCursor(Qt.CursorShape.PointingHandCursor)

    def show_time(self, time: float, end: float, marks: tuple[tuple[float, str], ...]) -> None:
        """Show the instant, the latest instant [s] and the marks."""
        if (time, end, marks) != (self.time, self.end, self.marks):
            self.time, self.end, self.marks = time, end, marks
            told = tr("{time:.1f} s of {end:.1f} s").format(time=time, end=end)
            self.setAccessibleDescription(f"{told}; {self.gives_up()}" if self.gives_up() else told)
            self.update()

    # -- where things stand [board px] ---------------------------------------------------------------------------

    @property
    def span(self) -> float:
        """The time at the right end [s]: the latest instant, or more while little has been."""
        return max(self.end, _LEAST)

    def _ends(self) -> tuple[float, float]:
        return _EDGE, self.width() / self.look.scale - _EDGE - 120.0

    def place(self, time: float) -> float:
        """Return where an instant stands [board px]."""
        left, right = self._ends()
        return left + (right - left) * min(max(time / self.span, 0.0), 1.0)

    def time_at(self, x: float) -> float:
        """Return the instant at a place in the widget [s]."""
        left, right = self._ends()
        share = (x / self.look.scale - left) / max(right - left, 1.0)
        return min(max(share, 0.0) * self.span, self.end)

    def _live(self) -> DrawList:
        left, right = self._ends()
        small = max(_SMALL, self.look.least)
        height = self.height() / self.look.scale
        base = height - _RULE
        now, latest = self.place(self.time), self.place(self.end)
        shapes: list[Shape] = [
            Path(((left, base), (right, base)), "hairline", 1.5),
            Path(((left, base), (latest, base)), "ink2", 1.5),
            Path(((left, base), (now, base)), "ink", 3.0),
        ]
        step = next((s for s in _STEPS if self.span / s * 4.2 * small < right - left), _STEPS[-1])
        taken = [(self.place(t) - h, self.place(t) + h) for t, n in self.marks for h in [0.3 * small * len(n) + 4.0]]
        if self.gives_up():
            taken.append((right + 8.0, math.inf))  # how far back it is
        told = self._loud_place(taken)
        if told is not None:
            words, x, wide = told
            taken.append((x - 8.0, x + wide + 8.0))
            shapes.append(Words(x, base - 6.0, words, _LOUD, "accent", 600))
        for k in range(int(self.span / step + 1e-6) + 1):
            x = self.place(k * step)
            shapes.append(Path(((x, base), (x, base + 5.0)), "ink2", 1.0))
            words = clock_words(k * step, step)
            half = 0.26 * small * len(words)
            left_half, right_half = (0.0, 2 * half) if k == 0 else (half, half)
            if any(a < x + right_half and x - left_half < b for a, b in taken):
                continue
            shapes.append(Words(x, base - 5.0, words, _SMALL, "ink2", align="left" if k == 0 else "centre"))
        for time, name in self.marks:
            x = self.place(time)
            shapes.append(Path(((x, base - 4.0), (x, base + 5.0)), "ink", 2.0))
            shapes.append(Words(x, base - 5.0, name, _SMALL, "ink", 600, "centre"))
        gone = self.gives_up()
        if gone:
            shapes += self._strokes(now, latest, base)
        knob = (
            (now - 6.0, base - 7.0),
            (now + 6.0, base - 7.0),
            (now + 6.0, base + 1.0),
            (now, base + 7.0),
            (now - 6.0, base + 1.0),
        )
        shapes.append(Path(knob, None, 0.0, "accent" if gone else "ink", closed=True))
        if gone:
            words = tr("{behind} s back").format(behind=f"{self.behind:.{2 if self.behind < 10 else 0}f}")
            shapes.append(Words(right + 14.0, base + 3.0, words, _SMALL, "accent", 600))
        return shapes

    @property
    def behind(self) -> float:
        """How far the shown instant lies before the latest one [s]."""
        return self.end - self.time

    def gives_up(self) -> str:
        """Return what going on from the instant that is shown would give up, in words; nothing at the latest."""
        if self.behind < SHORTEST:
            return ""
        begin, end = stretch_words(self.time, self.end)
        return tr("going on drops {begin} … {end}").format(begin=begin, end=end)

    def _loud_place(self, taken: Sequence[tuple[float, float]]) -> tuple[str, float, float] | None:
        """Return what is given up with its left edge and width [board px]: over its stretch, else beside it.

        Nowhere over a mark; with less room in fewer words, and None where there is none.
        """
        left, right = self._ends()
        now, latest, whole = self.place(self.time), self.place(self.end), self.gives_up()
        if not whole:
            return None
        begin, end = stretch_words(self.time, self.end)
        shorter = tr("drops {begin} … {end}").format(begin=begin, end=end)
        for words in (whole, shorter, tr("drops {begin} on").format(begin=begin)):
            wide = text_width(words, self.look.size(_LOUD), 600)
            for x in (now + 14.0, now - 14.0 - wide, latest + 14.0):
                over = x < latest and x + wide > now
                fits = x + wide <= (right if x > now else now) and x >= left and (not over or x + wide <= latest)
                if fits and not any(a < x + wide and x < b for a, b in taken):
                    return words, x, wide
        return None

    @staticmethod
    def _strokes(begin: float, end: float, base: float) -> list[Shape]:
        """Return the strokes under a stretch that would be given up."""
        count = max(int((end - begin) / 8.0), 1)
        steps = [begin + (end - begin) * k / count for k in range(1, count + 1)]
        strokes = [Path(((x - 4.0, base + _BAND), (x, base)), "accent", 2.0) for x in steps]
        return [Path(((begin, base), (end, base)), "accent", 3.0), *strokes]

    # -- hands ---------------------------------------------------------------------------------------------------

    def _ask(self, point: QPointF) -> None:
        self.asked.emit(self.time_at(point.x()))

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            self._held = True
            near = [t for t, _ in self.marks if abs(self.place(t) * self.look.scale - event.position().x()) < 7]
            if near:
                self.asked.emit(near[0])
            else:
                self._ask(event.position())

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self._held:
            self._ask(event.position())

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        self._held = False

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        self.mark_asked.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Go by a second, by ten with Page Up and Page Down, to the start and to the latest instant."""
        steps = {
            Qt.Key.Key_Left: -1.0, Qt.Key.Key_Right: 1.0, Qt.Key.Key_Down: -1.0, Qt.Key.Key_Up: 1.0,
            Qt.Key.Key_PageDown: -10.0, Qt.Key.Key_PageUp: 10.0,
        }  # fmt: skip
        if event.key() in steps and event.modifiers() == Qt.KeyboardModifier.NoModifier:
            self.asked.emit(min(max(self.time + steps[Qt.Key(event.key())], 0.0), self.end))
        elif event.key() in (Qt.Key.Key_Home, Qt.Key.Key_End):
            self.asked.emit(0.0 if event.key() == Qt.Key.Key_Home else self.end)
        else:
            super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()
