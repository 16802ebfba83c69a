"""The rack before a class: what the operator moves, each lever under its column, what is moved in large letters."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from PySide6.QtCore import QPointF, QRect, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPaintEvent

from trainer import units
from trainer.drawing import class_rack
from trainer.drawing.rack import asked_words, percent
from trainer.drawing.shapes import DrawList, Path, Shape, Words
from trainer.drawing.type_widths import text_width
from trainer.language import tr
from trainer.rig.names import capital, part_label
from trainer.window.board.lever_view import LeverView
from trainer.window.board.rack_view import RackView
from trainer.window.board.setting_view import SettingView
from trainer.window.controls.handles import Handle

__all__ = ["ClassRack"]

_LEFT, _GAP, _BIG, _SMALL = 36.0, 40.0, 46.0, 36.0  # board px
_SPEED, _ROW = 112.0, 54.0  # height of a speed with its name, of a load


class ClassLever(LeverView):
    """A lever without name and words: these stand above."""

    asked: float | None = None  # where a question has it go
    named = False

    def _scale(self) -> float:
        return self.look.scale

    def _still(self) -> DrawList:
        return class_rack.lever_still(self.motion.low, self.motion.high, self.board_width)

    def _live(self) -> DrawList:
        return class_rack.lever_live(self.motion.value, self.board_width, self.asked)

    def travel(self, point: QPointF) -> float:
        """Return the lever's share of travel at a place."""
        return class_rack.share(point.x() / self._scale(), self.board_width)

    def entry_area(self) -> QRect:
        """Return where an exact percentage is written."""
        wide, high = min(round(150 * self._scale()), self.width()), round(54 * self._scale())
        return QRect((self.width() - wide) // 2, 0, wide, high)

    def moving_area(self) -> QRect:
        """Return all of it."""
        return self.rect()

    def resizeEvent(self, event: object) -> None:
        self.hold.hide()
        if self.float_switch is not None:
            self.float_switch.hide()


class ClassSetting(SettingView):
    """The figure of a speed, dragged sideways: a full width is the whole range."""

    def _still(self) -> DrawList:
        return [Words(0.0, 40.0, self.name, _SMALL, "ink2")]

    def _live(self) -> DrawList:
        figures, unit = units.text(self.motion.value, self.quantity, self.look.system, 0)
        wide = text_width(figures, _BIG, 600)
        return [Words(0.0, 92.0, figures, _BIG, weight=600), Words(wide + 12.0, 92.0, unit, _SMALL, "ink2")]

    def needs(self) -> float:
        """Return the width that name and figure need [board px]."""
        ends = (units.text(end, self.quantity, self.look.system, 0) for end in (self.motion.low, self.motion.high))
        figures = max(text_width(f, _BIG, 600) + 12.0 + text_width(unit, _SMALL) for f, unit in ends)
        return max(text_width(self.name, _SMALL), figures) + 8.0

    def travel(self, point: QPointF) -> float:
        """Return the value [SI] for a sideways way."""
        return point.x() / max(self.width(), 1) * (self.motion.high - self.motion.low)

    def grab_at(self, point: QPointF) -> None:
        """Take hold anywhere on it."""
        Handle.grab_at(self, point)

    def entry_area(self) -> QRect:
        """Return where an exact number is written: over its figure."""
        scale = self.look.scale
        return QRect(0, round(50 * scale), round(180 * scale), round(56 * scale))

    def _key(self, event: QKeyEvent, down: bool) -> None:
        if event.key() in (Qt.Key.Key_PageUp, Qt.Key.Key_PageDown):
            event.ignore()  # a presenter's remote has these
        else:
            super()._key(event, down)


class ClassRack(RackView):
    """Levers, speeds and loads before a class. ``asked_of`` tells of a click on a lever.

    While ``picks``, a click on a lever moves nothing: it tells its control and the end of its travel on that side.
    """

    lever_kind, setting_kind = ClassLever, ClassSetting
    asked_of = Signal(str, float)
    picks = False

    def begin(self) -> None:
        """Follow the handles; what the board shows as rows of buttons is a figure here."""
        self._rows: list[tuple[QRect, str]] = []
        for view in self.handles.values():
            if not isinstance(view, Handle):
                view.hide()
        for lever in self.levers.values():
            lever.moved.connect(self.update)
        self.canvas.live = self._told
        self.setMouseTracking(True)

    def ask_for(self, hands: Mapping[str, float]) -> None:
        """Show where levers are to go."""
        for name, lever in self.levers.items():
            assert isinstance(lever, ClassLever)
            lever.asked = hands.get(name)
            lever.update()
        self.update()

    def let_pick(self, on: bool) -> None:
        """Let clicks on levers be told instead of moving them."""
        self.picks = on
        for lever in self.levers.values():
            lever.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents, on)
            lever.setCursor(Qt.CursorShape.PointingHandCursor if on else Qt.CursorShape.ArrowCursor)

    def show_hands(self, given: Sequence[str]) -> None:
        """Show where hands have everything."""
        for name, view in self.handles.items():
            if isinstance(view, Handle) and name in given:
                view.show_moved()
            view.show_value()
        if given:
            self.update()

    # -- where it stands ---------------------------------------------------------------------------------------

    def lay_out(self, columns: Mapping[str, float]) -> None:
        """Place the levers at their columns [widget px] and the figures at the left."""
        super().lay_out(columns)
        top = round(class_rack.TOLD * self.look.scale)
        for name, lever in self.levers.items():
            wide = min(lever.width(), round(class_rack.WIDTH * self.look.scale))
            left = round(self.columns[name] - wide / 2)
            lever.setGeometry(left, top, wide, self.height() - top)
            lever.canvas.forget()
        for view in (*self.steps.values(), *self.switches.values()):
            view.hide()

    def _lay_out_settings(self) -> float:
        scale, left, right = self.look.scale, _LEFT, _LEFT
        speeds = [view for view in self.speeds.values() if isinstance(view, ClassSetting)]
        rows = self._told_rows()
        stacked = len(speeds) == 2 and not rows
        for k, view in enumerate(speeds):
            top = (103.0 if k else 0.0) if stacked else 4.0
            need = view.needs()
            height = 103.0 if stacked else _SPEED
            view.setGeometry(round(left * scale), round(top * scale), round(need * scale), round(height * scale))
            view.canvas.forget()
            right = max(right, left + need)
            if not stacked:
                left += need + _GAP
        self._rows, y = [], _SPEED + 30.0 if speeds else 20.0
        for name, label, figures, unit in rows:
            need = text_width(label, _SMALL) + text_width(f"{figures} {unit}", _BIG, 600) + 24.0
            area = QRect(round(_LEFT * scale), round(y * scale), round(need * scale), round(_ROW * scale))
            self._rows.append((area, name))
            right, y = max(right, _LEFT + need), y + _ROW
        return (right + 12.0) * scale

    def _told_rows(self) -> list[tuple[str, str, str, str]]:
        """Return (control, name, figures, unit) of loads and switches."""
        rows = []
        for name, steps in self.steps.items():
            figures, unit = units.text(steps.motion.value, steps.quantity, self.look.system, 0)
            rows.append((name, tr("Load"), figures, unit))
        for name, switch in self.switches.items():
            lever = self.levers.get(f"{name.partition('.')[0]}.lever")
            if lever is None:
                told = tr("on") if switch.motion.value > 0.5 else tr("off")
                rows.append((name, capital(part_label(self.rig, name)), told, ""))
        return rows

    def _still(self) -> DrawList:
        scale = self.look.scale
        rule = [Path(((0.0, 1.0), (self.width() / scale, 1.0)), "hairline", 2.0)]
        return rule + [Path(((x / scale, 0.0), (x / scale, 12.0)), "ink2", 2.0) for x in self.columns.values()]

    def _told(self) -> DrawList:
        scale = self.look.scale
        shapes: list[Shape] = []
        for (area, _), (_, label, figures, unit) in zip(self._rows, self._told_rows(), strict=False):
            x, y = area.x() / scale, (area.y() + area.height()) / scale - 12.0
            shapes.append(Words(x, y, label, _SMALL, "ink2"))
            x += text_width(label, _SMALL) + 14.0
            shapes.append(Words(x, y, figures, _BIG, weight=600))
            shapes.append(Words(x + text_width(figures, _BIG, 600) + 10.0, y, unit, _SMALL, "ink2"))
        told: dict[float, tuple[str, str]] = {}
        for name, lever in self.levers.items():
            assert isinstance(lever, ClassLever)
            value, goal = lever.motion.value, lever.asked
            if name not in self.columns or (abs(value) < 1e-3 and goal is None):
                continue
            floating = self.switches.get(f"{name.partition('.')[0]}.floating")
            end = value if goal is None else goal
            word = (
                tr("float") if floating is not None and floating.motion.value > 0.5 else lever.control.ends[end > 0]
            )
            words = percent(value) if goal is None else asked_words(value, goal)
            told[self.columns[name] / scale] = (words, word)
        edge = max([_LEFT, *(view.geometry().right() / scale + 12.0 for view in self.speeds.values())])
        return [*shapes, *class_rack.lever_told(told, edge, self.width() / scale - 12.0, 50.0)]

    # -- hands -------------------------------------------------------------------------------------------------

    def _row_at(self, point: QPointF) -> str:
        return next((name for area, name in self._rows if area.contains(point.toPoint())), "")

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Go to the next load, switch what can be switched; while a question is made, take the side of a lever."""
        if event.button() != Qt.MouseButton.LeftButton:
            return
        name = self._row_at(event.position())
        if self.picks:
            for control, lever in self.levers.items():
                if lever.geometry().contains(event.position().toPoint()):
                    motion = lever.motion
                    right = event.position().x() >= lever.geometry().center().x()
                    self.asked_of.emit(control, motion.high if right or motion.low >= 0 else motion.low)
        elif name in self.steps:
            self.steps[name].next(1)
        elif name in self.switches:
            switch = self.switches[name].motion
            switch.set_exactly(0.0 if switch.value > 0.5 else 1.0)
            self.levers_moved.emit()
        self.update()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        over = bool(self._row_at(event.position())) or self.picks
        self.setCursor(Qt.CursorShape.PointingHandCursor if over else Qt.CursorShape.ArrowCursor)

    def take_letter(self, lever: LeverView, direction: int, fine: bool, down: bool) -> None:
        """Move a lever by its letter; while a question is made, take the end of its travel on that side."""
        if not self.picks:
            super().take_letter(lever, direction, fine, down)
            return
        end = lever.motion.high if direction > 0 else lever.motion.low
        if down and end:
            self.asked_of.emit(lever.control_name, end)

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()
