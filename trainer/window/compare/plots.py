"""The plots of two runs side by side, with real axes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from types import ModuleType
from typing import Protocol

import numpy as np
import numpy.typing as npt
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPen, QTransform
from PySide6.QtWidgets import QWidget

from trainer.energy.series import TimeSeries
from trainer.language import tr
from trainer.window.painting import fonts
from trainer.window.painting.look import Look
from trainer.window.strip.picture import SMALL, StripPicture

__all__ = ["RunPlots"]

_Ends = tuple[float, float]
_Numbers = npt.NDArray[np.float64]
_AXIS, _MOST = 44.0, 500  # board px for the numbers at the left; points of a curve


class _View(Protocol):
    def sceneBoundingRect(self) -> QRectF: ...

    def mapSceneToView(self, point: QPointF) -> QPointF: ...

    def setRange(self, *, xRange: _Ends, yRange: _Ends, padding: float) -> None: ...


class _Axis(Protocol):
    def setTicks(self, ticks: Sequence[Sequence[tuple[float, str]]]) -> None: ...


class _Plot(Protocol):
    """What is asked of pyqtgraph's plots, which have no types."""

    def getViewBox(self) -> _View: ...

    def getAxis(self, side: str) -> _Axis: ...


class _Curve(Protocol):
    def setData(self, x: _Numbers, y: _Numbers) -> None: ...


class _Cursor(Protocol):
    def setValue(self, value: float) -> None: ...


class RunPlots:
    """Two columns of plots in one widget: the run before at the left, the present one at the right.

    Times are seconds after the instants at which the runs are laid on each other; ``reach`` are their ends [s].
    """

    def __init__(self, parent: QWidget) -> None:
        import pyqtgraph

        self._graphs: ModuleType = pyqtgraph
        self._curve = _thick_curve()
        self.widget = pyqtgraph.GraphicsLayoutWidget(parent)
        self.widget.setBackground(None)
        self.widget.setStyleSheet("background: transparent")
        self.widget.setFrameShape(self.widget.Shape.NoFrame)
        self.widget.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.widget.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.widget.viewport().setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.widget.setAccessibleName(tr("Plots of both runs"))
        self.widget.ci.setContentsMargins(0, 0, 0, 0)
        self.places: list[int] = []
        self.plots: list[tuple[_Plot, _Plot]] = []
        self.curves: list[tuple[_Curve, _Curve]] = []
        self._cursors: list[_Cursor] = []
        self._ranges: object = None
        self.reach = (0.0, 1.0)

    def arrange(self, look: Look, picture: StripPicture) -> None:
        """Make the plots for the present traces, size and theme."""
        layout = self.widget.ci
        layout.clear()
        self.places, self.plots, self.curves, self._cursors = list(picture.places), [], [], []
        self._ranges = None
        pixels = look.pixels(SMALL)
        inks, last = look.inks, len(self.places) - 1
        spacing, right = round(10 * look.scale), round(1.2 * pixels)
        layout.layout.setSpacing(spacing)
        layout.setContentsMargins(0, round(0.7 * pixels), right, 0)
        for column in (0, 1):
            layout.layout.setColumnFixedWidth(column, (self.widget.width() - spacing - right) / 2)
        for k, place in enumerate(self.places):
            trace = picture.record.traces.all[place]
            pair, drawn = [], []
            for column in (0, 1):
                plot = layout.addPlot(row=k, col=column)
                plot.hideButtons()
                plot.setMenuEnabled(False)
                plot.setMouseEnabled(False, False)
                plot.getViewBox().setDefaultPadding(0.0)
                plot.getViewBox().disableAutoRange()
                for side in ("left", "bottom"):
                    axis = plot.getAxis(side)
                    axis.setPen(self._graphs.mkPen(inks.colour("ink2"), width=1))
                    axis.setTextPen(inks.colour("ink2"))
                    axis.setTickFont(fonts.font(pixels))
                    axis.enableAutoSIPrefix(False)
                    axis.setStyle(tickLength=-5, maxTickLevel=0)
                plot.getAxis("left").setWidth(round(_AXIS * max(look.scale, pixels / SMALL)))
                plot.getAxis("bottom").setHeight(round(1.6 * pixels))
                plot.getAxis("bottom").setStyle(showValues=k == last)
                if k != last:
                    plot.getAxis("bottom").setHeight(6)
                cursor = self._graphs.InfiniteLine(0.0, 90, pen=self._graphs.mkPen(inks.colour("ink"), width=1))
                zero = self._graphs.InfiniteLine(0.0, 0, pen=self._graphs.mkPen(inks.colour("hairline"), width=1))
                curve = self._curve(connect="finite")
                curve.setPen(QPen(inks.colour(trace.ink if column else "ink2"), 1.0))
                for item in (zero, curve, cursor):
                    plot.addItem(item)
                self._cursors.append(cursor)
                pair.append(plot)
                drawn.append(curve)
            self.plots.append((pair[0], pair[1]))
            self.curves.append((drawn[0], drawn[1]))
        layout.layout.activate()

    def show(self, picture: StripPicture, before: TimeSeries, origins: tuple[float, float], cursor: float) -> None:
        """Draw both runs, each counted from its own instant [s], and the cursor."""
        record = picture.record
        ends = [(series.begin, end) for series, end in ((before, before.end), (record.series, record.now))]
        times = [
            (begin - origin, end - origin)
            for (begin, end), origin in zip(ends, origins, strict=True)
            if math.isfinite(begin)
        ]
        if not times:
            return
        begin, end = min(t for t, _ in times), max(t for _, t in times)
        step = _step(begin, max(end, begin + 1.0))  # the axes move by steps, not with every sample
        self.reach = (math.floor(begin / step + 0.01) * step, math.ceil(end / step - 0.01) * step)
        scales = [picture.scale(k)[:2] for k in range(len(self.places))]
        if self._ranges != (self.reach, scales):
            self._ranges = (self.reach, scales)
            for pair, (low, high) in zip(self.plots, scales, strict=True):
                for plot in pair:
                    plot.getViewBox().setRange(xRange=self.reach, yRange=(low, high), padding=0.0)
                    plot.getAxis("left").setTicks([_marks(low, high)])
                    plot.getAxis("bottom").setTicks([_times(*self.reach)])
        for k, (place, curves) in enumerate(zip(self.places, self.curves, strict=True)):
            column = record.traces.all[place].column
            for curve, series, origin, last in zip(
                curves, (before, record.series), origins, (before.end, record.now), strict=True
            ):
                if place in picture.hidden or column not in series.names:
                    curve.setData(np.zeros(0), np.zeros(0))
                    continue
                stamps, values = series.drawn(column, series.begin, last, _MOST)
                known = stamps <= last
                curve.setData(stamps[known] - origin, picture.shown_values(k, values[known]))
        for line in self._cursors:
            line.setValue(cursor)

    # -- where things stand [px of the widget] -------------------------------------------------------------

    def _box(self, k: int, column: int) -> QRectF:
        return self.plots[k][column].getViewBox().sceneBoundingRect()

    def columns(self) -> list[tuple[float, float]]:
        """Return left edge and width of both columns."""
        boxes = [self._box(0, column) for column in (0, 1)] if self.plots else [QRectF(), QRectF()]
        return [(box.left(), box.width()) for box in boxes]

    def lines(self) -> Sequence[tuple[float, float]]:
        """Return top and height of every row."""
        return [(self._box(k, 0).top(), self._box(k, 0).height()) for k in range(len(self.plots))]

    def time_at(self, point: QPointF) -> float | None:
        """Return the time that stands at a place in one of the plots [s], else None."""
        for pair in self.plots:
            for plot in pair:
                view = plot.getViewBox()
                if view.sceneBoundingRect().contains(point):
                    return float(view.mapSceneToView(point).x())
        return None


def _marks(low: float, high: float) -> list[tuple[float, str]]:
    """Return the numbers at a left axis: its ends, and zero between them."""
    values = sorted({low, 0.0, high})
    return [(value, f"{value:g}".replace("-", "−")) for value in values]


def _step(begin: float, end: float) -> float:
    """Return a round step that parts a stretch of time into three to six."""
    power = 10.0 ** math.floor(math.log10((end - begin) / 6))
    return next(step * power for step in (1.0, 2.0, 5.0, 10.0) if step * power >= (end - begin) / 6)


def _times(begin: float, end: float) -> list[tuple[float, str]]:
    """Return the numbers at a time axis."""
    step = _step(begin, end)
    decimals = max(-math.floor(math.log10(step)), 0)
    first, last = math.ceil(begin / step - 1e-9), math.floor(end / step + 1e-9)
    return [(k * step, f"{k * step:.{decimals}f} s".replace("-", "−")) for k in range(first, last + 1)]


def _thick_curve() -> type:
    """Return a curve two pixels thick without Qt's slow stroker: its thin path painted at three offsets."""
    import pyqtgraph

    class ThickCurve(pyqtgraph.PlotCurveItem):  # type: ignore[misc]  # a class of pyqtgraph has no type
        """A thin path painted three times, moved by a pixel."""

        offsets = ((0, 0), (1, 0), (0, 1))

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
