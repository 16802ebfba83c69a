"""How a scene is drawn, and what one view of it remembers between frames."""

from __future__ import annotations

from dataclasses import dataclass, field

from trainer.drawing.theme import THEMES, Theme
from trainer.units import System

__all__ = ["SceneOptions", "SceneState"]


@dataclass(frozen=True, slots=True)
class SceneOptions:
    """How a rig is drawn: theme, the unit system of what stands still, port letters at the sections."""

    theme: Theme = THEMES["light"]
    system: System = System.METRIC
    letters: bool | None = None  # None: where there are at most two sections


@dataclass(slots=True)
class SceneState:
    """What one view remembers between frames.

    ``covered`` holds names of instruments; ``reduced`` keeps the flow marks standing; ``phases`` [px], ``steps``
    and the ids of ``moving`` actuators are kept here by the scene.
    """

    system: System = System.METRIC
    covered: set[str] = field(default_factory=set)
    reduced: bool = False
    phases: dict[object, float] = field(default_factory=dict)
    steps: dict[str, int] = field(default_factory=dict)
    moving: set[str] = field(default_factory=set)
