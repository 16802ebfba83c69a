"""What to try next: rules over the trace of an attempt, of which the cause that is earliest in time is told.

Each rule finds one number of a lap and when it came about, and says of it whether it explains a measure that is not
yet practised. The same number is found of the best run, so that both can be told.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from trainer.language import mark, tr
from trainer.practice.attempt import Attempt
from trainer.practice.catalogue import MEASURES, Seen
from trainer.practice.measures import MOVED, first_moved, turns
from trainer.practice.score import Band, Score
from trainer.practice.task import Lap, Task
from trainer.practice.telling import said
from trainer.practice.trace import Trace
from trainer.rig.names import lever_words
from trainer.units import GRAVITY, System

__all__ = ["RULES", "Advice", "Rule", "advice"]

_SUDDEN = 0.6  # s: a lever that comes back faster leaves the load no time
_FEW = 2  # turns beyond the first: more is hunting
_LONG_OPEN = 0.3  # s on relief, where a task has no limits of its own
_TOUCHES = 100.0  # N


@dataclass(frozen=True, slots=True)
class Advice:
    """One sentence on what to try, one with the own number and the best one; ``at`` is when its cause came [s].

    ``lap`` counts from 0. Numbers stand in brackets until they are told in a unit system.
    """

    rule: str
    words: str
    own: str
    at: float = 0.0
    lap: int = 0
    numbers: Mapping[str, tuple[float, str]] | None = None

    def told(self, system: System) -> tuple[str, str]:
        """Return both sentences in a unit system."""
        return self._filled(self.words, system), self._filled(self.own, system)

    def _filled(self, text: str, system: System) -> str:
        for name, (value, quantity) in (self.numbers or {}).items():
            text = text.replace(f"{{{name}}}", said(value, quantity, system))
        return text


@dataclass(frozen=True, slots=True)
class Number:
    """What a rule found of a lap: when it came about [s], how much [SI], and other numbers for its words."""

    at: float
    value: float
    more: Mapping[str, tuple[float, str]]


@dataclass(frozen=True, slots=True)
class Rule:
    """A rule: what it finds of a lap, its quantity, of which measures it is the cause, from where, and what it says.

    ``cause`` is asked where one of ``of`` is not practised. ``words`` may name {best} only where there is one.
    """

    find: Callable[[Seen], Number | None]
    quantity: str
    of: tuple[str, ...]
    cause: Callable[[Seen, Number], bool]
    words: str
    own: str
    best: str


# -- what is found of a lap ----------------------------------------------------------------------------------------


def _release(seen: Seen) -> tuple[int, int] | None:
    """Return where the first lever began to go back for good before it was centred, and where it was."""
    lever = np.abs(seen.levers[0])
    end = seen.centred
    out = np.flatnonzero(lever[: end + 1] > MOVED)
    if not len(out) or end == 0:
        return None
    top = float(lever[: end + 1].max())
    high = np.flatnonzero(lever[: end + 1] >= 0.95 * top)
    return int(high[-1]), end


def _let_back(seen: Seen) -> Number | None:
    found = _release(seen)
    if found is None:
        return None
    begin, end = found
    took = float(seen.times[end] - seen.times[begin])
    top = float(np.abs(seen.levers[0][: end + 1]).max())
    wanted = max(_period(seen), 2 * took)
    return Number(float(seen.times[begin]), took, {"top": (top, "ratio"), "wanted": (wanted, "time")})


def _period(seen: Seen) -> float:
    """Return how long a lever may take to come back: a whole swing of a load that hangs [s]."""
    link = seen.roles.link
    return _SUDDEN if link is None else 2 * math.pi * math.sqrt(link[0] / GRAVITY)


def _before_mark(seen: Seen) -> Number | None:
    found = _release(seen)
    if found is None or not seen.roles.place or seen.roles.target is None:
        return None
    target, quantity = seen.roles.target
    way = math.copysign(1.0, target - float(seen.place[0]))
    left = (target - float(seen.place[found[0]])) * way
    past = max(0.0, float(((seen.place - target) * way).max()))
    more = {"past": (past, quantity), "wanted": (max(left, 0.0) + past, quantity)}
    return Number(float(seen.times[found[0]]) + 1e-3, left, more)


def _on_relief(seen: Seen) -> Number | None:
    if not seen.roles.relief or not seen.on_relief.any():
        return None
    open_ = float(np.sum(seen.on_relief[1:] * np.diff(seen.times)))
    return Number(float(seen.times[np.flatnonzero(seen.on_relief)[0]]), open_, {})


def _turned(seen: Seen) -> Number | None:
    found = sorted(k for lever in seen.levers for k in turns(lever)[1:])
    return Number(float(seen.times[found[0]]), float(len(found)), {}) if found else None


def _through_dead_band(seen: Seen) -> Number | None:
    """The lever's speed when the load started [travels/s], over the tenth of a second before."""
    if not seen.roles.speed or seen.roles.moves is None:
        return None
    k = first_moved(seen.speed, seen.number("moves"))
    if k < 1:
        return None
    before = int(np.searchsorted(seen.times, seen.times[k] - 0.1))
    lever = np.abs(seen.levers[0])
    passed = float(seen.times[k] - seen.times[before])
    pace = float(lever[k] - lever[before]) / passed if passed > 0 else math.inf
    return Number(float(seen.times[k]), pace, {})


def _largest(seen: Seen) -> Number | None:
    lever = np.abs(seen.levers[0])
    k = int(lever.argmax())
    return Number(float(seen.times[k]), float(lever[k]), {})


def _emptied(seen: Seen) -> Number | None:
    if not seen.roles.behind:
        return None
    pressure = seen.values(seen.roles.behind)
    k = int(pressure.argmin())
    lever = float(np.abs(seen.levers[0][k]))
    return Number(float(seen.times[k]), lever, {"least": (float(pressure[k]), "pressure")})


def _apart(seen: Seen) -> Number | None:
    firsts = [np.flatnonzero(np.abs(lever) > MOVED) for lever in seen.levers]
    if len(firsts) < 2 or not all(len(first) for first in firsts):
        return None
    begins = sorted(float(seen.times[first[0]]) for first in firsts)
    return Number(begins[-1], begins[-1] - begins[0], {})


def _left_line(seen: Seen) -> Number | None:
    if not seen.roles.path or not seen.roles.line:
        return None
    ends = np.array([given[0] for given in seen.roles.line])
    half = len(ends) // 2
    along = (ends[half:] - ends[:half]) / np.linalg.norm(ends[half:] - ends[:half])
    off = seen.path - ends[:half]
    size = np.linalg.norm(off - np.outer(off @ along, along), axis=1)
    k = int(size.argmax())
    return Number(float(seen.times[k]), float(size[k]), {"when": (float(seen.times[k]), "time")})


def _came_in(seen: Seen) -> Number | None:
    """The largest speed of the second lever in the half second from its first motion on [travels/s]."""
    if not seen.roles.second or math.isnan(seen.second):
        return None
    within = (seen.times >= seen.second - 0.1) & (seen.times <= seen.second + 0.5)
    lever, times = np.abs(seen.trace.levers[seen.roles.second][within]), seen.times[within]
    pace = float((np.diff(lever) / np.diff(times)).max()) if len(times) > 1 else 0.0
    return Number(seen.second, pace, {})


def _landed(seen: Seen) -> Number | None:
    """The speed just before something touched [m/s]."""
    if not seen.roles.contact or not seen.roles.sinking:
        return None
    touching = np.flatnonzero(seen.values(seen.roles.contact) > _TOUCHES)
    if not len(touching):
        return None
    k = int(np.searchsorted(seen.times, seen.times[touching[0]] - 0.05))
    return Number(float(seen.times[k]), float(abs(seen.values(seen.roles.sinking)[k])), {})


def _off_band(seen: Seen) -> Number | None:
    """How much too fast a load was on average, or too slow (negative), once it had been in the band."""
    if not seen.roles.speed or seen.roles.band is None:
        return None
    low, high = seen.number("low"), seen.number("high")
    size = np.abs(seen.speed)
    inside = np.flatnonzero((size >= low) & (size <= high))
    begin = int(inside[0]) if len(inside) else 0
    outside = np.flatnonzero((size[begin:] < low) | (size[begin:] > high))
    mean = float(size[begin:].mean())
    at = float(seen.times[begin + outside[0]]) if len(outside) else float(seen.times[begin])
    quantity = seen.trace.quantities[seen.roles.speed]
    return Number(
        at, mean - (low + high) / 2, {"mean": (mean, quantity), "low": (low, quantity), "high": (high, quantity)}
    )


def _shaken(seen: Seen) -> Number | None:
    if not seen.roles.carried or seen.roles.limit is None:
        return None
    times, size = seen.shaken
    over = np.flatnonzero(size > seen.number("limit"))
    return Number(float(times[over[0]]), float(size.max()), {}) if len(over) else None


# -- the rules -----------------------------------------------------------------------------------------------------


def _always(_: Seen, __: Number) -> bool:
    return True


RULES: Mapping[str, Rule] = {
    "crack": Rule(
        _through_dead_band, "ratio", ("jump", "peaks", "in_band"), lambda _, n: n.value > 0.3,
        mark("Go through the first part of the {lever}'s travel slowly, and keep it still once the load starts."),
        mark("It still went by {value} of its travel a second when the load started."),
        mark("It still went by {value} of its travel a second when the load started; in the best run by {best}."),
    ),
    "came_in": Rule(
        _came_in, "ratio", ("fall",), lambda _, n: n.value > 0.3,
        mark("Bring in the {second} slowly, and give the {lever} a little more while it comes."),
        mark("The {second} came in by {value} of its travel a second."),
        mark("The {second} came in by {value} of its travel a second, in the best run by {best}."),
    ),
    "apart": Rule(
        _apart, "time", ("off_line", "furthest", "functions"), lambda _, n: n.value > 0.4,
        mark("Start both levers together: each alone leads off the line."),
        mark("The second one came {value} after the first."),
        mark("The second one came {value} after the first, in the best run {best}."),
    ),
    "relief": Rule(
        _on_relief, "time", ("relief", "over_load", "work"), lambda _, n: n.value > _LONG_OPEN,
        mark("Ease the {lever} back before the relief opens: from there on the pump's oil only makes heat."),
        mark("It was open for {value}."),
        mark("It was open for {value}, in the best run for {best}."),
    ),
    "release": Rule(
        _let_back, "time", ("overshoot", "sway", "greatest_sway", "end_error", "peaks", "over_load", "behind"),
        lambda s, n: n.value < 0.9 * _period(s),
        mark("Let the {lever} back more slowly: take {wanted} from {top} to nothing."),
        mark("You took {value}."),
        mark("You took {value}. In the best run you took {best}."),
    ),
    "late": Rule(
        _before_mark, "length", ("overshoot",), lambda _, n: n.more["past"][0] > 0,
        mark("Begin to let the {lever} back {wanted} before the mark."),
        mark("You began {value} before it and went {past} past it."),
        mark("You began {value} before it and went {past} past it; in the best run you began {best} before it."),
    ),
    "emptied": Rule(
        _emptied, "ratio", ("behind",), _always,
        mark("Lower with less of the {lever}: the pump has to fill the space behind the piston."),
        mark("At {value} of its travel the pressure there fell to {least}."),
        mark("At {value} of its travel the pressure there fell to {least}; the best run kept it at {best}."),
    ),
    "landed": Rule(
        _landed, "pace", ("contact",), _always,
        mark("Come down more slowly at the end: almost stop, then set it down."),
        mark("It touched at {value}."),
        mark("It touched at {value}, in the best run at {best}."),
    ),
    "shaken": Rule(
        _shaken, "acceleration", ("spilling",), _always,
        mark("Take longer for each move of the {lever}: what is carried feels every change of speed."),
        mark("At most it was shaken by {value}."),
        mark("At most it was shaken by {value}, in the best run by {best}."),
    ),
    "hunting": Rule(
        _turned, "count", ("peaks", "reversals", "in_band", "effort", "end_error", "off_line"),
        lambda _, n: n.value >= _FEW,
        mark("Move the {lever} once and wait: the load answers after a moment."),
        mark("You turned it round {value} times more than needed."),
        mark("You turned it round {value} times more than needed, in the best run {best} times."),
    ),
    "too_fast": Rule(
        _off_band, "speed", ("in_band",), lambda s, n: n.value > 0.02 * s.number("high"),
        mark("Hold it a little slower, between {low} and {high}."),
        mark("On average it was {value} too fast."),
        mark("On average it was {value} too fast, in the best run {best}."),
    ),
    "too_slow": Rule(
        _off_band, "speed", ("in_band",), lambda s, n: n.value < -0.02 * s.number("high"),
        mark("Hold it a little faster, between {low} and {high}."),
        mark("On average it went at {mean}."),
        mark("On average it went at {mean}."),
    ),
    "left_line": Rule(
        _left_line, "length", ("off_line", "furthest"), _always,
        mark("Watch the tip, not the levers: correct as soon as it leaves the line."),
        mark("It was off most after {when}: {value}."),
        mark("It was off most after {when}: {value}; in the best run {best}."),
    ),
    "timid": Rule(
        _largest, "ratio", ("time",), lambda _, n: n.value < 0.9,
        mark("It is clean. Now move the {lever} further in the middle of the way."),
        mark("You moved it to {value} at most."),
        mark("You moved it to {value} at most, in the best run to {best}."),
    ),
}  # fmt: skip
_LAST = ("timid",)  # what is only said where no error and no roughness is left
_AGAIN = mark("Practised in all three. Now the same again: how near attempts are to each other counts as well.")
_SLOWER = mark("Take more time, and think of one thing: {words}.")


def advice(
    attempt: Attempt, score: Score, best: Sequence[Trace] = (), best_score: Mapping[str, float] | None = None
) -> Advice:
    """Return what to try next after an attempt; ``best`` are the traces of the best one, where there is one."""
    task = attempt.task
    bad = [id_ for id_ in task.bands if id_ in score.values and score.one(id_).band is not Band.PRACTISED]
    if not bad:
        return Advice("again", tr(_AGAIN), *_first(score, best_score))
    rough = [id_ for id_ in bad if MEASURES[id_].kind != "time"]
    found: list[Advice] = []
    for k, (lap, trace) in enumerate(zip(attempt.laps, attempt.traces, strict=False)):
        twin = next((one for one in best if one.lap == lap.name), None)
        for id_, rule in RULES.items():
            wanted = bad if id_ in _LAST and not rough else rough
            if set(rule.of) & set(wanted) and (one := _of(id_, rule, task, lap, trace, twin)) is not None:
                found.append(replace(one, lap=k))
    if found:
        return min(found, key=lambda one: (one.lap, one.at))
    first = score.one(bad[0])
    words = tr(_SLOWER).format(words=first.words[:1].lower() + first.words[1:])
    return Advice("slower", words, *_first(score, best_score))


def _first(score: Score, best: Mapping[str, float] | None) -> tuple[str, float, int, Mapping[str, tuple[float, str]]]:
    """Return the own number of the first measure, and the best one where there is one."""
    first = score.shown[0]
    quantity = "count" if MEASURES[first.id].count else first.quantity
    numbers = {"value": (first.value, quantity)}
    if best is None or first.id not in best:
        return f"{first.words}: {{value}}.", 0.0, 0, numbers
    numbers["best"] = (best[first.id], quantity)
    return tr("{words}: {{value}}; in the best run {{best}}.").format(words=first.words), 0.0, 0, numbers


def _of(id_: str, rule: Rule, task: Task, lap: Lap, trace: Trace, best: Trace | None) -> Advice | None:
    """Return what a rule says of a lap, None where it is not the cause."""
    seen = Seen(lap, trace)
    number = rule.find(seen)
    if number is None or not rule.cause(seen, number):
        return None
    twin = rule.find(Seen(lap, best)) if best is not None else None
    quantity = _quantity(rule, seen)
    numbers = {"value": (abs(number.value), quantity), **number.more}
    own = tr(rule.own)
    if twin is not None and _tells(rule, number, twin):
        own = tr(rule.best)
        better = twin.more["least"] if "least" in twin.more else (abs(twin.value), quantity)
        numbers["best"] = better
        if id_ == "release" and twin.value > number.value:
            numbers["wanted"] = (twin.value, "time")
    assert task.rig is not None
    levers = [lever_words(task.rig, name) for name in task.levers]
    second = lever_words(task.rig, lap.roles.second) if lap.roles.second else ""
    words = tr(task.advice.get(id_, rule.words))
    return Advice(id_, _named(words, levers[0], second), _named(own, levers[0], second), number.at, 0, numbers)


def _tells(rule: Rule, own: Number, best: Number) -> bool:
    """Whether the number of the best run says something beside the own one."""
    return rule.quantity != "time" or abs(best.value - own.value) > 0.1 * max(own.value, best.value)


def _named(text: str, lever: str, second: str) -> str:
    return text.replace("{lever}", lever).replace("{second}", second)


def _quantity(rule: Rule, seen: Seen) -> str:
    if rule.quantity in ("length", "speed"):
        letter = seen.roles.place if rule.quantity == "length" else seen.roles.speed
        return seen.trace.quantities[letter] if letter else rule.quantity
    return "speed" if rule.quantity == "pace" else rule.quantity
