"""The one gauge of a run, and the note of what drives its pump, as a trace."""

from __future__ import annotations

import math
from collections import deque

from PySide6.QtGui import QPaintEvent
from PySide6.QtWidgets import QWidget

from trainer import units
from trainer.drawing.instruments import Dial, dial_live, dial_still
from trainer.drawing.shapes import DrawList, Path, Shape, Words
from trainer.language import tr
from trainer.measuring.needles import Needles
from trainer.parts.roles import PrimeMover
from trainer.rig.live import Live, Number
from trainer.rig.rig import Instrument, Rig
from trainer.window.dials.dials import relief_of
from trainer.window.painting.canvas import Canvas
from trainer.window.painting.look import Look
from trainer.window.painting.sizes import sized

__all__ = ["DialView", "NoteView"]

_CELL, _TOP = 149.0, 14.0  # width of a dial's cell, what is free above its name [board px]
_SPAN = 8.0  # s of the note
_SMALL, _NAME = 18.4, 18.4


class DialView(QWidget):
    """A large dial; it fills the width it has."""

    def __init__(
        self, look: Look, rig: Rig, instrument: Instrument, needles: Needles, number: Number, step: float,
        parent: QWidget,
    ) -> None:  # fmt: skip
        super().__init__(parent)
        self.look, self.instrument, self.needles, self.number, self.step = look, instrument, needles, number, step
        self.relief = relief_of(rig, instrument)
        self.figure = 0.0
        self._fitted: tuple[object, float] = (None, 1.0)  # the zoom for a size and a look
        self._dial: tuple[object, Dial] | None = None
        self.canvas = Canvas(self, look, self._still, self._live)
        self.canvas.keep_texts()
        self.setAccessibleName(f"{tr(instrument.kind)} {instrument.name}, {instrument.label}".rstrip(", "))
        self.take_figure()

    def _made(self, zoom: float) -> Dial:
        least = max(_SMALL, self.look.least) / zoom
        return Dial(self.instrument, self.look.system, _CELL, self.step, least, 1)

    def _zoom(self) -> float:
        key = (self.width(), self.height(), self.look.key)
        if self._fitted[0] != key:
            self._fitted = key, self._fit()
        return self._fitted[1]

    def _fit(self) -> float:
        wide, high = self.width() / self.look.scale, self.height() / self.look.scale
        zoom = max(wide / _CELL, 0.2)
        for _ in range(4):  # what is written on a small dial is as large as on a large one
            zoom = max(min(wide / _CELL, high / (self._made(zoom).height - _TOP)), 0.2)
        return zoom

    @property
    def dial(self) -> Dial:
        """The dial as data, at the present size."""
        zoom = self._zoom()
        if self._dial is None or self._dial[0] != self._fitted[0]:
            self._dial = self._fitted[0], self._made(zoom)
        return self._dial[1]

    def take_figure(self) -> None:
        """Print what is read off now."""
        self.figure = self.needles.figure(self.instrument.name, self.look.system)
        dial = self.dial
        self.setAccessibleDescription(f"{dial.figures(self.figure)} {dial.scale.symbol}")

    def show_instant(self) -> None:
        """Show the needle's instant."""
        self.update()

    def _placed(self, shapes: DrawList) -> list[Shape]:
        zoom = self._zoom()
        wide = self.width() / self.look.scale
        return sized(shapes, zoom, ((wide - zoom * _CELL) / 2, -_TOP * zoom))

    def _still(self) -> DrawList:
        return self._placed(dial_still(self.dial))

    def _live(self) -> DrawList:
        pointer = self.needles[self.instrument.name].pointer
        setting = self.number(self.relief, "setting") if self.relief is not None else None
        return self._placed(dial_live(self.dial, pointer.needle, self.figure, 0.0, setting, pointer.tremble))

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()


class NoteView(QWidget):
    """The speed of what drives the pump over the last seconds, as its note is heard; below it what else is heard."""

    def __init__(self, look: Look, rig: Rig, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        mover = next(iter(rig.having(PrimeMover).items()), None)
        self.line = rig.line_of(mover[0], mover[1].shaft).name if mover is not None else ""
        burns = mover is not None and mover[1].burns
        self.title = tr("Engine note") if burns else tr("Note of the drive")
        self.points: deque[tuple[float, float]] = deque()
        self.middle = 0.0
        self.caption = ""
        self.figure = ""
        self.canvas = Canvas(self, look, self._still, self._live)
        self.setAccessibleName(self.title)

    def clear(self) -> None:
        """Forget what was heard."""
        self.points.clear()
        self.middle = 0.0

    def show_instant(self, live: Live, paint: bool) -> None:
        """Take the speed of an instant; show it with ``paint``."""
        if not self.line:
            return
        speed = live.speed(self.line)
        if self.points and live.time < self.points[-1][0]:
            self.points.clear()
        if not self.points:
            self.middle = speed
        if not self.points or live.time - self.points[-1][0] > 0.03:
            self.points.append((live.time, speed))
        while self.points and self.points[0][0] < live.time - _SPAN:
            self.points.popleft()
        if paint:
            self.update()

    def take_figure(self, live: Live, caption: str) -> None:
        """Print the speed, and what else is heard."""
        figures, unit = (
            units.text(live.speed(self.line), "shaft speed", self.look.system, 0) if self.line else ("", "")
        )
        self.figure, self.caption = f"{figures} {unit}".strip(), caption
        self.setAccessibleDescription(", ".join(filter(None, (self.figure, caption))))
        self.update()

    def _wide(self) -> float:
        return self.width() / self.look.scale

    def _still(self) -> DrawList:
        return [
            Words(0.0, 20.0, self.title, _NAME, "ink2"),
            Path(((0.0, 74.0), (self._wide(), 74.0)), "hairline", 2.0),
        ]

    def _live(self) -> DrawList:
        wide = self._wide()
        shapes: list[Shape] = [Words(wide, 20.0, self.figure, _NAME, weight=600, align="right")]
        if len(self.points) > 1 and self.middle > 0.0:
            last = self.points[-1][0]
            points = tuple(
                (wide * (1 - (last - time) / _SPAN), 46.0 - 24.0 * math.tanh(6.0 * (speed / self.middle - 1.0)))
                for time, speed in self.points
            )
            shapes.append(Path(points, "ink", 2.2))
        if self.caption:
            shapes.append(Words(0.0, 98.0, self.caption, _SMALL, weight=600))
        return shapes

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()
