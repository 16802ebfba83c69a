"""For each shipped task a practised hand and a clumsy one."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

from practice_hands import Careful, Delayed, Hand, bang, hunting, towards

from trainer.engine.session import FRAME
from trainer.practice.task import Lap
from trainer.units import GRAVITY

__all__ = ["CLUMSY", "PRACTISED"]

Hands = Callable[[Lap], Hand]
BENCH, SLEW, BOOM, STICK, TONGS = "1V1.lever", "2V1.lever", "3V1.lever", "4V1.lever", "5V1.lever"


def _one(lever: str, move: Callable[[float, Mapping[str, float]], float]) -> Hand:
    return lambda time, values: {lever: move(time, values)}


def _band(lap: Lap) -> tuple[float, float]:
    numbers = lap.roles.numbers()
    return numbers["low"], numbers["high"]


def _held(lap: Lap) -> Hand:
    low, high = _band(lap)
    return _one(BOOM, Careful("v", lambda *_: (low + high) / 2, (0.487, 0.2), 2.83, pull=0.4, rise=0.8, most=0.9))


def _held_slow_engine(lap: Lap) -> Hand:
    low, high = _band(lap)
    return _one(BOOM, Careful("v", lambda *_: (low + high) / 2, (0.6, 0.2), 2.83, pull=0.5, rise=0.8, most=0.9))


def _held_by_the_lever(lap: Lap) -> Hand:
    """The same place of the lever for every load: it asks for the speed."""
    return _one(BOOM, lambda time, values: min(0.725, 1.2 * time))


def _hunted(lap: Lap) -> Hand:
    return _one(BOOM, hunting("v", *_band(lap), first=0.95))


def _crept(lap: Lap) -> Hand:
    """Quickly to where nothing happens yet, from there slowly, and still once the load starts."""
    found = 0.0

    def move(time: float, values: Mapping[str, float]) -> float:
        nonlocal found
        if not found and values["v"] > 0.45e-3:
            found = time
        return 0.3 + 0.06 * max(0.0, (found or time) - 0.2)

    return _one(BENCH, move)


def _stroke(lap: Lap) -> Hand:
    target = lap.roles.numbers()["target"]
    return _one(BOOM, Careful("v", towards("x", target, 0.042, 2e-3, 0.8), (0.5, 0.2), 4.0, pull=0.6, rise=0.6))


def _stopped(lap: Lap) -> Hand:
    target = lap.roles.numbers()["target"]
    return _one(BOOM, Careful("v", towards("x", target, 0.06, 2e-3, 1.0), (0.5, 0.2), 4.0, pull=0.6, rise=1.0))


def _overshot(lap: Lap) -> Hand:
    numbers = lap.roles.numbers()
    return _one(BOOM, bang("x", numbers["target"], 0.8 * numbers["within"], 0.9, (0.57, 0.25)))


def _jerked(lap: Lap) -> Hand:
    return _one(BENCH, hunting("v", 0.4e-3, 1.5e-3, first=0.8, step=0.2, calms=0.93))


def _lowered(lap: Lap) -> Hand:
    numbers = lap.roles.numbers()
    move = Careful("v", towards("x", numbers["target"], 0.05, 2e-3, 1.0), (0.5, 0.17), 4.5, pull=0.4, rise=0.3)
    return _one(BOOM, move)


def _set_down(lap: Lap) -> Hand:
    """Slower the nearer it comes, then on until the links are slack, and still."""

    def wanted(_: float, values: Mapping[str, float]) -> float:
        if values["t"] < 400:
            return 0.0
        return -0.008 if values["f"] > 50 else -min(0.05, 0.008 + 0.25 * max(0.0, values["h"] - 0.02))

    return _one(BOOM, Careful("u", wanted, (0.5, 0.17), 4.5, pull=0.4, rise=0.4))


def _let_fall(lap: Lap) -> Hand:
    """Down in bursts, each stopped with a jerk, the last one by the ground."""
    eye = Delayed(0.25)

    def move(time: float, values: Mapping[str, float]) -> float:
        return 0.0 if eye(values)["t"] < 400 or time % 1.2 > 0.3 else -0.7

    return _one(BOOM, move)


def _dropped(lap: Lap) -> Hand:
    numbers = lap.roles.numbers()
    return _one(BOOM, bang("x", numbers["target"], 0.8 * numbers["within"], 0.9, (0.57, 0.22)))


def _short_of_the_end(lap: Lap) -> Hand:
    target = lap.roles.numbers()["target"]
    return _one(BENCH, Careful("v", towards("x", target, 7.5e-3, 0.5e-3, 1.0), (0.35, 0.3), 60.0, rise=1.0))


def _into_the_end(lap: Lap) -> Hand:
    numbers = lap.roles.numbers()
    return _one(BENCH, bang("x", numbers["target"], 0.6 * numbers["within"], 1.0, (0.45, 0.4), delay=1.3))


def _level(lap: Lap) -> Hand:
    """The stick leads; the boom holds the height, with what it will need."""
    target, height = lap.roles.numbers()["target"], lap.roles.line[1][0]
    stick, boom, more = 0.0, 0.0, 0.0

    def move(_: float, values: Mapping[str, float]) -> dict[str, float]:
        nonlocal stick, boom, more
        left = values["r"] - target
        low = height - values["h"]
        aim = 0.0 if left < 0.01 else min(0.3, 0.2 + 0.4 * left)
        stick += min(max(aim - stick, -0.6 * FRAME), 0.6 * FRAME)
        more = min(max(more + 0.5 * low * FRAME, -0.15), 0.15)
        aim = 0.0 if left < 0.01 else max(0.0, min(0.8, 0.57 + 0.8 * low + more))
        boom += min(max(aim - boom, -1.5 * FRAME), 1.5 * FRAME)
        return {STICK: stick, BOOM: boom}

    return move


def _staircase(lap: Lap) -> Hand:
    """First the stick, then the boom, in turns and late."""
    target, height = lap.roles.numbers()["target"], lap.roles.line[1][0]
    eye = Delayed(0.3)

    def move(_: float, values: Mapping[str, float]) -> dict[str, float]:
        seen = eye(values)
        left, low = seen["r"] - target, height - seen["h"]
        if abs(left) < 0.05:
            return {STICK: 0.0, BOOM: 0.0}
        if low > 0.12:
            return {STICK: 0.0, BOOM: 0.75}
        return {STICK: (0.35 if left > 0.15 else 0.25) if left > 0 else -0.5, BOOM: 0.0}

    return move


def _both(lap: Lap, pace: float, begin: float, most: float) -> Hand:
    low, high = _band(lap)
    boom = Careful("v", lambda *_: (low + high) / 2, (0.487, 0.2), 2.83, pull=2.5, rise=1.2)

    def move(time: float, values: Mapping[str, float]) -> dict[str, float]:
        return {BOOM: boom(time, values), STICK: min(max(0.0, (time - begin) * pace), most)}

    return move


def _brought_in(lap: Lap) -> Hand:
    return _both(lap, 0.12, 1.2, 0.3)


def _kicked_in(lap: Lap) -> Hand:
    """The boom is left where it was while the stick comes with a blow, is let go, and comes again."""

    def move(time: float, _: Mapping[str, float]) -> dict[str, float]:
        return {BOOM: 0.6, STICK: 0.6 if 1.5 < time < 1.9 or 3.4 < time < 3.7 or time > 4.8 else 0.0}

    return move


def _whole_swing(lap: Lap) -> Hand:
    """Up and down again over a whole swing of the load each, so that it arrives hanging still."""
    numbers = lap.roles.numbers()
    assert lap.roles.link is not None
    swing = 2 * math.pi * math.sqrt(lap.roles.link[0] / GRAVITY)
    top = 0.27
    slowing = top / swing

    def wanted(time: float, values: Mapping[str, float]) -> float:
        left = numbers["target"] - values["z"] + 0.02
        if left < 0.0:
            return 0.0
        return min(max(0.02, slowing * time), top, math.sqrt(1.4 * slowing * left), 0.015 + 0.9 * left)

    return _one(SLEW, Careful("v", wanted, (0.34, 0.34), 0.47, pull=0.2, rise=0.8, firm=1.5))


def _swung(lap: Lap) -> Hand:
    """At once, let go at once, and small blows to where it should be."""
    target = lap.roles.numbers()["target"]
    eye, looked, blow = Delayed(0.3), 3.5, 0.0

    def move(time: float, values: Mapping[str, float]) -> float:
        nonlocal looked, blow
        left = target - eye(values)["z"]
        if time < 3.5:
            return 0.55 if left > 0.15 else 0.0
        if time > looked:
            looked += 1.5
            blow = math.copysign(0.4, left) if abs(left) > 0.06 else 0.0
        return blow if time < looked - 1.1 else 0.0

    return _one(SLEW, move)


def _carried(lap: Lap) -> Hand:
    """Gently up, then round as if nothing else had moved."""
    swing, since = _whole_swing(lap), 0.0
    lift = Careful("u", towards("x", 0.407, 0.045, 3e-3, 1.2), (0.48, 0.2), 3.0, pull=0.5, rise=0.5)

    def move(time: float, values: Mapping[str, float]) -> dict[str, float]:
        nonlocal since
        if values["x"] < 0.4035 and not since:
            return {SLEW: 0.0, BOOM: lift(time, values)}
        since = since or time
        return {**swing(time - since, values), BOOM: 0.0}

    return move


def _spilt(lap: Lap) -> Hand:
    """First up, then round, each at once."""
    swing, since = _swung(lap), 0.0

    def move(time: float, values: Mapping[str, float]) -> dict[str, float]:
        nonlocal since
        if values["x"] < 0.405 and not since:
            return {SLEW: 0.0, BOOM: 0.9}
        since = since or time
        return {**swing(time - since, values), BOOM: 0.0}

    return move


def _cycle(lap: Lap, swing: float, ease: float, down: Callable[[float, Mapping[str, float]], float], up: float,
           waits: float) -> Hand:  # fmt: skip
    """Down to the log, close, up, round, down on the pile, open, up and back; one after the other by what is seen."""
    step, still = 0, 0.0
    ahead, left = (one for one, _ in lap.roles.spot)
    there = math.atan2(left, ahead)

    def slew(to: float, values: Mapping[str, float]) -> float:
        gone = to - values["z"]
        return 0.0 if abs(gone) < 0.03 else math.copysign(min(swing, 0.36 + ease * abs(gone)), gone)

    def move(time: float, v: Mapping[str, float]) -> dict[str, float]:
        nonlocal step, still
        still = still + FRAME if step == 4 and math.hypot(v["a"], v["b"]) < 0.05 else 0.0
        steps: list[tuple[dict[str, float], bool]] = [
            ({BOOM: down(time, v)}, v["e"] < 0.36),
            ({TONGS: 0.7}, v["g"] > 15e3),
            ({BOOM: up}, v["h"] > 0.9),
            ({SLEW: slew(there, v)}, abs(there - v["z"]) < 0.04 and abs(v["v"]) < 0.05),
            ({}, still > waits),
            ({BOOM: down(time, v)}, v["f"] > 800 and v["t"] < 1600),
            ({TONGS: -0.7}, v["c"] < 0.03),
            ({BOOM: up}, v["e"] > 1.8),
            ({SLEW: slew(0.0, v)}, False),
        ]
        if steps[step][1]:
            step += 1
        return dict.fromkeys((SLEW, BOOM, STICK, TONGS), 0.0) | steps[step][0]

    return move


def _worked(lap: Lap) -> Hand:
    """Fast where there is nothing, slow where something is met, and round so that the log hardly swings."""

    def down(_: float, values: Mapping[str, float]) -> float:
        near = min(values["h"], values["e"] - 0.3)
        return -0.24 - min(0.18, 0.4 * max(0.0, near - 0.1))

    return _cycle(lap, 0.47, 0.2, down, 0.65, 0.5)


def _thrown(lap: Lap) -> Hand:
    """Down in bursts, up with a jerk, round at full tilt and back from beyond it, and down while it swings."""
    return _cycle(lap, 0.7, 2.0, lambda time, _: -0.55 if time % 2.4 < 0.35 else 0.0, 0.9, -1.0)


PRACTISED: Mapping[str, Hands] = {
    "E1": _crept, "E2": _held, "E3": _stroke, "E4": _stopped, "E5": _set_down, "E6": _held, "E7": _lowered,
    "E8": _short_of_the_end, "E9": _level, "E10": _brought_in, "E11": _whole_swing, "E12": _carried, "E13": _held,
    "E14": _held_slow_engine, "E15": _held, "E16": _held_by_the_lever, "E18": _worked,
}  # fmt: skip
CLUMSY: Mapping[str, Hands] = {
    "E1": _jerked, "E2": _hunted, "E3": _overshot, "E4": _overshot, "E5": _let_fall, "E6": _hunted, "E7": _dropped,
    "E8": _into_the_end, "E9": _staircase, "E10": _kicked_in, "E11": _swung, "E12": _spilt, "E13": _hunted,
    "E14": _hunted, "E15": _hunted, "E16": _hunted, "E18": _thrown,
}  # fmt: skip
