"""What happens at the end of a rod or a shaft: the load with its force, and the speed that the operator gets."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from trainer import units
from trainer.drawing.functions import twins
from trainer.drawing.meters import covered_figure, figures
from trainer.drawing.moving import arrow
from trainer.drawing.placed import Layout, Placed
from trainer.drawing.scene_state import SceneState
from trainer.drawing.shapes import Figure, Point, Shape, Sliding, Words
from trainer.drawing.symbols.symbol import moved
from trainer.drawing.theme import Theme
from trainer.language import mark, tr
from trainer.parts.part import Parameter
from trainer.parts.roles import Actuator, Load, Transmission
from trainer.rig.live import Live
from trainer.rig.rig import Rig
from trainer.units import System

__all__ = ["RodEnd", "ShaftEnd", "rod_ends", "shaft_ends"]

_STARTS, _STOPS = 2e-3, 0.8e-3  # a rod is told to move above the first, until it falls below the second [m/s]
_TURNS, _RESTS = 0.012, 0.005  # the same for a slewed shaft [rad/s]


def _speed(
    x: float, y: float, speed: float, way: str, theme: Theme, system: System, align: str, covered: bool, of: str
) -> list[Shape]:
    """Return a speed with its way, hatched where it is covered."""
    text, unit = figures(abs(speed), "speed", system)
    about = Figure("part", of, "speed")
    if covered:
        return covered_figure(x, y, f"{unit} {way}", theme, align, about=about)
    return [Words(x, y, f"{text} {unit} {way}", theme.label, "accent", 600, align, about)]


def _went(moving: set[str], name: str, speed: float, starts: float, stops: float) -> bool:
    """Return whether something counts as moving, remembering it in ``moving``."""
    if abs(speed) > (stops if name in moving else starts):
        moving.add(name)
        return True
    moving.discard(name)
    return False


@lru_cache(maxsize=16)
def _arrow_at(out: int, pressed: bool, width: float) -> tuple[Shape, ...]:
    """Return the arrow of a force onto a rod's end at 0, 0, or away from it; ``out``: 1 where the rod points down."""
    near, far = (0.0, 3.0 * out), (0.0, 25.0 * out)
    return tuple(arrow(far, near, width) if pressed else arrow(near, far, width))


@dataclass(frozen=True, slots=True)
class RodEnd:
    """The end of a cylinder's rod: its line, the loads drawn on it, the words for its two ways, its side for text.

    ``bodies`` are the loads' shapes without words; ``shared``: the load is drawn with another cylinder of the rod.
    """

    cylinder: Placed
    line: str
    loads: tuple[Placed, ...]
    ways: tuple[str, str] = ("out", "in")
    side: int = 1
    bodies: tuple[tuple[Shape, ...], ...] = ()
    shared: bool = False

    def picture(
        self, live: Live, theme: Theme, view: SceneState, tip: Point, covered: bool = False
    ) -> tuple[list[Sliding], list[Shape]]:
        """Return (loads and arrows, figures) at the rod's tip; of what is shown elsewhere, while it moves.

        ``covered``: a flow is to be predicted, and the rod's speed would tell it; its unit and its way stay.
        """
        if self.loads:
            bodies, figured = list[Sliding](), list[Shape]()
            for load, body in zip(self.loads, self.bodies, strict=True):
                if not load.symbol.manner.fixed:
                    anchor = load.symbol.anchors["rod"]
                    by = (tip[0] - anchor.x, tip[1] - anchor.y)
                    bodies.append(Sliding(body, by[1], by[0]))
                    figured += self._figures(load, live, theme, view.system, by, covered)
            return bodies, figured
        own, speed = self.cylinder.fitted.id, live.speed(self.line)
        if self.shared or not _went(view.moving, own, speed, _STARTS, _STOPS):
            return [], []
        force = live.value(own, "force")
        key = (speed > 0, covered, view.system)
        words = view.print(own, key, lambda: self._words(force, speed, theme, view.system, covered))
        if self.cylinder.turn % 180 == 0:
            return [], words
        out = -1 if self.cylinder.upwards else 1
        return [Sliding(_arrow_at(out, force >= 0, theme.outline), tip[1], tip[0])], words

    def _words(self, force: float, speed: float, theme: Theme, system: System, covered: bool) -> list[Shape]:
        """Return force and speed at the cylinder."""
        x, y, align = self._place()
        own = self.cylinder.fitted.id
        told = tr("Load {told}").format(told=" ".join(figures(abs(force), "force", system)))
        way = tr(self.ways[0] if speed > 0 else self.ways[1])
        return [
            Words(x, y, told, theme.label, "ink", 600, align, Figure("part", own, "force")),
            *_speed(x, y + 1.15 * theme.label, speed, way, theme, system, align, covered, own),
        ]

    def _place(self) -> tuple[float, float, str]:
        x, y = self.cylinder.x, self.cylinder.y
        if self.cylinder.turn % 180 == 0:
            left = (self.cylinder.turn == 180) != self.cylinder.mirror
            return x + (-110 if left else 110), y - 2, "right" if left else "left"
        out = -1 if self.cylinder.upwards else 1
        return x + 20 * self.side, y + out * (78 if out < 0 else 70), "left" if self.side > 0 else "right"

    def _figures(
        self, load: Placed, live: Live, theme: Theme, system: System, by: Point, covered: bool
    ) -> list[Shape]:
        """Return what is written on a load that has gone ``by`` [px]: its force, and the speed the operator gets."""
        (dx, dy), drawn = by, load.symbol.drawn()
        shapes: list[Shape] = [moved(shape, dx, dy) for shape in drawn if isinstance(shape, Words)]
        x, y = load.x + dx, load.y + dy
        size, name, own = theme.label, theme.name_size, load.fitted.id
        known = load.fitted.part.declared(Parameter).get("mass")
        if known is not None and known.load:  # else it is not what the load is told by
            mass = " ".join(units.text(live.parameter(load.fitted.id, "mass"), "mass", system))
            shapes.append(Words(x, y + 0.33 * name, mass, name, "ink", 600, "centre", Figure("part", own, "mass")))
        right = load.box[2] + dx + 12
        if known is None or not known.load:  # an arrow, not a box: beside it, clear of the pipe at the rod's end
            y -= 1.4 * size
        force = " ".join(figures(live.value(load.fitted.id, "force"), "force", system))
        shapes.append(Words(right, y - 3, f"F  {force}", size, "ink", 600, about=Figure("part", own, "force")))
        speed = live.speed(self.line)
        if abs(speed) > 2e-4:
            ways = (mark("up"), mark("down")) if self.cylinder.upright else self.ways
            way = tr(ways[0] if speed > 0 else ways[1])
            shapes += _speed(right, y + 4 + size, speed, way, theme, system, "left", covered, self.cylinder.fitted.id)
        return shapes


@dataclass(frozen=True, slots=True)
class ShaftEnd:
    """What a motor turns: its own shaft line, and the last one behind its gears; ``ways`` of a load that has them."""

    motor: Placed
    line: str
    last: str
    ways: tuple[str, str] | None

    def turning(self, live: Live, moving: set[str]) -> bool:
        """Return whether the shaft counts as turning."""
        return _went(moving, self.motor.fitted.id, live.speed(self.last), _TURNS, _RESTS)

    def words(self, live: Live, theme: Theme, view: SceneState, covered: bool = False) -> list[Shape]:
        """Return torque and speed above the motor; ``covered`` as at a rod's end.

        What goes this way or that is told in degrees a second, as an operator sees it; else the motor's own shaft is
        told as a tachometer on it would.
        """
        speed = live.speed(self.last if self.ways else self.line)
        key = (speed > 0, covered, view.system)
        return view.print(self.motor.fitted.id, key, lambda: self._words(live, speed, theme, view.system, covered))

    def _words(self, live: Live, speed: float, theme: Theme, system: System, covered: bool) -> list[Shape]:
        torque = " ".join(units.text(abs(live.value(self.motor.fitted.id, "torque")), "torque", system, 0))
        turns, unit = units.text_in(abs(speed), units.unit("deg/s" if self.ways else "r/min"), 0)
        told = f"{unit} {tr(self.ways[0] if speed > 0 else self.ways[1])}" if self.ways else unit
        x, y, size, own = self.motor.x + 8, self.motor.y - 63, theme.label, self.motor.fitted.id
        words: list[Shape] = [
            Words(
                x,
                y - 1.15 * size,
                tr("Torque {torque}").format(torque=torque),
                size,
                "ink",
                600,
                about=Figure("part", own, "torque"),
            )
        ]
        about = Figure("part", own, "shaft speed")
        if covered:
            return [*words, *covered_figure(x, y, told, theme, "left", about=about)]
        return [*words, Words(x, y, f"{turns} {told}", size, "accent", 600, about=about)]


def _ways(rig: Rig, line: str) -> tuple[str, str] | None:
    """Return what goes on at the load on a rod or a shaft, one way and the other; None where it does not tell."""
    told = [(to, fro) for _, port, role in rig.at_ports(line, Load) for at, to, fro in role.ways if at == port]
    return told[-1] if told else None


def rod_ends(rig: Rig, layout: Layout) -> dict[str, RodEnd]:
    """Return the rod end of every cylinder."""
    found: dict[str, RodEnd] = {}
    first_of_twins = set(twins(rig))
    for id_, part in layout.placed.items():
        if part.symbol.manner.moves != "piston":
            continue
        line = rig.line_of(id_, "rod")
        ways = _ways(rig, line.name) or ("out", "in")
        loads = tuple(layout.placed[load] for load, by in layout.rods.items() if by == id_)
        side = -1 if id_ in first_of_twins else 1
        bodies = tuple(tuple(s for s in load.symbol.drawn() if not isinstance(s, Words)) for load in loads)
        shared = not loads and any(owner in layout.rods for owner, _ in line.joins)
        found[id_] = RodEnd(part, line.name, loads, ways, side, bodies, shared)
    return found


def shaft_ends(rig: Rig, layout: Layout) -> dict[str, ShaftEnd]:
    """Return what every motor turns, followed through its gears."""
    found: dict[str, ShaftEnd] = {}
    for id_, role in rig.having(Actuator).items():
        if role.linear:
            continue
        first = last = rig.line_of(id_, role.output)
        seen = {id_}
        while gears := [
            (o, port, r) for o, port, r in rig.at_ports(last.name, Transmission) if r.geared and o not in seen
        ]:
            gear, port, own = gears[0]
            seen.add(gear)
            last = rig.line_of(gear, next(end for end in own.ends if end != port))
        found[id_] = ShaftEnd(layout.placed[id_], first.name, last.name, _ways(rig, last.name))
    return found
