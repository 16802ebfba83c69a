"""Two runs side by side: the kept one at the left, the present one at the right, figures and changes below."""

from __future__ import annotations

from typing import ClassVar

from PySide6.QtCore import QPointF, QRect, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent
from PySide6.QtWidgets import QWidget

from trainer.drawing.shapes import DrawList, Path, Shape, Words
from trainer.engine.session import Session
from trainer.language import mark, tr
from trainer.window.compare.plots import RunPlots
from trainer.window.compare.run import START, TwoRuns, changes, numbers_of
from trainer.window.compare.table import (
    FigureRow,
    common_stretch,
    rows_of,
    stretch_words,
    table_shapes,
)
from trainer.window.controls.buttons import WordButton
from trainer.window.controls.pane import Pane
from trainer.window.controls.tips import set_tip
from trainer.window.painting.look import Look
from trainer.window.strip.picture import SMALL, fitted
from trainer.window.strip.time_axis import time_text
from trainer.window.strip.view import StripView

__all__ = ["RunsPane"]

_NOTHING = (
    mark("No run is kept yet."),
    mark(
        "Run the machine, then press Keep this run. Return to the start (Ctrl+Home), change something, and run again:"
    ),
    mark("both runs then stand here side by side, and on each other on the strip."),
)
_GUTTER, _BUTTONS = 150.0, 34.0  # board px: names left of the plots; height of the buttons


class RunsPane(Pane):
    """What ran before and what runs now, with the same axes, a common cursor, a table, and what was changed."""

    place: ClassVar[str] = "wide"
    title = mark("Two runs")
    keep_asked = Signal()
    forget_asked = Signal()
    align_asked = Signal()

    def __init__(self, look: Look, runs: TwoRuns, session: Session, strip: StripView, parent: QWidget) -> None:
        super().__init__(look, parent)
        self.runs, self.session, self.strip = runs, session, strip
        self.cursor_time: float | None = None  # s after the instant at which both runs are laid on each other
        self.plots: RunPlots | None = None
        self.rows: list[FigureRow] = []
        self.told: list[str] = []
        self.heads = ("", "")  # of the table: when, and over which stretch
        self._turn = 0
        self.keep = self._button(tr("Keep this run"), tr("Keep the present run as the run before"))
        self.forget = self._button(tr("Forget"), tr("Drop the run before"))
        self.align = self._button("", tr("Lay both runs on each other at their start, or at a mark that both have"))
        self.keep.clicked.connect(self._keep)
        self.forget.clicked.connect(self._forget)
        self.align.clicked.connect(self._align)
        set_tip(self, tr("Click or the arrow keys: the cursor of both runs"))

    def _button(self, words: str, tip: str) -> WordButton:
        return WordButton(self.look, words, words or tr("Aligned at"), tip, self, size=17.6)

    def _keep(self) -> None:
        self.keep_asked.emit()
        self.arrange()

    def _forget(self) -> None:
        self.forget_asked.emit()
        self.cursor_time = None
        self.arrange()

    def _align(self) -> None:
        self.align_asked.emit()
        self.arrange()

    # -- where things stand --------------------------------------------------------------------------------

    def _small(self) -> float:
        return max(SMALL, self.look.least)

    def _table_top(self) -> float:
        """Return where the table begins [board px]."""
        rows = len(self.strip.traces) + 2.4
        return self.inner().bottom() / self.look.scale - rows * 1.4 * self._small()

    def plots_area(self) -> QRect:
        """Return where the plots stand [px]."""
        inner, scale = self.inner(), self.look.scale
        buttons = max(round(_BUTTONS * scale), self.keep.sizeHint().height())
        top = inner.y() + buttons + round((9.0 + 1.2 * self.look.size(17.6)) * scale)
        left = inner.x() + round(_GUTTER * scale)
        bottom = round((self._table_top() - 6.0) * scale)
        return QRect(left, top, max(inner.right() - left, 10), max(bottom - top, 10))

    def lay_out(self) -> None:
        """Place buttons and plots."""
        inner, scale, kept = self.inner(), self.look.scale, self.runs.kept is not None
        where = (
            tr("the start") if self.runs.aligned == START else tr("mark {aligned}").format(aligned=self.runs.aligned)
        )
        self.align.setText(tr("Aligned at {where}").format(where=where))
        left = inner.x() - round(8 * scale)
        for button in (self.keep, self.align, self.forget):
            size = button.sizeHint()
            button.setGeometry(left, inner.y(), size.width(), size.height())
            left += size.width() + round(10 * scale)
        self.forget.setVisible(kept)
        self.align.setVisible(kept)
        if kept and self.plots is None:
            self.plots = RunPlots(self)
        if self.plots is not None:
            self.plots.widget.setVisible(kept)
            self.plots.widget.setGeometry(self.plots_area())
            self.plots.arrange(self.look, self.strip.picture)
        self.refresh(True)

    # -- what it shows -------------------------------------------------------------------------------------

    def origins(self) -> tuple[float, float]:
        """Return the instants of both runs that are laid on each other [s]: before, now."""
        shift, kept = self.runs.shift(), self.runs.kept
        before = kept.marks[self.runs.aligned] if kept is not None and self.runs.aligned in kept.marks else 0.0
        return (before, before + shift) if shift or self.runs.aligned != START else (0.0, 0.0)

    def instant(self) -> float:
        """Return where the cursor stands [s after the common instant]: at first, at the newest of both runs."""
        kept, record, (before, now) = self.runs.kept, self.strip.record, self.origins()
        if self.cursor_time is not None or kept is None:
            return self.cursor_time or 0.0
        return min(kept.series.end - before, record.now - now)

    def refresh(self, all_of_it: bool = False) -> None:
        """Bring it up to date (eight times a second): the plots, or the figures and changes, or nothing, by turns."""
        kept, picture = self.runs.kept, self.strip.picture
        if kept is None or self.plots is None:
            self.rows, self.told = [], []
            return
        self._turn = (self._turn + 1) % 4
        origins = self.origins()
        cursor = self.instant()
        if self.plots.places != picture.places:
            self.arrange()
            return
        if all_of_it or self._turn % 2:
            self.plots.show(picture, kept.series, origins, cursor)
        if all_of_it or self._turn == 0:
            self.rows = rows_of(picture, kept.series, origins, cursor)
            found = changes(kept.numbers, numbers_of(self.session), self.look.system)
            self.told = [f"{change.words}  {change.before} → {change.now}" for change in found]
            stretch = stretch_words(common_stretch(picture, kept.series, origins))
            self.heads = (tr("at {time}").format(time=time_text(cursor, 60.0)), stretch)
            top = round(self._table_top() * self.look.scale)
            self.update(0, top, self.width(), self.height() - top)

    def still_shapes(self) -> DrawList:
        """Return headings and names, or how to begin."""
        small, scale = self._small(), self.look.scale
        if self.runs.kept is None:
            top = self.inner().y() / scale + _BUTTONS + 40.0
            return [
                Words(
                    24.0, top + 1.6 * small * k, tr(words), SMALL, "ink" if k == 0 else "ink2", 600 if k == 0 else 400
                )
                for k, words in enumerate(_NOTHING)
            ]
        area = self.plots_area()
        shapes: list[Shape] = []
        assert self.plots is not None
        for (left, width), words in zip(self.plots.columns(), (tr("Before"), tr("Now")), strict=True):
            shapes.append(Words((area.x() + left) / scale, area.y() / scale - 9.0, words, 17.6, weight=600))
            shapes.append(
                Path(
                    (
                        ((area.x() + left) / scale, area.y() / scale - 3.0),
                        ((area.x() + left + width) / scale, area.y() / scale - 3.0),
                    ),
                    "hairline",
                    1.0,
                )
            )
        picture = self.strip.picture
        for k, (top, height) in enumerate(self.plots.lines()):
            trace = picture.record.traces.all[picture.places[k]]
            middle = (area.y() + top + height / 2) / scale
            shapes.append(Words(24.0, middle - 2.0, fitted(trace.name, _GUTTER - 20.0, small), SMALL))
            shapes.append(Words(24.0, middle + 1.15 * small, picture.scale(k)[2], SMALL, "ink2"))
        return shapes

    def live_shapes(self) -> DrawList:
        """Return the table and what was changed."""
        if self.runs.kept is None or not self.rows:
            return ()
        scale = self.look.scale
        return table_shapes(
            self.rows, self.told, self.heads, (24.0, self.inner().right() / scale), self._table_top(), self._small()
        )

    # -- the cursor ----------------------------------------------------------------------------------------

    def _set_cursor(self, time: float) -> None:
        assert self.plots is not None
        begin, end = self.plots.reach
        self.cursor_time = min(max(time, begin), end)
        self.refresh(True)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        super().mousePressEvent(event)
        self._cursor_at(event.position())

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if event.buttons() & Qt.MouseButton.LeftButton:
            self._cursor_at(event.position())

    def _cursor_at(self, point: QPointF) -> None:
        if self.plots is None or self.runs.kept is None:
            return
        time = self.plots.time_at(point - QPointF(self.plots_area().topLeft()))
        if time is not None:
            self._set_cursor(time)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Move the cursor with the arrows, take it away with Delete."""
        key = event.key()
        if self.plots is not None and self.runs.kept is not None:
            if key in (Qt.Key.Key_Left, Qt.Key.Key_Right) and event.modifiers() in (
                Qt.KeyboardModifier.NoModifier,
                Qt.KeyboardModifier.ShiftModifier,
            ):
                begin, end = self.plots.reach
                far = (end - begin) / (20 if event.modifiers() else 200)
                self._set_cursor(self.instant() + (far if key == Qt.Key.Key_Right else -far))
                return
            if key == Qt.Key.Key_Delete:
                self.cursor_time = None
                self.refresh(True)
                return
        super().keyPressEvent(event)
