"""Rigs that nobody would build and that are yet in order: any parts, joined in any way, by a seed."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass, field

from trainer.parts import CATALOGUE
from trainer.parts.part import Choice, Kind
from trainer.rig.rig import (
    Fitted,
    Instrument,
    Line,
    Rig,
)

Port = tuple[str, str]
_SUPPLY = ("Reservoir", "SteadyDrive", "FixedPump", "ReliefValve", "ReturnFilter")
_RANGES = {"gauge": 250e5, "vacuum gauge": 1e5, "flow meter": 1e-3, "tachometer": 300.0, "thermometer": 100.0}


def random_rig(seed: int, most: int = 12) -> Rig:
    """Return a rig in order, of ``most`` parts besides a supply that half of them have; some places are written."""
    draw = random.Random(seed)
    names = [*(_SUPPLY if seed % 2 else ())]
    more = min(draw.randint(0, most) for _ in range(2))
    names += draw.choices(sorted(CATALOGUE), k=more if names else more + 1)
    if set(names) == {"Wall"}:  # nothing would meet them
        names.append("Reservoir")
    parts = _parts(names, draw)
    lines = {line.name: line for line in _lines(parts, draw)}
    rig = Rig(f"Chance {seed}", parts, lines)
    rig = Rig(rig.title, parts, lines, instruments=dict(_instruments(rig, draw)), source="chance.toml")
    if draw.random() < 0.3:  # a drawing that says something about a few
        some = draw.sample(sorted(parts), k=draw.randint(1, len(parts)))
        places = {id_: {"at": [draw.randint(0, 150), draw.randint(0, 90)]} for id_ in some}
        rig = Rig(rig.title, parts, lines, instruments=rig.instruments, drawing=places, source=rig.source)
    return rig.checked()


def _parts(names: list[str], draw: random.Random) -> dict[str, Fitted]:
    parts: dict[str, Fitted] = {}
    for name in names:
        part = CATALOGUE[name]
        circuit, number = draw.randint(0, 4), 1
        while (id_ := f"{circuit}{part.letter}{number}") in parts:
            number += 1
        words = {choice: draw.choice(about.options) for choice, about in part.declared(Choice).items()}
        fitted = Fitted(id_, part, {}, words, draw.choice(["", "boom", "left hand drive of the far saw"]))
        parts[id_] = fitted if not part.objections(fitted.value) else Fitted(id_, part)
    return parts


def _lines(parts: dict[str, Fitted], draw: random.Random) -> Iterator[Line]:
    """Yield lines with every port on one of them: one carrier at most, something that moves with every rod."""
    for kind in Kind:
        ports = [(id_, port) for id_, f in parts.items() for port, of in f.part.ports.items() if of is kind]
        draw.shuffle(ports)
        groups = [[p] for p in ports if p[1] in parts[p[0]].part.carries]
        others = [p for p in ports if p[1] not in parts[p[0]].part.carries]
        bare = [p for p in others if kind is Kind.ROD and parts[p[0]].part.symbol == "wall"]
        new = draw.choice([0.15, 0.4, 0.7])
        for port in [*(p for p in others if p not in bare), *bare]:
            able = [group for group in groups if not _meets(group[0], port, parts)]
            if not able or (draw.random() < new and port not in bare):
                groups.append([port])
            else:
                draw.choice(able).append(port)
        for k, group in enumerate(groups):
            if all(port in bare for port in group):  # a wall that nothing meets
                for id_, _ in group:
                    del parts[id_]
                continue
            draw.shuffle(group)
            yield _line(f"{kind.value[0].upper()}{k}", kind, tuple(group), draw)


def _meets(carrier: Port, port: Port, parts: dict[str, Fitted]) -> bool:
    """Return whether a part would meet itself on a line that the first port may carry."""
    return carrier[0] == port[0] and carrier[1] in parts[carrier[0]].part.carries


def _line(name: str, kind: Kind, joins: tuple[Port, ...], draw: random.Random) -> Line:
    if kind is not Kind.OIL:
        return Line(name, kind, joins)
    hose = draw.choice([0.0, 1.0, 5.0])
    return Line(name, kind, joins, bore=0.01 if hose else None, hose=hose, volume=2e-5)


def _instruments(rig: Rig, draw: random.Random) -> Iterator[tuple[str, Instrument]]:
    oil = [f"{id_}.{port}" for id_, f in rig.parts.items() for port, kind in f.part.ports.items() if kind is Kind.OIL]
    places = {
        **{kind: [line.name for line in rig.lines_of_kind(Kind.OIL)] for kind in ("gauge", "vacuum gauge")},
        "flow meter": oil,
        "tachometer": [line.name for line in rig.lines_of_kind(Kind.SHAFT)],
        "thermometer": sorted({port.partition(".")[0] for port in oil}),
    }
    for k in range(draw.randint(0, 8)):
        kind = draw.choice(sorted(places))
        if places[kind]:
            yield f"X{k}", Instrument(f"X{k}", kind, draw.choice(places[kind]), _RANGES[kind])


@dataclass
class ChanceReadings:
    """Readings of a rig by chance, each always the same: nothing here is solved."""

    rig: Rig
    seed: int
    time: float = 1.0
    temperature: float = 45.0
    _drawn: dict[tuple[object, ...], float] = field(default_factory=dict)

    def _any(self, low: float, high: float, *key: object) -> float:
        if key not in self._drawn:
            draw = random.Random(f"{self.seed} {key}")
            self._drawn[key] = draw.choice([0.0, low, high, draw.uniform(low, high)])
        return self._drawn[key]

    def pressure(self, line: str) -> float:
        """Return a pressure from vacuum on [Pa]."""
        return self._any(-1e5, 400e5, "pressure", line)

    def flow(self, part: str, port: str) -> float:
        """Return a flow [m3/s]."""
        return self._any(-1e-3, 1e-3, "flow", part, port)

    def stream(self, part: str, name: str) -> float:
        """Return a flow within a part [m3/s]."""
        return self._any(-1e-3, 1e-3, "stream", part, name)

    def place(self, line: str) -> float:
        """Return a place, also beyond its stops [m]."""
        return self._any(-0.01, 1.0, "place", line)

    def speed(self, line: str) -> float:
        """Return a speed [m/s or rad/s]."""
        return self._any(-1.0, 200.0, "speed", line)

    def state(self, part: str, name: str) -> float:
        """Return a state."""
        return self._any(-1.0, 1.0, "state", part, name)

    def control(self, part: str, name: str) -> float:
        """Return a control."""
        return self._any(-1.0, 1.0, "control", part, name)

    def value(self, part: str, name: str) -> float:
        """Return what a part reads."""
        return self._any(-1e4, 1e4, "value", part, name)

    def parameter(self, part: str, name: str) -> float:
        """Return the rig's number."""
        return self.rig.value(part, name)

    def skin(self, part: str) -> float:
        """Return a temperature [C]."""
        return self._any(-20.0, 110.0, "skin", part)
