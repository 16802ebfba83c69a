"""How a scene is drawn, and what one view of it remembers between frames."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from dataclasses import dataclass, field

from trainer.drawing.shapes import Shape
from trainer.drawing.theme import THEMES, Theme
from trainer.units import System

__all__ = ["Place", "SceneOptions", "SceneState", "StepShown"]

Place = tuple[str, str]  # ("part", id), ("line", name) or ("instrument", name)


@dataclass(frozen=True, slots=True)
class SceneOptions:
    """How a rig is drawn: theme, the unit system of what stands still, port letters at the sections."""

    theme: Theme = THEMES["light"]
    system: System = System.METRIC
    letters: bool | None = None  # None: where there are at most two sections


@dataclass(frozen=True, slots=True)
class StepShown:
    """A numbered step of a path: the place it gets to, the (part, port) by which it enters, a word beside it."""

    number: int
    place: Place
    entry: tuple[str, str] | None = None
    words: str = ""


@dataclass(slots=True)
class SceneState:
    """What one view remembers between frames.

    ``covered`` holds names of instruments; ``unseen`` hides the pressure of every line
    but the tank's, ``unseen_flows`` all flows and what would tell them, the speeds of rods and shafts,
    ``unseen_heat`` the oil's temperature; ``unmarked`` leaves the flow marks out, ``reduced`` keeps them
    standing; ``lit`` has a halo; ``chosen`` has the keyboard's ring; ``steps_shown`` are numbered on the lines;
    ``nameless``: no ids, names or sizes are written. ``needles`` and ``told`` are what instruments stand at and what
    is read off them [SI], by name; the truth where nothing is given. ``phases`` [px], ``steps``, the ids of
    ``moving`` actuators and the looks ``seen`` last are kept here by the scene. With ``steady`` the figures
    ``printed`` are those of one instant until nothing stands there.
    """

    system: System = System.METRIC
    covered: set[str] = field(default_factory=set)
    unseen: bool = False
    unseen_flows: bool = False
    unseen_heat: bool = False
    unmarked: bool = False
    reduced: bool = False
    lit: set[Place] = field(default_factory=set)
    chosen: Place | None = None
    steps_shown: tuple[StepShown, ...] = ()
    nameless: bool = False
    steady: bool = False
    needles: dict[str, float] = field(default_factory=dict)
    told: dict[str, float] = field(default_factory=dict)
    phases: dict[object, float] = field(default_factory=dict)
    steps: dict[str, int] = field(default_factory=dict)
    moving: set[str] = field(default_factory=set)
    seen: dict[str, tuple[Hashable, int]] = field(default_factory=dict)
    printed: dict[str, tuple[Hashable, list[Shape]]] = field(default_factory=dict)

    def print(self, what: str, key: Hashable, make: Callable[[], list[Shape]]) -> list[Shape]:
        """Return figures of something: those printed last where they are to be steady and the key is the same."""
        kept = self.printed.get(what)
        if kept is None or kept[0] != key or not self.steady:
            kept = self.printed[what] = (key, make())
        return kept[1]
