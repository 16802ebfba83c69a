"""The loader as it is shipped, brought into a few states by the real engine, and text boxes by estimate."""

from __future__ import annotations

from functools import cache

from trainer import resources
from trainer.drawing.shapes import Shape, Words
from trainer.engine.session import Session
from trainer.rig import file as rig_file
from trainer.rig.live import Live

RIG = rig_file.load(resources.path("rigs/timber-trailer-loader.toml"))

Box = tuple[float, float, float, float]


@cache
def instants() -> dict[str, Live]:
    """Return readings by name: neutral, boom lifted at 60 %, slewing right, legs set down, legs on the relief."""
    session = Session(RIG)
    session.set_control("3W1.load", 250.0)
    session.advance(1.5)
    found: dict[str, Live] = {"neutral": session.readings}
    for name, lever, share, seconds in (
        ("boom", "3V1", 0.6, 1.2),
        ("slew", "2V1", -0.7, 1.0),
        ("legs", "1V1", 1.0, 2.0),
    ):
        session.set_control(f"{lever}.lever", share)
        session.advance(seconds)
        found[name] = session.readings
        if lever != "1V1":
            session.set_control(f"{lever}.lever", 0.0)
            session.advance(0.3)
    session.advance(8.0)
    found["relief"] = session.readings
    return found


def text_boxes(shapes: list[Shape]) -> list[tuple[str, Box]]:
    """Return every text with its box: half its size for each character, capitals above, tails below the line."""
    found = []
    for words in shapes:
        if isinstance(words, Words) and words.text:
            wide = 0.5 * words.size * len(words.text)
            left = words.x - {"left": 0.0, "centre": 0.5, "right": 1.0}[words.align] * wide
            found.append((words.text, (left, words.y - 0.7 * words.size, left + wide, words.y + 0.2 * words.size)))
    return found


def meet(one: Box, other: Box) -> bool:
    """Return whether two boxes share ground."""
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]
