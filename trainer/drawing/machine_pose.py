"""Where a crane on its trailer is at one instant, in metres: its arm, what hangs from it, and what lies round it."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from operator import attrgetter
from types import SimpleNamespace
from typing import Any, Protocol

from trainer.parts.arm import BELLY, BOOM, STICK
from trainer.parts.yard import LOGS, STANDS, log_radius

__all__ = ["Log", "Place", "Pose", "Posed", "Stand", "pose_of"]

Place = tuple[float, float, float]  # ahead, left, up
_BARE = 0.15  # radius of what is drawn where nothing is carried
_CLOSED = 0.02  # share of the stroke that tongs may be short of a hooked load and look closed on it
_UPPER = 0.35 / 1.35  # share of the link that is the upper one; the grapple is the other
_HUNG = ("hung_ahead", "hung_left", "hung_up")
_LYING, _HELD = 1, 2


class Posed(Protocol):
    """What a pose is found of: states, readings and parameters of parts, by id and own name [SI]."""

    def state(self, part: str, name: str) -> float:
        """Return a state of a part."""

    def value(self, part: str, name: str) -> float:
        """Return a reading that a part gives of itself."""

    def parameter(self, part: str, name: str) -> float:
        """Return a parameter of a part."""


@dataclass(frozen=True, slots=True)
class Stand:
    """What stands on the ground: its middle, its length ahead, its width, its height [m]."""

    name: str
    ahead: float
    left: float
    long: float
    wide: float
    height: float


@dataclass(frozen=True, slots=True)
class Log:
    """A log: its middle and radius [m]; it lies across the way to its place, or across the arm that carries it."""

    place: Place
    radius: float
    carried: bool


@dataclass(slots=True)
class Pose:
    """Where the machine is [SI]: angles as in ``Crane``; feet, loads and grounds of ``Trailer``, left then right.

    ``body`` is the middle of the tongs; ``belly`` how far the tongs reach below it; ``log_length`` of all logs.
    ``hooked`` is the radius of a load hooked on by hand, 0 for none; ``closed`` whether the tongs are closed on it.
    """

    slew: float
    boom: float
    stick: float
    pivot: float
    link: float
    body: Place
    belly: float
    sway: float
    sway_out: float
    load: float
    held: float
    over: float
    contact: float
    limit: float
    shut: float
    reach: float
    log_length: float
    hooked: float = 0.0
    closed: bool = False
    logs: tuple[Log, ...] = ()
    stands: tuple[Stand, ...] = ()
    mark: tuple[float, float, float] = (0.0, 0.0, 0.0)  # ahead, left, width
    heave: float = 0.0
    roll: float = 0.0
    spread: float = 0.0
    track: float = 0.8
    feet: tuple[float, ...] = ()
    loads: tuple[float, ...] = ()
    grounds: tuple[float, ...] = ()
    tip: Place = field(init=False)
    elbow: Place = field(init=False)

    def __post_init__(self) -> None:
        self.stand()

    def stand(self) -> None:
        """Find tip and elbow for where the machine stands."""
        fold = self.boom + self.stick
        self.tip = self.there(self.reach, BOOM * math.sin(self.boom) + STICK * math.sin(fold))
        self.elbow = self._elbow()

    def there(self, out: float, up: float) -> Place:
        """Return a place in the arm's plane, from the boom's pivot, on the ground's axes."""
        side, up = out * math.sin(self.slew), self.pivot + up
        lean, level = math.sin(self.roll), math.cos(self.roll)
        return out * math.cos(self.slew), side * level - up * lean, self.heave + up * level + side * lean

    def out(self, place: Place) -> float:
        """Return how far out in the arm's direction a place is."""
        return place[0] * math.cos(self.slew) + place[1] * math.sin(self.slew)

    def aside(self, place: Place) -> float:
        """Return how far to the left of the arm a place is."""
        return place[1] * math.cos(self.slew) - place[0] * math.sin(self.slew)

    @property
    def lean(self) -> float:
        """How far the arm's plane leans outward and down, backward positive [rad]."""
        return self.roll * math.sin(self.slew)

    @property
    def carries(self) -> Log | None:
        """The log that the grapple holds, or the one that is hooked on: that one lies on the tongs' belly."""
        held = next(filter(attrgetter("carried"), self.logs), None)
        if held is not None or not self.hooked:
            return held
        x, y, z = self.body
        return Log((x, y, z - self.belly + self.hooked), self.hooked, carried=True)

    @property
    def gripped(self) -> Log | None:
        """What the tongs are closed round, None while they are not."""
        log = self.carries
        return log if log in self.logs or self.closed else None

    @property
    def radius(self) -> float:
        """The radius of what is carried, a usual one where nothing is [m]."""
        return log.radius if (log := self.carries) else _BARE

    def _elbow(self) -> Place:
        """Return where link and grapple meet: straight while they pull, folded outward while they are slack."""
        one, other = _UPPER * self.link, (1 - _UPPER) * self.link
        along = [b - t for b, t in zip(self.body, self.tip, strict=True)]
        far = math.hypot(*along) or 1e-9
        along = [a / far for a in along]
        if far >= one + other:
            share = one / (one + other) * far
            return self._off(along, share, (0.0, 0.0, 0.0), 0.0)
        share = min(max((one**2 - other**2 + far**2) / (2 * far), -one), one)
        outward = (math.cos(self.slew), math.sin(self.slew), 0.0)
        dot = sum(a * b for a, b in zip(outward, along, strict=True))
        across = [b - dot * a for a, b in zip(along, outward, strict=True)]
        size = math.hypot(*across)
        across = [a / size for a in across] if size > 1e-6 else [0.0, 0.0, 1.0]
        return self._off(along, share, (across[0], across[1], across[2]), math.sqrt(one**2 - share**2))

    def _off(self, along: list[float], far: float, across: Place, aside: float) -> Place:
        x, y, z = (t + far * a + aside * b for t, a, b in zip(self.tip, along, across, strict=True))
        return x, y, z


def pose_of(live: Posed, crane: str, trailer: str, grapple: str) -> Pose:
    """Return the machine's pose at one instant; parts by id, "" for none."""
    shut = live.state(crane, "tongs") / live.parameter(crane, "tongs_stroke")
    belly = BELLY[0] - BELLY[1] * shut
    closed = shut > live.parameter(crane, "hooked") - _CLOSED
    load, held = live.value(crane, "load"), live.value(crane, "held")
    if grapple:
        shut = live.state(grapple, "x") / live.parameter(grapple, "reach")
    pose = Pose(
        slew=live.state(crane, "slew"),
        boom=live.state(crane, "boom"),
        stick=live.state(crane, "stick"),
        pivot=live.parameter(crane, "pivot"),
        link=live.parameter(crane, "link"),
        body=_place(live, crane, *_HUNG),
        belly=belly,
        sway=live.value(crane, "sway"),
        sway_out=live.value(crane, "sway_out"),
        load=load,
        held=held,
        over=live.value(crane, "load_height"),
        contact=live.value(crane, "contact"),
        limit=live.parameter(crane, "slew_range"),
        shut=min(max(shut, 0.0), 1.0),
        reach=live.value(crane, "reach"),
        log_length=live.parameter(crane, "log_length"),
        hooked=_radius(live, crane, load - held) if load > held else 0.0,
        closed=closed,
        logs=tuple(_logs(live, crane)),
        stands=tuple(stand for name in STANDS if name != "bed" and (stand := _stand(live, crane, name)).height > 0),
        mark=(
            live.parameter(crane, "mark_ahead"),
            live.parameter(crane, "mark_left"),
            live.parameter(crane, "mark_size"),
        ),
    )
    return _stand_on(pose, live, trailer) if trailer else pose


def _place(live: Posed, crane: str, *names: str) -> Place:
    x, y, z = (live.state(crane, name) for name in names)
    return x, y, z


def _stand(live: Posed, crane: str, name: str) -> Stand:
    return Stand(
        name, *(live.parameter(crane, f"{name}_{what}") for what in ("ahead", "left", "long", "wide", "height"))
    )


def _radius(live: Posed, crane: str, mass: float) -> float:
    """Return the radius of a log by its mass."""
    at: Any = SimpleNamespace(**{name: live.parameter(crane, name) for name in ("log_density", "log_length")})
    return float(log_radius(at, mass))


def _logs(live: Posed, crane: str) -> list[Log]:
    found = []
    for log in LOGS:
        number = round(live.state(crane, log))
        if number:
            radius = _radius(live, crane, live.parameter(crane, f"{log}_mass"))
            x, y, z = (live.value(crane, f"{log}_at_{axis}") for axis in ("ahead", "left", "up"))
            found.append(Log((x, y, z), radius, number == _HELD))
    return found


def _stand_on(pose: Pose, live: Posed, trailer: str) -> Pose:
    """Put a machine on its trailer."""
    pose.heave, pose.roll = live.value(trailer, "heave"), live.value(trailer, "roll")
    pose.spread, pose.track = live.parameter(trailer, "spread"), live.parameter(trailer, "track")
    pose.feet = (live.value(trailer, "foot_1"), live.value(trailer, "foot_2"))
    pose.loads = (live.value(trailer, "load_1"), live.value(trailer, "load_2"))
    pose.grounds = (live.parameter(trailer, "ground1"), live.parameter(trailer, "ground2"))
    pose.stand()
    return pose
