"""What to try next: rules over the trace of an attempt, of which the cause that is earliest in time is told.

Each rule finds one number of a lap and when it came about, and says of it whether it explains a measure that is not
yet practised. The same number is found of the best run, so that both can be told.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from trainer.language import mark, tr
from trainer.practice import causes
from trainer.practice.attempt import Attempt
from trainer.practice.catalogue import MEASURES, Seen
from trainer.practice.causes import Number
from trainer.practice.score import Band, Score
from trainer.practice.task import Lap, Task
from trainer.practice.telling import said
from trainer.practice.trace import Trace
from trainer.rig.names import lever_words
from trainer.units import System

__all__ = ["RULES", "Advice", "Rule", "advice"]

_FEW = 2  # turns beyond the first: more is hunting
_OFF = 0.02  # of the high end of a band: nearer its middle is good
_MOSTLY = 0.8  # of the time outside a band on one side of it: else it is hunting
_LONG_OPEN = 0.3  # s on relief, where a task has no limits of its own


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


# -- the rules -----------------------------------------------------------------------------------------------------


def _always(_: Seen, __: Number) -> bool:
    return True


def _mostly_above(seen: Seen, found: Number) -> bool:
    return found.value > _OFF * seen.number("high") and found.more["above"][0] > _MOSTLY


def _mostly_below(seen: Seen, found: Number) -> bool:
    return found.value < -_OFF * seen.number("high") and found.more["above"][0] < 1 - _MOSTLY


RULES: Mapping[str, Rule] = {
    "crack": Rule(
        causes.through_dead_band, "ratio", ("jump", "peaks", "in_band"), lambda _, n: n.value > 0.3,
        mark("Go through the first part of the {lever}'s travel slowly, and keep it still once the load starts."),
        mark("It still went by {value} of its travel a second when the load started."),
        mark("It still went by {value} of its travel a second when the load started; in the best run by {best}."),
    ),
    "came_in": Rule(
        causes.came_in, "ratio", ("fall",), lambda _, n: n.value > 0.3,
        mark("Bring in the {second} slowly, and give the {lever} a little more while it comes."),
        mark("The {second} came in by {value} of its travel a second."),
        mark("The {second} came in by {value} of its travel a second, in the best run by {best}."),
    ),
    "apart": Rule(
        causes.apart, "time", ("off_line", "furthest", "functions"), lambda _, n: n.value > 0.4,
        mark("Start both levers together: each alone leads off the line."),
        mark("The second one came {value} after the first."),
        mark("The second one came {value} after the first, in the best run {best}."),
    ),
    "relief": Rule(
        causes.on_relief, "time", ("relief", "over_load", "work"), lambda _, n: n.value > _LONG_OPEN,
        mark("Ease the {lever} back before the relief opens: from there on the pump's oil only makes heat."),
        mark("It was open for {value}."),
        mark("It was open for {value}, in the best run for {best}."),
    ),
    "release": Rule(
        causes.let_back, "time", ("overshoot", "sway", "greatest_sway", "end_error", "peaks", "over_load", "behind"),
        lambda s, n: n.value < 0.9 * causes.period(s),
        mark("Let the {lever} back more slowly: take {wanted} from {top} to nothing."),
        mark("You took {value}."),
        mark("You took {value}. In the best run you took {best}."),
    ),
    "late": Rule(
        causes.before_mark, "length", ("overshoot",), lambda _, n: n.more["past"][0] > 0,
        mark("Begin to let the {lever} back {wanted} before the mark."),
        mark("You began {value} before it and went {past} past it."),
        mark("You began {value} before it and went {past} past it; in the best run you began {best} before it."),
    ),
    "emptied": Rule(
        causes.emptied, "ratio", ("behind",), _always,
        mark("Lower with less of the {lever}: the pump has to fill the space behind the piston."),
        mark("At {value} of its travel the pressure there fell to {least}."),
        mark("At {value} of its travel the pressure there fell to {least}; the best run kept it at {best}."),
    ),
    "landed": Rule(
        causes.landed, "pace", ("contact",), _always,
        mark("Come down more slowly at the end: almost stop, then set it down."),
        mark("It touched at {value}."),
        mark("It touched at {value}, in the best run at {best}."),
    ),
    "shaken": Rule(
        causes.shaken, "acceleration", ("spilling",), _always,
        mark("Take longer for each move of the {lever}: what is carried feels every change of speed."),
        mark("At most it was shaken by {value}."),
        mark("At most it was shaken by {value}, in the best run by {best}."),
    ),
    "hunting": Rule(
        causes.turned, "count", ("peaks", "reversals", "in_band", "effort", "end_error", "off_line"),
        lambda _, n: n.value >= _FEW,
        mark("Move the {lever} once and wait: the load answers after a moment."),
        mark("You turned it round {value} times more than needed."),
        mark("You turned it round {value} times more than needed, in the best run {best} times."),
    ),
    "too_fast": Rule(
        causes.off_band, "speed", ("in_band",), _mostly_above,
        mark("Hold it a little slower, between {low} and {high}."),
        mark("On average it was {value} too fast."),
        mark("On average it was {value} too fast, in the best run {best}."),
    ),
    "too_slow": Rule(
        causes.off_band, "speed", ("in_band",), _mostly_below,
        mark("Hold it a little faster, between {low} and {high}."),
        mark("On average it went at {mean}."),
        mark("On average it went at {mean}."),
    ),
    "left_line": Rule(
        causes.left_line, "length", ("off_line", "furthest"), _always,
        mark("Watch the tip, not the levers: correct as soon as it leaves the line."),
        mark("It was off most after {when}: {value}."),
        mark("It was off most after {when}: {value}; in the best run {best}."),
    ),
    "timid": Rule(
        causes.largest, "ratio", ("time",), lambda _, n: n.value < 0.9,
        mark("It is clean. Now move the {lever} further in the middle of the way."),
        mark("You moved it to {value} at most."),
        mark("You moved it to {value} at most, in the best run to {best}."),
    ),
}  # fmt: skip
_LAST = ("timid",)  # what is only said where no error and no roughness is left
_AGAIN = mark("Practised in all three. Now the same again: how near attempts are to each other counts as well.")
_ONCE_MORE = mark("Once more, slowly: it has to come to its end before it can be measured.")
_SLOWER = mark("Take more time, and think of one thing: {words}.")


def advice(
    attempt: Attempt, score: Score, best: Sequence[Trace] = (), best_score: Mapping[str, float] | None = None
) -> Advice:
    """Return what to try next after an attempt; ``best`` are the traces of the best one, where there is one.

    Of the measures that are not practised the one that counts most is explained, in the order in which they are
    shown; time is a matter only where all else is practised. Of an attempt that was not done, what counts most is.
    """
    task = attempt.task
    order = [*task.shown, *(id_ for id_ in task.bands if id_ not in task.shown)]
    bad = [id_ for id_ in order if id_ in score.values and score.one(id_).band is not Band.PRACTISED]
    if score.values and not bad:
        return Advice("again", tr(_AGAIN), *_first(score, best_score))
    rough = [id_ for id_ in bad or order if MEASURES[id_].kind != "time"]
    found = [[*_causes(id_, attempt, best, not rough)] for id_ in rough or bad]
    for each in found:
        if each:
            return min(each, key=lambda one: (one.lap, one.at))
    if not score.values:
        return Advice("slower", tr(_ONCE_MORE), attempt.sentence)
    first = score.one(bad[0])
    words = tr(_SLOWER).format(words=first.words[:1].lower() + first.words[1:])
    return Advice("slower", words, *_first(score, best_score))


def _causes(measure: str, attempt: Attempt, best: Sequence[Trace], clean: bool) -> Iterator[Advice]:
    """Yield the causes of a measure; ``clean``: nothing but time is left to mend."""
    for k, (lap, trace) in enumerate(zip(attempt.laps, attempt.traces, strict=False)):
        twin = next((one for one in best if one.lap == lap.name), None)
        for id_, rule in RULES.items():
            if measure in rule.of and (clean or id_ not in _LAST) and len(trace) > 1:
                one = _of(id_, rule, attempt.task, lap, trace, twin)
                if one is not None:
                    yield replace(one, lap=k)


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
