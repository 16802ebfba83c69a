"""The strip: lever, pressure and speed of the last half minute, one above the other on one time axis."""

from __future__ import annotations

import math

import numpy as np
from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPen, QTransform
from PySide6.QtWidgets import QWidget

from trainer import units
from trainer.drawing.instruments import scale_of
from trainer.drawing.live import Live
from trainer.drawing.rack import percent
from trainer.drawing.shapes import DrawList, Path, Shape, Words
from trainer.rig import Rig
from trainer.window.canvas import Canvas
from trainer.window.look import Look
from trainer.window.traces import Ring, Trace, Traces, decimated

__all__ = ["SPAN", "StripView"]

SPAN = 30.0  # seconds shown
RATE = 60.0  # samples a second at the most
_COUNT = 1800
_BUCKET = 6  # samples of one pair of least and greatest
_NONE = np.zeros(0)


class StripView(QWidget):
    """Three stacked traces: the lever moved last, the first gauge, the speed that the lever commands.

    The plots are made by ``start`` after the first paint: pyqtgraph is slow to import.
    """

    def __init__(self, look: Look, rig: Rig, live: Live, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.recorded = Traces.of(rig)
        self.ring = Ring(_COUNT, 1 + len(self.recorded.all))
        self.canvas = Canvas(self, look, self._still, self._live)
        self.curves: list[object] = []
        self.plots: list[QWidget] = []
        self.covered: set[str] = set()
        self._extremes = [trace.high for trace in self.recorded.all]
        self.latest = [trace.read(live) for trace in self.recorded.all]
        self._last = -1.0
        self.setObjectName("strip")
        self._name()

    @property
    def traces(self) -> list[Trace]:
        """What is shown, from top to bottom."""
        return [self.recorded.all[k] for k in self.recorded.shown]

    @property
    def followed(self) -> str:
        """The control of the lever that is shown."""
        return self.recorded.pairs[self.recorded.chosen][0]

    def _name(self) -> None:
        self.setAccessibleName("Strip: " + ", ".join(trace.name for trace in self.traces))

    def follow(self, control: str) -> None:
        """Show the lever of a control, and what it moves."""
        if self.recorded.choose(control):
            self._name()
            self._scale_plots()
            self.canvas.forget()
            self.update()

    # -- where things stand [board px] ---------------------------------------------------------------------

    def _plot_box(self, k: int) -> tuple[float, float, float, float]:
        height = self.height() / self.look.scale
        top, bottom = 46.0, height - 14.0 - 1.0 * max(15.4, self.look.least)
        pitch = (bottom - top) / max(len(self.traces), 1)
        small = max(15.4, self.look.least)
        return 3.1 * small, top + k * pitch, 308.0 - 9.0 * (small - 15.4), max(pitch - 1.3 * small, 10.0)

    def _scale(self, k: int) -> tuple[float, float, str]:
        """Return the ends of a trace's axis in its shown unit, and the unit."""
        trace = self.traces[k]
        system = self.look.system
        if trace.quantity == "ratio":
            return -100.0, 100.0, "%"
        scale = scale_of(max(trace.high, self._extremes[self.recorded.shown[k]]), trace.quantity, system)
        low = -scale.end if trace.both else 0.0
        return low, scale.end, scale.symbol

    def _still(self) -> DrawList:
        small = max(15.4, self.look.least)
        shapes: list[Shape] = [
            Path(((0.0, 0.0), (448.0, 0.0)), "ink", 1.5),
            Words(0.0, 27.0, "Strip", 19.8, weight=600),
            Words(448.0, 27.0, "last 30 s", 15.4, "ink2", align="right"),
        ]
        for k in range(len(self.traces)):
            x, y, width, height = self._plot_box(k)
            low, high, _ = self._scale(k)
            for share in (0.0, 1 / 3, 2 / 3, 1.0):
                shapes.append(Path(((x + share * width, y), (x + share * width, y + height)), "hairline", 1.0))
            shapes.append(Path(((x, y), (x + width, y)), "hairline", 1.0))
            zero = y + height * high / (high - low)
            shapes.append(Path(((x, zero), (x + width, zero)), "ink2", 1.0))
            if low < 0:
                shapes.append(Path(((x, y + height), (x + width, y + height)), "hairline", 1.0))
            ends = [(high, y), (low, y + height)]
            if height > 3.2 * small and low < 0:
                ends.insert(1, (0.0, zero))
            for value, at in ends:
                text = f"{value:g}".replace("-", "−")
                shapes.append(Words(x - 7.0, at + 0.34 * small, text, 15.4, "ink2", align="right"))
        if self.traces:
            x, y, width, height = self._plot_box(len(self.traces) - 1)
            for share, text in ((0.0, "−30 s"), (1 / 3, "−20 s"), (2 / 3, "−10 s"), (1.0, "0 s")):
                shapes.append(
                    Words(x + share * width, y + height + 7.0 + 0.98 * small, text, 15.4, "ink2", align="centre")
                )
        return shapes

    def _live(self) -> DrawList:
        small = max(15.4, self.look.least)
        shapes: list[Shape] = []
        for k, trace in enumerate(self.traces):
            x, y, width, height = self._plot_box(k)
            middle = y + height / 2
            at = x + width + 10.0
            name = trace.name if len(trace.name) * 0.47 * small < 448.0 - at else _shortened(trace.name)
            shapes.append(Words(at, middle - 3.0, name, 15.4, "ink2"))
            if trace.instrument and trace.instrument in self.covered:
                top, unit = middle + 4.0, self._scale(k)[2]
                box = ((at, top), (at + 40, top), (at + 40, top + small), (at, top + small))
                shapes.append(Path(box, "ink2", 1.25, "cover", closed=True, hatch="cover-hatch"))
                shapes.append(Words(at + 46.0, top + 0.85 * small, unit, 15.4, "ink2"))
            else:
                shapes.append(Words(at, middle + 4.0 + 0.9 * small, self.value_text(k), 17.0, trace.ink, 600))
        return shapes

    def value_text(self, k: int) -> str:
        """Return the newest value of a trace as it is printed."""
        place = self.recorded.shown[k]
        trace, value = self.recorded.all[place], self.latest[place]
        if trace.quantity == "ratio":
            return percent(value)
        scale = scale_of(max(trace.high, self._extremes[place]), trace.quantity, self.look.system)
        return " ".join(units.text(value, trace.quantity, self.look.system, scale.decimals))

    # -- what it is told -----------------------------------------------------------------------------------

    def push(self, live: Live) -> None:
        """Keep one instant; instants closer than a sample are passed over, a step back begins anew."""
        time = live.time
        if time < self._last:
            self.clear()
        if time - self._last < 0.999 / RATE:
            return
        self._last = time
        self.ring.push((time, *(trace.read(live) for trace in self.recorded.all)))

    def clear(self) -> None:
        """Forget what was recorded."""
        self.ring.clear()
        self._last = -1.0

    def refresh(self, live: Live, covered: set[str]) -> None:
        """Print the newest values (eight times a second)."""
        self.latest = [trace.read(live) for trace in self.recorded.all]
        self.covered = set(covered)
        changed = False
        for k, (trace, value) in enumerate(zip(self.recorded.all, self.latest, strict=True)):
            if math.isfinite(value) and abs(value) > self._extremes[k] and trace.quantity != "ratio":
                self._extremes[k] = abs(value)
                changed = True
        if changed:
            self.lay_out()
            self.update()
        else:
            left = round((self._plot_box(0)[0] + self._plot_box(0)[2] + 2.0) * self.look.scale)
            self.update(left, 0, self.width() - left, self.height())  # the values; not what the plots stand on

    def start(self) -> None:
        """Make the plots, once."""
        if self.plots:
            return
        import pyqtgraph

        for trace in self.traces:
            plot = pyqtgraph.PlotWidget(self, background=None)
            plot.setStyleSheet("background: transparent")
            plot.hideAxis("left")
            plot.hideAxis("bottom")
            plot.hideButtons()
            plot.setMenuEnabled(False)
            plot.setMouseEnabled(False, False)
            plot.setFocusPolicy(Qt.FocusPolicy.NoFocus)
            plot.viewport().setFocusPolicy(Qt.FocusPolicy.NoFocus)
            plot.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
            plot.setFrameStyle(0)
            plot.setAccessibleName(f"Trace of {trace.name}")
            plot.getPlotItem().setContentsMargins(0, 0, 0, 0)
            plot.getPlotItem().layout.setContentsMargins(0, 0, 0, 0)
            plot.getViewBox().setDefaultPadding(0.0)
            plot.getViewBox().disableAutoRange()
            curve = _thick_curve(pyqtgraph)(connect="all", skipFiniteCheck=True)
            plot.addItem(curve)
            self.plots.append(plot)
            self.curves.append(curve)
            plot.show()
        self.lay_out()

    def lay_out(self) -> None:
        """Place the plots in their frames, in the present theme and units."""
        self.canvas.forget()
        self._scale_plots()
        self.draw_curves()

    def _scale_plots(self) -> None:
        scale = self.look.scale
        for k, plot in enumerate(self.plots[: len(self.traces)]):
            x, y, width, height = (edge * scale for edge in self._plot_box(k))
            plot.setGeometry(round(x), round(y) - 2, round(width), round(height) + 4)
            low, high, _ = self._scale(k)
            slack = (high - low) * 2 / max(height, 1.0)
            plot.getViewBox().setRange(xRange=(-SPAN, 0.0), yRange=(low - slack, high + slack), padding=0.0)
            self.curves[k].setPen(QPen(self.look.inks.colour(self.traces[k].ink), 1.0))

    def draw_curves(self) -> None:
        """Give the curves the newest samples (thirty times a second)."""
        if not self.curves:
            return
        rows = self.ring.newest()
        if not len(rows):
            for curve in self.curves:
                curve.setData(_NONE, _NONE)
            return
        since = max(int(np.searchsorted(rows[:, 0], rows[-1, 0] - SPAN)) - 1, 0)
        rows, first = rows[since:], self.ring.written - len(rows) + since
        times = rows[:, 0] - rows[-1, 0]
        for place, curve in zip(self.recorded.shown, self.curves, strict=False):
            trace = self.recorded.all[place]
            if trace.instrument in self.covered:
                curve.setData(_NONE, _NONE)
                continue
            unit = units.shown_unit(trace.quantity, self.look.system)
            factor = 0.01 if trace.quantity == "ratio" else unit.factor
            curve.setData(*decimated(times, rows[:, place + 1] / factor, first, _BUCKET))

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint(event.rect())


def _shortened(name: str) -> str:
    return name.rpartition(" ")[2].capitalize()


def _thick_curve(pyqtgraph: object) -> type:
    """Return a curve two pixels thick without Qt's slow stroker: its thin path painted at three offsets."""

    class ThickCurve(pyqtgraph.PlotCurveItem):  # type: ignore[name-defined, misc]
        """A thin path painted three times, moved by a pixel."""

        offsets = ((0, 0), (1, 0), (0, 1))

        def boundingRect(self) -> QRectF:
            return super().boundingRect()

        def paint(self, painter: QPainter, option: object, widget: object) -> None:
            if self.xData is None or not len(self.xData):
                return
            path, pen, base = self.getPath(), QPen(self.opts["pen"]), painter.worldTransform()
            pen.setWidth(1)
            pen.setCosmetic(True)
            painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
            painter.setPen(pen)
            for dx, dy in self.offsets:
                painter.setWorldTransform(base * QTransform.fromTranslate(dx, dy))
                painter.drawPath(path)
            painter.setWorldTransform(base)

    return ThickCurve
