"""Which printed number of a drawing stands at a place: what it measures, and of what."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from trainer.drawing.ends import rod_ends, shaft_ends
from trainer.drawing.instruments import QUANTITIES
from trainer.drawing.moving import CylinderView, stroke_of
from trainer.drawing.route import Box
from trainer.drawing.scene import Scene
from trainer.drawing.scene_state import SceneState
from trainer.drawing.shapes import Shape, Words
from trainer.drawing.type_widths import text_width
from trainer.parts.roles import Actuator, DirectionalValve, Pump
from trainer.rig.live import Live

__all__ = ["Figure", "figure_at"]

_UNITS = {  # how a figure ends -> what it measures
    "bar": "pressure", "psi": "pressure", "L/min": "flow", "gpm": "flow", "kN": "force", "lbf": "force",
    "N·m": "torque", "lbf·ft": "torque", "mm/s": "speed", "in/s": "speed", "°/s": "shaft speed",
    "r/min": "shaft speed", "°C": "temperature", "°F": "temperature", "kg": "mass", "lb": "mass", "%": "ratio",
}  # fmt: skip
_SLACK = 3.0  # px around the words


@dataclass(frozen=True, slots=True)
class Figure:
    """A printed number: of what ("part" or "instrument", its name), what it measures, at which port ("" for none)."""

    kind: str
    name: str
    quantity: str
    port: str = ""


def figure_at(scene: Scene, live: Live, view: SceneState, x: float, y: float, least: float = 0.0) -> Figure | None:
    """Return the printed number at a place [px of the drawing], or None; ``least`` is the smallest type [px]."""
    for box, figure in _printed(scene):
        if _inside(x, y, box, least):
            return figure
    for words, figure in _moving(scene, live, view):
        if _inside(x, y, _box(words, least), 0.0):
            return figure
    return None


def _inside(x: float, y: float, box: Box, least: float) -> bool:
    left, top, right, bottom = box
    more = max(least - (bottom - top), 0.0)
    return left - _SLACK <= x <= right + _SLACK and top - _SLACK - more <= y <= bottom + _SLACK


def _box(words: Words, least: float) -> Box:
    size = max(words.size, least)
    wide = text_width(words.text, size, words.weight)
    left = words.x - {"left": 0.0, "centre": wide / 2, "right": wide}[words.align]
    return left, words.y - 0.72 * size, left + wide, words.y + 0.2 * size


def quantity_of(text: str) -> str:
    """Return what a printed number measures by its unit: "force" for "Load 40.6 kN"; "" where it has none."""
    return next((_UNITS[word] for word in reversed(text.split()) if word in _UNITS), "")


def _printed(scene: Scene) -> Iterator[tuple[Box, Figure]]:
    """Yield the figures that keep their places: pressures, pump and return, meters."""
    seen: set[tuple[str, str]] = set()
    for box, kind, name, port in scene.figures.places():
        if kind == "instrument":
            yield box, Figure(kind, name, QUANTITIES[scene.rig.instruments[name].kind])
            continue
        role = scene.rig.parts[name].part.role
        acts = isinstance(role, Actuator)
        pumped = isinstance(role, Pump) and (name, port) not in seen  # a pump's pressure stands before its flow
        seen.add((name, port))
        yield box, Figure(kind, name, "pressure" if acts or pumped else "flow", port)


def _moving(  # noqa: C901 - one list of what moves
    scene: Scene, live: Live, view: SceneState
) -> Iterator[tuple[Words, Figure]]:
    """Yield the words that go with rods and shafts, levers and the oil, and what they are of."""
    parts = scene.layout.placed

    def told(shapes: list[Shape], name: str) -> Iterator[tuple[Words, Figure]]:
        for shape in shapes:
            if isinstance(shape, Words) and (quantity := quantity_of(shape.text)):
                yield shape, Figure("part", name, quantity)

    for id_, end in rod_ends(scene.rig, scene.layout).items():
        tip = CylinderView(parts[id_], scene.theme).tip(live.place(end.line), stroke_of(parts[id_], live))
        picture = end.picture(live, scene.theme, view.system, tip, set(view.moving))
        owner = end.loads[0].fitted.id if end.loads else id_
        for words, figure in told(picture, owner):
            yield words, Figure("part", id_ if figure.quantity == "speed" else owner, figure.quantity)
    for id_, turned in shaft_ends(scene.rig, scene.layout).items():
        if turned.turning(live, set(view.moving)):
            yield from told(turned.picture(live, scene.theme, view.system), id_)
    tank = next((id_ for id_, part in parts.items() if part.vessel is not None), "")
    sections = {id_: parts[id_] for id_ in scene.rig.having(DirectionalValve)}
    for shape in scene.moving(live, view):
        if not isinstance(shape, Words):
            continue
        quantity = quantity_of(shape.text)
        if quantity == "temperature" and shape.text.startswith("Oil ") and tank:
            yield shape, Figure("part", tank, quantity)
        elif quantity == "ratio" and sections:
            near = min(sections, key=lambda id_: abs(sections[id_].x + 34 - shape.x) + abs(sections[id_].y - shape.y))
            yield shape, Figure("part", near, quantity)
    if view.reduced:  # marks stand: the flow is written below each cylinder instead
        for words, id_, port in scene.figures.flows(live, view.system):
            yield words, Figure("part", id_, "flow", port)
