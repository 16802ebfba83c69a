"""A stopwatch of model time, by hand or on a condition; the time does not depend on the length of a frame."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from trainer.language import mark, tr
from trainer.parts.part import Kind, Parameter
from trainer.rig.live import Live
from trainer.rig.names import lever_words, part_words
from trainer.rig.rig import Rig

__all__ = ["MOST_RUNS", "Stopwatch", "Trigger", "triggers"]

MOST_RUNS = 3
_NEUTRAL = 0.02  # of a lever's travel
_AT_END, _GIVE = 5e-4, 1e-4  # of the stroke; at least so much, which a stop gives under a load [m]
_ENDS = {
    "in": mark("{part} all the way in"),
    "out": mark("{part} all the way out"),
    "": mark("{part} at its end"),
}
_LEFT = {
    "in": mark("{part} leaves its inner end"),
    "out": mark("{part} leaves its outer end"),
    "": mark("{part} leaves its end"),
}


@dataclass(frozen=True, slots=True)
class Trigger:
    """What starts or stops the watch.

    kind "hand"; "lever": a lever (``on`` "1V1.lever") leaves neutral; "leaves" or "arrives": the rod of a cylinder
    (``on`` its id) leaves an ``end`` or comes to it, "in", "out" or "" for either.
    """

    kind: str = "hand"
    on: str = ""
    end: str = ""

    def words(self, rig: Rig) -> str:
        """Return what it waits for: "by hand", "boom lever leaves neutral", "boom cylinder at its end"."""
        if self.kind == "hand":
            return tr("by hand")
        if self.kind == "lever":
            return tr("{lever} leaves neutral").format(lever=lever_words(rig, self.on))
        words = (_LEFT if self.kind == "leaves" else _ENDS)[self.end]
        return tr(words).format(part=part_words(rig, self.on))


def triggers(rig: Rig, stop: bool) -> list[Trigger]:
    """Return every trigger that can start the watch, or stop it, by hand first, in the order of the rig."""
    found = [Trigger()]
    if not stop:
        found += [Trigger("lever", name) for name in rig.controls() if name.endswith(".lever")]
    for id_, fitted in rig.parts.items():
        if "stroke" in fitted.part.declared(Parameter) and fitted.part.ports.get("rod") is Kind.ROD:
            found += [Trigger("arrives" if stop else "leaves", id_, end) for end in ("", "out", "in")]
    return found


class _Watched:
    """One quantity that a trigger follows: beyond zero it has happened. Keeps the instant before."""

    def __init__(self, rate: Callable[[Live], tuple[float, float | None]]) -> None:
        self.rate = rate
        self.before: tuple[float, float, float | None] | None = None  # time, value, its rate where that is known

    def happened(self, live: Live, arriving: bool) -> float | None:
        """Return when the value passed zero since the instant before [s], None where it did not.

        The time is found along a straight line, with the rate of what moves: before an end is met, after it is left.
        """
        before, now = self.before, (live.time, *self.rate(live))
        self.before = now
        if before is None or not before[1] <= 0.0 < now[1] or now[0] <= before[0]:
            return None
        slope = before[2] if arriving else now[2]
        if slope is None or slope <= 0.0:
            return before[0] + (now[0] - before[0]) * before[1] / (before[1] - now[1])
        time = before[0] - before[1] / slope if arriving else now[0] - now[1] / slope
        return min(max(time, before[0]), now[0])


def _watched(rig: Rig, trigger: Trigger) -> list[_Watched]:
    """Return what a trigger follows; nothing for one by hand. Raises KeyError for what the rig does not have."""
    if trigger.kind == "hand":
        return []
    if trigger.kind == "lever":
        section, _, name = trigger.on.partition(".")
        rig.parts[section].part.declared(Parameter)
        return [_Watched(lambda live: (abs(live.control(section, name)) - _NEUTRAL, None))]
    line, id_ = rig.line_of(trigger.on, "rod").name, trigger.on
    sign = -1.0 if trigger.kind == "leaves" else 1.0

    def at_outer(live: Live) -> tuple[float, float | None]:
        stroke = live.parameter(id_, "stroke")
        return sign * (live.place(line) - stroke + max(_AT_END * stroke, _GIVE)), sign * live.speed(line)

    def at_inner(live: Live) -> tuple[float, float | None]:
        stroke = live.parameter(id_, "stroke")
        return sign * (max(_AT_END * stroke, _GIVE) - live.place(line)), -sign * live.speed(line)

    ends = {"out": [at_outer], "in": [at_inner]}.get(trigger.end, [at_outer, at_inner])
    return [_Watched(end) for end in ends]


class Stopwatch:
    """Takes time by hand or on triggers; ``state`` is "still", "waiting" or "running". Times in s of model time.

    ``feed`` it every instant. With a start trigger it waits again after a run until three runs are there; a further
    run takes the place of the oldest. A run under way is dropped when time goes back; ``note`` then says so.
    """

    def __init__(self, rig: Rig, start: Trigger | None = None, stop: Trigger | None = None) -> None:
        self.rig = rig
        self.runs: list[float] = []
        self.set_triggers(start or Trigger(), stop or Trigger())

    def set_triggers(self, start: Trigger, stop: Trigger) -> None:
        """Choose what starts and stops; a run under way is dropped, runs that are kept stay. Raises KeyError."""
        self._starts, self._stops = _watched(self.rig, start), _watched(self.rig, stop)
        self.start_on, self.stop_on = start, stop
        self.state, self.note = "still", ""
        self._begin = self._now = 0.0
        self._fed = False

    def press(self, live: Live) -> None:
        """Start, or wait for the start trigger; stop where it runs or waits."""
        self.feed(live)
        self.note = ""
        if self.state == "running":
            self._end(live.time, again=False)
        elif self.state == "waiting":
            self.state = "still"
        elif self.start_on.kind == "hand":
            self._start(live.time)
        else:
            self.state = "waiting"

    def feed(self, live: Live) -> bool:
        """Take an instant; return whether anything of the watch has changed besides the running time."""
        went_back = self._fed and live.time < self._now
        self._now, self._fed = live.time, True
        if went_back:
            return self._went_back(live)
        started = _first(self._starts, live, arriving=False)
        stopped = _first(self._stops, live, arriving=True)
        before = self.state, len(self.runs)
        if self.state == "waiting" and started is not None:
            self._start(started)
        if self.state == "running" and stopped is not None and stopped > self._begin:
            self._end(stopped, again=True)
        return before != (self.state, len(self.runs))

    def _went_back(self, live: Live) -> bool:
        for watched in (*self._starts, *self._stops):
            watched.before = None
            watched.happened(live, arriving=False)
        if self.state != "running":
            return False
        self.state = "waiting" if self.start_on.kind != "hand" else "still"
        self.note = tr("Time went back: the run under way is dropped.")
        return True

    def _start(self, time: float) -> None:
        self.state, self._begin, self.note = "running", time, ""

    def _end(self, time: float, again: bool) -> None:
        self.runs = [*self.runs, time - self._begin][-MOST_RUNS:]
        waits = again and self.start_on.kind != "hand" and len(self.runs) < MOST_RUNS
        self.state = "waiting" if waits else "still"

    def reset(self) -> None:
        """Forget all runs and the one under way."""
        self.runs = []
        self.state, self.note = "still", ""

    @property
    def elapsed(self) -> float:
        """Time of the run under way, else that of the last one, else 0 [s]."""
        if self.state == "running":
            return self._now - self._begin
        return self.runs[-1] if self.runs else 0.0

    @property
    def mean(self) -> float | None:
        """Mean of the runs [s], None without one."""
        return sum(self.runs) / len(self.runs) if self.runs else None

    @property
    def spread(self) -> float | None:
        """Longest less shortest run [s], None without two."""
        return max(self.runs) - min(self.runs) if len(self.runs) > 1 else None


def _first(watched: list[_Watched], live: Live, arriving: bool) -> float | None:
    times = [time for one in watched if (time := one.happened(live, arriving)) is not None]
    return min(times, default=None)
