"""What is heard of an instant: notes of engine and pump, reliefs, torn oil; and words for who hears none of it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from trainer.engine.network import Network
from trainer.engine.readings import Readings
from trainer.engine.session import Session
from trainer.language import tr
from trainer.measuring.pulsation import ripple
from trainer.parts.part import Loss
from trainer.parts.roles import Actuator, PressureLimiter, PrimeMover, Pump
from trainer.rig.names import part_label

__all__ = ["CYLINDERS", "Captions", "Ears", "Heard", "captions"]

CYLINDERS = 3  # of a small four-stroke diesel; common practice, no source
_FIRES = CYLINDERS / 2  # times a turn
_FULL_SPEED = 190.0  # rad/s: about 1800 r/min, from which on nothing gets louder
_FULL_PRESSURE = 250e5  # Pa: the same
_HISSES = 10e-3 / 60  # m3/s over a relief at which it has two thirds of its loudness
_HEARD_RELIEF = 0.5e-3 / 60  # m3/s from which on it is said
_BUZZES = 0.1  # share of its setting by which a relief swings that is heard in full
_AT_INLET = (-0.2e5, -0.6e5)  # gauge pressures [Pa] at which a pump's inlet begins to grind, and grinds in full:
# 6 inHg and 18 inHg of vacuum: common practice at pump inlets, from memory
_IN_CHAMBER = (-0.6e5, -0.9e5)  # the same behind an actuator: the air dissolved in mineral oil comes out in numbers
# well below half an atmosphere, and oil itself boils near none: from memory
_RUSHES = 2e-3 / 60  # m3/s into a chamber at which torn oil has all of its loudness: where none comes it is still
_TURNS = 1.0  # rad/s below which nothing that turns is heard
_SAID = 0.02  # loudness of torn oil from which on it is said
_LABOURS = 0.9  # share of the torque that an engine has
_SAID_FOR = 1.0  # s that a caption stays after its cause


@dataclass(frozen=True, slots=True)
class Heard:
    """Frequencies in Hz; loudnesses, and the engine's load, are shares, 0 … 1.

    ``hiss`` is oil over reliefs, ``buzz`` what one of them adds that chatters, ``grind`` oil torn at a pump's inlet,
    ``rattle`` behind an actuator.
    """

    engine: float = 0.0
    engine_loud: float = 0.0
    load: float = 0.0
    pump: float = 0.0
    pump_loud: float = 0.0
    hiss: float = 0.0
    grind: float = 0.0
    rattle: float = 0.0
    relief_flow: float = 0.0  # m3/s
    buzz: float = 0.0
    behind: str = ""  # the actuator that it rattles behind, as it is called in the rig

    @property
    def words(self) -> list[str]:
        """What is to be said of it, each in a few words."""
        told = []
        if self.engine_loud and self.load > _LABOURS:
            told.append(tr("engine labours"))
        if self.relief_flow > _HEARD_RELIEF:
            told.append(tr("relief hisses"))
        if self.buzz > _SAID:
            told.append(tr("relief buzzes"))
        if self.grind > _SAID:
            told.append(tr("pump grinds: too little oil comes to it"))
        if self.rattle > _SAID:
            told.append(tr("oil tears behind the {actuator}").format(actuator=self.behind))
        return told


class Ears:
    """Hears the instants of one rig; of several pumps the loudest."""

    def __init__(self, network: Network) -> None:
        rig = network.rig
        self._engines = [
            (i, rig.line_of(i, role.shaft).name) for i, role in rig.having(PrimeMover).items() if role.burns
        ]
        self._pumps = [
            (
                rig.line_of(i, role.shaft).name,
                rig.line_of(i, role.inlet).name,
                rig.line_of(i, role.outlet).name,
                role.kind(rig.parts[i].choice),
            )
            for i, role in rig.having(Pump).items()
            if role.shaft
        ]
        self._reliefs = [
            key for key, heat in network.heats.items()
            if heat.loss is Loss.RELIEF and ("stream", *key) in network.read_index
        ]  # fmt: skip
        self._chattering = [
            (i, role.swing, [key for key in self._reliefs if key[0] == i])
            for i, role in rig.having(PressureLimiter).items() if role.swing
        ]  # fmt: skip
        self._chambers = [
            (i, port, rig.line_of(i, port).name, part_label(rig, i))
            for i, role in rig.having(Actuator).items()
            for port in role.chambers
        ]

    def hear(self, live: Readings) -> Heard:
        """Return what is heard of an instant."""
        engine = engine_loud = load = pump = pump_loud = grind = 0.0
        for id_, shaft in self._engines:
            speed = abs(live.speed(shaft))
            if speed > _TURNS:
                engine, load = _FIRES * speed / (2 * math.pi), _share(live.value(id_, "effort"))
                engine_loud = _share(speed / _FULL_SPEED) * (0.5 + 0.5 * load)
        for shaft, inlet, outlet, family in self._pumps:
            speed = abs(live.speed(shaft))
            if speed <= _TURNS:
                continue
            loud = _share(speed / _FULL_SPEED) * (0.2 + 0.8 * _share(live.pressure(outlet) / _FULL_PRESSURE))
            if loud > pump_loud:
                pump, pump_loud = ripple(family, speed).frequency, loud
            grind = max(grind, _torn(live.pressure(inlet), _AT_INLET))
        over = sum(max(live.stream(*key), 0.0) for key in self._reliefs)
        buzz = max(
            (
                _share(swing / _BUZZES) * -math.expm1(-sum(max(live.stream(*key), 0.0) for key in keys) / _HISSES)
                for id_, wear, keys in self._chattering
                if (swing := live.parameter(id_, wear))
            ),
            default=0.0,
        )
        rattle, behind = max(
            (
                (_torn(pressure, _IN_CHAMBER) * _share(live.flow(id_, port) / _RUSHES), name)
                for id_, port, line, name in self._chambers
                if (pressure := live.pressure(line)) < _IN_CHAMBER[0]
            ),
            default=(0.0, ""),
        )
        hiss = 1.0 - math.exp(-over / _HISSES)
        return Heard(engine, engine_loud, load, pump, pump_loud, hiss, grind, rattle, over, buzz, behind)


def _share(value: float) -> float:
    return min(max(value, 0.0), 1.0)


def _torn(pressure: float, limits: tuple[float, float]) -> float:
    """Return how much of the oil at a gauge pressure [Pa] tears: 0 down to the first limit, 1 from the second on."""
    return _share((limits[0] - pressure) / (limits[0] - limits[1]))


class Captions:
    """What is to be read of the sound, in one line that does not flicker."""

    def __init__(self, network: Network) -> None:
        self._ears = Ears(network)
        self._since: dict[str, float] = {}  # seconds since each was heard last

    def line(self, live: Readings, seconds: float) -> str:
        """Return the line after some more seconds, "" where nothing is to be said."""
        self._since = {words: since + seconds for words, since in self._since.items() if since + seconds < _SAID_FOR}
        self._since |= dict.fromkeys(self._ears.hear(live).words, 0.0)
        return " · ".join(self._since)


def captions(session: Session) -> str:
    """Return what is to be read of a session's instant in one line, "" where nothing is to be said."""
    return " · ".join(Ears(session.network).hear(session.readings).words)
