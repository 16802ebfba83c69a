"""A small notation for symbols: x right, y up, lengths in modules; read once into shapes.

A drawing is a text of strokes such as ``"rect(-2,-2 2,2); arrow(-1,-2 -1,2)"``. Strokes are painted in
order. Compass letters N E S W name directions. Port lists read ``"P(0,5)N shaft(6,0)E"``.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable

from trainer.drawing.shapes import Arc, Circle, Path, Point, Shape, Words
from trainer.drawing.symbols.manner import PLAIN, Manner
from trainer.drawing.symbols.symbol import Anchor, M, Symbol, bounds_of

__all__ = ["CHAIN", "DRAIN", "PILOT", "sketch", "zigzag"]

PILOT = (9.0, 4.5)
DRAIN = (4.5, 3.75)
CHAIN = (21.0, 4.5, 1.5, 4.5)
_COMPASS = {"N": (0.0, 1.0), "E": (1.0, 0.0), "S": (0.0, -1.0), "W": (-1.0, 0.0)}
_DEGREES = {"E": 0, "N": 90, "W": 180, "S": 270}
_STROKE = re.compile(r"(\w+)(?:\(([^)]*)\))?")
_PORT = re.compile(r"(\w+)\((-?[\d.]+),(-?[\d.]+)\)([NESW])")
_HEAD_HALF = math.tan(math.radians(15.0))  # an arrowhead includes 30 degrees


class _Pen:
    def __init__(self, known: dict[str, str], dx: float = 0.0, dy: float = 0.0, flip: bool = False) -> None:
        self.known = known
        self.dx, self.dy, self.flip = dx, dy, flip
        self.shapes: list[Shape] = []
        self.upright: list[tuple[Point, Shape]] = []
        self.stubs: list[tuple[Point, Point]] = []

    def at(self, x: float, y: float) -> Point:
        """Return module coordinates as pixels from the centre, y down."""
        return ((-x if self.flip else x) + self.dx) * M, -(y + self.dy) * M

    def path(
        self,
        points: list[Point],
        *,
        closed: bool = False,
        fill: str | None = None,
        dash: tuple[float, ...] = (),
        width: float = 2.0,
        ink: str | None = "ink",
    ) -> None:
        self.shapes.append(Path(tuple(self.at(*p) for p in points), ink, width, fill, closed, dash))

    def line(self, *points: Point) -> None:
        self.path(list(points))
        ends = self.at(*points[0]), self.at(*points[-1])
        self.stubs += [(ends[0], self.at(*points[1])), (ends[1], self.at(*points[-2]))]

    def dash(self, *points: Point) -> None:
        self.path(list(points), dash=PILOT, width=1.5)

    def sdash(self, *points: Point) -> None:
        self.path(list(points), dash=DRAIN, width=1.5)

    def chain(self, *points: Point) -> None:
        self.path(list(points), dash=CHAIN, width=1.25, ink="ink2")

    def poly(self, *points: Point) -> None:
        self.path(list(points), closed=True, fill="cell")

    def rect(self, one: Point, other: Point) -> None:
        (a, b), (c, d) = one, other
        self.poly((a, b), (c, b), (c, d), (a, d))

    def circle(self, x: float, y: float, r: float) -> None:
        self.shapes.append(Circle(*self.at(x, y), r * M, fill="cell"))

    def disc(self, x: float, y: float, r: float) -> None:
        self.shapes.append(Circle(*self.at(x, y), r * M, None, 0.0, "ink"))

    def arc(self, x: float, y: float, r: float, start: float, span: float) -> None:
        self.shapes.append(Arc(*self.at(x, y), r * M, 180 - start - span if self.flip else start, span))

    def pie(self, x: float, y: float, r: float, start: float, span: float) -> None:
        steps = max(6, round(abs(span) / 9))
        angles = [math.radians(start + span * k / steps) for k in range(steps + 1)]
        self.poly(*((x + r * math.cos(a), y + r * math.sin(a)) for a in angles))

    def capsule(self, one: Point, other: Point) -> None:
        (a, b), (c, d) = one, other
        r = (c - a) / 2
        round_ends = [
            (
                a + r + r * math.cos(math.radians(9 * k)),
                (d - r if k <= 20 else b + r) + r * math.sin(math.radians(9 * k)),
            )
            for k in range(21)
        ]
        round_ends += [(x, b + d - y) for x, y in reversed(round_ends)]
        self.poly(*round_ends)

    def _head(self, tip: Point, back: Point) -> None:
        length = math.hypot(tip[0] - back[0], tip[1] - back[1]) or 1.0
        ux, uy = (tip[0] - back[0]) / length, (tip[1] - back[1]) / length
        x, y = tip[0] - ux, tip[1] - uy
        half = _HEAD_HALF
        self.path(
            [tip, (x - uy * half, y + ux * half), (x + uy * half, y - ux * half)],
            closed=True,
            fill="ink",
            ink=None,
        )

    def arrow(self, *points: Point) -> None:
        tip, back = points[-1], points[-2]
        length = math.hypot(tip[0] - back[0], tip[1] - back[1])
        short = (tip[0] - 0.8 * (tip[0] - back[0]) / length, tip[1] - 0.8 * (tip[1] - back[1]) / length)
        self.path([*points[:-1], short])
        self._head(tip, back)

    def fhead(self, x: float, y: float, to: str) -> None:
        ux, uy = _COMPASS[to]
        self._head((x, y), (x - ux, y - uy))

    def adj(self, x: float, y: float, reach: float) -> None:
        pivot = self.at(x, y)
        pen = _Pen(self.known, pivot[0] / M, -pivot[1] / M)
        pen.arrow((-reach, -reach), (reach, reach))
        self.upright += [(pivot, shape) for shape in pen.shapes]

    def text(self, x: float, y: float, size: float, what: str) -> None:
        pivot = self.at(x, y)
        self.upright.append(
            (pivot, Words(pivot[0], pivot[1] + 0.33 * size * M, what, size * M, "ink", 600, "centre"))
        )

    def rot(self, x: float, y: float, r: float, start: float, span: float) -> None:
        self.arc(x, y, r, start, span)
        end, before = math.radians(start + span), math.radians(start + span - math.copysign(12, span))
        self._head(
            (x + r * math.cos(end), y + r * math.sin(end)),
            (x + r * math.cos(before), y + r * math.sin(before)),
        )

    def rot2(self, x: float, y: float, r: float, start: float, span: float) -> None:
        self.rot(x, y, r, start, span)
        self.rot(x, y, r, start + span, -span)

    def _triangle(self, x: float, y: float, to: str, side: float) -> list[Point]:
        ux, uy = _COMPASS[to]
        bx, by = x - 0.866 * side * ux, y - 0.866 * side * uy
        return [(x, y), (bx - uy * side / 2, by + ux * side / 2), (bx + uy * side / 2, by - ux * side / 2)]

    def tri(self, x: float, y: float, to: str, side: float) -> None:
        self.path(self._triangle(x, y, to, side), closed=True, fill="ink", ink=None)

    def otri(self, x: float, y: float, to: str, side: float) -> None:
        self.poly(*self._triangle(x, y, to, side))

    def shaft(self, one: Point, other: Point) -> None:
        length = math.hypot(other[0] - one[0], other[1] - one[1])
        nx, ny = -(other[1] - one[1]) / length / 4, (other[0] - one[0]) / length / 4
        for side in (1, -1):
            self.path([(one[0] + side * nx, one[1] + side * ny), (other[0] + side * nx, other[1] + side * ny)])

    def spring(self, one: Point, other: Point, amp: float = 0.75, n: float = 5) -> None:
        self.path(zigzag(one, other, amp, int(n)))

    def tee(self, x: float, y: float, to: str, length: float = 1.0) -> None:
        ux, uy = _COMPASS[to]
        ex, ey = x + ux * length, y + uy * length
        self.path([(x, y), (ex, ey)])
        self.path([(ex - uy / 2, ey + ux / 2), (ex + uy / 2, ey - ux / 2)])

    def thr(self, x: float, y: float, along: str) -> None:
        for side in (-1, 1):
            if along == "V":
                self.arc(x + 1.5 * side, y, 1.1, -50 if side < 0 else 130, 100)
            else:
                self.arc(x, y + 1.5 * side, 1.1, 40 if side < 0 else 220, 100)

    def chk(self, x: float, y: float, to: str) -> None:
        ux, uy = _COMPASS[to]
        self.circle(x, y, 0.5)
        seat = [(-0.85, 0.143), (0.0, -0.707), (0.85, 0.143)]
        self.path([(x + a * uy + b * ux, y - a * ux + b * uy) for a, b in seat])

    def stubs4(self, c: float) -> None:
        for x in (c - 1, c + 1):
            self.line((x, 2), (x, 3))
            self.line((x, -2), (x, -3))

    def use(self, name: str, dx: float = 0.0, dy: float = 0.0, flip: str = "") -> None:
        sign = -1.0 if self.flip else 1.0
        pen = _Pen(self.known, self.dx + sign * dx, self.dy + dy, self.flip != (flip == "flip"))
        pen.draw(self.known[name])
        self.shapes += pen.shapes
        self.upright += pen.upright
        self.stubs += pen.stubs

    def draw(self, text: str) -> None:
        """Draw every stroke of a notation. Raises ValueError naming the stroke that cannot be read."""
        for written in filter(None, (part.strip() for part in re.split(r"[;\n]", text))):
            match = _STROKE.fullmatch(written)
            stroke: Callable[..., None] | None = getattr(self, match[1], None) if match else None
            if match is None or stroke is None:
                raise ValueError(f"unknown stroke {written!r}")
            stroke(*_arguments(match[2] or ""))


def _arguments(text: str) -> list[Point | float | str]:
    """Return "x,y x,y" as points, "a,b,c" as single values, and mixtures in order."""
    found: list[Point | float | str] = []
    words = text.split()
    for word in words:
        values = [value for value in word.split(",") if value]
        numbers: list[float | str] = [float(v) if re.fullmatch(r"-?\d*\.?\d+", v) else v for v in values]
        first, second = (*numbers, "", "")[:2]
        if len(words) > 1 and len(numbers) >= 2 and isinstance(first, float) and isinstance(second, float):
            found += [(first, second), *numbers[2:]]
        else:
            found += numbers
    return found


def zigzag(one: Point, other: Point, amp: float, strokes: int) -> list[Point]:
    """Return the points of a spring between two points: strokes alternate by ``amp`` on either side."""
    length = math.hypot(other[0] - one[0], other[1] - one[1])
    ux, uy = (other[0] - one[0]) / length, (other[1] - one[1]) / length
    points = [one]
    for k in range(strokes):
        along, side = (k + 0.5) * length / strokes, -amp if k % 2 == 0 else amp
        points.append((one[0] + ux * along - uy * side, one[1] + uy * along + ux * side))
    return [*points, other]


def sketch(
    name: str,
    title: str,
    drawing: str,
    ports: str = "",
    known: dict[str, str] | None = None,
    inner: dict[str, Point] | None = None,
    manner: Manner = PLAIN,
) -> Symbol:
    """Return the symbol of a notation. ``inner`` overrides where a port's pipe ends [M, y up]."""
    pen = _Pen(known or {})
    pen.draw(drawing)
    places = {letter: (pen.at(float(x), float(y)), to) for letter, x, y, to in _PORT.findall(ports)}
    points = {place for place, _ in places.values()}
    anchors: dict[str, Anchor] = {}
    through = False
    for letter, (place, to) in places.items():
        ends = [far for near, far in pen.stubs if near == place]
        end = pen.at(*inner[letter]) if inner and letter in inner else (ends[0] if ends else place)
        if end in points and end != place:  # one line from port to port: the pipe runs through the body
            end = ((place[0] + end[0]) / 2, (place[1] + end[1]) / 2)
            through = True
        anchors[letter] = Anchor(*place, _DEGREES[to], end)
    stubs = {(a, b) for a, b in pen.stubs if a in points or b in points}
    body = tuple(
        s
        for s in pen.shapes
        if not (isinstance(s, Path) and len(s.points) == 2 and (s.points[0], s.points[1]) in stubs)
    )
    box = bounds_of((*body, *(shape for _, shape in pen.upright))) if body else bounds_of(tuple(pen.shapes))
    return Symbol(name, title, tuple(pen.shapes), tuple(pen.upright), anchors, box, through, manner)
