"""The strip: lever, pressure and speed of the last half minute, one above the other on one time axis."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPen, QTransform
from PySide6.QtWidgets import QWidget

from trainer import units
from trainer.drawing.instruments import scale_of
from trainer.drawing.live import Live
from trainer.drawing.rack import percent
from trainer.drawing.shapes import DrawList, Path, Shape, Words
from trainer.parts.part import Kind
from trainer.rig import Rig
from trainer.window.canvas import Canvas
from trainer.window.look import Look
from trainer.window.rack_view import lever_name

__all__ = ["SPAN", "Ring", "StripView", "Trace", "decimated", "traces_of"]

SPAN = 30.0  # seconds shown
RATE = 60.0  # samples a second at the most
_COUNT = 1800
_BUCKET = 6  # samples of one pair of least and greatest
_NONE = np.zeros(0)


class Ring:
    """The newest ``count`` rows of numbers, written twice so that they are always one slice."""

    def __init__(self, count: int, columns: int) -> None:
        self._rows = np.full((2 * count, columns), np.nan)
        self.count = count
        self.written = 0

    def push(self, row: tuple[float, ...]) -> None:
        """Add one row."""
        at = self.written % self.count
        self._rows[at] = self._rows[at + self.count] = row
        self.written += 1

    def newest(self) -> np.ndarray:
        """Return all rows kept, oldest first (rows, columns), as a view."""
        at = self.written % self.count
        if self.written < self.count:
            return self._rows[:at]
        return self._rows[at : at + self.count]

    def clear(self) -> None:
        """Forget all rows."""
        self.written = 0


def decimated(times: np.ndarray, values: np.ndarray, first: int, bucket: int) -> tuple[np.ndarray, np.ndarray]:
    """Return (times, values) with the least and the greatest of every bucket of samples, peaks kept.

    ``first`` is the running number of the first sample: buckets stand on absolute numbers, so that peaks do
    not shimmer while the strip scrolls.
    """
    start = -first % bucket
    whole = (len(values) - start) // bucket
    if whole < 2:
        return times, values
    end = start + whole * bucket
    blocks = values[start:end].reshape(whole, bucket)
    low, high = blocks.min(axis=1), blocks.max(axis=1)
    rising = blocks.argmin(axis=1) <= blocks.argmax(axis=1)
    pairs = np.where(rising[:, None], np.stack((low, high), 1), np.stack((high, low), 1)).ravel()
    stamps = np.repeat(times[start:end].reshape(whole, bucket).mean(axis=1), 2)
    return (
        np.concatenate((times[:start], stamps, times[end:])),
        np.concatenate((values[:start], pairs, values[end:])),
    )


@dataclass(frozen=True, slots=True)
class Trace:
    """One trace: its name, quantity, how it is read, its range [SI], whether it may go below zero."""

    name: str
    quantity: str
    read: Callable[[Live], float]
    high: float
    both: bool
    ink: str
    instrument: str = ""  # hides with this instrument


def traces_of(rig: Rig) -> list[Trace]:
    """Return the traces of a rig, cause on top: first lever, first gauge, speed of the first cylinder."""
    found: list[Trace] = []
    levers = [name for name, control in rig.controls().items() if name.endswith(".lever")]
    if levers:
        part, _, control = levers[0].partition(".")
        found.append(
            Trace(
                f"{lever_name(rig, levers[0])} lever",
                "ratio",
                lambda live: live.control(part, control),
                1.0,
                True,
                "accent",
            )
        )
    for instrument in rig.instruments.values():
        if instrument.kind == "gauge":
            line = instrument.on
            found.append(
                Trace(
                    instrument.name,
                    "pressure",
                    lambda live, line=line: live.pressure(line),
                    instrument.range_,
                    False,
                    "ink",
                    instrument.name,
                )
            )
            break
    for id_, fitted in rig.parts.items():
        rods = [port for port, kind in fitted.part.ports.items() if kind is Kind.ROD]
        if fitted.part.symbol.startswith("cyl") and rods:
            rod = rig.line_of(id_, rods[0]).name
            area = math.pi / 4 * fitted.value("bore") ** 2
            fastest = max(_greatest_flow(rig) / area, 1e-3)
            found.append(Trace("Rod speed", "speed", lambda live, rod=rod: live.speed(rod), fastest, True, "ink"))
            break
    return found


def _greatest_flow(rig: Rig) -> float:
    """Return the end of the first flow meter's scale, else what the pumps deliver [m3/s]."""
    for instrument in rig.instruments.values():
        if instrument.kind == "flow meter":
            return instrument.range_
    return sum(fitted.part.delivery(fitted.value) for fitted in rig.parts.values())


class StripView(QWidget):
    """Three stacked traces. The plots are made by ``start`` after the first paint: pyqtgraph is slow to import."""

    def __init__(self, look: Look, rig: Rig, live: Live, parent: QWidget) -> None:
        super().__init__(parent)
        self.look = look
        self.traces = traces_of(rig)
        self.ring = Ring(_COUNT, 1 + len(self.traces))
        self.canvas = Canvas(self, look, self._still, self._live)
        self.curves: list[object] = []
        self.plots: list[QWidget] = []
        self.covered: set[str] = set()
        self._extremes = [(-trace.high if trace.both else 0.0, trace.high) for trace in self.traces]
        self.latest = [trace.read(live) for trace in self.traces]
        self._last = -1.0
        self.setObjectName("strip")
        self.setAccessibleName("Strip: " + ", ".join(trace.name for trace in self.traces))

    # -- where things stand [board px] ---------------------------------------------------------------------

    def _plot_box(self, k: int) -> tuple[float, float, float, float]:
        height = self.height() / self.look.scale
        top, bottom = 48.0, height - 30.0
        pitch = (bottom - top) / max(len(self.traces), 1)
        return 48.0, top + k * pitch, 308.0, max(pitch - 1.3 * max(15.4, self.look.least), 10.0)

    def _scale(self, k: int) -> tuple[float, float, str]:
        """Return the ends of a trace's axis in its shown unit, and the unit."""
        trace = self.traces[k]
        system = self.look.system
        if trace.quantity == "ratio":
            return -100.0, 100.0, "%"
        scale = scale_of(max(trace.high, self._extremes[k][1]), trace.quantity, system)
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
                    Words(x + share * width, y + height + 8.0 + 0.8 * small, text, 15.4, "ink2", align="centre")
                )
        return shapes

    def _live(self) -> DrawList:
        small = max(15.4, self.look.least)
        shapes: list[Shape] = []
        for k, trace in enumerate(self.traces):
            x, y, width, height = self._plot_box(k)
            middle = y + height / 2
            at = x + width + 10.0
            name = trace.name if len(trace.name) < 13 else trace.name.rpartition(" ")[2].capitalize()
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
        trace, value = self.traces[k], self.latest[k]
        if trace.quantity == "ratio":
            return percent(value)
        scale = scale_of(max(trace.high, self._extremes[k][1]), trace.quantity, self.look.system)
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
        self.ring.push((time, *(trace.read(live) for trace in self.traces)))

    def clear(self) -> None:
        """Forget what was recorded."""
        self.ring.clear()
        self._last = -1.0

    def refresh(self, live: Live, covered: set[str]) -> None:
        """Print the newest values (eight times a second)."""
        self.latest = [trace.read(live) for trace in self.traces]
        self.covered = set(covered)
        changed = False
        for k, (trace, value) in enumerate(zip(self.traces, self.latest, strict=True)):
            if math.isfinite(value) and abs(value) > self._extremes[k][1]:
                self._extremes[k] = (self._extremes[k][0], abs(value))
                changed = trace.quantity != "ratio" or changed
        if changed:
            self.lay_out()
        self.update()

    def start(self) -> None:
        """Make the plots."""
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
        scale = self.look.scale
        for k, plot in enumerate(self.plots):
            x, y, width, height = (edge * scale for edge in self._plot_box(k))
            plot.setGeometry(round(x), round(y) - 2, round(width), round(height) + 4)
            low, high, _ = self._scale(k)
            slack = (high - low) * 2 / max(height, 1.0)
            plot.getViewBox().setRange(xRange=(-SPAN, 0.0), yRange=(low - slack, high + slack), padding=0.0)
            self.curves[k].setPen(QPen(self.look.inks.colour(self.traces[k].ink), 1.0))
        self.draw_curves()

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
        for k, curve in enumerate(self.curves):
            trace = self.traces[k]
            if trace.instrument in self.covered:
                curve.setData(_NONE, _NONE)
                continue
            unit = units.shown_unit(trace.quantity, self.look.system)
            factor = 0.01 if trace.quantity == "ratio" else unit.factor
            curve.setData(*decimated(times, rows[:, k + 1] / factor, first, _BUCKET))

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()


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
