"""The machine itself, beside its circuit: three views of a crane on a trailer and its numbers, from one state.

Everything is drawn to scale from the parts' geometry; nothing here knows the circuit.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from trainer.drawing.machine_pose import Pose, Posed, pose_of
from trainer.drawing.machine_views import plan_view, rear_view, side_view
from trainer.drawing.shapes import Path, Shape, Words
from trainer.drawing.symbols import SYMBOLS
from trainer.drawing.theme import THEMES, Theme
from trainer.drawing.view_frame import ViewFrame
from trainer.language import mark, tr
from trainer.rig.live import Live
from trainer.rig.rig import Rig
from trainer.units import System, pair, pretty, text, text_in

__all__ = ["MachineView"]

_FAR = pair("m", 2, "ft", 1)
_FIGURES = 1.0  # of the loads on the feet, from the middle [m]


@dataclass(frozen=True, slots=True)
class _Arrangement:
    """Where the views and the columns of numbers stand [px]: tall beside a circuit, wide alone, low below one."""

    size: tuple[float, float]
    side: ViewFrame
    plan: ViewFrame
    rear: ViewFrame
    titles: tuple[tuple[float, float, str], ...]
    numbers: tuple[tuple[float, float], ...]  # of each column the right edge of its figures, its first baseline
    pitch: float = 23.1  # of the rows of numbers
    gap: float = 46.0  # from the names to the figures' right edge


_IN_PLANE, _SIDE = mark("In the boom's plane"), mark("Side")
_ABOVE, _BEHIND = mark("From above"), mark("From behind")
_TALL = _Arrangement(
    (520.0, 650.0),
    ViewFrame(16.0, 30.0, 46.0, -2.75, 7.0),
    ViewFrame(152.0, 548.0, 29.0, 0.0, 0.0),
    ViewFrame(408.0, 580.0, 64.0, 0.0, 0.0),
    ((16.0, 22.0, _IN_PLANE), (16.0, 408.0, _ABOVE), (306.0, 408.0, _BEHIND)),
    ((478.0, 44.0),),
)
_WIDE = _Arrangement(
    (900.0, 360.0),
    ViewFrame(8.0, 26.0, 42.0, -2.75, 7.0),
    ViewFrame(516.0, 222.0, 35.0, 0.0, 0.0),
    ViewFrame(796.0, 306.0, 60.0, 0.0, 0.0),
    ((8.0, 20.0, _IN_PLANE), (356.0, 20.0, _ABOVE), (700.0, 196.0, _BEHIND)),
    ((852.0, 20.0),),
)
_LOW = _Arrangement(
    (1200.0, 212.0),
    ViewFrame(8.0, 26.0, 25.0, -2.75, 7.0),
    ViewFrame(350.0, 128.0, 20.0, 0.0, 0.0),
    ViewFrame(548.0, 166.0, 60.0, 0.0, 0.0),
    ((8.0, 18.0, _SIDE), (268.0, 18.0, _ABOVE), (476.0, 18.0, _BEHIND)),
    ((890.0, 60.0), (1150.0, 60.0)),
    pitch=48.0,
    gap=80.0,
)
_ARRANGEMENTS = {"tall": _TALL, "wide": _WIDE, "low": _LOW}


class MachineView:
    """Views of the rig's crane: in the plane of its boom, from above, and its trailer from behind.

    ``size`` (width, height) [px]; ``arranged`` is "tall", "wide" or "low"; ``exists`` tells whether the rig has a
    crane at all.
    """

    def __init__(self, rig: Rig, theme: Theme = THEMES["light"], arranged: str = "tall") -> None:
        def first(machine: str) -> str:
            drawn = ((id_, SYMBOLS.get(fitted.part.symbol)) for id_, fitted in rig.parts.items())
            return next((id_ for id_, symbol in drawn if symbol is not None and symbol.manner.machine == machine), "")

        self.crane, self.trailer, self.grapple = first("crane"), first("trailer"), first("grapple")
        self.theme = theme
        self._arranged = _ARRANGEMENTS[arranged]
        self.size = self._arranged.size

    @property
    def exists(self) -> bool:
        """Whether there is a machine to show."""
        return bool(self.crane)

    def shapes(self, live: Live, system: System) -> list[Shape]:
        """Return everything at one instant, in pixels of ``size``."""
        return [*self.still(), *self.live(live, system)]

    def still(self) -> list[Shape]:
        """Return what does not move: the titles of the views and the ground of the side view."""
        if not self.exists:
            return []
        side = self._arranged.side
        left, right = side.at(side.x0, 0), side.at(5.35, 0)
        shown = [title for title in self._arranged.titles if self.trailer or title[2] != _BEHIND]
        return [
            *(Words(x, y, tr(title), self.theme.label, "ink2") for x, y, title in shown),
            Path((left, right), "ink", self.theme.outline),
        ]

    def live(self, live: Live, system: System) -> list[Shape]:
        """Return what moves: the machine in every view, and its numbers."""
        if not self.exists:
            return []
        pose = self.pose(live)
        views = self._arranged
        found = side_view(pose, views.side, self.theme) + plan_view(pose, views.plan, self.theme)
        if self.trailer:
            found += rear_view(pose, views.rear, self.theme)
            found += self._loads(pose, views.rear, system)
        return found + self._numbers(pose, system)

    def pose(self, live: Posed) -> Pose:
        """Return the machine's angles, places and loads at one instant [SI]."""
        return pose_of(live, self.crane, self.trailer, self.grapple)

    def rows(self, pose: Pose, system: System) -> list[tuple[str, str, str]]:
        """Return the machine's numbers: name, figure and unit of each."""

        def far(value: float) -> tuple[str, str]:
            return text_in(value, *_FAR[system is System.US])

        def angle(value: float) -> tuple[str, str]:
            return text(abs(value), "angle", system)

        slewed = tr("slew left") if pose.slew > 0 else tr("slew right")
        rows = [
            (tr("reach"), *far(pose.reach)),
            (tr("load height"), *far(max(pose.over, 0.0))),
            (tr("slew") if abs(pose.slew) < math.radians(0.5) else slewed, *angle(pose.slew)),
            (tr("sway"), *angle(pose.sway)),
            (tr("load"), *text(pose.load, "mass", system)),
        ]
        if self.trailer:
            roll = math.degrees(pose.roll)
            rows.append((tr("lean"), f"{abs(roll):.1f}", pretty("deg")))
        return rows

    def _numbers(self, pose: Pose, system: System) -> list[Shape]:
        """Return the columns of numbers: name, figure and unit in a row each."""
        rows = self.rows(pose, system)
        views, size = self._arranged, self.theme.label
        each = -(-len(rows) // len(views.numbers))
        shapes: list[Shape] = []
        for row, (name, figure, unit) in enumerate(rows):
            column, k = divmod(row, each)
            x, y = views.numbers[column]
            line = y + views.pitch * k
            shapes.append(Words(x - views.gap, line, name, size, "ink2", align="right"))
            shapes.append(Words(x, line, figure, size, "ink", 600, "right"))
            shapes.append(Words(x + 6, line, unit, size, "ink2"))
        return shapes

    def _loads(self, pose: Pose, pane: ViewFrame, system: System) -> list[Shape]:
        """Return the load on each foot, under it; bold where it stands on the ground."""
        shapes: list[Shape] = []
        for side, load in zip((1, -1), pose.loads, strict=True):
            figure = " ".join(text(max(load, 0.0), "force", system, 1 if system is System.METRIC else 0))
            x, y = pane.at(-side * _FIGURES, -0.52)
            stands = load > 1
            shapes.append(
                Words(x, y, figure, self.theme.label, "ink" if stands else "ink2", 600 if stands else 400, "centre")
            )
        return shapes
