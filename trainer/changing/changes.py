"""What is changed of a rig while it runs: numbers, words, loads and oil; undone, redone, told against its file.

Nothing is kept twice: what is different is read off the session each time. Only what was done, and what is on its
way to a new value, is kept here.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np

from trainer.changing.adjustables import OIL, Value, adjustables
from trainer.changing.differences import Difference, differences, start_of
from trainer.engine.session import Session
from trainer.parts.part import Choice, Parameter
from trainer.rig import Fitted, Rig
from trainer.units import System

__all__ = ["OILS", "RAMP", "Changes", "Hands", "Step"]

RAMP = 0.3  # model time in which a mass, a load or the oil goes to a new value [s]; a jump would cost a long frame
OILS: Mapping[str, float] = {"cold": 5.0, "warm": 45.0, "hot": 80.0}  # [C]; common practice, no source
_LOG = 250.0  # what is hooked on where nothing is said [kg]; our own
_RAMPED = ("mass", "inertia", "force", "temperature")
_LONGEST = 0.5  # a longer stretch between two looks is a jump in time [s]


@dataclass(frozen=True, slots=True)
class Step:
    """One change: what was changed, from what, to what [SI or a word]."""

    name: str
    before: Value
    after: Value


class Hands(Protocol):
    """What moves controls in the hands of an operator."""

    def asked(self, name: str) -> float | None:
        """Return where a control is asked to be [SI], None where no hand moves it."""

    def move(self, name: str, value: float) -> None:
        """Bring a control to a value [SI]."""


@dataclass(slots=True)
class _Ramp:
    target: float
    rate: float  # per second of model time


class Changes:
    """The changes of one rig. ``original`` is the rig as its file has it; ``build`` makes a session of a changed one.

    After a change that needs the rig built anew, ``session`` is another one, at its settled start and frozen.
    """

    def __init__(
        self,
        session: Session,
        original: Rig | None = None,
        build: Callable[[Rig], Session] = Session,
        hands: Hands | None = None,
    ) -> None:
        self.original = original or session.rig
        self.build = build
        self.hands = hands
        self.done: list[Step] = []
        self.undone: list[Step] = []
        self.loose: set[str] = set()  # screws with a loose lock-nut: "part.parameter"
        self.known = adjustables(session.rig)
        self._told: tuple[Hashable, list[Difference]] = ((), [])
        self._rigs, self._version = (self.original, session.rig), 0
        self.take(session)

    def take(self, session: Session) -> None:
        """Go on with another session of the same rig."""
        self.session = session
        self._ramps: dict[str, _Ramp] = {}
        self._oil: tuple[int, float] | None = None  # asked at a place of the record, and not yet in it
        self._history, self._time = session.history, session.time
        names = [name for name, about in self.known.items() if about.part != OIL and not about.options]
        self._places = np.array([session.network.pu_index[name] for name in names])
        self._built = {slot.name: slot.start for slot in session.network.parameters}

    # -- what there is now ---------------------------------------------------------------------------------------

    def now(self, name: str) -> Value:
        """Return what a number or word of the rig is at this instant. Raises KeyError."""
        about = self.known[name]
        rig, live = self.session.rig, self.session.readings
        if about.part == OIL:
            return self.session.temperature if about.own == "temperature" else getattr(rig.oil, about.own)
        if about.control:
            return live.control(about.part, about.own)
        return rig.parts[about.part].choice(about.own) if about.options else live.parameter(about.part, about.own)

    def value(self, name: str) -> Value:
        """Return what is asked for: where it is on its way, the end of the way. Raises KeyError."""
        if name in self._ramps:
            return self._ramps[name].target
        if name == "oil.temperature":
            return self._oil_asked()
        asked = self.hands.asked(name) if self.hands is not None and self.known[name].control else None
        return self.now(name) if asked is None else asked

    def _oil_asked(self) -> float:
        """Return the temperature that the oil was last brought to; it warms and cools by itself after that [C]."""
        session = self.session
        if self._oil is not None and self._oil == (session.place, session.temperature):
            return session.temperature
        asked = session.rig.oil.temperature
        for name, value in session.record.changes_until(session.place):
            if name == "oil.temperature":
                asked = value
        return asked

    # -- what is done --------------------------------------------------------------------------------------------

    def set(self, name: str, value: Value, going_on: bool = False) -> Step | None:
        """Change a number [SI] or a word; return what was done, None where it is so already.

        ``going_on`` joins it to the step before, where that was of the same name: many small steps of one drag are
        one to undo. Raises KeyError, ValueError with a sentence, RigError and SolverError where the changed rig
        cannot be; then nothing has changed.
        """
        value = self.known[name].checked(value)
        self._settle()
        before = self.value(name)
        if value == before:
            return None
        self._require_possible(name, value)
        self._bring(name, value)
        joined = going_on and bool(self.done) and self.done[-1].name == name
        step = Step(name, self.done.pop().before if joined else before, value)
        self.undone.clear()
        if step.before != step.after:
            self.done.append(step)
        return step

    def undo(self) -> Step | None:
        """Take the last change back that is in effect; return it, None where there is none. Raises as ``set``."""
        step = self.next_undo()
        if step is not None:
            self._bring(step.name, step.before)
            self.undone.append(self.done.pop())
        return step

    def redo(self) -> Step | None:
        """Make the last change again that was undone or lies ahead; return it, or None. Raises as ``set``."""
        step = self.next_redo()
        if step is not None:
            self._bring(step.name, step.after)
            self.done.append(self.undone.pop())
        return step

    def next_undo(self) -> Step | None:
        """Return what would be undone."""
        self._settle()
        return self.done[-1] if self.done else None

    def next_redo(self) -> Step | None:
        """Return what would be made again."""
        self._settle()
        return self.undone[-1] if self.undone else None

    def words(self, step: Step, system: System) -> str:
        """Return a step in words."""
        return self.known[step.name].change(step.before, step.after, system)

    def _settle(self) -> None:
        """Follow the session through time: what it has of all steps is done, the rest lies ahead to be made again.

        A rewind or reset takes steps back, and going ahead again makes them. Of several places that fit, the nearest.
        """
        line = [*self.done, *reversed(self.undone)]
        now = {step.name: self.value(step.name) for step in line}
        here = len(self.done)
        if not line or self._fits(line, here, now) == len(now):
            return
        best = max(range(len(line) + 1), key=lambda k: (self._fits(line, k, now), -abs(k - here)))
        self.done, self.undone = line[:best], line[best:][::-1]

    @staticmethod
    def _fits(line: list[Step], count: int, now: Mapping[str, Value]) -> int:
        """Return how many names are as the first steps of a line leave them."""
        expected: dict[str, Value] = {}
        for step in line[:count]:
            expected[step.name] = step.after
        for step in line[count:]:
            expected.setdefault(step.name, step.before)
        return sum(now[name] == value for name, value in expected.items())

    def _require_possible(self, name: str, value: Value) -> None:
        about = self.known[name]
        if about.part == OIL or about.control or isinstance(value, str):
            return
        live = self.session.readings

        def number(own: str) -> float:
            return value if own == about.own else live.parameter(about.part, own)

        for objection in self.session.rig.parts[about.part].part.objections(number):
            raise ValueError(f"{about.title}: {objection}.")

    def _bring(self, name: str, value: Value) -> None:
        about = self.known[name]
        if about.at_rest:
            self.take(self.build(self.changed_rig({name: value})))
            return
        assert not isinstance(value, str)
        now = self.now(name)
        assert not isinstance(now, str)
        if about.control and self.hands is not None and self.hands.asked(name) is not None:
            self.hands.move(name, value)
        elif about.quantity in _RAMPED:
            self._look()
            self._ramps[name] = _Ramp(value, abs(value - now) / RAMP)
        else:
            self.session.set_parameter(name, value)

    # -- on the way ----------------------------------------------------------------------------------------------

    @property
    def on_the_way(self) -> bool:
        """Whether something waits for time to go on."""
        return bool(self._ramps)

    def advance(self) -> None:
        """Bring what is on its way on by the model time that has passed since the last call."""
        passed = self._look()
        if passed <= 0:
            return
        for name, ramp in [*self._ramps.items()]:
            now = self.now(name)
            assert not isinstance(now, str)
            gap, most = ramp.target - now, ramp.rate * passed
            there = abs(gap) <= most * (1 + 1e-9)
            self.put(name, ramp.target if there else now + math.copysign(most, gap))
            if there:
                del self._ramps[name]

    def _look(self) -> float:
        """Return the model time since the last look [s]; after a jump in time nothing is on its way any more."""
        session = self.session
        passed = session.time - self._time
        if session.history is not self._history or not 0 <= passed <= _LONGEST:
            self._ramps.clear()
            passed = 0.0
        self._history, self._time = session.history, session.time
        return passed

    def put(self, name: str, value: float) -> None:
        """Set a number [SI] that needs no building at once, with nothing to undo. Raises KeyError, ValueError."""
        if name == "oil.temperature":
            self.session.set_temperature(value)
            self._oil = (self.session.place, value)
        elif self.known[name].control:
            self.session.set_control(name, value)
        else:
            self.session.set_parameter(name, value)

    # -- loads and oil -------------------------------------------------------------------------------------------

    def loads(self) -> list[str]:
        """Return what can carry a load: "part.load" of a crane, "part.mass" of a weight."""
        weights = {f"{id_}.mass" for id_, f in self.session.rig.parts.items() if f.part.symbol == "weight"}
        return [name for name, about in self.known.items() if about.control or name in weights]

    def hook(self, name: str, mass: float | None = None) -> Step | None:
        """Hang a load on [kg]; without a mass the one of the rig's file, or 250 kg. Raises as ``set``."""
        if mass is None:
            own = start_of(self.original, self.known[name])
            mass = own if own > self.known[name].low else min(_LOG, self.known[name].high)
        return self.set(name, mass)

    def drop(self, name: str) -> Step | None:
        """Let a load go: nothing hangs on a crane, the least there can be on a rod. Raises as ``set``."""
        return self.set(name, self.known[name].low)

    def oil_temperature(self, celsius: float) -> Step | None:
        """Bring the oil to a temperature [C]. Raises as ``set``."""
        return self.set("oil.temperature", celsius)

    # -- the rig as it is now ------------------------------------------------------------------------------------

    def changed_rig(self, more: Mapping[str, Value] | None = None) -> Rig:
        """Return the rig with all its numbers and words as asked for now, and some more. Raises RigError."""
        rig = self._kept_flows(self._as_asked({}))
        if not more:
            return rig.checked()
        other = self._as_asked(more)
        parts = dict(other.parts)
        for id_, own in self._following(other):  # what runs goes on as it runs; what follows ``more`` follows it
            if own in rig.parts[id_].values:
                kept = {**parts[id_].values, own: rig.parts[id_].values[own]}
                parts[id_] = replace(parts[id_], values=kept)
        return replace(other, parts=parts).checked()

    def _as_asked(self, more: Mapping[str, Value]) -> Rig:
        """Return the rig with all that is asked for; what follows the pumps is unsaid where its file says nothing."""
        rig, first = self.session.rig, self.original
        values = {name: more.get(name, self.value(name)) for name in self.known}
        parts = {id_: self._fitted(id_, values, more) for id_ in rig.parts}
        start = dict(rig.start)
        for name, about in self.known.items():
            if about.control and values[name] != start_of(rig, about):
                start[name] = float(values[name])
            if about.control and name in start and name not in first.start and start[name] == about.usual:
                del start[name]
        oil = replace(
            rig.oil,
            temperature=float(values["oil.temperature"]),
            grade=str(values["oil.grade"]),
            air=float(values["oil.air"]),
        )
        return replace(rig, parts=parts, start=start, oil=oil, source=first.source)

    def _following(self, rig: Rig) -> Iterator[tuple[str, str]]:
        """Yield part and name of each number that follows the rig's pumps where the file says nothing of it."""
        for id_, fitted in rig.parts.items():
            for own, parameter in fitted.part.declared(Parameter).items():
                if parameter.follows and own not in self.original.parts[id_].values:
                    yield id_, own

    def _kept_flows(self, rig: Rig) -> Rig:
        """Return a rig that says each number which runs otherwise than it would follow the pumps as they are now."""
        parts = dict(rig.parts)
        for id_, own in self._following(rig):
            now = self.value(f"{id_}.{own}")
            if rig.value(id_, own) != now:
                parts[id_] = replace(parts[id_], values={**parts[id_].values, own: float(now)})
        return replace(rig, parts=parts)

    def _fitted(self, id_: str, values: Mapping[str, Value], more: Mapping[str, Value]) -> Fitted:
        fitted, first = self.session.rig.parts[id_], self.original.parts[id_]
        choices, numbers = dict(fitted.choices), dict(fitted.values)
        for own, choice in fitted.part.declared(Choice).items():
            word = str(values[f"{id_}.{own}"])
            if word != fitted.choice(own):
                choices[own] = word
            if word == choice.start and own not in first.choices:
                choices.pop(own, None)
        for own, parameter in fitted.part.declared(Parameter).items():
            name, value = f"{id_}.{own}", values[f"{id_}.{own}"]
            if name in more or value != self._built[name]:
                numbers[own] = float(value)
            if own in numbers and own not in first.values:  # the file says nothing of it; nor need the changed one
                plain = replace(fitted, choices=choices, values={k: v for k, v in numbers.items() if k != own})
                if parameter.follows or plain.value(own) == numbers[own]:
                    del numbers[own]
        return replace(fitted, choices=choices, values=numbers)

    def different(self) -> list[Difference]:
        """Return what is not as in the rig's file; found anew only where something has changed."""
        stamp = self.stamp()
        if stamp != self._told[0]:
            self._told = stamp, differences(self.original, self.changed_rig(), self.known)
        return self._told[1]

    def stamp(self) -> Hashable:
        """Return what changes with every change of the rig, and with nothing else."""
        on_the_way = tuple((name, ramp.target) for name, ramp in self._ramps.items())
        loads = tuple(self.value(name) for name, about in self.known.items() if about.control)
        numbers = self.session.pu[self._places].tobytes()
        rigs = self.original, self.session.rig
        if rigs[0] is not self._rigs[0] or rigs[1] is not self._rigs[1]:
            self._rigs, self._version = rigs, self._version + 1
        return self._version, numbers, loads, on_the_way, self._oil_asked()
