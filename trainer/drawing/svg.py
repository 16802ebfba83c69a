"""A plain SVG 1.1 text writer for draw lists: what the screen shows, as text that can be compared."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from html import escape

from trainer.drawing.shapes import Arc, Circle, Marks, Path, Point, Shape, Words
from trainer.drawing.theme import FAMILIES, Theme

__all__ = ["svg", "triangle"]

_ANCHORS = {"left": "start", "centre": "middle", "right": "end"}


def _number(value: float) -> str:
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _points(points: Sequence[Point]) -> str:
    return " ".join(f"{_number(x)},{_number(y)}" for x, y in points)


def triangle(x: float, y: float, direction: float, length: float, width: float) -> tuple[Point, Point, Point]:
    """Return the corners, tip first, of a flow mark about its centre; direction in degrees ccw."""
    cos, sin = math.cos(math.radians(direction)), -math.sin(math.radians(direction))
    a, b = length / 2, width / 2
    back_x, back_y = x - a * cos, y - a * sin
    return (
        (x + a * cos, y + a * sin),
        (back_x - b * sin, back_y + b * cos),
        (back_x + b * sin, back_y - b * cos),
    )


class _Writer:
    def __init__(self, theme: Theme) -> None:
        self.theme = theme
        self.lines: list[str] = []
        self.hatches: dict[str, str] = {}

    def _paint(self, fill: str | None, ink: str | None, width: float) -> str:
        parts = [f'fill="{self.theme.colour(fill) if fill else "none"}"']
        if ink is not None:
            parts.append(f'stroke="{self.theme.colour(ink)}" stroke-width="{_number(width)}"')
        return " ".join(parts)

    def _hatch(self, role: str) -> str:
        return self.hatches.setdefault(role, f"hatch-{role}")

    def path(self, shape: Path) -> None:
        tag = "polygon" if shape.closed else "polyline"
        points = f'points="{_points(shape.points)}"'
        dash = f' stroke-dasharray="{" ".join(map(_number, shape.dash))}"' if shape.dash else ""
        if shape.hatch:
            if shape.fill:
                self.lines.append(f"<{tag} {points} {self._paint(shape.fill, None, 0)}/>")
            self.lines.append(f'<{tag} {points} fill="url(#{self._hatch(shape.hatch)})"/>')
            if shape.ink is None:
                return
        fill = None if shape.hatch else shape.fill
        self.lines.append(f"<{tag} {points} {self._paint(fill, shape.ink, shape.width)}{dash}/>")

    def circle(self, shape: Circle) -> None:
        place = f'cx="{_number(shape.x)}" cy="{_number(shape.y)}" r="{_number(shape.radius)}"'
        self.lines.append(f"<circle {place} {self._paint(shape.fill, shape.ink, shape.width)}/>")
        if shape.hatch:
            ring = self._paint(None, shape.ink, shape.width).replace('fill="none" ', "")
            self.lines.append(f'<circle {place} fill="url(#{self._hatch(shape.hatch)})" {ring}/>')

    def arc(self, shape: Arc) -> None:
        if abs(shape.span) >= 359.99:
            self.circle(Circle(shape.x, shape.y, shape.radius, shape.ink, shape.width))
            return
        ends = []
        for angle in (shape.start, shape.start + shape.span):
            turn = math.radians(angle)
            ends.append((shape.x + shape.radius * math.cos(turn), shape.y - shape.radius * math.sin(turn)))
        radius, large, sweep = _number(shape.radius), int(abs(shape.span) > 180), int(shape.span < 0)
        self.lines.append(
            f'<path d="M{_points(ends[:1])} A{radius},{radius} 0 {large} {sweep} {_points(ends[1:])}" '
            f"{self._paint(None, shape.ink, shape.width)}/>"
        )

    def words(self, shape: Words) -> None:
        self.lines.append(
            f'<text x="{_number(shape.x)}" y="{_number(shape.y)}" font-size="{_number(shape.size)}" '
            f'font-weight="{shape.weight}" text-anchor="{_ANCHORS[shape.align]}" '
            f'fill="{self.theme.colour(shape.ink)}">{escape(shape.text, quote=False)}</text>'
        )

    def marks(self, shape: Marks) -> None:
        corners = (triangle(*place, shape.length, shape.width) for place in shape.places)
        data = " ".join("M" + " L".join(_points([corner]) for corner in three) + "Z" for three in corners)
        if data:
            self.lines.append(f'<path d="{data}" {self._paint(shape.ink, None, 0)}/>')


def svg(
    shapes: Sequence[Shape],
    size: tuple[float, float],
    theme: Theme,
    title: str,
    description: str = "",
) -> str:
    """Return a draw list as the text of an SVG 1.1 file of ``size`` (width, height) [px]."""
    writer = _Writer(theme)
    write: dict[type, Callable[..., None]] = {
        Path: writer.path,
        Circle: writer.circle,
        Arc: writer.arc,
        Words: writer.words,
        Marks: writer.marks,
    }
    for shape in shapes:
        write[type(shape)](shape)
    width, height = (_number(length) for length in size)
    families = ", ".join(f"'{name}'" if " " in name else name for name in FAMILIES)
    style = f"font-family:{families};font-variant-numeric:tabular-nums"
    canvas = (
        f'xmlns="http://www.w3.org/2000/svg" version="1.1" width="{width}" height="{height}" '
        f'viewBox="0 0 {width} {height}"'
    )
    head = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg {canvas} style="{escape(style, quote=False)}">',
        f"<title>{escape(title, quote=False)}</title>",
    ]
    if description:
        head.append(f"<desc>{escape(description, quote=False)}</desc>")
    if writer.hatches:
        head.append("<defs>")
        for role, name in sorted(writer.hatches.items()):
            head.append(
                f'<pattern id="{name}" width="7" height="7" patternUnits="userSpaceOnUse" '
                f'patternTransform="rotate(45)"><path d="M3.5,0 V7" fill="none" '
                f'stroke="{theme.colour(role)}" stroke-width="2.4"/></pattern>'
            )
        head.append("</defs>")
    head.append(f'<rect width="{width}" height="{height}" fill="{theme.colour("paper")}"/>')
    return "\n".join([*head, *writer.lines, "</svg>", ""])
