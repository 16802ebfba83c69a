"""What is changed of a rig while it runs: numbers, words, loads and oil; undone, redone, told against its file.

Nothing is kept twice: what is different is read off the session each time. Only what was done is kept here, and it
knows nothing of time: the machine's numbers are where they were left, whichever instant is shown.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Mapping
from dataclasses import dataclass, replace

from trainer.changing.adjustables import OIL, Value, adjustables
from trainer.changing.differences import Difference, differences, start_of
from trainer.engine.machine import AT_START
from trainer.engine.session import Session
from trainer.language import mark, tr
from trainer.parts.part import Choice, Parameter
from trainer.rig.rig import Fitted, Rig
from trainer.units import System

__all__ = ["AS_IN_FILE", "OILS", "Changes", "Step"]

AS_IN_FILE = mark("As in the file")  # what such a step was
OILS: Mapping[str, float] = {
    mark("cold"): 5.0,
    mark("warm"): 45.0,
    mark("hot"): 80.0,
}  # [C]; common practice, no source
_LOG = 250.0  # what is hooked on where nothing is said [kg]; our own


@dataclass(frozen=True, slots=True)
class Step:
    """One change: what was changed, from what, to what [SI or a word].

    ``also`` was changed with it, and ``what`` says what that was; they are undone together.
    """

    name: str
    before: Value
    after: Value
    also: tuple[Step, ...] = ()
    what: str = ""

    @property
    def all(self) -> tuple[Step, ...]:
        """It and all that was changed with it."""
        return (self, *self.also)


class Changes:
    """The changes of one rig. ``original`` is the rig as its file has it; ``build`` makes a session of a changed one.

    After a change that needs the rig built anew, ``session`` is another one, at its settled start and frozen.
    """

    def __init__(
        self, session: Session, original: Rig | None = None, build: Callable[[Rig], Session] = Session
    ) -> None:
        self.original = original or session.rig
        self.build = build
        self.session = session
        self.done: list[Step] = []
        self.undone: list[Step] = []
        self.loose: set[str] = set()  # screws with a loose lock-nut: "part.parameter"
        self.known = adjustables(session.rig)
        self._told: tuple[Hashable, list[Difference]] = ((), [])
        self._rigs, self._version = (self.original, session.rig), 0

    # -- what there is now ---------------------------------------------------------------------------------------

    def value(self, name: str) -> Value:
        """Return what a number or word is set to now, or on its way to. Raises KeyError."""
        about, rig = self.known[name], self.session.rig
        if about.part == OIL and about.at_rest:
            value: Value = getattr(rig.oil, about.own)
            return value
        return rig.parts[about.part].choice(about.own) if about.options else self.session.asked(name)

    # -- what is done --------------------------------------------------------------------------------------------

    def set(self, name: str, value: Value, going_on: bool = False) -> Step | None:
        """Change a number [SI] or a word; return what was done, None where it is so already.

        ``going_on`` joins it to the step before, where that was of the same name: many small steps of one drag are
        one to undo. Raises KeyError, ValueError with a sentence, RigError and SolverError where the changed rig
        cannot be; then nothing has changed.
        """
        value = self.known[name].checked(value)
        before = self.value(name)
        if value == before:
            return None
        self._require_possible(name, value)
        self.bring({name: value})
        last = self.done[-1] if going_on and self.done else None
        joined = last is not None and last.name == name and not last.also
        step = Step(name, self.done.pop().before if joined else before, value)
        self.undone.clear()
        if step.before != step.after:
            self.done.append(step)
        return step

    def as_in_file(self) -> Step | None:
        """Bring all numbers and words back to the file's; return what was done, or None. Raises as ``set``."""
        back = {found.name: found.was for found in self.different() if found.about is not None}
        return self._together(back, AS_IN_FILE)

    def as_then(self) -> Step | None:
        """Let the machine have the numbers of the instant that is shown; return what was done, or None."""
        return self._together({name: then for name, (then, _) in self.session.then().items()}, mark("As it was then"))

    def _together(self, values: Mapping[str, Value], what: str) -> Step | None:
        if not values:
            return None
        first, *also = (Step(name, self.value(name), value) for name, value in values.items())
        self.bring(values)
        step = replace(first, also=tuple(also), what=what)
        self.undone.clear()
        self.done.append(step)
        return step

    def undo(self) -> Step | None:
        """Take the last change back; return it, None where there is none. Raises as ``set``."""
        step = self.next_undo()
        if step is not None:
            self.bring({one.name: one.before for one in step.all})
            self.undone.append(self.done.pop())
        return step

    def redo(self) -> Step | None:
        """Make the last change again that was undone; return it, or None. Raises as ``set``."""
        step = self.next_redo()
        if step is not None:
            self.bring({one.name: one.after for one in step.all})
            self.done.append(self.undone.pop())
        return step

    def next_undo(self) -> Step | None:
        """Return what would be undone; a load that time has taken away since is passed over."""
        while self.done and self._is_past(self.done[-1], self.done[-1].after):
            self.done.pop()
        return self.done[-1] if self.done else None

    def next_redo(self) -> Step | None:
        """Return what would be made again."""
        while self.undone and self._is_past(self.undone[-1], self.undone[-1].before):
            self.undone.pop()
        return self.undone[-1] if self.undone else None

    def _is_past(self, step: Step, left: Value) -> bool:
        """Return whether a step of the run is no longer as it was left: the run is at another instant."""
        return self.known[step.name].run and self.value(step.name) != left

    def words(self, step: Step, system: System, back: bool = False) -> str:
        """Return a step in words; ``back``: what undoing it does."""
        before, after = (step.after, step.before) if back else (step.before, step.after)
        if not step.also:
            return self.known[step.name].change(before, after, system)
        if not back:
            return tr("{what}: {count} numbers").format(what=tr(step.what), count=len(step.all))
        what = tr(step.what)
        return tr("{what}, {count} numbers").format(what=what[:1].lower() + what[1:], count=len(step.all))

    def is_at_rest(self, step: Step) -> bool:
        """Return whether a step needs the rig built anew."""
        return any(self.known[one.name].at_rest for one in step.all)

    def _require_possible(self, name: str, value: Value) -> None:
        about = self.known[name]
        if about.part == OIL or about.control or about.started or isinstance(value, str):
            return
        asked = self.session.asked

        def number(own: str) -> float:
            return value if own == about.own else asked(f"{about.part}.{own}")

        for objection in self.session.rig.parts[about.part].part.objections(number):
            raise ValueError(f"{about.title}: {objection}.")

    def bring(self, values: Mapping[str, Value]) -> None:
        """Set numbers and words, with nothing to undo. Raises RigError and SolverError for what is built in."""
        if any(self.known[name].at_rest for name in values):
            self.session = self.build(self.changed_rig(values))
            return
        for name, value in values.items():
            assert not isinstance(value, str)
            self.session.bring(name, value)

    # -- then and now --------------------------------------------------------------------------------------------

    def then(self, system: System) -> list[str]:
        """Return which numbers were others at the instant shown, such as "2V0 was 160 bar then; it is 180 bar now".

        The setting of a valve comes first.
        """
        found = []
        for name, (then, now) in sorted(self.session.then().items(), key=lambda one: not one[0].endswith(".setting")):
            about = self.known[name]
            found.append(
                tr("{called} was {shown} then; it is {shown2} now").format(
                    called=about.called, shown=about.shown(then, system), shown2=about.shown(now, system)
                )
            )
        return found

    # -- loads and oil -------------------------------------------------------------------------------------------

    def loads(self) -> list[str]:
        """Return what can carry a load: "part.load" of a crane, "part.mass" of a weight."""
        return [name for name, about in self.known.items() if about.run and about.quantity == "mass"]

    def hook(self, name: str, mass: float | None = None) -> Step | None:
        """Hang a load on [kg]; without a mass the one of the rig's file, or 250 kg. Raises as ``set``."""
        if mass is None:
            own = start_of(self.original, self.known[name])
            mass = own if own > self.known[name].low else min(_LOG, self.known[name].high)
        return self.set(name, mass)

    def drop(self, name: str) -> Step | None:
        """Let a load go: nothing hangs on a crane, the least there can be on a rod. Raises as ``set``."""
        return self.set(name, self.known[name].low)

    # -- the rig as it is now ------------------------------------------------------------------------------------

    def changed_rig(self, more: Mapping[str, Value] | None = None) -> Rig:
        """Return the rig with the machine's numbers and words of now, and some more. Raises RigError.

        Of what is the run's, it has how it starts: a run changes no rig.
        """
        rig = self._kept_flows(self._as_now({}))
        if not more:
            return rig.checked()
        other = self._as_now(more)
        parts = dict(other.parts)
        for id_, own in self._following(other):  # what runs goes on as it runs; what follows ``more`` follows it
            if own in rig.parts[id_].values:
                kept = {**parts[id_].values, own: rig.parts[id_].values[own]}
                parts[id_] = replace(parts[id_], values=kept)
        return replace(other, parts=parts).checked()

    def _as_now(self, more: Mapping[str, Value]) -> Rig:
        """Return the rig as it is now; what follows the pumps is unsaid where its file says nothing of it."""
        rig, changed = self.session.rig, {**self.session.machine.changed(), **more}
        parts = {id_: self._fitted(id_, changed, more) for id_ in rig.parts}
        start, controls = dict(rig.start), rig.controls()
        for name, about in self.known.items():
            if name in changed and about.started in controls:
                start[about.started] = float(changed[name])
                if about.started not in self.original.start and changed[name] == about.usual:
                    del start[about.started]
        oil = replace(
            rig.oil,
            grade=str(changed.get("oil.grade", rig.oil.grade)),
            air=float(changed.get("oil.air", rig.oil.air)),
            air_index=float(changed.get("oil.air_index", rig.oil.air_index)),
            temperature=float(changed.get(f"oil.temperature{AT_START}", rig.oil.temperature)),
        )
        return replace(rig, parts=parts, start=start, oil=oil, source=self.original.source)

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

    def _fitted(self, id_: str, changed: Mapping[str, Value], more: Mapping[str, Value]) -> Fitted:
        fitted, first = self.session.rig.parts[id_], self.original.parts[id_]
        choices, numbers = dict(fitted.choices), dict(fitted.values)
        for own, choice in fitted.part.declared(Choice).items():
            word = str(more.get(f"{id_}.{own}", fitted.choice(own)))
            if word != fitted.choice(own):
                choices[own] = word
            if word == choice.start and own not in first.choices:
                choices.pop(own, None)
        for own, parameter in fitted.part.declared(Parameter).items():
            name = f"{id_}.{own}{AT_START if parameter.load else ''}"
            if name in changed:
                numbers[own] = float(changed[name])
            if own in numbers and own not in first.values:  # the file says nothing of it; nor need the changed one
                plain = replace(fitted, choices=choices, values={k: v for k, v in numbers.items() if k != own})
                if parameter.follows or plain.value(own) == numbers[own]:
                    del numbers[own]
        return replace(fitted, choices=choices, values=numbers)

    def different(self) -> list[Difference]:
        """Return what of the machine is not as in the rig's file; found anew only where something has changed."""
        stamp = self.stamp()
        if stamp != self._told[0]:
            self._told = stamp, differences(self.original, self.changed_rig(), self.known)
        return self._told[1]

    def stamp(self) -> Hashable:
        """Return what changes with every change of the rig, and with nothing else."""
        rigs = self.original, self.session.rig
        if rigs[0] is not self._rigs[0] or rigs[1] is not self._rigs[1]:
            self._rigs, self._version = rigs, self._version + 1
        return self._version, self.session.machine.numbers.tobytes()
