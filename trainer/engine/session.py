"""A rig running: time, levers, freeze and step, the settled start, record and replay.

The session owns no clock: the window gives it wall seconds, and a callable to look at between calls.
"""

from __future__ import annotations

import copy
import math
from collections.abc import Callable, Iterable, Mapping

import numpy as np

from trainer.engine.built import Built
from trainer.engine.history import EVERY, History, Snapshot
from trainer.engine.kept import Beginning, Kept, Start
from trainer.engine.machine import AT_START, Machine
from trainer.engine.network import Network, Vector
from trainer.engine.ramps import RAMPED, Ramps
from trainer.engine.readings import Readings
from trainer.engine.record import Call, Record
from trainer.engine.rig_state import RigState
from trainer.engine.solver import LIVE, OutOfTime, Solver
from trainer.errors import SolverError
from trainer.rig.names import capital, part_words
from trainer.rig.rig import OIL_TEMPERATURE, Rig

__all__ = ["FRAME", "LONGEST_TICK", "SILENT", "SPEEDS", "Session"]

FRAME = 1 / 60  # longest live call [s]
SPEEDS = (1 / 1000, 1 / 100, 1 / 10, 1 / 2, 1.0, 2.0, 4.0)
LONGEST_TICK = 0.1  # wall seconds that one tick may answer for; more is dropped
_BUDGET = 0.09  # wall seconds that the calls of one tick may take
_PATIENCE = 0.012  # and the pieces in which a call that failed is tried again
_SETTLE = (40, 0.5)  # calls and their length [s] that lead to the settled start
SILENT = _SETTLE[0] * _SETTLE[1]  # s
_LAST = (10, 0.05)  # of those that follow where something is held, so that it has hardly moved
_OIL = OIL_TEMPERATURE.name


class Session:
    """One rig with its state. Built at its settled start: a run in the rig's start setting, cold of record.

    That run holds what ``[start]`` places: after every call it is put back, and the oil keeps its pressures. With
    settle = "none" there is no such run.

    ``machine`` has the machine's numbers as they are now. The instant that is shown was reached with its own, which
    ``pu`` has; the two may differ, and going on takes those of now. So it is with levers, loads and all else: what is
    set is taken when time goes on, and ``readings`` are of one instant throughout.

    What is ``kept`` of rigs like this one is taken from there, and what is not is to be; nothing else depends on it.

    Raises RigError for a rig that cannot be built, SolverError when not even its start can be found.
    """

    def __init__(self, rig: Rig, tolerance: float = LIVE, settle: bool = True, kept: Kept | None = None) -> None:
        self.rig = rig
        built = kept.built(rig, tolerance) if kept is not None else None
        self.network = Network(rig, built)
        self.solver = Solver(self.network, tolerance)
        network = self.network
        self._limits = {name: (c.low, c.high) for name, c in rig.controls().items()}
        self._first_control = len(network.parameters)
        self._movers = [id_ for id_, fitted in rig.parts.items() if "overload" in vars(fitted.part)]
        self.watch: Callable[[Readings], None] | None = None  # told of the instants that a fast clock passes over
        self._over: Callable[[], bool] | None = None  # whether a tick's time is used up; only asked when a call fails
        self._owed = 0.0  # length of a call that a tick had no time to end [s]
        self._bank = 0.0  # frames of wall time that have no call yet
        self.running = False
        self.speed = 1.0
        self.true_speed = 1.0
        self.trouble = ""
        self.rough_calls = 0
        self.machine = Machine(network)
        self._held = {i: rig.start[slot.name] for i, slot in enumerate(network.states) if slot.name in rig.start}
        self._given = {k: rig.start[li.name] for k, li in enumerate(network.content_lines) if li.name in rig.start}
        self._settles = settle and rig.settle != "none"
        self._find_start(kept)
        if kept is not None and built is None:
            kept.keep_built(rig, tolerance, self._built)

    def _built(self) -> Built:
        """Return what was built of this rig, for others that are joined like it."""
        network, solver = self.network, self.solver
        return Built.of(network.names, network.written() | solver.written(), solver.order, solver.equations.digest)

    def _find_start(self, kept: Kept | None = None) -> None:
        """Stand at the settled start of the machine as it is now. Raises SolverError; then nothing has changed."""
        before = vars(self).copy()
        numbers = {name.removesuffix(AT_START): value for name, value in self.machine.changed().items()}
        temperature = numbers.pop(_OIL, self.rig.oil.temperature)
        self.state = RigState(self.network, self.solver, numbers, temperature)
        self._forget()
        try:
            self.state.hold(self._held, self._given)
            if self._settles and kept is None:
                self._settle()
            elif self._settles and kept is not None:
                self._settle_or_recall(kept)
        except BaseException:
            vars(self).update(before)
            raise
        self._forget()
        self._start = self.state.copy()
        self._start_of = self.machine.numbers.copy()

    def _forget(self) -> None:
        self.state.begin()
        self.back = False
        self.history = History(self.state.snapshot(), self.machine.changed())
        self._past: list[Snapshot] = []  # states of the stretch that was last sought in
        self._past_from = 0
        self.place = 0  # calls between the start and the instant that is shown
        self._set: dict[str, float] = {}  # controls, numbers and the oil's temperature, since the last call
        self._ramps = Ramps()
        self._oil_asked = self.temperature

    def _settle(self) -> None:
        for calls, length in (_SETTLE, _LAST) if self._held else (_SETTLE,):
            for _ in range(calls):
                self._call(length, warm=False)
                self.state.hold(self._held, self._given)
        self.state.forget_carried()

    def _settle_or_recall(self, kept: Kept) -> None:
        """Stand at the settled start that is kept of this very beginning, else find it and have it kept."""
        state, tolerance = self.state, self.solver.tolerance
        begin = Beginning(state.x.tolist(), state.pu.tolist(), state.temperature, self._held, self._given)
        known = kept.start(self.rig, tolerance, begin)
        if known is None:
            self._settle()
            found = Start(self.x.tolist(), self.pu.tolist(), self.temperature, self.rough_calls)
            kept.keep_start(self.rig, tolerance, begin, found)
        else:
            state.x, state.pu = np.array(known.x), np.array(known.pu)
            state.temperature, self.rough_calls = known.temperature, known.rough_calls

    # -- what moves time ------------------------------------------------------------------------------------

    def _call(self, length: float, warm: bool = True) -> None:
        kept = vars(self) | {"state": self.state.copy(), "_ramps": self._ramps.copy()}
        kept |= {"_set": self._set.copy()}
        try:
            self._take_machine()
            changes = self._take_set() | self._go_on_ramps(length)
            call = Call(length, tuple(self.pu[self._first_control :].tolist()), tuple(changes.items()))
            self.rough_calls += self.state.call(length, self._over, warm)
        except BaseException:  # a call that fails leaves its instant, and what came after it, as they were
            vars(self).update(kept)
            raise
        if self.place < len(self.history):  # gone on from the past: what came after it is given up
            self.history.cut(self.place)
            self._past.clear()
        self.history.add(call, self.time, self.state.snapshot)
        self.place += 1
        if self._ramps:
            self.history.ways[self.place] = self._ramps.copy()

    def _take_machine(self) -> None:
        """Let an instant of the past have the machine's numbers of now."""
        if self.back:
            self.back = False
            for name, value in self.machine.not_as_in(self.pu).items():
                self._bring_parameter(name, value)

    def _take_set(self) -> dict[str, float]:
        """Take what was set; return what of it is no control: a call holds these anyhow."""
        found, self._set = self._set, {}
        return self._put_all(found)

    def _go_on_ramps(self, length: float) -> dict[str, float]:
        return self._put_all(dict(self._ramps.steps(length, self.state.present)))

    def _put_all(self, values: Mapping[str, float]) -> dict[str, float]:
        for name, value in values.items():
            self.state.put(name, value)
        return {name: value for name, value in values.items() if name not in self._limits}

    def advance(self, seconds: float, length: float = FRAME) -> None:
        """Move on by a stretch of model time [s] in calls of ``length`` [s]. Raises SolverError."""
        whole = round(seconds / length)
        if whole and abs(whole * length - seconds) < 1e-9 * seconds:
            for _ in range(whole):
                self._call(length)
        else:
            count = math.ceil(seconds / length)
            for _ in range(count):
                self._call(seconds / count)

    @property
    def calls_a_frame(self) -> int:
        """How many calls of the solver a frame of 1/60 s of wall time takes at the chosen speed."""
        return max(1, math.ceil(self.speed - 1e-9))

    def tick(self, wall_seconds: float, clock: Callable[[], float] | None = None) -> int:
        """Answer for wall seconds of a live window: as much model time as the speed asks and the clock allows.

        It passes in whole calls, so many to each frame of wall time; what is left of a frame is kept for the next
        tick. Returns how many calls were made. Lost time is dropped, never repaid; ``true_speed`` tells. A call that
        fails freezes at the last good instant and says so in ``notice``; while it is tried in pieces the clock is
        looked at between them, and the next tick goes on.
        """
        if not self.running or wall_seconds <= 0:
            return 0
        most = LONGEST_TICK / FRAME
        self._bank = min(self._bank + min(wall_seconds / FRAME, most), most)
        each = self.calls_a_frame
        count, length = int(self._bank + 1e-6) * each, self.speed / each * FRAME
        begin, done, reached = (clock() if clock else 0.0), 0, self.time
        self._over = (lambda: clock() - begin > _PATIENCE) if clock else None
        for _ in range(count):
            if not self._try(self._owed or length):
                self._bank = done / each  # the time that is lost with it
                break
            done += 1
            if self.watch is not None and done < count:
                self.watch(self.readings)
            if clock and clock() - begin > _BUDGET:
                break
        self._over = None
        self._bank -= done / each
        reached = (self.time - reached) / wall_seconds
        self.true_speed += (reached - self.true_speed) * min(1.0, wall_seconds / 0.5)
        return done

    def try_call(self, length: float, clock: Callable[[], float] | None = None) -> bool:
        """Try one call of a length [s]; return whether it was made. For who lets time pass in several sessions.

        What fails is as in ``tick``: one that had no time to be ended is gone on with the next time.
        """
        begin = clock() if clock else 0.0
        self._over = (lambda: clock() - begin > _PATIENCE) if clock else None
        try:
            return self._try(length)
        finally:
            self._over = None

    def _try(self, length: float) -> bool:
        self._owed, self.trouble = 0.0, ""
        try:
            self._call(length)
        except OutOfTime:
            self._owed = length
            return False
        except SolverError as error:
            self.running = False
            self.trouble = str(error)
            return False
        return True

    def run(self) -> None:
        """Let time pass."""
        self.running = True
        self._bank = 0.5  # the nearest frame, not the one before
        self.true_speed = self.speed

    def freeze(self) -> None:
        """Stop time; everything stays as it is."""
        self.running = False

    def step(self, seconds: float = FRAME) -> None:
        """Freeze, and move on by one stretch [s] of at most a tenth of a second."""
        self.running = False
        self._try(min(seconds, 0.1))

    def ahead(self) -> Session:
        """Return another session of the same machine at this instant: what it goes through leaves this one alone."""
        other = copy.copy(self)
        other.state, other.machine = self.state.copy(), copy.copy(self.machine)
        other.machine.numbers = self.machine.numbers.copy()
        other._ramps, other._set = self._ramps.copy(), self._set.copy()
        other._past, other._past_from, other.place = [], 0, 0
        other.history = History(other.state.snapshot(), other.machine.changed())
        other.watch, other._over, other.running = None, None, False
        return other

    def reset(self) -> None:
        """Return what is the run's to the settled start of the machine as it is now; forget what has run.

        Raises SolverError where no start can be found with its numbers; then nothing has changed.
        """
        if not np.array_equal(self.machine.numbers, self._start_of):
            self._find_start()
        else:
            self.state = self._start.copy()
            self._forget()
        self.running = False
        self.trouble = ""
        self.rough_calls = 0

    def rewind(self, time: float) -> None:
        """Freeze, and show the instant at or just before a time [s] that has been; later ones are kept.

        Everything is as it was then, controls and numbers too; ``machine`` stays as it is now. Going on from there
        takes the machine of now and gives up what came after.
        """
        self.freeze()
        self.trouble = ""
        count = self.history.calls_until(time)
        if not self._past_from <= count < self._past_from + len(self._past):
            self._repeat_around(count)
        self._set_as_of(count)
        time = self.history.times[count - 1] if count else 0.0
        self.state.restore(self._past[count - self._past_from], time)
        self.place = count
        self.back = True
        if count == len(self.history):
            self._take_machine()

    def then(self) -> dict[str, tuple[float, float]]:
        """Return the machine's numbers that were others at the instant shown than they are now: (then, now) [SI]."""
        if not self.back:
            return {}
        return {name: (self.state.present(name), now) for name, now in self.machine.not_as_in(self.pu).items()}

    def _set_as_of(self, count: int) -> None:
        """Set numbers and controls as they were for the call before an instant."""
        self.state.take_numbers(self._start.pu)
        self._oil_asked = self._start.temperature
        for name, value in self.history.record.changes_until(count):
            if name == _OIL:
                self._oil_asked = value
            else:
                self.pu[self.network.pu_index[name]] = value
        if count:
            self.pu[self._first_control :] = self.history.record[count - 1].controls
        self._set.clear()
        self._ramps = self.history.ways[count].copy(without=self.machine) if count in self.history.ways else Ramps()

    def _repeat_around(self, count: int) -> None:
        """Repeat the calls of the stretch between two snapshots in which an instant lies, and keep its states."""
        snapshot, begin = self.history.before(count)
        self._set_as_of(begin)
        self.state.restore(snapshot, self.history.times[begin - 1] if begin else 0.0)
        self._past, self._past_from = [self.state.snapshot()], begin
        for call in self.history.calls(begin, min(begin + EVERY, len(self.history))):
            self.pu[self._first_control :] = call.controls
            for name, value in call.changes:
                self.state.put(name, value)
            self.rough_calls += self.state.call(call.length, self._over)
            self._past.append(self.state.snapshot())

    # -- what the operator moves ----------------------------------------------------------------------------

    def set_control(self, name: str, value: float) -> None:
        """Set "part.control" [SI], held within its range; it is taken when time goes on.

        Raises KeyError, ValueError for what is no number.
        """
        low, high = self._limits[name]
        if not math.isfinite(value):
            raise ValueError(f"{name}: {value} is no number; write one from {low:g} to {high:g}")
        self._ramps.end(name)
        self._set[name] = min(max(value, low), high)

    def control(self, name: str) -> float:
        """Return "part.control" or "part.parameter" as it is set now [SI], taken or not. Raises KeyError."""
        return self._set[name] if name in self._set else self.taken(name)

    def taken(self, name: str) -> float:
        """Return "part.control" or "part.parameter" as the instant that is shown has it [SI]. Raises KeyError."""
        return float(self.pu[self.network.pu_index[name]])

    @property
    def waiting(self) -> dict[str, float]:
        """What was set otherwise than the instant has it, until time goes on: controls and numbers [SI], oil [C]."""
        asked = self._ramps.targets | self._set
        return {name: value for name, value in asked.items() if value != self.state.present(name)}

    def set_parameter(self, name: str, value: float) -> None:
        """Set "part.parameter" [SI], a load or a number of the machine; it is taken when time goes on.

        What that adds to stored energy is booked from outside. Raises KeyError, ValueError.
        """
        self._require_in_range(name, value)
        self._ramps.end(name)
        self._set_number(name, value)

    def _require_in_range(self, name: str, value: float) -> None:
        parameter = self.network.parameter(name)
        if not parameter.low <= value <= parameter.high:  # also what is no number
            raise ValueError(f"{name}: {value:g} is outside {' … '.join(parameter.range_written)}")

    def _set_number(self, name: str, value: float) -> None:
        if name in self.machine:
            self.machine[name] = value
            if self.back:  # going on takes all that is not as in the machine
                return
        self._set[name] = value

    def set_temperature(self, celsius: float) -> None:
        """Set the oil's temperature [C]; it is taken, whole, when time goes on."""
        self._ramps.end(_OIL)
        self._oil_asked = self._set[_OIL] = celsius

    def bring(self, name: str, value: float) -> None:
        """Bring a parameter, a control [SI] or "oil.temperature" [C] to a value as gently as it needs.

        Loads, moving masses and the oil's temperature are on their way for RAMP of model time; how they start, by
        their names and "@start", tells at the next ``reset``. Raises KeyError, ValueError.
        """
        if name.endswith(AT_START):
            self.machine[name] = value
        elif name == _OIL:
            self._set.pop(name, None)
            self._oil_asked = value
            self._ramps.begin(name, self.temperature, value)
        elif name in self._limits and self.rig.controls()[name].quantity in RAMPED:
            low, high = self._limits[name]
            self._set.pop(name, None)
            self._ramps.begin(name, self.state.present(name), min(max(value, low), high))
        elif name in self._limits:
            self.set_control(name, value)
        else:
            self._require_in_range(name, value)
            self._bring_parameter(name, value)

    def _bring_parameter(self, name: str, value: float) -> None:
        if self.network.parameter(name).quantity not in RAMPED:
            self._set_number(name, value)
            return
        if name in self.machine:
            self.machine[name] = value
            if self.back:
                return
        self._set.pop(name, None)
        self._ramps.begin(name, self.state.present(name), value)

    def asked(self, name: str) -> float:
        """Return what a parameter, a control [SI] or "oil.temperature" [C] is set to, or on its way to.

        The oil warms and cools by itself from what it was brought to. Raises KeyError.
        """
        if name in self.machine:
            return self.machine[name]
        if name in self._ramps:
            return self._ramps.target(name)
        if name == _OIL:
            return self._oil_asked
        return self.control(name)

    def number(self, part: str, own: str) -> float:
        """Return a number as it is written at its part [SI]: as it is set, or as it was at an instant that has been.

        Raises KeyError.
        """
        name = f"{part}.{own}"
        return self.taken(name) if self.back else self.asked(name)

    def refit(self, rig: Rig) -> None:
        """Take the same rig with other instruments; nothing else of it may differ. Raises RigError."""
        self.rig = self.network.rig = rig.checked()

    # -- what can be seen -----------------------------------------------------------------------------------

    @property
    def readings(self) -> Readings:
        """All that can be read now."""
        return self.state.readings

    @property
    def time(self) -> float:
        """Model time since the start [s]."""
        return self.state.time

    @property
    def x(self) -> Vector:
        """The states [SI], as in ``network.states``."""
        return self.state.x

    @property
    def pu(self) -> Vector:
        """The inputs of the network: numbers, and controls."""
        return self.state.pu

    @property
    def temperature(self) -> float:
        """Of the oil [C]."""
        return self.state.temperature

    @property
    def totals(self) -> Vector:
        """What the quadratures have summed up since the start [J]."""
        return self.state.totals

    @property
    def record(self) -> Record:
        """The calls since the settled start, to be replayed."""
        return self.history.record

    @property
    def notice(self) -> str:
        """A sentence for the operator, or nothing."""
        if self.trouble:
            return self.trouble
        for id_ in self._movers:
            if words := self.network.models[id_].part.overload(self._values(id_)):
                return f"{capital(part_words(self.rig, id_))}: {words}"
        return ""

    def _values(self, id_: str) -> dict[str, float]:
        """Return a prime mover's own numbers and readings by name, its speed, and the torque that speeds it up."""
        now, model = self.readings, self.network.models[id_]
        line = self.network.line_of[id_, "shaft"]
        surplus = -sum(now.load(*pair) for pair in self.network.lines[line].joins)
        values = {"speed": now.speed(line), "surplus": surplus}
        values |= {name: now.state(id_, name) for name in model.states}
        values |= {name: now.control(id_, name) for name in (*model.controls, *model.parameters)}
        return values | {name: now.value(id_, name) for name in model.reads}

    def replay(
        self, record: Iterable[Call], numbers: Mapping[str, float] | None = None,
        seen: Callable[[], object] = lambda: None,
    ) -> None:  # fmt: skip
        """Repeat a record, bit for bit on the same computer and versions; the machine is as the record leaves it.

        ``numbers``: the machine's at the record's start, where they are not the rig's own (``Record.numbers``);
        ``seen`` is called at the start and after each call. Raises SolverError.
        """
        calls = list(record)
        self.machine.start_from(numbers or {})
        self.reset()
        seen()
        for call in calls:
            self._take(call)
            self._call(call.length)
            seen()

    def _take(self, call: Call) -> None:
        """Set the controls and the changes that a recorded call begins with."""
        self.pu[self._first_control :] = call.controls
        for name, value in call.changes:
            if name == _OIL:
                self.set_temperature(value)
            else:
                self.set_parameter(name, value)
