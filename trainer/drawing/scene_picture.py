"""The drawing of a rig as a small picture: without words, its lines empty, nothing in it moves."""

from __future__ import annotations

from trainer.drawing.scene import Scene, SceneOptions
from trainer.drawing.shapes import Circle, Marks, Path, Shape, Words
from trainer.drawing.theme import Theme
from trainer.rig.rig import Rig

__all__ = ["scene_picture"]


def scene_picture(rig: Rig, theme: Theme, simple: bool = False) -> list[Shape]:
    """Return the drawing of a rig without words, its lines empty; as single strokes where it is to be ``simple``.

    Raises RigError where it cannot be drawn.
    """
    scene = Scene(rig, SceneOptions(theme))
    strokes = (("ink", 5.0),) if simple else (("ink", 9.0), ("paper", 6.0))
    pipes: list[Shape] = [
        Path(run.points, ink, width)
        for ink, width in strokes
        for net in scene.pipes.nets.values()
        for run in net.runs
    ]
    placed = scene.layout.placed
    parts = [part.symbol.drawn() for id_, part in placed.items() if scene.layout.seen(id_) and part.vessel is None]
    gauges = [Circle(gauge.x, gauge.y, 21.0, fill="paper") for gauge in scene.gauges.values()]
    shapes = [*pipes, *scene.still(nameless=True), *(shape for part in parts for shape in part), *gauges]
    return [shape for shape in shapes if not isinstance(shape, Words | Marks)]
