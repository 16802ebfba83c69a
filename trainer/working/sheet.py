"""One instant of a rig as workings are written from it: its terms, named and in units that suit its size."""

from __future__ import annotations

from dataclasses import replace

from trainer.engine.readings import Readings
from trainer.formula import WATER, Tell, Term, Working
from trainer.language import mark, tr
from trainer.parts import oil as oil_law
from trainer.parts.oil import Properties
from trainer.parts.part import Parameter
from trainer.parts.sheet import DROP, VISCOUS
from trainer.rig.names import line_words
from trainer.rig.rig import Rig
from trainer.units import PLAIN, Units, pair

__all__ = ["Sheet"]

_WARMED = mark(
    "100 bar (1450 psi) that drive nothing warm the oil by about 6 °C (11 °F). A part's skin, and a thermometer on "
    "it, get there within about a minute."
)
_LITTLE = 5e-3 / 60  # pumps that move less make a small rig, whose numbers need more decimals [m3/s]
_FINE: dict[str, Units] = {
    "pressure": pair("bar", 2, "psi", 1),
    "drop": pair("bar", 3, "psi", 2),
    "flow": pair("L/min", 3, "gpm", 4),
    "power": pair("W", 2, "hp", 5),
    "torque": pair("N m", 2, "lbf ft", 2),
    "force": pair("kN", 3, "lbf", 1),
    "speed": pair("mm/s", 2, "in/s", 3),
    "shaft speed": pair("r/min", 1, "r/min", 1),
}
_USUAL: dict[str, Units] = {"drop": DROP, "temperature": pair("C", 1, "F", 1), "area": pair("cm2", 2, "in2", 3)}


class Sheet:
    """Terms and words for the workings of one instant.

    ``fine`` is a small rig: powers in W, more decimals. ``kw`` and ``rev`` are the shop constants of its powers,
    from bar L/min or N m r/min; ``moves`` the least flow that counts as moving [m3/s].
    """

    def __init__(self, rig: Rig, now: Readings) -> None:
        self.rig = rig
        self.now = now
        delivered = rig.delivery
        self.fine = 0 < delivered < _LITTLE
        self.kw, self.rev, self.rod = ("0.6", "9.549", "1") if self.fine else ("600", "9549", "1000")
        self.moves = max(1e-8, 0.01 * delivered)
        self._ways: dict[str, list[tuple[float, str, str, str]]] = {}
        self.tank = rig.tank
        numbers = ("density", "viscosity", "stiffness", "stiffening", "air", "temperature")
        plain = Properties(*(now.parameter("oil", name) for name in numbers))
        self.oil = replace(plain, air_index=rig.oil.air_index)

    # -- terms -----------------------------------------------------------------------------------------------------

    def term(
        self,
        letter: str,
        value: float,
        quantity: str,
        source: str,
        refers_to: tuple[Tell, ...] = (),
        units: Units | None = None,
    ) -> Term:
        """Return a term in the units that suit the rig; quantity "drop" is a small pressure."""
        if units is None:
            units = _FINE.get(quantity) if self.fine else None
            units = units or _USUAL.get(quantity)
        return Term(letter, value, "pressure" if quantity == "drop" else quantity, source, refers_to, units)

    def number(self, letter: str, part: str, name: str, source: str = "", units: Units | None = None) -> Term:
        """Return the present number of a part's parameter."""
        known: Parameter = self.rig.parts[part].part.declared(Parameter)[name]
        return self.term(letter, self.now.parameter(part, name), known.quantity, source or known.meaning, (), units)

    def pressure(self, line: str, letter: str = "p", source: str = "") -> Term:
        """Return the pressure of a line."""
        return self.term(
            letter, self.now.pressure(line), "pressure", source or self.called(line), (("pressure", line),)
        )

    def drop(self, part: str, start: str, end: str, letter: str = "Δp", source: str = "") -> Term:
        """Return the pressure at one port less that at another."""
        one, other = self.line(part, start), self.line(part, end)
        value = self.now.pressure(one) - self.now.pressure(other)
        return self.term(
            letter,
            value,
            "drop",
            source
            or tr("{start} less {end}: {called} less {called2}").format(
                start=start, end=end, called=self.called(one), called2=self.called(other)
            ),
            (("pressure", one), ("pressure", other)),
        )

    def flow_at(self, part: str, port: str, value: float, letter: str = "q", source: str = "") -> Term:
        """Return a flow that passes a port."""
        return self.term(
            letter, value, "flow", source or tr("port {port}").format(port=port), (("flow", f"{part}.{port}"),)
        )

    def density(self) -> Term:
        """Return the density of the oil."""
        return self.term("ρ", self.oil.density, "density", tr("the oil"), (), pair("kg/m3", 0, "lb/ft3", 2))

    def gravity(self) -> Term:
        """Return the specific gravity of the oil, as US books refer it."""
        return self.term("SG", self.oil.density / WATER, "ratio", tr("the oil against water"), (), PLAIN)

    def viscosity(self) -> Term:
        """Return the dynamic viscosity of the oil."""
        at = tr("the oil at {temperature:.0f} °C").format(temperature=self.now.temperature)
        return self.term("μ", self.oil.viscosity, "dynamic viscosity", at, (), VISCOUS)

    def speed(self, line: str, letter: str = "n", source: str = "") -> Term:
        """Return the speed of a shaft."""
        return self.term(letter, abs(self.now.speed(line)), "shaft speed", source or tr("shaft"), (("speed", line),))

    def power(self, letter: str, value: float, source: str, refers_to: tuple[Tell, ...] = ()) -> Term:
        """Return a power."""
        return self.term(letter, value, "power", source, refers_to)

    def called(self, id_: str) -> str:
        """Return a part's id with its label, or what a line is called."""
        if id_ not in self.rig.parts:
            return line_words(self.rig, id_)
        label = self.rig.parts[id_].label
        return f"{id_} {label}" if label else id_

    def called_of(self, id_: str, name: str) -> str:
        """Return a part's id with its label, and which of its heats, streams, supplies or stores is meant."""
        part = self.rig.parts.get(id_)
        return f"{self.called(id_)}: {name if part is None else part.part.word(name)}"

    # -- the oil ---------------------------------------------------------------------------------------------------

    def line(self, part: str, port: str) -> str:
        """Return the name of the line on which a port or a private node sits."""
        return self.now.network.line_of[part, port]

    def ways(self, line: str) -> list[tuple[float, str, str, str]]:
        """Return what leaves a line through the parts on it, the most first: flow, part, stream, line it goes to."""
        if not self._ways:
            self._ways = {name: [] for name in self.now.network.lines}
            for id_, model in self.now.network.models.items():
                for stream, (start, end) in model.streams.items():
                    flow, one, other = self.now["passes", id_, stream], self.line(id_, start), self.line(id_, end)
                    if flow > 0:
                        self._ways[one].append((flow, id_, stream, other))
                    elif flow < 0:
                        self._ways[other].append((-flow, id_, stream, one))
        return sorted(self._ways[line], reverse=True)

    def _pseudo(self, line: str) -> float:
        return float(oil_law.of_pressure(self.now.pressure(line), self.oil))

    def specific(self, line: str) -> float:
        """Return the volume in a line of what is 1 m3 at tank pressure."""
        return float(oil_law.specific_volume(self._pseudo(line), self.oil))

    def fall(self, start: str, end: str) -> float:
        """Return the fall of the oil's enthalpy from a line to another [J/m3]."""
        here, there = (float(oil_law.enthalpy(self._pseudo(line), self.oil)) for line in (start, end))
        return here - there

    def mean(self, part: str, start: str, end: str, passes: float, letter: str, source: str) -> Term:
        """Return a flow, given at tank density, as it passes from port to port: at the pressure between them."""
        one, other = self.line(part, start), self.line(part, end)
        drop = self.now.pressure(one) - self.now.pressure(other)
        swollen = self.fall(one, other) / drop if abs(drop) > 1.0 else self.specific(one)
        return self.term(letter, passes * swollen, "flow", source, (("flow", f"{part}.{start}"),))

    # -- workings that many parts share ----------------------------------------------------------------------------

    def hydraulic(self, part: str, name: str, found: float, pressure: Term, flow: Term, note: str = "") -> Working:
        """Return hydraulic power: bar L/min / 600 is kW, psi gpm / 1714 is hp."""
        p, q = pressure.letter, flow.letter
        result = self.power("P", found, name.lower(), (*pressure.refers_to, *flow.refers_to))
        words = (f"P = {p} · {q} / {self.kw}", f"P = {p} · {q} / 1714")
        return Working(part, name, result, (pressure, flow), words, note)

    def turning(self, part: str, name: str, found: float, torque: Term, speed: Term) -> Working:
        """Return the power of a shaft: N m r/min / 9549 is kW, lbf ft r/min / 5252 is hp."""
        t, n = torque.letter, speed.letter
        result = self.power("P", found, tr("shaft"), torque.refers_to)
        words = (f"P = {t} · {n} / {self.rev}", f"P = {t} · {n} / 5252")
        return Working(part, name, result, (torque, speed), words)

    def pushing(self, part: str, name: str, found: float, force: Term, speed: Term) -> Working:
        """Return the power of a rod: kN mm/s / 1000 is kW, lbf in/s / 6600 is hp."""
        f, v = force.letter, speed.letter
        metric = f"P = {f} · {v}" if self.fine else f"P = {f} · {v} / 1000"
        result = self.power("P", found, tr("rod"), force.refers_to)
        return Working(part, name, result, (force, speed), (metric, f"P = {f} · {v} / 6600"))

    def warmed(self, part: str, name: str) -> Working | None:
        """Return the temperature of the oil that leaves a part, or None where next to none passes."""
        now = self.now
        nodes = now.network.models[part].oil
        flow = now.through(part)
        if flow < max(1e-7, 0.1 * self.moves):
            return None
        heat = now.heat(part)
        terms = (
            self.term("θ0", now.temperature, "temperature", tr("oil that comes"), (("temperature", self.tank),)),
            self.power(
                "P",
                heat,
                tr("heat at {part}").format(part=part),
                tuple(("pressure", self.line(part, node)) for node in nodes),
            ),
            self.density(),
            self.term(
                "q",
                flow,
                "flow",
                tr("through {part}").format(part=part),
                tuple(("flow", f"{part}.{node}") for node in nodes),
            ),
            self.term("c", oil_law.HEAT_CAPACITY, "heat", tr("mineral oil"), (), pair("kJ/kg K", 3, "Btu/lb F", 3)),
        )
        result = self.term("θ", now.outlet_temperature(part), "temperature", tr("oil that leaves"),
                           (*terms[1].refers_to, ("temperature", part)))  # fmt: skip
        watts = "60" if self.fine else "60000"
        words = (f"θ = θ0 + P · {watts} / ( ρ · q · c )", "θ = θ0 + P · 317.2 / ( ρ · q · c )")
        return Working(part, name, result, terms, words, tr(_WARMED))
