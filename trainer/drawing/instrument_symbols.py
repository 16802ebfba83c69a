"""The symbols of the instruments as they lie in the rail and are dragged."""

from __future__ import annotations

from trainer.drawing.shapes import Circle, Path, Shape
from trainer.drawing.symbols import SYMBOLS
from trainer.drawing.symbols.symbol import bounds_of

__all__ = ["symbol_of"]

_NAMES = {
    "gauge": "gauge",
    "vacuum gauge": "gauge",
    "differential gauge": "gauge_diff",
    "flow meter": "flow_meter",
    "tachometer": "tachometer",
    "thermometer": "thermometer",
}
_RADIUS = 20.0  # of an instrument's circle [px]


def symbol_of(kind: str) -> list[Shape]:
    """Return the symbol of a kind of instrument about the origin [px], a circle 20 px in radius without its port.

    "stopwatch" is a watch with its button. Raises KeyError for no kind.
    """
    face: list[Shape] = [Circle(0.0, 0.0, _RADIUS, "ink", 2.0, "cell")]
    if kind == "stopwatch":
        return [
            *face,
            Path(((0.0, -_RADIUS), (0.0, -1.3 * _RADIUS)), "ink", 5.0),
            Path(((0.0, -0.7 * _RADIUS), (0.0, -_RADIUS)), "ink", 2.0),
            Path(((0.0, 0.0), (0.45 * _RADIUS, -0.45 * _RADIUS)), "ink", 2.0),
        ]
    for shape in SYMBOLS[_NAMES[kind]].drawn():
        left, top, right, bottom = bounds_of((shape,))
        through = left < -19.0 and right > 19.0  # the circle itself, the pipe
        if not through and max(-left, right, -top, bottom) < 21.0:
            face.append(shape)
    if kind == "flow meter":
        face.append(Path(((-_RADIUS, 0.0), (_RADIUS, 0.0))))
    return face
