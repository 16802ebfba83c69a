"""A task of lever practice as data: goal, rig, laps, what is read, what counts. No code stands in one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from trainer.lessons.formulas import Condition
from trainer.lessons.lesson import Run
from trainer.rig.rig import Rig

__all__ = ["AIDS", "COVERS", "Bands", "Given", "Lap", "Roles", "Stop", "Task"]

AIDS = ("path", "target", "gauge", "none")  # each helps less than the one before
COVERS = ("nothing", "load", "machine")
Given = tuple[float, str]  # a number [SI] and its quantity


@dataclass(frozen=True, slots=True)
class Roles:
    """Which letter of the readings is what for the measures, and the numbers that a task is about.

    ``path`` are the axes of a place, ``line`` two places on them; ``carried`` are those of a load over the ground,
    ``spot`` is where it is to lie. ``sway`` are angles of a load on a ``link``; ``sinking`` is how fast it comes
    down. ``second`` is the lever that comes to what already moves; ``fine`` is where a lever meters finely.
    """

    place: str = ""
    speed: str = ""
    contact: str = ""
    sinking: str = ""
    pressure: str = ""
    behind: str = ""
    power: str = ""
    path: tuple[str, ...] = ()
    carried: tuple[str, ...] = ()
    relief: tuple[str, ...] = ()
    sway: tuple[str, ...] = ()
    second: str = ""
    target: Given | None = None
    within: Given | None = None
    band: tuple[Given, Given] | None = None
    line: tuple[Given, ...] = ()
    spot: tuple[Given, ...] = ()
    link: Given | None = None
    limit: Given | None = None
    moves: Given | None = None
    fine: tuple[float, float] = (0.15, 0.5)

    def numbers(self) -> dict[str, float]:
        """Return the numbers that formulas may name [SI]: target, within, low, high, limit, moves."""
        single = {"target": self.target, "within": self.within, "limit": self.limit, "moves": self.moves}
        found = {name: given[0] for name, given in single.items() if given is not None}
        if self.band is not None:
            found |= {"low": self.band[0][0], "high": self.band[1][0]}
        return found

    def letters(self) -> tuple[str, ...]:
        """Return all letters that are named."""
        single = (self.place, self.speed, self.contact, self.sinking, self.pressure, self.behind, self.power)
        return tuple(name for name in (*single, *self.path, *self.carried, *self.relief, *self.sway) if name)


@dataclass(frozen=True, slots=True)
class Lap:
    """One run of a task: its words ("250 kg"), how it begins, and its own numbers."""

    name: str
    words: str
    run: Run
    roles: Roles


@dataclass(frozen=True, slots=True)
class Stop:
    """What ends an attempt that is not done: when it does, and what happened in one sentence."""

    name: str
    when: Condition
    words: str


@dataclass(frozen=True, slots=True)
class Bands:
    """To where a measure is that of a practised hand, and to where it can be used; beyond is the rest."""

    practised: Given
    usable: Given


@dataclass(frozen=True, slots=True)
class Task:
    """A task. ``readings`` are courses of the rig by their letters; ``levers`` the controls that it is done with.

    ``done`` must hold for ``hold`` [s]; with ``after`` it must have held once, and the lap goes on so long [s].
    ``shown`` are three measures, the one that counts first: of error, of quality and of time. ``waits`` says for what
    a task waits that cannot be run yet; ``retention`` marks the one that asks others again a day later.
    """

    id: str
    code: str
    title: str
    goal: str
    counts: str
    rig_name: str = ""
    rig: Rig | None = None
    laps: tuple[Lap, ...] = ()
    shuffled: bool = False
    levers: tuple[str, ...] = ()
    readings: Mapping[str, str] = field(default_factory=dict)
    done: Condition | None = None
    hold: float = 0.5
    after: float = 0.0
    time: float = 60.0
    stops: tuple[Stop, ...] = ()
    bands: Mapping[str, Bands] = field(default_factory=dict)
    names: Mapping[str, str] = field(default_factory=dict)  # what its measures are called here
    shown: tuple[str, ...] = ()
    headline: str = ""
    aids: tuple[str, ...] = AIDS
    covered: str = COVERS[0]
    gauge: str = ""  # the instrument beside the machine
    cautions: tuple[str, ...] = ()
    advice: Mapping[str, str] = field(default_factory=dict)
    waits: str = ""
    retention: bool = False
    source: str = ""

    @property
    def runs(self) -> bool:
        """Whether it can be run by itself."""
        return bool(self.laps)

    @property
    def order(self) -> tuple[int, str]:
        """By what tasks stand in the ladder: E2 before E10."""
        digits = "".join(c for c in self.code if c.isdigit())
        return int(digits or 0), self.code
