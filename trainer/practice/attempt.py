"""One attempt at a task, led by what the session shows: ready, running, lap after lap, to its end.

``take`` is given the readings once for each call of the solver; what comes of an attempt follows from these alone.
"""

from __future__ import annotations

import math
from enum import Enum

from trainer.changing.opening import running
from trainer.engine.kept import Kept
from trainer.engine.readings import Readings
from trainer.engine.session import FRAME, Session
from trainer.language import mark, tr
from trainer.lessons.running import rig_with, set_then
from trainer.lessons.seats import Seed
from trainer.practice.measures import MOVED
from trainer.practice.posed import pose_probes
from trainer.practice.task import Lap, Task
from trainer.practice.trace import Sampler, Trace
from trainer.rig.names import lever_words
from trainer.rig.rig import Rig

__all__ = ["CHANGED_RIG", "OTHER_SPEED", "SLOW_PICTURE", "Attempt", "State", "rig_of", "session_of"]


class State(Enum):
    """Where an attempt is."""

    READY = "ready"
    RUNNING = "running"
    LAP_DONE = "lap done"  # the next one wants its session
    DONE = "done"
    STOPPED = "stopped"
    FAILED = "failed"
    TIMED_OUT = "timed out"

    @property
    def over(self) -> bool:
        """Whether nothing more comes of the attempt."""
        return self not in (State.READY, State.RUNNING, State.LAP_DONE)


OTHER_SPEED = mark("The clock did not run at its own speed: practised, not scored.")
CHANGED_RIG = mark("The machine is not as the task has it: practised, not scored.")
SLOW_PICTURE = mark("The picture came too slowly, so this attempt does not count.")
_STOPPED = mark("Stopped: this attempt does not count.")
_LED_BACK = mark("Its time was led back: this attempt does not count.")
_LET_GO = mark("Let go of the levers: the clock starts with the first one that is moved.")


def rig_of(task: Task, lap: Lap) -> Rig:
    """Return the rig of a task as a lap begins with it. Raises RigError."""
    assert task.rig is not None
    return rig_with(task.rig, lap.run)


def session_of(task: Task, lap: Lap, kept: Kept | None = None) -> Session:
    """Return a session at the beginning of a lap. Raises SpoolroomError."""
    session = running(rig_of(task, lap), kept=kept)
    set_then(session, lap.run)
    return session


class Attempt:
    """An attempt. ``sentence`` says what happened once it is over, ``traces`` are its laps.

    ``values`` are the newest readings by their letters [SI]. ``reached`` is for each lap that is done when what is
    asked was reached [s]. ``seat`` and ``number`` draw the order of the laps where a task shuffles them. ``unscored``
    says in a sentence why what is done is not scored, "" where it is.
    """

    def __init__(self, task: Task, seat: int = 0, number: int = 0) -> None:
        self.task = task
        laps = list(task.laps)
        self.laps = Seed("practice", task.id, seat, number).shuffled("laps", laps) if task.shuffled else laps
        self.state = State.READY
        self.sentence = ""
        self.unscored = ""
        self.traces: list[Trace] = []
        self.reached: list[float] = []
        self._lap = 0
        self._before = 0.0  # s of the laps that are done
        self._begin_lap()

    def _begin_lap(self) -> None:
        self._sampler: Sampler | None = None
        self._levers: list[str] = []
        self._fixed: dict[str, float] = {}  # what else can be set, as the lap began
        self._begin = math.nan
        self._since = math.nan
        self._centred = False
        self._now = math.nan
        self.values: dict[str, float] = {}

    # -- what is seen ----------------------------------------------------------------------------------------------

    @property
    def lap(self) -> Lap:
        """The lap that is run now."""
        return self.laps[self._lap]

    @property
    def lap_number(self) -> int:
        """Its number, from 1."""
        return self._lap + 1

    @property
    def begun(self) -> bool:
        """Whether the clock has started."""
        return self.state is not State.READY or self._lap > 0

    @property
    def seconds(self) -> float:
        """The time of the attempt so far [s]."""
        return self._before + self.lap_seconds

    @property
    def lap_seconds(self) -> float:
        """The time of the lap so far [s]."""
        return 0.0 if math.isnan(self._begin) or self.state is State.LAP_DONE else self._now - self._begin

    @property
    def lap_left(self) -> float:
        """How long the lap still goes on once what is asked was reached, where it does [s]; nan before."""
        return self.task.after - (self._now - self._since) if self.task.after else math.nan

    @property
    def counts(self) -> bool:
        """Whether it is done and scored."""
        return self.state is State.DONE and not self.unscored

    @property
    def waits_for(self) -> str:
        """What a hand has to do before the clock can start, in a sentence; "" for nothing."""
        return tr(_LET_GO) if self.state is State.READY and self._sampler is not None and not self._centred else ""

    # -- what comes of it ------------------------------------------------------------------------------------------

    def look(self, session: Session) -> None:
        """See whether what is done on a session can be scored; to be asked with each ``take`` of a live one."""
        if self.state.over:
            return
        if session.time < self._now and self.state is State.READY:
            self._begin_lap()
        elif session.time < self._now and self.state is State.RUNNING:
            self._end(State.STOPPED, tr(_LED_BACK))
        elif session.time > self._now + 1.5 * FRAME and self.state is State.READY:  # moved while nobody looked
            self.spoil(tr(CHANGED_RIG))
        if self.state is not State.READY and session.speed != 1.0:
            self.spoil(tr(OTHER_SPEED))
        if session.machine.changed().keys() - self.lap.run.then.keys():
            self.spoil(tr(CHANGED_RIG))
        if session.trouble:
            self._end(State.FAILED, session.trouble)

    def spoil(self, why: str) -> None:
        """Let the attempt go on without a score, for a reason in a sentence; the first one stays."""
        self.unscored = self.unscored or why

    def take(self, now: Readings) -> State:
        """Take one instant; return where the attempt is then. Raises NoReading for a task that does not fit the rig.

        An instant that is not later than the last one, and any after the end, says nothing.
        """
        if self.state.over or self.state is State.LAP_DONE or now.time <= self._now:
            return self.state
        if self._sampler is None:
            self._sampler = Sampler.of(self.task, now, pose_probes(now))
            controls = now.network.rig.controls()
            self._levers = [name for name in controls if name.endswith(".lever")]
            others = {name: now.control(*name.split(".", 1)) for name in controls if name not in self._levers}
            self._fixed = others | {name: value for name, value in self.lap.run.then.items() if name in others}
        self._now = now.time
        self.values = self._sampler.take(now)
        values = self.values | self.lap.roles.numbers()
        moved = [name for name in self._levers if abs(now.control(*name.split(".", 1))) > MOVED]
        if len(self._sampler.times) > 1 and any(
            now.control(*name.split(".", 1)) != value for name, value in self._fixed.items()
        ):
            self.spoil(tr(CHANGED_RIG))
        if math.isnan(self._begin):
            self._wait(bool(moved))
        if not math.isnan(self._begin):
            self._go_on(values, moved)
        return self.state

    def _wait(self, moved: bool) -> None:
        assert self._sampler is not None
        if moved and self._centred:
            self._begin = self._sampler.times[-1]
            self.state = State.RUNNING
        else:
            self._centred = not moved
            self._sampler.keep_newest()

    def _go_on(self, values: dict[str, float], moved: list[str]) -> None:
        task = self.task
        assert task.done is not None
        for name in moved:
            if name not in task.levers:
                lever = lever_words(self._rig, name)
                self._end(State.FAILED, tr("The {lever} does not belong to this task.").format(lever=lever))
                return
        for stop in task.stops:
            if stop.when.holds(values):
                self._end(State.FAILED, tr(stop.words))
                return
        holds = task.done.holds(values)
        if math.isnan(self._since):
            self._since = self._now if holds else math.nan
        elif not holds and not task.after:
            self._since = math.nan
        long = task.after or task.hold
        if self._now - self._since >= long - 1e-9:
            self._end_lap()
        elif self._now - self._begin >= task.time - 1e-9:
            self._end(State.TIMED_OUT, tr("Time is up: {time:g} s.").format(time=task.time))

    @property
    def _rig(self) -> Rig:
        assert self.task.rig is not None
        return self.task.rig

    def _end_lap(self) -> None:
        self._keep_trace()
        self.reached.append(self._since - self._begin)
        if self._lap + 1 < len(self.laps):
            self._before += self._now - self._begin
            self.state = State.LAP_DONE
        else:
            self.state = State.DONE

    def next_lap(self) -> None:
        """Go on to the next lap: a session at its beginning is taken from now on."""
        assert self.state is State.LAP_DONE
        self._lap += 1
        self._begin_lap()
        self.state = State.READY

    def stop(self) -> None:
        """End the attempt by hand; it does not count."""
        if not self.state.over:
            self._end(State.STOPPED, tr(_STOPPED))

    def _end(self, state: State, sentence: str) -> None:
        if self.state is not State.LAP_DONE:
            self._keep_trace()
        self.state, self.sentence = state, sentence

    def _keep_trace(self) -> None:
        if self._sampler is not None and not math.isnan(self._begin):
            self.traces.append(self._sampler.trace(self.lap.name, self._begin))
