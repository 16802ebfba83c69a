"""What workings are written from, of a part alone: its numbers at some state; unknown names raise AssertionError."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from trainer.formula import Tell, Term, Working
from trainer.parts import oil
from trainer.parts.model import PartModel
from trainer.parts.part import Choice
from trainer.units import PLAIN, Units

__all__ = ["PartAlone"]

Answers = Mapping[str, Mapping[str, float]]


@dataclass
class PartAlone:
    """A part "1Z1" on lines of its own; ``answers`` by group and name as the battery's ``evaluate`` gives them.

    ``own`` are states, controls and parameters, ``p``, ``speed`` and ``place`` by node. Satisfies ``Sheet``.
    """

    model: PartModel
    words: Mapping[str, str]
    oil: oil.Properties
    answers: Answers
    own: Mapping[str, float]
    p: Mapping[str, float]
    speed: Mapping[str, float]
    place: Mapping[str, float]
    part: str = "1Z1"
    fine: bool = False
    kw: str = "600"
    rev: str = "9549"
    moves: float = 1e-8
    tank: str = "0Z1"
    temperature: float = 45.0

    def __post_init__(self) -> None:
        self.streams: Collection[str] = self.model.streams
        self.supplies: Collection[str] = self.model.supplies

    def _of(self, group: str, name: str) -> float:
        assert name in self.answers[group], f"no {group} '{name}'"
        return self.answers[group][name]

    def value(self, name: str) -> float:
        return self._of("value", name)

    def parameter(self, name: str) -> float:
        assert name in self.model.parameters, f"no parameter '{name}'"
        return self.own[name]

    def control(self, name: str) -> float:
        assert name in self.model.controls, f"no control '{name}'"
        return self.own[name]

    def state(self, name: str) -> float:
        assert name in {**self.model.states, **self.model.latched}, f"no state '{name}'"
        return self.own[name]

    def rate(self, name: str) -> float:
        return self._of("rate", name)

    def choice(self, name: str) -> str:
        return self.words.get(name, self.model.part.declared(Choice)[name].start)

    def pressure_at(self, port: str) -> float:
        assert port in self.model.oil, f"no oil port '{port}'"
        return self.p[port]

    def speed_at(self, port: str) -> float:
        assert port in self.model.moving, f"no moving port '{port}'"
        return self.speed[port]

    def place_at(self, port: str) -> float:
        assert port in self.model.moving, f"no moving port '{port}'"
        return self.place[port]

    def passes(self, stream: str) -> float:
        return self._of("stream", stream)

    def ends(self, stream: str) -> tuple[str, str]:
        return self.model.streams[stream]

    def enters(self, port: str) -> float:
        assert port in self.model.oil, f"no oil port '{port}'"
        return self._of("into", port)

    def flow(self, port: str) -> float:
        return self.enters(port) * self.specific(port) + 1e-5  # as if something moved aside

    def load(self, port: str) -> float:
        assert port in self.model.moving, f"no moving port '{port}'"
        return self._of("into", port)

    def word(self, name: str) -> str:
        return self.model.part.word(name)

    def heat(self, name: str) -> float:
        return self._of("heat", name)

    def supply(self, name: str) -> float:
        return self._of("supply", name)

    def specific(self, port: str) -> float:
        return float(oil.specific_volume(oil.of_pressure(self.pressure_at(port), self.oil), self.oil))

    def inertia(self, port: str) -> float:
        assert port in self.model.moving, f"no moving port '{port}'"
        return 1.0

    def label(self) -> str:
        return f"{self.part} tried"

    def line(self, port: str) -> str:
        assert port in self.model.nodes, f"no port '{port}'"
        return f"line {port}"

    def called(self, port: str) -> str:
        return self.line(port)

    def rods(self, port: str) -> tuple[tuple[str, float], ...]:
        assert port in self.model.moving, f"no moving port '{port}'"
        return (("1A1", 1e4), ("1A2", -1e4))

    def held(self, port: str) -> str:
        assert port in self.model.oil, f"no oil port '{port}'"
        return "The boom stands at the end of its stroke"

    def term(
        self,
        letter: str,
        value: float,
        quantity: str,
        source: str,
        refers_to: tuple[Tell, ...] = (),
        units: Units | None = None,
    ) -> Term:
        return Term(letter, value, "pressure" if quantity == "drop" else quantity, source, refers_to, units)

    def number(self, letter: str, name: str, source: str = "", units: Units | None = None) -> Term:
        value, known = self.parameter(name), self.model.parameters[name]
        return self.term(letter, value, known.quantity, source or known.meaning, (), units)

    def reading(
        self, letter: str, name: str, source: str, refers_to: tuple[Tell, ...] = (), units: Units | None = None
    ) -> Term:
        return self.term(letter, self.value(name), self.model.reads[name], source, refers_to, units)

    def at_port(self, port: str, letter: str = "p") -> Term:
        line = self.line(port)
        return self.term(letter, self.pressure_at(port), "pressure", line, (("pressure", line),))

    def drop(self, start: str, end: str, letter: str = "Δp", source: str = "") -> Term:
        value = self.pressure_at(start) - self.pressure_at(end)
        refers_to = (("pressure", self.line(start)), ("pressure", self.line(end)))
        return self.term(letter, value, "pressure", source or f"{start} less {end}", refers_to)

    def flow_at(self, port: str, value: float, letter: str = "q", source: str = "") -> Term:
        return self.term(letter, value, "flow", source or self.line(port), (("flow", f"{self.part}.{port}"),))

    def mean(self, start: str, end: str, passes: float, letter: str, source: str) -> Term:
        self.line(end)
        return self.flow_at(start, passes, letter, source or "mean")

    def turns(self, port: str, letter: str = "n", source: str = "shaft") -> Term:
        return self.term(letter, abs(self.speed_at(port)), "shaft speed", source, (("speed", self.line(port)),))

    def density(self) -> Term:
        return self.term("ρ", self.oil.density, "density", "the oil")

    def gravity(self) -> Term:
        return self.term("SG", self.oil.density / 999.0, "ratio", "the oil", (), PLAIN)

    def viscosity(self) -> Term:
        return self.term("μ", self.oil.viscosity, "dynamic viscosity", "the oil")

    def warmth(self, letter: str, source: str) -> Term:
        return self.term(letter, self.temperature, "temperature", source, (("temperature", self.tank),))

    def power(self, letter: str, value: float, source: str, refers_to: tuple[Tell, ...] = ()) -> Term:
        return self.term(letter, value, "power", source, refers_to)

    def hydraulic(self, name: str, found: float, pressure: Term, flow: Term, note: str = "") -> Working:
        words = f"P = {pressure.letter} · {flow.letter}"
        result = self.power("P", found, name.lower(), pressure.refers_to)
        return Working(self.part, name, result, (pressure, flow), (f"{words} / 600", f"{words} / 1714"), note)

    def turning(self, name: str, found: float, torque: Term, speed: Term) -> Working:
        words = f"P = {torque.letter} · {speed.letter}"
        return Working(self.part, name, self.power("P", found, "shaft"), (torque, speed), (words, words))

    def pushing(self, name: str, found: float, force: Term, speed: Term) -> Working:
        words = f"P = {force.letter} · {speed.letter}"
        return Working(self.part, name, self.power("P", found, "rod"), (force, speed), (words, words))

    def comes_to(self, port: str) -> Working | None:
        flow = self.flow_at(port, self.enters(port))
        return Working(
            self.part, f"Oil that comes to {port}", flow, (self.flow_at(port, 1e-4, "q1"),), ("q = q1",) * 2
        )
