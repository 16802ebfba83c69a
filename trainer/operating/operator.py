"""The operator: the one owner of what hands want of a rig's levers, speeds, loads and switches.

Widgets send intentions to its motions; at every tick it moves them and gives the session what changed.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Protocol

from trainer.operating.motions import LeverMotion, SpeedMotion, StepMotion
from trainer.parts.part import Control, Parameter
from trainer.rig.rig import Rig

__all__ = ["Motion", "Operated", "Operator"]

Motion = LeverMotion | SpeedMotion | StepMotion


class Operated(Protocol):
    """What is operated: a session; controls are "part.control" [SI]."""

    def control(self, name: str) -> float:
        """Return a control as it is set now."""

    def asked(self, name: str) -> float:
        """Return what a control is set to, or on its way to."""

    def set_control(self, name: str, value: float) -> None:
        """Set a control."""

    def bring(self, name: str, value: float) -> None:
        """Bring a control to a value as gently as it needs."""


class Operator:
    """The motions by "part.control": ``levers``, ``speeds``, ``steps`` (loads), ``switches``; ``motions`` are all."""

    def __init__(self, rig: Rig, read: Callable[[str], float]) -> None:
        self.levers: dict[str, LeverMotion] = {}
        self.speeds: dict[str, SpeedMotion] = {}
        self.steps: dict[str, StepMotion] = {}
        self.switches: dict[str, StepMotion] = {}
        for name, control in rig.controls().items():
            self._add(rig, name, control, read(name))
        self.motions: dict[str, Motion] = {**self.speeds, **self.steps, **self.switches, **self.levers}

    def _add(self, rig: Rig, name: str, control: Control, value: float) -> None:
        part, _, own = name.partition(".")
        if control.quantity == "ratio" and own == "lever":
            notched = "detent" in rig.parts[part].part.declared(Parameter)
            notch = rig.parts[part].value("detent") if notched else math.inf
            self.levers[name] = lever = LeverMotion(control.low, control.high, value, notch)
            lever.held = abs(lever.value) > 1e-9
        elif own == "floating":
            if rig.parts[part].choice("float_position") == "yes":
                self.switches[name] = StepMotion(0.0, 1.0, value)
        elif control.quantity == "mass":
            self.steps[name] = StepMotion(control.low, control.high, value)
        elif control.ends == ("off", "on"):
            self.switches[name] = StepMotion(0.0, 1.0, value)
        else:
            self.speeds[name] = SpeedMotion(control.low, control.high, value)

    def move(self, seconds: float, machine: Operated) -> list[str]:
        """Let springs, keys and hands act for some wall seconds; return the controls that got another value."""
        given = []
        for name, motion in self.motions.items():
            if isinstance(motion, StepMotion):
                if motion.wanted is not None:
                    machine.bring(name, motion.wanted)
                motion.take(machine.asked(name))  # whoever asked for it
            elif motion.advance(seconds) or motion.value != machine.control(name):
                machine.set_control(name, motion.value)
                given.append(name)
        return given

    def in_hand(self, name: str) -> bool:
        """Return whether a lever is moved or held by a hand."""
        motion = self.levers.get(name)
        return motion is not None and bool(motion.pressed or motion.dragged or motion.led or motion.held)

    def take(self, machine: Operated) -> None:
        """Let go, and be where the machine has everything, such as after a reset."""
        for name, motion in self.motions.items():
            motion.take(machine.asked(name))

    def let_go(self) -> None:
        """Let go of every lever and key."""
        for motion in self.motions.values():
            motion.forget()
