"""Both machines of two runs beside each other at one instant, as draw lists: this attempt and the best one."""

from __future__ import annotations

from collections.abc import Sequence

from trainer.drawing.machine_pose import Pose
from trainer.drawing.machine_views import plan_view, side_view
from trainer.drawing.shapes import Path, Shape
from trainer.drawing.theme import THEMES
from trainer.drawing.view_frame import ViewFrame
from trainer.practice.task import Lap, Task
from trainer.window.practice import aids_shapes as aids
from trainer.window.practice.card import Card
from trainer.window.practice.machine_run import METRE, METRE_ABOVE, PIVOT, PLAN, SIDE
from trainer.window.practice.plots import Plots
from trainer.window.practice.seen import place_line

__all__ = ["instant_of", "machines_shapes"]

_THEME = THEMES["light"]  # of which only the widths of lines are taken
_FOOT = 78.0  # below the ground, at full size [board px]


def instant_of(card: Card, plots: Plots) -> float:
    """Return the instant at which both machines are shown [s]: the chosen one, else when the lever came back."""
    if card.chosen is not None:
        return min(max(card.chosen, 0.0), plots.until)
    return plots.until / 2 if plots.centred != plots.centred else plots.centred


def machines_shapes(
    card: Card, seconds: float, columns: Sequence[tuple[float, float]], top: float, height: float
) -> list[Shape]:
    """Return the machine of this attempt and that of the best one, a column each [board px]."""
    task, lap = card.task, card.attempt.laps[card.lap]
    shapes: list[Shape] = []
    for best, column in zip((False, True), columns, strict=True):
        pose = card.pose(best, seconds)
        if pose is not None:
            shapes += _machine(pose, task, lap, column, (top, height))
    return shapes


def _machine(pose: Pose, task: Task, lap: Lap, column: tuple[float, float], room: tuple[float, float]) -> list[Shape]:
    """Return a machine from above where it swings to its place, else in the boom's plane."""
    (left, right), (top, height) = column, room
    roles, line = lap.roles, place_line(task, lap)
    target = roles.target[0] if roles.target is not None else None
    within = roles.within[0] if roles.within is not None else 0.0
    if line == "slew":
        zoom = min((right - left) / PLAN[0], height / PLAN[1])
        frame = ViewFrame((left + right) / 2, top + 333.0 * zoom, METRE_ABOVE * zoom, 0.0, 0.0)
        mark = aids.plan_target(pose, frame, target, within, pose.log_length) if target is not None else []
        if len(roles.spot) == 2:
            mark += aids.plan_spot(frame, roles.spot[0][0], roles.spot[1][0], pose.log_length)
        return [*mark, *plan_view(pose, frame, _THEME)]
    zoom = min((right - left) / SIDE[0], height / SIDE[1])
    ground = top + height - _FOOT * zoom
    frame = ViewFrame(left, ground, METRE * zoom, -PIVOT / METRE, 0.0)
    mark = aids.side_target(pose, frame, line, target, within) if target is not None else []
    if line == "reach":
        mark += aids.side_line(pose, frame, [given[0] for given in roles.line], within)
    return [Path(((left, ground), (right, ground)), "ink", 2.0), *mark, *side_view(pose, frame, _THEME)]
