"""At which instant of a run a question reads: while what moves goes steadily, or once it stands at its end."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from trainer.drawing.doings import moved_by
from trainer.engine.session import Session
from trainer.parts.roles import Actuator, PressureLimiter
from trainer.rig.live import Live
from trainer.rig.rig import Rig

__all__ = ["LATEST", "Instant", "find_instant", "opened_limiters"]

LATEST = 2.0  # s after the levers moved, at which a reading is asked for
_LOOK = 0.05  # s between looks
_TOLD = 2  # looks between instants that are told: in tenths of a second
_SPAN = 4  # looks over which a reading is to be at rest
_SOONEST = 10  # looks after the levers moved: a class has to see it move
_SPARE = 2  # looks that are left before an end
_GOES = {"speed": 5e-3, "shaft speed": 0.3}  # what is slower has not moved [m/s, rad/s]
_SLOWED = 0.2  # share of its quickest stretch below which what has moved stands
_OPEN = 0.05  # share of the pump's delivery through a pressure limiter that is open


@dataclass(frozen=True, slots=True)
class Instant:
    """An instant of a run: what can be read ``then``, and the ``course`` of a reading up to it, first and last.

    ``moving``: whether all that the levers move is on its way; nothing where they move nothing.
    """

    then: Live
    course: tuple[float, ...]
    moving: bool | None


def find_instant(
    ahead: Session, hands: Iterable[str], read: Callable[[Live], float], error: Callable[[Sequence[float]], float]
) -> Instant:
    """Go through a run, whose levers are set, and return the instant at which a reading means what moves it.

    While all that the ``hands`` move goes and before the first of it comes near its end, it is the latest instant
    at which the reading has changed by no more than its ``error`` (of a course) for a while, or else the one of the
    least change. Where there is too little way for that, it is such an instant after the end. Raises SolverError.
    """
    looks: list[Live] = [ahead.readings]
    latest = round(LATEST / _LOOK)
    for _ in range(latest + _SPARE + _SPAN):
        ahead.advance(_LOOK)
        looks.append(ahead.readings)
    values = [read(live) for live in looks]
    outputs = [one for control in hands for one in _outputs(ahead.rig, control)]
    ends = [_stands_from(looks, line, quantity) for line, quantity in outputs]
    end = min((end for end in ends if end is not None), default=len(looks))
    before = range(_SOONEST, min(latest, end - _SPARE) + 1, _TOLD)
    moving = len(before) > 0
    among = before if moving else range(latest, min(end, latest - _SPAN) + _SPAN - 1, -_TOLD)[::-1]

    def change(k: int) -> float:
        stretch = values[k - _SPAN : k + 1]
        return max(stretch) - min(stretch)

    still = [k for k in among if change(k) <= error(values)]
    at = still[-1] if still else min(among, key=change)
    return Instant(looks[at], tuple(values[: at + 1]), moving if outputs else None)


def _outputs(rig: Rig, control: str) -> list[tuple[str, str]]:
    """Return (line, quantity) of all rods and shafts that a lever moves."""
    found = []
    for id_ in moved_by(rig, control.partition(".")[0]):
        role = rig.parts[id_].part.role
        assert isinstance(role, Actuator)
        found.append((rig.line_of(id_, role.output).name, "speed" if role.linear else "shaft speed"))
    return found


def _stands_from(looks: Sequence[Live], line: str, quantity: str) -> int | None:
    """Return the look from which something stands, 0 where it has not moved; None where it still goes."""
    places = [0.0]
    for one, next_ in pairwise(looks):
        places.append(places[-1] + _LOOK * (one.speed(line) + next_.speed(line)) / 2)
    if quantity == "speed":
        places = [live.place(line) for live in looks]
    gone = [abs(places[k] - places[k - _SPAN]) for k in range(_SPAN, len(places))]
    if max(gone) < _GOES[quantity] * _SPAN * _LOOK:
        return 0
    near = _SLOWED * max(gone)
    if gone[-1] > near:
        return None
    return 1 + max((k for k, place in enumerate(places) if abs(place - places[-1]) > near), default=-1)


def opened_limiters(rig: Rig, live: Live) -> tuple[str, ...]:
    """Return the pressure limiters that let oil go at an instant."""
    return tuple(
        id_ for id_, role in rig.having(PressureLimiter).items() if live.flow(id_, role.inlet) > _OPEN * rig.delivery
    )
