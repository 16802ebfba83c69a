"""The run of a task on the live session: a script moves the rack's own levers, or hands do, until its end."""

from __future__ import annotations

from trainer.engine.session import Session
from trainer.lessons.lesson import Exercise
from trainer.operating.operator import Operator
from trainer.recording import lead
from trainer.rig.rig import OIL_TEMPERATURE

__all__ = ["LiveRun", "asked_levers", "bring_to_begin", "bring_to_end"]

_RATE = 20.0  # instants a second to where a task is asked: nobody sees them, and they can be gone back to


def bring_to_begin(session: Session, exercise: Exercise) -> None:
    """Lead a session that stands at its start to where its task is asked. Raises SolverError."""
    _bring(session, exercise, exercise.run.begin)


def bring_to_end(session: Session, exercise: Exercise) -> None:
    """Lead a session that stands at its start to the end of its task's run. Raises SolverError."""
    _bring(session, exercise, exercise.run.until)


def _bring(session: Session, exercise: Exercise, time: float) -> None:
    if time > 0.0:
        for _ in lead(session, exercise.run.hands, time, _RATE):
            pass


def asked_levers(session: Session, exercise: Exercise) -> dict[str, float]:
    """Return where the levers go that a script moves after its task is asked: where they are at its end."""
    script, now = exercise.run.hands, exercise.run.begin
    controls, start = session.rig.controls(), session.rig.start
    before = {name: start.get(name, control.start) for name, control in controls.items()}
    before |= script.at(now) if now > 0.0 else {}  # at the start nothing of it has been moved
    return {
        name: value
        for name, value in script.at(exercise.run.until).items()
        if name in controls and abs(value - before[name]) > 1e-3
    }


class LiveRun:
    """Moves what a task's script moves, frame by frame; each only when its value changes. ``end`` [s]."""

    def __init__(self, session: Session, operator: Operator, exercise: Exercise, by_hand: bool) -> None:
        self.session, self.operator = session, operator
        self.script = exercise.run.hands
        self.by_hand = by_hand
        self.end = exercise.run.until
        self._last = {
            name: value for name, value in self.script.at(session.time).items() if self._stands(name, value)
        }

    def _stands(self, name: str, value: float) -> bool:
        """Whether the session has something as the script has it already."""
        if name == OIL_TEMPERATURE.name:
            return self.session.temperature == value
        if name in self.session.rig.controls():
            return self.session.control(name) == value
        return self.session.readings.parameter(*name.split(".", 1)) == value

    @property
    def over(self) -> bool:
        """Whether the end is reached."""
        return self.session.time >= self.end - 1e-6

    def move(self, ahead: float) -> None:
        """Move what the script has moved in the next stretch of model time [s], as it stands in its middle."""
        if self.by_hand or self.over:
            return
        for name, value in self.script.at(self.session.time + ahead / 2).items():
            if self._last.get(name) == value:
                continue
            self._last[name] = value
            if name == OIL_TEMPERATURE.name:
                self.session.set_temperature(value)
            elif name in self.operator.motions:
                self.operator.motions[name].set_exactly(value)
            else:
                self.session.set_parameter(name, value)
