"""Draw lists at another size and place."""

from __future__ import annotations

from dataclasses import replace

from trainer.drawing.shapes import Arc, Circle, DrawList, Marks, Path, Point, Shape, Words

__all__ = ["sized"]


def sized(shapes: DrawList, scale: float, origin: Point) -> list[Shape]:
    """Return shapes ``scale`` times as large, their origin moved to a point."""
    x, y = origin
    made: list[Shape] = []
    for shape in shapes:
        match shape:
            case Path():
                points = tuple((scale * a + x, scale * b + y) for a, b in shape.points)
                dash = tuple(scale * length for length in shape.dash)
                made.append(replace(shape, points=points, width=scale * shape.width, dash=dash))
            case Circle() | Arc():
                made.append(
                    replace(
                        shape,
                        x=scale * shape.x + x,
                        y=scale * shape.y + y,
                        radius=scale * shape.radius,
                        width=scale * shape.width,
                    )
                )
            case Words():
                made.append(replace(shape, x=scale * shape.x + x, y=scale * shape.y + y, size=scale * shape.size))
            case Marks():
                rows = tuple((scale * a + x, scale * b + y, turn, count) for a, b, turn, count in shape.rows)
                sizes = {name: scale * getattr(shape, name) for name in ("length", "width", "pitch")}
                made.append(replace(shape, rows=rows, **sizes))
    return made
