"""What moves on the drawing: sliding envelopes, the crank, a motor's tick, a pressure valve's arrow."""

from __future__ import annotations

import math
from collections.abc import Collection, Hashable, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from trainer.drawing.pipes import STANDING, Track
from trainer.drawing.placed import Placed
from trainer.drawing.shapes import Arc, Circle, Figure, Path, Point, Shape, Sliding, Words
from trainer.drawing.symbols.notation import zigzag
from trainer.drawing.symbols.symbol import turned
from trainer.drawing.theme import Theme
from trainer.parts.part import Choice
from trainer.parts.roles import DirectionalValve
from trainer.rig.live import Live

__all__ = ["TRAVEL", "CrankView", "MotorView", "Passage", "ReliefView", "SectionView", "arrow", "on_grid"]

TRAVEL = 60.0  # px that an envelope slides for a full lever
HALF = 30.0  # half a square of the section
FIXED = 52.0  # from the centre to the fixed place of a port
_KNOBS = {ink: (Circle(0.0, 0.0, 6.0, None, 0.0, ink),) for ink in ("ink", "accent")}
_ROWS = {"P": -20.0, "C": 0.0, "LS": 0.0, "T": 20.0, "A": -20.0, "C1": 0.0, "B": 20.0}
_LEFT = ("P", "C", "LS", "T")  # the ports at the left of a section
_WAYS = ("P_A", "P_B", "A_T", "B_T")
_ROUND = {"tandem": ("P_T",), "open": ("P_T",)}  # ways that a centre has besides
_SIDES = {1: ("P_A", "B_T"), -1: ("P_B", "A_T")}  # ways that the outer squares have; all others are the middle one's
_JOINED = {  # ports that a centre joins
    "tandem": frozenset("PT"), "open": frozenset("PTAB"), "float": frozenset("TAB"), "motor": frozenset("TAB"),
    "regenerative": frozenset("PAB"),
}  # fmt: skip
_SHUT = 0.006  # a passage smaller than this share of the bypass in neutral is drawn shut
_BALL = 6.5  # radius of a check valve's ball [px]


@dataclass(frozen=True, slots=True)
class Passage:
    """Oil's way through a section: from a port to a port, each half a stretch of pipe [px]."""

    start: str
    end: str
    stream: str
    halves: tuple[tuple[Point, ...], tuple[Point, ...]]
    tracks: tuple[Track, Track] = (Track(()), Track(()))
    pinched: bool = False


@dataclass(frozen=True, slots=True)
class SectionPicture:
    """A section as it looks at an instant: its envelope under the pipes, what joins its ports, the line work over it.

    ``passages`` are those that are open, and the stubs of shut ports.
    """

    under: Sequence[Shape | Sliding]
    passages: Sequence[Passage]
    over: Sequence[Shape | Sliding]
    words: Sequence[Words]


def arrow(a: Point, b: Point, width: float) -> list[Shape]:
    """Return a line with a solid head at its second point."""
    length = math.hypot(b[0] - a[0], b[1] - a[1])
    ux, uy = (b[0] - a[0]) / length, (b[1] - a[1]) / length
    back = (b[0] - 10 * ux, b[1] - 10 * uy)
    half = 4.2
    head = (b, (back[0] - half * uy, back[1] + half * ux), (back[0] + half * uy, back[1] - half * ux))
    return [Path((a, (b[0] - 8 * ux, b[1] - 8 * uy)), width=width), Path(head, None, 0.0, "ink", closed=True)]


@dataclass
class SectionView:
    """The upright section: three squares that slide, pipes that reach for them, spring, stem and knob.

    ``standing``: flow through a valve at a port, beside the spool, from which that valve is shown [m3/s].
    ``grid``: the spool stands at whole numbers of it [px]; 0 for where it is.
    """

    placed: Placed
    theme: Theme
    letters: bool = False
    standing: float = STANDING
    grid: float = 0.0
    _kept: tuple[tuple[object, ...], SectionPicture] | None = field(default=None, init=False)
    _envelopes: dict[tuple[object, ...], tuple[Shape, ...]] = field(default_factory=dict, init=False)
    _stubs: dict[str, Passage] = field(default_factory=dict, init=False)
    _seen: tuple[Live, float] | None = field(default=None, init=False)

    def picture(self, live: Live) -> SectionPicture:
        """Return how it looks at an instant; the same picture as long as it looks the same."""
        if self._kept is not None and self._seen is not None and self._seen[0] is live and self._seen[1] == self.grid:
            return self._kept[1]
        self._seen = (live, self.grid)
        owner = self.placed.fitted.id
        spool = max(-1.1, min(1.1, live.state(owner, "spool")))
        role = self.placed.role
        assert isinstance(role, DirectionalValve)
        lever = live.control(owner, role.lever) if role.lever else 0.0
        open_centre = role.gallery[0] in self.placed.fitted.part.ports
        bypass = live.value(owner, "bypass_area") if open_centre else 0.0
        full = live.value(owner, role.neutral)
        shut = _SHUT * full
        ways = (*_WAYS, *_ROUND.get(self._centre, ()))
        open_ways = [way for way in ways if live.value(owner, f"{way}_area") > shut]
        pinch = 0 if bypass <= shut else (1 if bypass < 0.8 * full else 2)
        if not open_centre:
            pinch = -1
        beside = self._beside(live, open_ways)
        way = 0 if abs(spool) <= 0.02 else (1 if spool > 0 else -1)
        shift = on_grid(TRAVEL * spool, self.grid)
        place = shift if self.grid else round(spool, 3)
        key = (place, way, round(lever, 2), tuple(open_ways), pinch, beside)
        if self._kept is None or self._kept[0] != key:
            self._kept = (key, self._draw(shift, way, lever, open_ways, pinch, beside))
        return self._kept[1]

    @cached_property
    def _centre(self) -> str:
        """The word for its centre, "" where all of its kind have the same."""
        fitted = self.placed.fitted
        return fitted.choice("centre") if "centre" in fitted.part.declared(Choice) else ""

    @cached_property
    def _piloted(self) -> bool:
        """Whether pilot pressure moves it, and no hand."""
        return not getattr(self.placed.role, "lever", "")

    def _beside(self, live: Live, open_ways: list[str]) -> tuple[tuple[str, str, str], ...]:
        """Return (start, end, stream) of port valves that pass oil between ports which the spool shuts."""
        fitted, found = self.placed.fitted, []
        for port in ("A", "B"):
            shut = not {f"P_{port}", "A_T", "B_T"} & set(open_ways)
            if shut and fitted.choice("port_reliefs") in (port, "both"):
                for start, end, valve in (("T", port, "anti_cavitation"), (port, "T", "port_relief")):
                    if live.stream(fitted.id, f"{port}_{valve}") > self.standing / 2:  # both together stay below
                        found.append((start, end, f"{port}_{valve}"))
        return tuple(found)

    def look(self, live: Live) -> Hashable:
        """Return what differs where the section looks different."""
        self.picture(live)
        return self._kept[0] if self._kept else None

    def envelope(self, live: Live) -> tuple[float, float, float, float]:
        """Return where the squares are now (left, top, width, height) [px]."""
        shift = TRAVEL * max(-1.1, min(1.1, live.state(self.placed.fitted.id, "spool")))
        return self.placed.x - HALF, self.placed.y + round(shift, 1) - 3 * HALF, 2 * HALF, 6 * HALF

    def _draw(
        self,
        shift: float,
        way: int,
        lever: float,
        open_ways: list[str],
        pinch: int,
        beside: tuple[tuple[str, str, str], ...],
    ) -> SectionPicture:
        x, y = self.placed.x, self.placed.y
        bottom = y + shift + 3 * HALF
        wide = self.theme.outline
        past = frozenset(port for start, end, _ in beside for port in (start, end))
        past |= {port for one in open_ways if one not in _SIDES.get(way, ()) for port in one.split("_")}
        key = (way, tuple(open_ways) if way else (), pinch, past)
        if key not in self._envelopes:
            self._envelopes[key] = tuple(self._envelope(*key))
        under: list[Shape | Sliding] = [Sliding(self._envelopes[key], shift)]
        if self._piloted:
            under += self._pilots(shift)
            passages, over = self._passages(shift, way, open_ways, pinch, beside)
            return SectionPicture(under, passages, over, self._letters(shift))
        tilt = math.radians(26 * lever)
        knob = (on_grid(x + 28 * math.sin(tilt), self.grid), on_grid(bottom + 14 + 28 * math.cos(tilt), self.grid))
        asked = "accent" if abs(lever) > 0.005 else "ink"
        under += [Path(((x, bottom + 14), knob), width=wide + 1), Sliding(_KNOBS[asked], knob[1], knob[0])]
        words: list[Words] = []
        if asked == "accent":
            whole = round(100 * lever)
            text = f"{'−' if whole < 0 else ''}{abs(whole)} %"
            about = Figure("part", self.placed.fitted.id, "ratio")
            words.append(Words(x + 34, bottom + 40, text, self.theme.label, "accent", 600, about=about))
        passages, over = self._passages(shift, way, open_ways, pinch, beside)
        return SectionPicture(under, passages, over, [*words, *self._letters(shift)])

    def _letters(self, shift: float) -> list[Words]:
        """Return the letters of its ports, where the squares leave them room."""
        if not self.letters or 1 <= abs(shift) <= 0.95 * TRAVEL:
            return []
        x, y = self.placed.x, self.placed.y
        return [
            Words(x + side * 44, y + down, letter, self.theme.label, "ink", 600, "centre")
            for letter, side, down in (("P", -1, -30), ("T", -1, 41), ("A", 1, -30), ("B", 1, 41))
        ]

    def _pilots(self, shift: float) -> list[Shape | Sliding]:
        """Return the pilot lines from the fixed ports to the ends of its spool."""
        x, y = self.placed.x + 20, self.placed.y
        ends = ((y - 170, y + shift - 3 * HALF - 10), (y + 170, y + shift + 3 * HALF + 10))
        return [Path(((x, fixed), (x, end)), width=self.theme.outline, dash=(9.0, 5.0)) for fixed, end in ends]

    def _envelope(self, way: int, open_ways: tuple[str, ...], pinch: int, past: frozenset[str]) -> list[Shape]:
        """Return what slides with the spool, as it lies in neutral: squares, spring and stem."""
        x, centre, wide = self.placed.x, self.placed.y, self.theme.outline
        active = centre - way * 2 * HALF
        under: list[Shape] = [
            Path(_box(x - HALF, centre - 3 * HALF, x + HALF, centre + 3 * HALF), None, 0.0, "cell", closed=True)
        ]
        if way:
            under.append(
                Path(
                    _box(x - HALF, active - HALF, x + HALF, active + HALF),
                    None,
                    0.0,
                    "accent-pale",
                    closed=True,
                )
            )
        under.append(Path(_box(x - HALF, centre - 3 * HALF, x + HALF, centre + 3 * HALF), width=wide, closed=True))
        for line in (-HALF, HALF):
            under.append(Path(((x - HALF, centre + line), (x + HALF, centre + line)), width=wide))
        under += self._squares(x, centre, open_ways, pinch, past)
        top, bottom = centre - 3 * HALF, centre + 3 * HALF
        if self._piloted:
            for end, away in ((top, -1), (bottom, 1)):
                under.append(Path(tuple(zigzag((x - 15, end), (x - 15, end + away * 22), 8, 5)), width=wide))
                tip = ((x + 20, end), (x + 14, end + away * 10.4), (x + 26, end + away * 10.4))
                under.append(Path(tip, None, 0.0, "ink", closed=True))
            return under
        under.append(Path(tuple(zigzag((x, top), (x, top - 22), 11, 5)), width=wide))
        under.append(Path(((x - 12, top - 24), (x + 12, top - 24)), width=wide))
        under += [Path(((x + side, bottom), (x + side, bottom + 16)), width=wide) for side in (-3, 3)]
        return under

    def _squares(
        self, x: float, centre: float, open_ways: Collection[str], pinch: int, past: Collection[str]
    ) -> list[Shape]:
        """Return the line work of the three squares, without the passages that are drawn as pipes."""
        wide = self.theme.outline
        shapes: list[Shape] = []

        def tee(side: int, row: float, length: float = 9.0) -> None:
            edge, end = x + side * HALF, x + side * (HALF - length)
            shapes.append(Path(((edge, row), (end, row), (end, row - 6), (end, row + 6)), width=wide))

        top, bottom = centre - 2 * HALF, centre + 2 * HALF
        if "P_A" not in open_ways:
            shapes += arrow((x - HALF, top - 20), (x + HALF, top - 20), wide)
        if "B_T" not in open_ways:
            shapes += arrow((x + HALF, top + 20), (x - HALF, top + 20), wide)
        if pinch == 0:
            shapes += arrow((x - HALF, centre), (x + HALF, centre), wide)
        if "P_B" not in open_ways:
            shapes += arrow((x - HALF, bottom - 20), (x + HALF, bottom + 20), wide)
        if "A_T" not in open_ways:
            shapes += arrow((x + HALF, bottom - 20), (x - HALF, bottom + 20), wide)
        joined = frozenset(past) if self._centre in ("", "closed") else _JOINED[self._centre]
        if joined.difference(past):
            shapes += self._middle(x, centre)
        for side in (-1, 1):
            if pinch >= 0:
                tee(side, top)
                tee(side, bottom, 7.0)
            for port, row in (("P" if side < 0 else "A", -20), ("T" if side < 0 else "B", 20)):
                if port not in past and port not in joined:
                    tee(side, centre + row)
        return shapes

    def _middle(self, x: float, y: float) -> list[Shape]:
        """Return the line work of a centre that joins ports, as long as no oil's pipe is drawn there."""
        left, right = x - HALF, x + HALF
        ways: dict[str, tuple[tuple[Point, ...], ...]] = {
            "tandem": (((left, y - 20), (x - 8, y - 20), (x - 8, y + 20), (left, y + 20)),),
            "open": (
                ((left, y - 20), (right, y - 20)),
                ((left, y + 20), (right, y + 20)),
                ((x, y - 20), (x, y + 20)),
            ),
            "float": (((right, y - 20), (x, y - 20), (x, y + 20)), ((left, y + 20), (right, y + 20))),
            "regenerative": (((left, y - 20), (right, y - 20)), ((x, y - 20), (x, y + 20), (right, y + 20))),
        }
        wide = self.theme.outline
        shapes: list[Shape] = [Path(way, width=wide) for way in ways.get(self._centre, ways["float"])]
        if self._centre == "motor":  # throttled
            shapes += [
                Arc(x + 18, y + row + side * 9, 7, 90 - side * 180 - 45 + (0 if side < 0 else 180), 90, width=wide)
                for row in (-20, 20)
                for side in (-1, 1)
            ]
        return shapes

    def _passages(
        self, shift: float, way: int, open_ways: list[str], pinch: int, beside: tuple[tuple[str, str, str], ...]
    ) -> tuple[list[Passage], list[Shape | Sliding]]:
        x, y = self.placed.x, self.placed.y
        found: list[Passage] = []
        over: list[Shape | Sliding] = []
        joined: set[str] = set()

        def through(start: str, end: str, stream: str, rows: tuple[float, float], pinched: bool = False) -> None:
            joined.update((start, end))
            side = -1 if start in _LEFT else 1
            one, other = y + _ROWS[start], y + _ROWS[end]  # 6 px straight on, so that the bend is mitred
            a = ((x + side * (FIXED + 6), one), (x + side * FIXED, one), (x + side * HALF, y + rows[0]))
            b = ((x - side * HALF, y + rows[1]), (x - side * FIXED, other), (x - side * (FIXED + 6), other))
            middle = (x, y + (rows[0] + rows[1]) / 2)
            tracks = (Track((a[2], middle), end_gap=4.0), Track((middle, b[0]), end_gap=4.0))
            past = (middle[0] - 0.6 * side, middle[1])  # the halves overlap, so that no seam shows
            found.append(Passage(start, end, stream, ((*a, past), (middle, *b)), tracks, pinched))

        top = shift - 2 * HALF if way > 0 else shift
        bottom = shift + 2 * HALF if way < 0 else shift
        if pinch > 0:
            through("C", "C1", "past_spool", (shift, shift), pinch == 1)
        if "B_T" in open_ways:
            through("B", "T", "B_to_T", (top + 20, top + 20))
        if "P_B" in open_ways:
            through("P", "B", "P_to_B", (bottom - 20, bottom + 20))
        if "A_T" in open_ways:
            through("A", "T", "A_to_T", (bottom - 20, bottom + 20))
        if "P_A" in open_ways:
            through("P", "A", "P_to_A", (top - 20, top - 20))
        if "P_T" in open_ways:  # both at its left: in, down and out again
            joined.update("PT")
            a = ((x - FIXED - 6, y - 20), (x - FIXED, y - 20), (x - HALF, y + shift - 20), (x - 8, y + shift - 20))
            b = ((x - 8, y + shift + 20), (x - HALF, y + shift + 20), (x - FIXED, y + 20), (x - FIXED - 6, y + 20))
            tracks = (Track(a[2:], end_gap=4.0), Track(b[:2], end_gap=4.0))
            turn = (x - 8, y + shift)
            found.append(Passage("P", "T", "P_to_T", ((*a, turn), (turn, *b)), tracks))
        for start, end, stream in beside:
            port = end if start == "T" else start
            rows = {"T": shift + _ROWS["T"], port: shift + _ROWS[port]}
            through(start, end, stream, (rows[start], rows[end]))
            over += self._ball(x, y + rows["T"], y + rows[port], 1 if start == "T" else -1)
        for port, row in _ROWS.items():
            if port not in joined and port in self.placed.fitted.part.ports:
                stub = self._stubs.get(port)
                if stub is None:
                    side = -1 if port in _LEFT else 1
                    points = ((x + side * FIXED, y + row), (x + side * HALF, y + row))
                    stub = self._stubs[port] = Passage(port, "", "", (points, ()))
                found.append(stub)
        if pinch == 1:
            over.append(Sliding(self._pinch, shift))
        over.append(self._feed_check)
        return found, over

    @cached_property
    def _pinch(self) -> tuple[Shape, ...]:
        """The arcs of a bypass that is nearly shut."""
        x, y, wide = self.placed.x, self.placed.y, self.theme.outline
        return tuple(
            Arc(x, y + side * 14, 11, 90 - side * 180 - 45 + (0 if side < 0 else 180), 90, width=wide)
            for side in (-1, 1)
        )

    @cached_property
    def _feed_check(self) -> Sliding:
        return Sliding(tuple(self._check(self.placed.x - 70, self.placed.y - 20)))

    def _ball(self, x: float, tank: float, port: float, way: int) -> list[Shape]:
        """Return the valve of a port on the way between T and it: a check valve, loaded by a spring as a relief."""
        at, down = (x, tank) if tank == port else (x - 15, tank + (port - tank) / 4)  # clear of the bypass
        spring = Path(tuple(zigzag((at - 7, down), (at - 22, down), 7, 4)), width=self.theme.outline)
        return [*self._check(at, down, way), *([spring] if way < 0 else [])]

    def _check(self, x: float, y: float, way: int = 1) -> list[Shape]:
        """Return a ball on its seat that lets oil pass to the right, or to the left."""
        seat = ((x + way * 1.5, y - 11.5), (x - way * 9.5, y), (x + way * 1.5, y + 11.5))
        return [Circle(x, y, _BALL, "ink", self.theme.outline, "cell"), Path(seat, width=self.theme.outline)]


def on_grid(place: float, grid: float) -> float:
    """Return a place [px] at a whole number of ``grid`` [px], or as it is where that is 0."""
    return round(place / grid) * grid if grid else place


def _box(left: float, top: float, right: float, bottom: float) -> tuple[Point, ...]:
    return (left, top), (right, top), (right, bottom), (left, bottom)


@dataclass
class CrankView:
    """A hand crank seen along its swing: the arm rises and falls as it turns."""

    placed: Placed
    theme: Theme

    def picture(self, angle: float) -> list[Shape]:
        """Return the crank at an angle [rad] from upright."""
        side = -1 if self.placed.mirror else 1
        x, y = self.placed.x - side * 10, self.placed.y
        reach = 60 * math.cos(angle)
        end = y - reach
        return [
            Path(
                ((x, y + math.copysign(4, reach)), (x, end - math.copysign(3, reach))),
                width=self.theme.main * 2.4,
            ),
            Path(((x, end), (x - side * 10, end)), width=self.theme.outline),
            Path(
                _box(*sorted_box(x - side * 10, end - 8, x - side * 28, end + 8)),
                width=self.theme.outline,
                fill="cell",
                closed=True,
            ),
        ]


def sorted_box(x0: float, y0: float, x1: float, y1: float) -> tuple[float, float, float, float]:
    """Return left, top, right, bottom of two corners."""
    return min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)


@dataclass
class MotorView:
    """A motor's shaft as it turns: a tick on the rim, and an arrow round the shaft while it moves."""

    placed: Placed
    theme: Theme

    def picture(self, angle: float, speed: float, turning: bool) -> list[Shape | Sliding]:
        """Return the tick at an angle [rad], and the arrow of a speed [rad/s] while it is turning."""
        x, y = self.placed.x, self.placed.y
        c, s = math.cos(angle), -math.sin(angle)
        tick = Path(((x + 21 * c, y + 21 * s), (x + 30 * c, y + 30 * s)), width=self.theme.main)
        return [tick, self._left if speed > 0 else self._right] if turning else [tick]

    @cached_property
    def _left(self) -> Sliding:
        return self._arrow(1)

    @cached_property
    def _right(self) -> Sliding:
        return self._arrow(-1)

    def _arrow(self, way: int) -> Sliding:
        x, y = self.placed.x, self.placed.y
        end, before = math.radians(180 + 34 * way), math.radians(180 + 19 * way)
        tip, back = ((x + 38 * math.cos(a), y - 38 * math.sin(a)) for a in (end, before))
        length = math.dist(tip, back)
        ux, uy = (tip[0] - back[0]) / length, (tip[1] - back[1]) / length
        head = (tip, (back[0] - 4.2 * uy, back[1] + 4.2 * ux), (back[0] + 4.2 * uy, back[1] - 4.2 * ux))
        around = Arc(x, y, 38, 180 - 34 * way, 55 * way, "accent", self.theme.outline)
        return Sliding((around, Path(head, None, 0.0, "accent", closed=True)))


@dataclass
class ReliefView:
    """The arrow in a pressure valve's square: beside the line when shut, in line when wide open."""

    placed: Placed
    theme: Theme
    _kept: tuple[float, Sliding] | None = field(default=None, init=False)

    def picture(self, opening: float) -> Sliding:
        """Return the arrow for an opening [0..1]."""
        offset = -10 * (1 - max(0.0, min(1.0, opening)))
        if self._kept is None or self._kept[0] != offset:
            across, down = turned((-offset if self.placed.mirror else offset, 0.0), self.placed.turn)
            self._kept = (offset, Sliding(self._open, down, across))
        return self._kept[1]

    @cached_property
    def _open(self) -> tuple[Shape, ...]:
        ways = (-19.0, 19.0) if self.placed.symbol.manner.moves == "back" else (19.0, -19.0)
        ends = [turned((0.0, y), self.placed.turn) for y in ways]
        start, end = ((across + self.placed.x, down + self.placed.y) for across, down in ends)
        return tuple(arrow(start, end, self.theme.outline))
