"""Stores of oil under pressure: the gas accumulator."""

from __future__ import annotations

from collections.abc import Iterator

import casadi as ca

from trainer.formula import Working
from trainer.language import mark, tr
from trainer.parts.laws import clip, pos, pos_energy
from trainer.parts.part import At, Heat, Kind, Law, Loss, Parameter, Part, State, Wear
from trainer.parts.plain import Plain
from trainer.parts.roles import Store
from trainer.parts.sheet import Sheet
from trainer.parts.workings import worn
from trainer.units import pair

__all__ = ["Accumulator"]

_KELVIN, _FILLED = 273.15, 293.15  # 0 C, and the temperature at which a pre-charge is given [K]
_COLDEST, _LEAST = 50.0, 1e-3  # K, and share of the shell: where gas law and states part company
_EXPONENT = 1.4  # of nitrogen, cp over cv
_SEAT, _ROUND = 5e9, 2e-3  # Pa per share of the shell: the poppet that keeps the bladder in; rounded over this share
_AIR = At.absolute(0.0)
_LITRES, _DEGREES = pair("L", 3, "gal", 4), pair("C", 1, "F", 1)
_NECK, _DROP = pair("cm3/min/bar", 0, "in3/min/psi", 1), pair("bar", 3, "psi", 3)


class Accumulator(Part):
    """A bladder of nitrogen in a steel shell: oil presses it together, and it presses the oil back.

    Ideal gas of one temperature, which the shell's comes back to with a time constant: quick strokes are adiabatic,
    slow ones isothermal (Pourmovahed and Otis 1990, from memory: 5 to 30 s in bladders of some litres). The bladder
    is a wall of the oil's room, with a drop in its neck; empty of oil it rests on a poppet.
    """

    ports = {"P": Kind.OIL}
    symbol = "acc_bladder"
    letter = "Z"
    plain = Plain(
        mark("Gas-loaded accumulator"),
        does=mark(
            "It keeps oil under pressure for a moment when the pump gives too little, and softens blows in a "
            "line that is shut in."
        ),
        works=mark(
            "Oil presses a bag of nitrogen together; the gas presses back. Pressed quickly the gas warms and "
            "feels stiffer, later it cools and gives way. Below its precharge no oil is in it, and it does "
            "nothing."
        ),
        set=mark(
            "The precharge is set with no oil in it, at a known temperature. A larger shell holds more oil "
            "between two pressures. Before a fitting is loosened its oil is let off: a gauge on another line "
            "does not show it."
        ),
        law=mark(
            "Ideal gas, p · V = m · R · T, whose warmth comes back to the shell's with a time constant: quick "
            "strokes are adiabatic, slow ones isothermal (Pourmovahed and Otis 1990; their 5 to 30 s from "
            "memory)."
        ),
    )
    role = Store()
    words = {"neck": "neck", "shell": "shell", "gas": "gas", "poppet": "poppet"}
    plate = ("{shell}", "gas {precharge}")
    shell = Parameter("1 L", low="0.05 L", high="200 L", meaning="room of the gas with no oil in it", at_rest=True)
    precharge = Parameter(
        "90 bar", low="2 bar", high="350 bar", meaning="pressure of the gas without oil, at 20 °C (68 °F)"
    )
    gas_lost = Wear(
        "0 %",
        mild="25 %",
        marginal="50 %",
        failed="90 %",
        notice="it no longer keeps up the pressure for long, and there are knocks",
        meaning="share of its pre-charge that has leaked away",
        stays=True,
    )
    cooling = Parameter("12 s", low="0.5 s", high="1e5 s", meaning="time by which its gas follows the shell's warmth")
    ambient = Parameter("20 C", low="-40 C", high="80 C", meaning="temperature of the shell")
    neck = Parameter("4e-8 m3/s/Pa", low="1e-9 m3/s/Pa", high="1e-5 m3/s/Pa", meaning="flow per drop in its neck")
    mouth = Parameter("20 cm3", low="1 cm3", high="2 L", meaning="oil below the bladder", at_rest=True)
    filled = State("1", nominal="0.1")  # share of the shell that is gas
    warmth = State("20 C", nominal="10 C")  # of the gas

    def equations(self, at: At) -> Law:
        """Return the accumulator's law; stored is also what the air outside works, for oil is gauged against it."""
        charge = at.precharge * (1 - clip(at.gas_lost, 0, 0.98))
        content = at.absolute(charge) * at.shell / _FILLED  # m R [J/K]
        kelvin = ca.fmax(at.warmth + _KELVIN, _COLDEST)
        room = ca.fmax(at.filled, _LEAST) * at.shell
        absolute = content * kelvin / room
        seat = _SEAT * pos(at.filled - 1, _ROUND)
        press = at.p.P - (absolute - _AIR) + seat
        flow = at.neck * press
        warming = content / (_EXPONENT - 1)  # m cv
        wall = warming * (at.ambient - at.warmth) / at.cooling
        return Law(
            volume={"P": at.mouth + at.shell * (1 - at.filled)},
            rate={"filled": -flow / at.shell, "warmth": (wall + absolute * flow) / warming},
            heat={"neck": Heat(flow * press, Loss.LINES)},
            supply={"shell": wall},
            stored={
                "gas": warming * (at.warmth + _KELVIN - _FILLED) + _AIR * at.shell * (at.filled - 1),
                "poppet": _SEAT * at.shell * pos_energy(at.filled - 1, _ROUND),
            },
            readings={
                "gas": (absolute - _AIR, "pressure"),
                "charge": (charge, "pressure"),
                "empty": (at.absolute(charge) * kelvin / _FILLED - _AIR, "pressure"),
                "room": (room, "volume"),
                "oil": (at.shell * (1 - at.filled), "volume"),
                "drop": (press, "pressure"),
                "flow": (flow, "flow"),
                "softness": (room / (_EXPONENT * absolute), "compliance"),  # quick, as a pump beats
            },
        )

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield the pressure of the gas, its pre-charge as warm as it is, the oil in it and the flow in its neck."""
        air = at.term("pa", _AIR, "pressure", tr("the air outside"), (), pair("bar", 3, "psi", 2))
        charge = worn(at, "pv", "precharge", "gas_lost", "charge", tr("pre-charge, at 20 °C (68 °F)"))
        warmth = at.term("θ", at.state("warmth"), "temperature", tr("the gas"), (), _DEGREES)
        shell = at.number("Vs", "shell", tr("room without oil"), _LITRES)
        room = at.reading("Vg", "room", tr("room that the oil leaves it"), (), _LITRES)
        line = at.at_port("P")
        gas = at.reading("pg", "gas", tr("of the gas"), line.refers_to)
        warm = [
            f"( pv + pa ) · ( θ + {zero} ) / {filled}"
            for zero, filled in (("273.15", "293.15"), ("459.67", "527.67"))
        ]
        forms = [f"pg = {one} · Vs / Vg − pa" for one in warm]
        yield Working(
            at.part, tr("Pressure of the gas"), gas, (charge, air, warmth, shell, room), (forms[0], forms[1]),
            tr("Pressure, room and temperature of a gas hang together as absolute ones."),
        )  # fmt: skip
        forms = [f"pe = {one} − pa" for one in warm]
        empty = at.reading("pe", "empty", tr("below it no oil is left"))
        yield Working(
            at.part, tr("Pre-charge at this temperature"), empty, (charge, air, warmth), (forms[0], forms[1])
        )
        oil = at.reading("Vo", "oil", tr("in the accumulator"), (), _LITRES)
        if oil.value > 0:
            yield Working(at.part, tr("Oil in the accumulator"), oil, (shell, room), ("Vo = Vs − Vg",) * 2)
        flow = at.flow_at("P", at.value("flow"), source=tr("into the accumulator"))
        if abs(flow.value) > at.moves:
            neck = at.number("k", "neck", tr("its neck"), _NECK)
            drop = at.reading("Δp", "drop", tr("in the neck: the line less the gas"), line.refers_to, _DROP)
            words = ("q = k · Δp / 1000", "q = k · Δp / 231")
            yield Working(at.part, tr("Flow in the neck"), flow, (neck, drop), words)
