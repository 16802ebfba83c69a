"""For each shipped task a practised hand and a clumsy one."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from practice_hands import Careful, Hand, bang, hunting, towards

from trainer.practice.task import Lap

__all__ = ["CLUMSY", "PRACTISED"]

Hands = Callable[[Lap], Hand]
BOOM, BENCH = "3V1.lever", "1V1.lever"


def _one(lever: str, move: Callable[[float, Mapping[str, float]], float]) -> Hand:
    return lambda time, values: {lever: move(time, values)}


def _band(lap: Lap) -> tuple[float, float]:
    numbers = lap.roles.numbers()
    return numbers["low"], numbers["high"]


def _held(lap: Lap) -> Hand:
    low, high = _band(lap)
    return _one(BOOM, Careful("v", lambda *_: (low + high) / 2, (0.487, 0.2), 2.83, pull=0.4, rise=0.8, most=0.9))


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


PRACTISED: Mapping[str, Hands] = {"E1": _crept, "E2": _held, "E3": _stroke, "E4": _stopped}
CLUMSY: Mapping[str, Hands] = {"E1": _jerked, "E2": _hunted, "E3": _overshot, "E4": _overshot}
