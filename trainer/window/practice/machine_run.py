"""The machine of a run, large: in the plane of its boom, from above, and along the boom, with the aids."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from PySide6.QtGui import QPaintEvent
from PySide6.QtWidgets import QWidget

from trainer.drawing.hung_views import along_view
from trainer.drawing.machine import MachineView
from trainer.drawing.machine_pose import Place, Pose
from trainer.drawing.machine_views import plan_view, side_view
from trainer.drawing.shapes import DrawList, Path, Shape, Words
from trainer.drawing.theme import THEMES, Theme
from trainer.drawing.type_widths import text_width
from trainer.drawing.view_frame import ViewFrame
from trainer.language import tr
from trainer.practice.task import Lap, Task
from trainer.practice.telling import within
from trainer.rig.live import Live
from trainer.rig.rig import Rig
from trainer.units import System
from trainer.window.painting.canvas import Canvas
from trainer.window.painting.look import Look
from trainer.window.practice import aids_shapes as aids
from trainer.window.practice.seen import Ghost, Trail, place_line

__all__ = [
    "METRE", "METRE_ABOVE", "PIVOT", "PLAN", "SIDE", "AlongView", "MachineModel", "PlanRun", "SideRun", "View",
    "cover_shapes", "load_place",
]  # fmt: skip

_SMALL = 18.4
SIDE, PLAN = (872.0, 660.0), (662.0, 660.0)  # for which the views have their full size [board px]
METRE, METRE_ABOVE = 118.0, 69.0  # from the side, from above [board px]
_ASIDE = 3.8  # m across that have room along the boom: a log of 2.5 m, swung out by what can still be used, 25 deg
PIVOT, _FAR = 305.0, 4.75  # where the column stands from the left [board px], how far the ground is drawn [m]


def cover_shapes(wide: float, high: float, words: str) -> list[Shape]:
    """Return a cover over a room, with words in its middle [board px]."""
    box = ((0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high))
    half = 0.26 * 21.0 * len(words) + 18.0
    x, y = wide / 2, high / 2
    ground = ((x - half, y - 20), (x + half, y - 20), (x + half, y + 20), (x - half, y + 20))
    return [
        Path(box, None, 0.0, "cover", True, hatch="cover-hatch"),
        Path(ground, None, 0.0, "cover", True),
        Words(x, y + 7.0, words, 21.0, align="centre"),
    ]


def load_place(live: Live, crane: str) -> Place:
    """Return where what hangs from a crane is: ahead, left, up [m]."""
    x, y, z = (live.state(crane, name) for name in ("hung_ahead", "hung_left", "hung_up"))
    return x, y, z


class MachineModel:
    """What the views of one machine show: its pose, its aids, what has been. ``aid`` says which aids are drawn."""

    def __init__(self, rig: Rig, live: Live) -> None:
        self.rig = rig
        self.live = live
        self.aid = "none"
        self.covered = False
        self.still_aids = False  # trail and best run are drawn only after the run
        self.task: Task | None = None
        self.lap: Lap | None = None
        self.ghost: Ghost | None = None
        self.seconds = 0.0  # since the first lever
        self.system: Callable[[], System] = lambda: System.METRIC
        self.trail = Trail()
        view = MachineView(rig)
        self.exists, self.crane = view.exists, view.crane
        self._view = view
        self._pose: tuple[Live | None, Pose | None] = (None, None)

    @property
    def pose(self) -> Pose:
        """The pose at the instant that is shown."""
        if self._pose[0] is not self.live or self._pose[1] is None:
            self._pose = self.live, self._view.pose(self.live)
        assert self._pose[1] is not None
        return self._pose[1]

    @property
    def aside_words(self) -> list[str]:
        """What the view in the boom's plane is, and what its marks mean."""
        told = [tr("In the boom's plane")]
        target = self.target()
        if target is not None and self.aims and target[0] in ("boom", "stick"):
            told.append(tr("dashed ring and ticks: the mark, {within}").format(within=self._within()))
        elif target is not None and self.aims and target[0] == "reach":
            told.append(tr("dashed: the way; ticks: its end, {within}").format(within=self._within()))
        return told

    @property
    def above_words(self) -> list[str]:
        """What the view from above is, and what is drawn in it."""
        told = [tr("From above")]
        target = self.target()
        if self.lap is not None and self.lap.roles.spot and self.aims:
            told.append(tr("dashed: where one is to lie"))
        elif target is not None and self.aims and target[0] == "slew":
            told.append(tr("dashed and ticks: the mark, {within}").format(within=self._within()))
        if any(stand.height > 0 for stand in self.pose.stands):
            told.append(tr("square: the pile"))
        if self.pose.logs:
            told.append(tr("boxes: logs"))
        return told

    def _within(self) -> str:
        given = self.lap.roles.within if self.lap is not None else None
        return within(*given, self.system()) if given is not None else ""

    @property
    def aims(self) -> bool:
        """Whether the place asked for is drawn."""
        return self.aid in ("path", "target")

    def ghost_now(self) -> dict[str, float] | None:
        """Return where the best run is now, where it is drawn."""
        if self.aid != "path" or self.still_aids or self.ghost is None:
            return None
        return self.ghost.at(self.seconds)

    def target(self) -> tuple[str, float, float] | None:
        """Return what is to be placed, where, how near [SI]."""
        if self.task is None or self.lap is None or self.lap.roles.target is None:
            return None
        near = self.lap.roles.within
        return place_line(self.task, self.lap), self.lap.roles.target[0], near[0] if near is not None else 0.0

    def sway_limit(self) -> float | None:
        """Return how far from plumb is near enough [rad], where that is asked for."""
        if self.task is None or self.lap is None or not self.lap.roles.sway:
            return None
        return self.task.bands["sway"].practised[0] if "sway" in self.task.bands else None


class View(QWidget):
    """One view of a machine; it is fitted to its widget."""

    def __init__(self, look: Look, model: MachineModel, name: str, parent: QWidget) -> None:
        super().__init__(parent)
        self.look, self.model = look, model
        self.canvas = Canvas(self, look, self._still, self._live)
        self.setAccessibleName(f"{model.rig.title}: {name}")

    def show_instant(self) -> None:
        """Show the model's instant."""
        self.update()

    def _size(self) -> tuple[float, float]:
        return self.width() / self.look.scale, self.height() / self.look.scale

    def _still(self) -> DrawList:
        wide, high = self._size()
        return cover_shapes(wide, high, tr("covered")) if self.model.covered else self._ground()

    def _live(self) -> DrawList:
        return () if self.model.covered else self._moving(self.model.pose, THEMES[self.look.theme])

    def _legend(self, told: Sequence[str]) -> str:
        """Return what is drawn in one line, as much of it as has room."""
        line, room, size = "", self._size()[0], self.look.size(_SMALL)
        for words in told:
            longer = f"{line} · {words}" if line else words
            if not line or text_width(longer, size) <= room:
                line = longer
        return line

    def _ground(self) -> list[Shape]:
        """Return what stands still."""
        raise NotImplementedError

    def _moving(self, pose: Pose, theme: Theme) -> list[Shape]:
        """Return what moves."""
        raise NotImplementedError

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()


class SideRun(View):
    """In the boom's plane."""

    def __init__(self, look: Look, model: MachineModel, parent: QWidget) -> None:
        super().__init__(look, model, tr("In the boom's plane"), parent)

    def _frame(self) -> ViewFrame:
        wide, high = self._size()
        zoom = min(wide / SIDE[0], high / SIDE[1])
        return ViewFrame(0.0, high - 78.0 * zoom, METRE * zoom, -PIVOT / METRE, 0.0)

    def _ground(self) -> list[Shape]:
        frame, (_, high) = self._frame(), self._size()
        return [
            Path(((0.0, frame.top), frame.at(_FAR, 0.0)), "ink", 2.4),
            Words(0.0, high - 12.0, self._legend(self.model.aside_words), _SMALL, "ink2"),
        ]

    def _moving(self, pose: Pose, theme: Theme) -> list[Shape]:
        model, frame = self.model, self._frame()
        target, ghost = model.target(), model.ghost_now()
        shapes: list[Shape] = []
        if target is not None and model.aims:
            shapes += aids.side_target(pose, frame, *target)
            if model.lap is not None and target[0] == "reach":
                shapes += aids.side_line(pose, frame, [given[0] for given in model.lap.roles.line], target[2])
        shapes += side_view(pose, frame, theme)
        return [*shapes, *aids.ghost_aside(ghost, pose, frame)] if ghost is not None else shapes


class PlanRun(View):
    """From above."""

    def __init__(self, look: Look, model: MachineModel, parent: QWidget) -> None:
        super().__init__(look, model, tr("From above"), parent)

    def _frame(self) -> ViewFrame:
        wide, high = self._size()
        zoom = min(wide / PLAN[0], high / PLAN[1])
        return ViewFrame(wide / 2, 333.0 * zoom, METRE_ABOVE * zoom, 0.0, 0.0)

    def _ground(self) -> list[Shape]:
        wide, high = self._size()
        words = self._legend(self.model.above_words)
        return [Words(wide / 2, high - 12.0, words, _SMALL, "ink2", align="centre")]

    def _moving(self, pose: Pose, theme: Theme) -> list[Shape]:
        model, frame = self.model, self._frame()
        target, ghost = model.target(), model.ghost_now()
        shapes: list[Shape] = []
        over: list[Shape] = []  # what lies on what is there
        if target is not None and target[0] == "slew" and model.aims:
            shapes += aids.plan_target(pose, frame, target[1], target[2], pose.log_length)
        spot = model.lap.roles.spot if model.lap is not None else ()
        if len(spot) == 2 and model.aims:
            over += aids.plan_spot(frame, spot[0][0], spot[1][0], pose.log_length)
        if model.aid == "path" and not model.still_aids:
            if model.ghost is not None:
                shapes += aids.trail_above(model.ghost.path, frame, True)
            shapes += aids.trail_above(model.trail.points, frame, False)
        if ghost is not None:
            shapes += aids.ghost_above(ghost, frame, pose.log_length)
        return [*shapes, *plan_view(pose, frame, theme), *over]


class AlongView(View):
    """What hangs, seen along the boom: left is the operator's left."""

    def __init__(self, look: Look, model: MachineModel, parent: QWidget) -> None:
        super().__init__(look, model, tr("Along the boom"), parent)

    def _frame(self) -> ViewFrame:
        wide, high = self._size()
        return ViewFrame(wide / 2, 44.0, min(METRE, (high - 110.0) / 2.0, wide / _ASIDE), 0.0, 0.0)

    def _ground(self) -> list[Shape]:
        wide, high = self._size()
        told = tr("Along the boom")
        shapes: list[Shape] = [Words(0.0, high - 12.0, told, _SMALL, "ink2")]
        limit = self.model.sway_limit()
        if limit is not None and self.model.aims:
            size = self.look.size(_SMALL)
            words = tr("lines: {limit:.0f}° either side").format(limit=math.degrees(limit))
            if text_width(told, size) + text_width(words, size) + 10.0 > wide:
                shapes.clear()
            shapes.append(Words(wide, high - 12.0, words, _SMALL, "ink2", align="right"))
        return shapes

    def _moving(self, pose: Pose, theme: Theme) -> list[Shape]:
        model, frame = self.model, self._frame()
        limit, ghost = model.sway_limit(), model.ghost_now()
        shapes: list[Shape] = []
        if limit is not None and model.aims:
            shapes += aids.wedge(pose, frame, limit)
        if ghost is not None:
            shapes += aids.ghost_along(ghost, pose, frame, pose.log_length)
        return [*shapes, *along_view(pose, frame, theme)]
