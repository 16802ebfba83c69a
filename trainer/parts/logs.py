"""Logs of a crane's yard: which lies, which the tongs hold, which is loose; smooth in a call, switched after it.

What is loose meets nothing but the ground and the logs on it, so that it is moved between calls as well.

A log's number says what it is: 0 none, 1 lying, 2 held, 3 loose. Its place [m] is where it lies, or how far off the
middle of the tongs it is held; one log at a time is held, and one is loose, with a place and a speed of its own.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from types import SimpleNamespace
from typing import Any

import casadi as ca

from trainer.parts.arm import BELLY, tip_of
from trainer.parts.hanging import FOLDED, FRICTION, SOIL, TIE
from trainer.parts.laws import contact
from trainer.parts.part import At, Expr
from trainer.parts.yard import LOGS, bare_height, log_radius, log_top, nearest
from trainer.units import GRAVITY

__all__ = ["BLUNT", "HUNG", "HUNG_SPEED", "Logs", "begin", "latch"]

LYING, HELD, LOOSE = 1, 2, 3
_WITHIN = 0.4  # m level from the middle of the tongs to a log that they can take
_BELOW, _ABOVE = -0.40, 0.10  # m that it may be below and above that
_SHORT = 2e-3  # m that the rod is still to be short of where the tongs will meet it
_TAKES, _LETS_GO = 3e3, 50.0  # N of grip with which it is held, and below which it is let go
_SLIPS, _RESTS = 0.1, 0.05  # s that it has to be pulled out, and to lie still
_STILL = 0.02  # m/s
_FLOATS = 0.01  # m that a log may lie above what is under it
BLUNT = 0.1  # m, radius of closed tongs, or of a hooked load, for a log that it comes down on
_STEP = 2e-3  # s, of a falling log
HUNG, LOOSE_PLACE = ("hung_ahead", "hung_left", "hung_up"), ("loose_x", "loose_y", "loose_z")
HUNG_SPEED, LOOSE_SPEED = (tuple(f"{name}_rate" for name in names) for names in (HUNG, LOOSE_PLACE))


def _is(number: Expr, k: int) -> Expr:
    """Return 1 where a log's number is ``k``, 0 where it is another one."""
    return ca.fmax(ca.fmin(number - (k - 1), (k + 1) - number), 0)


def _sum(values: Sequence[Expr]) -> Expr:
    return sum(values, ca.SX(0))


@dataclass(slots=True)
class Logs:
    """The logs in the law of a crane: who is where, and the one that is loose."""

    at: At
    masses: list[Expr] = field(init=False)
    radii: list[Expr] = field(init=False)
    places: list[Expr] = field(init=False)
    lies: list[Expr] = field(init=False)
    held: list[Expr] = field(init=False)
    loose: list[Expr] = field(init=False)

    def __post_init__(self) -> None:
        at = self.at
        self.masses = [getattr(at, f"{log}_mass") for log in LOGS]
        self.radii = [log_radius(at, mass) for mass in self.masses]
        self.places = [ca.vertcat(*(getattr(at, f"{log}_{axis}") for axis in "xyz")) for log in LOGS]
        self.lies, self.held, self.loose = ([_is(getattr(at, log), k) for log in LOGS] for k in (LYING, HELD, LOOSE))

    def chosen(self, which: Sequence[Expr]) -> tuple[Expr, Expr, Expr]:
        """Return mass, place and radius of the one that is held or loose; nothing without one."""
        each = [*zip(which, self.masses, self.places, self.radii, strict=True)]
        return (
            _sum([one * mass for one, mass, _, _ in each]),
            sum((one * place for one, _, place, _ in each), ca.SX.zeros(3)),
            _sum([one * radius for one, _, _, radius in each]),
        )

    def floor(self, place: Expr, radius: Expr) -> tuple[Expr, Expr, Expr]:
        """Return height and slopes of what is under the held log's belly: the others may lie there."""
        one, two, three = zip(self.lies, self.places, self.radii, strict=True)
        after = ((two, three, one), (three, one, two))  # the next, and the one after, of whichever is held
        lying = []
        for others in after:
            lies = _sum([held * other[0] for held, other in zip(self.held, others, strict=True)])
            where = sum((held * other[1] for held, other in zip(self.held, others, strict=True)), ca.SX.zeros(3))
            own = _sum([held * other[2] for held, other in zip(self.held, others, strict=True)])
            lying.append((lies, where[0], where[1], where[2], own))
        return log_top(self.at, bare_height(self.at, place[0], place[1]), place[0], place[1], radius, lying)

    @property
    def loose_place(self) -> Expr:
        """Where the loose one is."""
        return ca.vertcat(*(getattr(self.at, name) for name in LOOSE_PLACE))

    def stacked(self, downhill: Expr) -> Expr:
        """Return the energy of those that lie and of the loose one [J]: nothing changes it while a call lasts."""
        mass, _, _ = self.chosen(self.loose)
        speed = ca.vertcat(*(getattr(self.at, name) for name in LOOSE_SPEED))
        found = self.at.soil + mass * (GRAVITY * ca.dot(downhill, self.loose_place) + ca.dot(speed, speed) / 2)
        for one, own, place in zip(self.lies, self.masses, self.places, strict=True):
            found += one * own * GRAVITY * ca.dot(downhill, place)
        return found


# -- between calls ------------------------------------------------------------------------------------------------


@dataclass(slots=True)
class _Yard:
    """The logs by numbers, as they are between calls."""

    values: Mapping[str, float]
    number: dict[str, int] = field(init=False)
    place: dict[str, Sequence[float]] = field(init=False)
    radius: dict[str, float] = field(init=False)
    changed: dict[str, float] = field(init=False)

    def __post_init__(self) -> None:
        values = self.values
        at: Any = SimpleNamespace(log_density=values["log_density"], log_length=values["log_length"])
        self.number = {log: round(values[log]) for log in LOGS}
        self.place = {log: [values[f"{log}_{axis}"] for axis in "xyz"] for log in LOGS}
        self.radius = {log: float(log_radius(at, self.mass(log))) for log in LOGS}
        self.changed = {}

    def mass(self, log: str) -> float:
        return self.values[f"{log}_mass"]

    def those(self, number: int) -> list[str]:
        """Return the logs that lie, are held, or are loose."""
        return [log for log in LOGS if self.number[log] == number]

    def named(self, names: Sequence[str]) -> list[float]:
        """Return numbers by their names, as they are now."""
        return [self.changed.get(name, self.values[name]) for name in names]

    def floor(self, log: str, place: Sequence[float]) -> tuple[float, float, float]:
        """Return height [m] and slopes of what is under a log at a place."""
        at: Any = SimpleNamespace(**nearest(self.values, place[0], place[1]), log_length=self.values["log_length"])
        lying = [(1.0, *self.place[other], self.radius[other]) for other in self.those(LYING) if other != log]
        bare = bare_height(at, place[0], place[1])
        height, along, across = log_top(at, bare, place[0], place[1], self.radius[log], lying)
        return float(height), float(along), float(across)

    def soil(self) -> float:
        """Return what the ground stores under logs that lie and under the loose one [J]."""
        found = 0.0
        for log in (*self.those(LYING), *self.those(LOOSE)):
            place = self.named(LOOSE_PLACE) if self.number[log] == LOOSE else self.place[log]
            depth = self.floor(log, place)[0] - place[2] + self.radius[log]
            found += float(contact(depth, 0.0, *SOIL)[2])
        return found

    def share(self, log: str) -> float:
        """Return the share of the stroke at which the tongs meet a log."""
        return max(0.05, 1 - 2 * self.radius[log] / self.values["mouth"])

    def between(self) -> str:
        """Return the log that lies between the tongs, the nearest of several, "" without one."""
        near = []
        for log in self.those(LYING):
            x, y, z = (one - middle for one, middle in zip(self.place[log], self.named(HUNG), strict=True))
            if math.hypot(x, y) < _WITHIN and _BELOW < z < _ABOVE:
                near.append((math.hypot(x, y), log))
        return min(near)[1] if near else ""

    def topped(self) -> dict[str, float]:
        """Return the log that lies under what cannot go round it: closed tongs, or a load that is hooked on."""
        values, (x, y, z) = self.values, self.named(HUNG)
        found: list[tuple[float, str]] = []
        for log in self.those(LYING):
            own = self.place[log]
            away = math.hypot(own[0], own[1])
            out = abs((x - own[0]) * own[0] + (y - own[1]) * own[1]) / max(away, 1e-3)
            aside = abs((y - own[1]) * own[0] - (x - own[0]) * own[1]) / max(away, 1e-3)
            if aside < values["log_length"] and out < 1.0:
                found.append((out, log))
        if not found:
            return {"top": 0.0}
        log = min(found)[1]
        open_ = values["tongs"] < self.share(log) * values["tongs_stroke"] - _SHORT
        if open_ and values["load"] == 0:
            return {"top": 0.0}
        place = dict(zip(("top_x", "top_y", "top_z"), self.place[log], strict=True))
        new = {"top": 1.0, **place, "top_radius": self.radius[log]}
        if all(values[name] == value for name, value in new.items()):
            return {}
        at: Any = SimpleNamespace(log_length=values["log_length"])
        lying = [(1.0, *self.place[log], self.radius[log])]
        belly = BELLY[0] - BELLY[1] * values["tongs"] / values["tongs_stroke"]
        over = z - belly - float(log_top(at, (-1.0, 0.0, 0.0), x, y, BLUNT, lying)[0])
        return new if over > 0 else {"top": 0.0}

    def floating(self) -> str:
        """Return a log that lies with nothing under it any more, "" without one."""
        for log in self.those(LYING):
            if self.place[log][2] - self.radius[log] - self.floor(log, self.place[log])[0] > _FLOATS:
                return log
        return ""

    # -- what becomes of one -----------------------------------------------------------------------------------

    def put(self, log: str, number: int, place: Sequence[float]) -> None:
        self.number[log], self.place[log] = number, place
        self.changed |= dict(zip((f"{log}_{axis}" for axis in "xyz"), place, strict=True)) | {log: float(number)}

    def take(self, log: str) -> None:
        """Have a log held where it is: what swings shares its momentum with it."""
        own = self.values["grapple_mass"] + self.values["load"]
        share = own / (own + self.mass(log))
        off = [one - middle for one, middle in zip(self.place[log], self.named(HUNG), strict=True)]
        self.put(log, HELD, off)
        self.changed |= {name: speed * share for name, speed in zip(HUNG_SPEED, self.named(HUNG_SPEED), strict=True)}
        self.changed["slipping"] = 0.0

    def loosen(self, log: str, place: Sequence[float], speed: Sequence[float]) -> None:
        """Let a log be loose; what was loose before lies where it is."""
        for other in self.those(LOOSE):
            self.put(other, LYING, self.named(LOOSE_PLACE))
        self.number[log] = LOOSE
        self.changed |= {log: float(LOOSE), "resting": 0.0}
        self.changed |= dict(zip(LOOSE_PLACE, place, strict=True)) | dict(zip(LOOSE_SPEED, speed, strict=True))

    def let_go(self, log: str) -> None:
        """Let a held log be loose, if its grip is gone or it has been pulled out of it for a while."""
        values = self.values
        pulled = values["pulled_out"] > FRICTION * values["grip"]
        carried = values["log_contact"] > self.mass(log) * GRAVITY / 2
        slipping = values["slipping"] + values["call.length"] if pulled and not carried else 0.0
        if values["grip"] >= _LETS_GO and slipping < _SLIPS:
            self.changed["slipping"] = slipping
            return
        place = [middle + off for middle, off in zip(self.named(HUNG), self.place[log], strict=True)]
        self.loosen(log, place, self.named(HUNG_SPEED))
        self.changed |= {"shear_ahead": 0.0, "shear_left": 0.0, "slipping": 0.0}

    def fall(self, log: str) -> None:
        """Move the loose log on by the length of the call: it falls, meets what is under it, and comes to lie."""
        values, mass = self.values, self.mass(log)
        place, speed = self.named(LOOSE_PLACE), self.named(LOOSE_SPEED)
        weight = [GRAVITY * mass * math.sin(values["slope"]), 0.0, -GRAVITY * mass * math.cos(values["slope"])]
        steps = max(1, math.ceil(values["call.length"] / _STEP))
        step, load = values["call.length"] / steps, 0.0
        for _ in range(steps):
            height, along, across = self.floor(log, place)
            closing = along * speed[0] + across * speed[1] - speed[2]
            load = float(contact(height - place[2] + self.radius[log], closing, *SOIL)[0])
            push = (-load * along, -load * across, load)
            new = [v + step * (w + p) / mass for v, w, p in zip(speed, weight, push, strict=True)]
            level, held = math.hypot(new[0], new[1]), FRICTION * load / mass * step
            stays = max(0.0, 1 - held / level) if level > 0 else 0.0
            new[0], new[1] = new[0] * stays, new[1] * stays
            mean = [(v + n) / 2 if load == 0 else n for v, n in zip(speed, new, strict=True)]
            place = [p + v * step for p, v in zip(place, mean, strict=True)]
            speed = new
        still = load > 0.9 * mass * GRAVITY and math.hypot(*speed) < _STILL
        resting = values["resting"] + values["call.length"] if still else 0.0
        if resting >= _RESTS:
            self.put(log, LYING, place)
            place, speed, resting = [0.0, 0.0, 0.0], [0.0, 0.0, 0.0], 0.0
        self.changed |= dict(zip(LOOSE_PLACE, place, strict=True)) | dict(zip(LOOSE_SPEED, speed, strict=True))
        self.changed["resting"] = resting


def begin(values: Mapping[str, float]) -> dict[str, float]:
    """Return the start of what hangs, the logs and the tongs; ``values`` as in ``Part.begin``."""
    hung = values["grapple_mass"] + values["load"]
    tip, speed = tip_of(values)
    pull, slope = values["link"] + hung * GRAVITY / TIE[0], values["slope"]
    place = [tip[0] + pull * math.sin(slope), tip[1], tip[2] - pull * math.cos(slope)]
    under = nearest(values, place[0], place[1])
    belly = BELLY[0] - BELLY[1] * values["tongs"] / values["tongs_stroke"]
    ground: Any = bare_height(SimpleNamespace(**under), place[0], place[1])[0]
    lowest = float(ground) + belly - hung * GRAVITY * math.cos(slope) / SOIL[0]
    if place[2] < lowest:  # set down, the links slack and, where the tip is low, folded aside
        place[2], speed = lowest, (0.0, 0.0, 0.0)
        least, high = FOLDED * values["link"], tip[2] - lowest
        if math.hypot(place[0] - tip[0], place[1] - tip[1], high) < least:
            away = math.sqrt(max(least**2 - high**2, 0.0))
            place[0] = tip[0] + away * math.cos(values["slew"])
            place[1] = tip[1] + away * math.sin(values["slew"])
    found = dict(zip(HUNG, place, strict=True)) | dict(zip(HUNG_SPEED, speed, strict=True))
    yard = _Yard(values)
    yard.number = dict.fromkeys(LOGS, 0)
    for log in LOGS:
        if yard.mass(log) > 0:
            x, y = values[f"{log}_ahead"], values[f"{log}_left"]
            sunk = yard.mass(log) * GRAVITY * math.cos(slope) / SOIL[0]
            yard.put(log, LYING, (x, y, yard.floor(log, (x, y))[0] + yard.radius[log] - sunk))
    short = values["tongs"] < values["hooked"] * values["tongs_stroke"] - _SHORT
    meets = values["hooked"] if values["load"] > 0 and short else 1.0
    return found | yard.changed | under | {"meets": meets, "soil": yard.soil()}


def latch(values: Mapping[str, float]) -> dict[str, float]:
    """Return what switches between two calls; ``values`` as in ``Part.latch``."""
    under = nearest(values, values["hung_ahead"], values["hung_left"])
    if not any(values[log] for log in LOGS):
        return under | {"top": 0.0} | _meets(values, values["hooked"] if values["load"] > 0 else 1.0)
    yard = _Yard(values)
    between = ""
    for log in yard.those(LOOSE):
        yard.fall(log)
    if held := yard.those(HELD):
        yard.let_go(held[0])
    elif values["load"] == 0:
        between = yard.between()
        armed = between and abs(values["meets"] - yard.share(between)) < 1e-9
        if armed and values["grip"] > _TAKES:
            yard.take(between)
    if not yard.those(HELD):
        share = values["hooked"] if values["load"] > 0 else yard.share(between) if between else 1.0
        yard.changed |= _meets(values, share)
    top = yard.topped() if not yard.those(HELD) else {"top": 0.0}
    if yard.changed and not yard.those(LOOSE) and (log := yard.floating()):
        yard.loosen(log, yard.place[log], (0.0, 0.0, 0.0))
    return under | top | yard.changed | ({"soil": yard.soil()} if yard.changed else {})


def _meets(values: Mapping[str, float], share: float) -> dict[str, float]:
    """Return where the tongs meet what is between them now: it has to lie ahead of them."""
    short = values["tongs"] < share * values["tongs_stroke"] - _SHORT
    return {"meets": share} if share != values["meets"] and short else {}
