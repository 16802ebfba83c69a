"""One part at one instant as its workings are written from it."""

from __future__ import annotations

from collections.abc import Collection

from trainer.formula import Tell, Term, Working
from trainer.language import tr
from trainer.parts.roles import Actuator
from trainer.rig.names import capital, part_words
from trainer.units import Units
from trainer.working.balances import through
from trainer.working.sheet import Sheet

__all__ = ["PartSheet"]


class PartSheet:
    """The sheet of one part: what ``trainer.parts.sheet.Sheet`` offers, of this instant."""

    def __init__(self, at: Sheet, part: str) -> None:
        self._at, self._now = at, at.now
        self._model = at.now.network.models[part]
        self._fitted = at.rig.parts[part]
        self.part = part
        self.fine, self.kw, self.rev, self.moves, self.tank = at.fine, at.kw, at.rev, at.moves, at.tank
        self.oil = at.oil
        self.temperature = at.now.temperature
        self.streams: Collection[str] = self._model.streams
        self.supplies: Collection[str] = self._model.supplies

    # -- numbers ---------------------------------------------------------------------------------------------------

    def value(self, name: str) -> float:
        """Return a reading of the part's law."""
        return self._now.value(self.part, name)

    def parameter(self, name: str) -> float:
        """Return a parameter's present number."""
        return self._now.parameter(self.part, name)

    def control(self, name: str) -> float:
        """Return where a control stands."""
        return self._now.control(self.part, name)

    def state(self, name: str) -> float:
        """Return a state."""
        return self._now.state(self.part, name)

    def rate(self, name: str) -> float:
        """Return how fast a state changes [SI a second]."""
        network = self._now.network
        return float(network.derivative(self._now.x, self._now.pu)[network.state_index[f"{self.part}.{name}"]])

    def choice(self, name: str) -> str:
        """Return a chosen word."""
        return self._fitted.choice(name)

    def pressure_at(self, port: str) -> float:
        """Return the pressure at a port."""
        return self._now.pressure(self.line(port))

    def speed_at(self, port: str) -> float:
        """Return the speed of a shaft or rod port."""
        return self._now.speed(self.line(port))

    def place_at(self, port: str) -> float:
        """Return the place of a rod port."""
        return self._now.place(self.line(port))

    def passes(self, stream: str) -> float:
        """Return the flow of a stream, at tank density."""
        return self._now["passes", self.part, stream]

    def ends(self, stream: str) -> tuple[str, str]:
        """Return the ports from and to which a stream counts as positive."""
        return self._model.streams[stream]

    def enters(self, port: str) -> float:
        """Return the flow into a port, at tank density."""
        return self._now["enters", self.part, port]

    def flow(self, port: str) -> float:
        """Return the flow into a port as a meter there would measure it."""
        return self._now.flow(self.part, port)

    def load(self, port: str) -> float:
        """Return the torque or force that a port takes from its line."""
        return self._now.load(self.part, port)

    def word(self, name: str) -> str:
        """Return what a heat, stream, supply or store of the part is called."""
        return self._fitted.part.word(name)

    def heat(self, name: str) -> float:
        """Return a named heat of the law."""
        return self._now["heat", self.part, name]

    def supply(self, name: str) -> float:
        """Return a named supply of the law."""
        return self._now["supply", self.part, name]

    def specific(self, port: str) -> float:
        """Return the volume at a port of what is 1 m3 at tank pressure."""
        return self._at.specific(self.line(port))

    def inertia(self, port: str) -> float:
        """Return the inertia of the others on a shaft or rod port."""
        now, network = self._now, self._now.network
        known = network.inertias(now.x, now.pu)
        others = [join for join in network.lines[self.line(port)].joins if join[0] != self.part]
        return sum(float(known[network.inertia_index[join]]) for join in others)

    # -- what is around it -----------------------------------------------------------------------------------------

    def label(self) -> str:
        """Return the part's id with its label."""
        return self._at.called(self.part)

    def line(self, port: str) -> str:
        """Return the name of the line at a port."""
        return self._at.line(self.part, port)

    def called(self, port: str) -> str:
        """Return what the line at a port is called."""
        return self._at.called(self.line(port))

    def rods(self, port: str) -> tuple[tuple[str, float], ...]:
        """Return the cylinders on a rod port, and the force [N] that each gives."""
        found = self._at.rig.at_ports(self.line(port), Actuator)
        return tuple((other, self._now.value(other, role.push)) for other, _, role in found if role.linear)

    def held(self, port: str) -> str:
        """Return in a sentence which cylinders the pressure at a port holds at an end of their stroke, else ""."""
        rig, pressure, ids = self._at.rig, self.pressure_at(port), []
        for other, role in rig.having(Actuator).items():
            if role.stroke:
                place = self._now.place(self._at.line(other, role.output))
                share = place / self._now.parameter(other, role.stroke)
                first, *second = role.chambers
                end = first if share > 0.99 else second[0] if second and share < 0.01 else ""
                if end and self._now.pressure(self._at.line(other, end)) > 0.8 * pressure:
                    ids.append(other)
        ends = [tr("the {part} stands at the end of its stroke").format(part=part_words(rig, other)) for other in ids]
        return capital(tr(" and ").join(ends))

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
        return self._at.term(letter, value, quantity, source, refers_to, units)

    def number(self, letter: str, name: str, source: str = "", units: Units | None = None) -> Term:
        """Return a parameter's present number."""
        return self._at.number(letter, self.part, name, source, units)

    def reading(
        self, letter: str, name: str, source: str, refers_to: tuple[Tell, ...] = (), units: Units | None = None
    ) -> Term:
        """Return a reading of the law."""
        return self._at.term(letter, self.value(name), self._model.reads[name], source, refers_to, units)

    def at_port(self, port: str, letter: str = "p") -> Term:
        """Return the pressure at a port."""
        return self._at.pressure(self.line(port), letter)

    def drop(self, start: str, end: str, letter: str = "Δp", source: str = "") -> Term:
        """Return the pressure at one port less that at another."""
        return self._at.drop(self.part, start, end, letter, source)

    def flow_at(self, port: str, value: float, letter: str = "q", source: str = "") -> Term:
        """Return a flow that passes a port."""
        return self._at.flow_at(self.part, port, value, letter, source)

    def mean(self, start: str, end: str, passes: float, letter: str, source: str) -> Term:
        """Return a flow, given at tank density, as it passes from port to port: at the pressure between them."""
        return self._at.mean(self.part, start, end, passes, letter, source)

    def turns(self, port: str, letter: str = "n", source: str = "") -> Term:
        """Return the speed of a shaft port, without its sign."""
        return self._at.speed(self.line(port), letter, source)

    def density(self) -> Term:
        """Return the density of the oil."""
        return self._at.density()

    def gravity(self) -> Term:
        """Return the specific gravity of the oil, as US books refer it."""
        return self._at.gravity()

    def viscosity(self) -> Term:
        """Return the dynamic viscosity of the oil."""
        return self._at.viscosity()

    def warmth(self, letter: str, source: str) -> Term:
        """Return the temperature of the oil in the tank."""
        return self._at.term(letter, self.temperature, "temperature", source, (("temperature", self.tank),))

    def power(self, letter: str, value: float, source: str, refers_to: tuple[Tell, ...] = ()) -> Term:
        """Return a power."""
        return self._at.power(letter, value, source, refers_to)

    # -- workings that many parts share ----------------------------------------------------------------------------

    def hydraulic(self, name: str, found: float, pressure: Term, flow: Term, note: str = "") -> Working:
        """Return hydraulic power as pressure times flow."""
        return self._at.hydraulic(self.part, name, found, pressure, flow, note)

    def turning(self, name: str, found: float, torque: Term, speed: Term) -> Working:
        """Return the power of a shaft as torque times speed."""
        return self._at.turning(self.part, name, found, torque, speed)

    def pushing(self, name: str, found: float, force: Term, speed: Term) -> Working:
        """Return the power of a rod as force times speed."""
        return self._at.pushing(self.part, name, found, force, speed)

    def comes_to(self, port: str) -> Working | None:
        """Return the flow into a port as what comes into its line less what goes elsewhere, where it is more."""
        return through(self._at, self.part, port)
