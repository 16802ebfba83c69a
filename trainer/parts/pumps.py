"""Pumps of more than one piece: two in one housing, and one that a hand moves by a lever."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from typing import Any

import casadi as ca

from trainer.formula import Working
from trainer.language import mark, tr
from trainer.parts.efficiency import of_pump
from trainer.parts.laws import (
    RATED_VISCOSITY,
    check,
    contact,
    displaced,
    drag_torque,
    edge_rate,
    gaps,
    leak_rate,
    ramp,
)
from trainer.parts.part import (
    At,
    Choice,
    Control,
    Efficiency,
    Expr,
    Heat,
    Kind,
    Latched,
    Law,
    Loss,
    Parameter,
    Part,
    State,
    Stream,
    Wear,
)
from trainer.parts.plain import Plain
from trainer.parts.roles import Pump
from trainer.parts.sheet import LEAK, TRICKLE, Sheet
from trainer.parts.workings import gap
from trainer.units import PLAIN, pair

__all__ = ["DoublePump", "HandPump"]

OIL, SHAFT = Kind.OIL, Kind.SHAFT
_NEWTON = pair("N", 0, "lbf", 0)
_HALVES = (("1", "displacement", "slip"), ("2", "second", "second_slip"))
_TURNS = 0.5  # rad/s above which a shaft is worth its speed
_BEHIND = 0.35  # of its pace by which a hand is behind when it pushes with nearly all it has
_REACH = 0.05  # of the stroke, ahead of its ends: where the hand turns round


class DoublePump(Part):
    """Two gear pumps in one housing on one shaft, each with its own inlet and outlet.

    Each half is as a fixed pump: slip and drag after Wilson (1946), its data our own choice for a gear pump.
    """

    ports = {"S1": OIL, "P1": OIL, "S2": OIL, "P2": OIL, "shaft": SHAFT}
    symbol = "pump_tandem"
    plate = ("{displacement.} + {second}",)
    letter = "P"
    plain = Plain(
        mark("Double pump"),
        does=mark("Two pumps in one housing: one shaft drives both, and each feeds a circuit of its own."),
        works=mark(
            "Each half moves its own oil per turn against its own pressure, and the shaft pays for both: their "
            "torques add. Where their oil is joined their flows add. One half can be let run free to the tank "
            "while the other presses on: many litres at little pressure, few at much."
        ),
        set=mark(
            "The halves are chosen apart. A worn half is found as any pump: each is loaded and measured by "
            "itself. Between them sits a seal: oil that wanders from one circuit into the other has gone past it."
        ),
        law=mark(
            "Each half q = V · n · f − qs, and one torque T = ( Δp1 V1 + Δp2 V2 ) / 2π + Tr for both; slip and "
            "drag after Wilson (1946). Its numbers are our own, as of a gear pump."
        ),
    )
    role = Pump(inlet="S1", outlet="P1", built="gear", second=("S2", "P2"))
    called = "pump"
    words = {
        "slip_1": "slip of the first half", "slip_2": "slip of the second half", "drag": "drag",
        "filling_1": "filling of the first half", "filling_2": "filling of the second half",
        "between": "past the seal between",
    }  # fmt: skip
    displacement = Parameter(
        "16 cm3/rev", low="0.5 cm3/rev", high="250 cm3/rev", meaning="oil moved per turn by the first half"
    )
    second = Parameter(
        "6 cm3/rev", low="0.5 cm3/rev", high="250 cm3/rev", meaning="oil moved per turn by the second half"
    )
    rated_speed = Parameter(
        "1800 r/min", low="1 r/min", high="4000 r/min", meaning="speed at which the circuit is laid out", at_rest=True
    )
    slip = Wear(
        "1.5e-8",
        mild=2,
        marginal=4,
        failed=10,
        notice="what the first pump drives is slower as its load rises, worse when hot",
        meaning="slip coefficient Cs of the first half",
    )
    second_slip = Wear(
        "1.5e-8",
        mild=2,
        marginal=4,
        failed=10,
        notice="what the second pump drives is slower as its load rises, worse when hot",
        meaning="slip coefficient Cs of the second half",
    )
    seal = Wear(
        "0 m3/s/Pa",
        mild="1e-12 m3/s/Pa",
        marginal="5e-12 m3/s/Pa",
        failed="3e-11 m3/s/Pa",
        notice="one tank runs over and the other runs low",
        meaning="leak between the outlets, at 35 mPa s",
    )
    viscous_drag = Parameter("8e4", low="0", high="1e6", meaning="viscous drag coefficient Cv")
    pressure_drag = Parameter("5 %", low="0 %", high="50 %", meaning="share of the torque lost to pressure, Cf")
    breakaway = Parameter("0.6 N m", low="0 N m", high="50 N m", meaning="friction torque of seals and bearings")
    rotor = Parameter("4e-4 kg m2", low="1e-6 kg m2", high="1 kg m2", meaning="moment of inertia of the rotors")
    gallery = Parameter("60 cm3", low="5 cm3", high="5 L", meaning="oil in each outlet", at_rest=True)

    @classmethod
    def delivery(cls, value: Callable[[str], float]) -> float:
        """Return the flow of both halves at rated speed without slip [m3/s]."""
        return (value("displacement") + value("second")) * value("rated_speed")

    @classmethod
    def efficiency(cls, value: Callable[[str], float], choice: Callable[[str], str]) -> Efficiency:
        """Return the efficiencies of both halves together, on one line, at its rated speed."""
        del choice  # it has none
        return of_pump(value, value("rated_speed"), tuple((size, worn) for _, size, worn in _HALVES))

    def equations(self, at: At) -> Law:
        """Return the law of two fixed pumps whose torques add."""
        w, mu = at.speed.shaft, at.oil.viscosity
        law = Law(inertia={"shaft": at.rotor})
        torque: Expr = 0.0
        drag: Expr = 0.0
        for half, size, wear in _HALVES:
            inlet, outlet = f"S{half}", f"P{half}"
            d, worn = getattr(at, size), getattr(at, wear)
            drop, lift = at.p[outlet] - at.p[inlet], at.h[outlet] - at.h[inlet]
            moved = displaced(d * w, at.w[inlet], at.w[outlet], d)
            leaks = gaps(worn, d, mu)
            law.streams[f"slip_{half}"] = Stream(outlet, inlet, leaks * drop, Loss.PUMP)
            law.into |= {inlet: moved, outlet: -moved}
            law.volume |= {inlet: 0.5 * at.gallery, outlet: at.gallery}
            law.heat[f"filling_{half}"] = Heat(d * w * drop - moved * lift, Loss.PUMP)
            law.readings |= {
                f"delivery_{half}": ((moved - leaks * drop) * at.w[outlet], "flow"),
                f"slip_{half}": (leaks * drop * at.w[outlet], "flow"),
                f"gaps_{half}": (leaks * at.w[outlet], "leakage"),
                f"pressed_{half}": (moved * at.w[outlet], "flow"),
            }
            torque = torque + d * drop
            drag = drag + drag_torque(
                d, w, drop, mu, viscous=at.viscous_drag, pressed=at.pressure_drag, steady=0.5 * at.breakaway
            )
        past = leak_rate(at.seal, mu) * (at.p.P1 - at.p.P2)
        law.streams["between"] = Stream("P1", "P2", past, Loss.LEAKAGE)
        law.heat["drag"] = Heat(drag * w, Loss.PUMP)
        law.into["shaft"] = torque + drag
        law.readings |= {
            "drag": (drag, "torque"), "torque": (torque + drag, "torque"), "power": ((torque + drag) * w, "power"),
            "seal": (leak_rate(at.seal, mu), "leakage"),
        }  # fmt: skip
        return law

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield what each half delivers, the torque of both, powers, slip and efficiency."""
        turning, w = at.turns("shaft"), at.speed_at("shaft")
        drops, powers = [], []
        for half, size, _ in _HALVES:
            name = tr("first") if half == "1" else tr("second")
            volume = at.number("V", size, tr("displacement of the {half} half").format(half=name))
            leak = at.value(f"slip_{half}")
            slip = at.term("qs", abs(leak), "flow", tr("slips back inside"))
            flow = at.flow_at(f"P{half}", at.value(f"delivery_{half}"), source=tr("{half} outlet").format(half=name))
            sign = "−" if leak >= 0 else "+"
            if w > _TURNS:
                share = at.value(f"pressed_{half}") / (volume.value * w)
                fill = at.term("f", share, "ratio", tr("of what it sweeps, pressed"), (), pair("", 4, "", 4))
                yield Working(
                    at.part, tr("Delivery of the {half} half").format(half=name), flow, (volume, turning, fill, slip),
                    (f"q = V · n · f / 1000 {sign} qs", f"q = V · n · f / 231 {sign} qs"),
                )  # fmt: skip
            drop = at.drop(f"P{half}", f"S{half}")
            if abs(drop.value) > 1e3:
                rate = at.value(f"gaps_{half}") * at.oil.viscosity / RATED_VISCOSITY
                k = at.term("k", rate, "leakage", tr("gaps, with oil of 35 mPa·s"), (), LEAK)
                lost = at.reading("qs", f"slip_{half}", tr("slips back inside"), drop.refers_to, TRICKLE)
                title = tr("Slip of the {half} half").format(half=name)
                yield Working(at.part, title, lost, (k, drop, at.viscosity()), ("qs = k · Δp · 35 / μ",) * 2)
            pressure = at.at_port(f"P{half}")
            power = at.hydraulic(
                tr("Power of the {half} half's oil").format(half=name), pressure.value * flow.value, pressure, flow
            )
            yield power
            powers.append(power.result.value)
            drops.append(
                (at.drop(f"P{half}", f"S{half}", f"Δp{half}"), at.number(f"V{half}", size, tr("displacement")))
            )
        (one, v1), (two, v2) = drops
        rub = at.value("drag")
        friction = at.term("Tr", abs(rub), "torque", tr("friction"))
        torque = at.term("T", at.value("torque"), "torque", tr("shaft"), one.refers_to)
        sign = "+" if rub >= 0 else "−"
        yield Working(
            at.part, tr("Torque on the pump"), torque, (one, v1, two, v2, friction),
            (f"T = ( Δp1 · V1 + Δp2 · V2 ) / 62.8 {sign} Tr", f"T = ( Δp1 · V1 + Δp2 · V2 ) / 75.4 {sign} Tr"),
        )  # fmt: skip
        paid = at.value("power")
        shaft = at.turning(
            tr("Power on the shaft"), paid,
            at.term("T", -torque.value if w < 0 else torque.value, "torque", tr("shaft")), turning,
        )  # fmt: skip
        yield shaft
        total = sum(powers)
        if paid > 1e-3 and total > 1e-3:
            terms = (at.power("Ph", total, tr("of the oil of both")), at.power("P", paid, tr("on the shaft")))
            result = at.term("η", total / paid, "ratio", tr("of what the shaft gives"), (), pair("%", 1, "%", 1))
            yield Working(at.part, tr("Efficiency of the pump"), result, terms, ("η = Ph · 100 / P",) * 2)
        yield from gap(at, "between")


class HandPump(Part):
    """A plunger that a hand moves by a lever, with a check ahead of and behind its chambers.

    The hand wants a pace and turns round near the ends; it pushes harder the further it is behind, up to its
    strength: force at the plunger = force of the hand times the lever's ratio (law of the lever). Double-acting, it
    delivers on both strokes; single-acting on one. 150 to 350 N at the lever's end is what people give (from memory).
    """

    ports = {"S": OIL, "P": OIL}
    inside = {"down": OIL, "up": OIL}
    symbol = "hand_pump"
    plate = ("Ø{plunger}",)
    letter = "P"
    plain = Plain(
        mark("Hand pump"),
        does=mark("A person makes pressure with it, stroke by stroke: for a jack, or when the engine is dead."),
        works=mark(
            "The lever makes a small force of the hand a large one on a thin plunger, and that a high pressure. "
            "One check lets oil in while the plunger draws, the other lets it out and holds it there. Little oil "
            "comes with each stroke: what is gained in force is paid for in strokes."
        ),
        set=mark(
            "A thinner plunger or a longer lever presses harder and takes more strokes. If the load sinks between "
            "strokes the outlet check leaks; if the lever springs back with each stroke too. If it pumps and "
            "nothing comes, it draws air."
        ),
        law=mark(
            "Force of the hand times the ratio of its lever is what presses on the plunger, and that over its "
            "area is the pressure (lever and Pascal, any textbook); checks as orifices that pass one way."
        ),
    )
    role = Pump(shaft="", built="piston")
    called = "hand pump"
    words = {
        "arms": "arms", "draw_down": "drawn by the down side", "press_down": "pressed by the down stroke",
        "draw_up": "drawn by the up side", "press_up": "pressed by the up stroke",
        "back_down": "back past its outlet check",
        "back_up": "back past the other outlet check", "past": "past the plunger", "rub": "seals and pins",
        "ends": "at its ends", "motion": "motion", "stop": "stop",
    }  # fmt: skip
    acting = Choice("double", "single", meaning="delivers on both strokes, or on one")
    pace = Control("0 r/min", low="0 r/min", high="60 r/min", meaning="double strokes a minute that the hand wants")
    plunger = Parameter("22 mm", low="6 mm", high="80 mm", meaning="diameter of the plunger", at_rest=True)
    stroke = Parameter("40 mm", low="10 mm", high="200 mm", meaning="stroke of the plunger", at_rest=True)
    lever_ratio = Parameter("14", low="1", high="40", meaning="way of the hand to way of the plunger", at_rest=True)
    strength = Parameter("300 N", low="20 N", high="800 N", meaning="most that the hand pushes")
    cracking = Parameter("0.2 bar", low="0.05 bar", high="2 bar", meaning="pressure at which its checks open")
    area = Parameter("30 mm2", low="2 mm2", high="500 mm2", meaning="area of its checks")
    friction = Parameter(
        "400 N s/m", low="10 N s/m", high="1e5 N s/m", meaning="drag of seals and pins on the plunger"
    )
    leakage = Wear(
        "2e-15 m3/s/Pa",
        mild=20,
        marginal=100,
        failed=500,
        notice="the lever gives way slowly under a load",
        meaning="leak past the plunger at 35 mPa s",
    )
    check_leakage = Wear(
        "1e-16 m3/s/Pa",
        mild=300,
        marginal=3000,
        failed=3e4,
        notice="the load sinks between strokes, and the lever springs back",
        meaning="leak back past each outlet check at 35 mPa s",
    )
    room = Parameter(
        "3 cm3", low="0.5 cm3", high="1 L", meaning="oil left in each chamber, and at each port", at_rest=True
    )
    plunged = State("0 m", nominal="10 mm")
    going = State("0 m/s", nominal="0.1 m/s")
    way = Latched("1")

    @classmethod
    def latch(cls, values: Mapping[str, float]) -> dict[str, float]:
        """Return which way the hand goes: it turns round near the ends."""
        share = values["plunged"] / values["stroke"]
        if share > 1 - _REACH:
            return {"way": -1.0}
        return {"way": 1.0} if share < _REACH else {"way": values["way"]}

    @classmethod
    def delivery(cls, value: Callable[[str], float]) -> float:
        """Return the flow at a good pace of 40 double strokes a minute [m3/s], both strokes counted."""
        return math.pi / 4 * value("plunger") ** 2 * 2 * value("stroke") * 40 / 60

    def equations(self, at: At) -> Law:
        """Return the law of plunger, checks and the hand."""
        area = math.pi / 4 * at.plunger * at.plunger
        double = at.acting == "double"
        x, v, p = at.plunged, at.going, at.p
        pace = 2 * at.stroke * at.pace / (2 * math.pi)
        wanted = at.way * pace
        most = at.strength * at.lever_ratio
        active = ramp(at.pace / 0.2)
        hand = most * active * ca.tanh((wanted - v) / (_BEHIND * pace + 1e-3))
        rate, thin = edge_rate(at.area, 0.65, at.oil), RATED_VISCOSITY / at.oil.viscosity
        stops: dict[str, tuple[Expr, Expr, Expr]] = {
            "bottom": contact(x - at.stroke, v, 1e7, 1.0), "top": contact(-x, -v, 1e7, 1.0),
        }  # fmt: skip
        sides = ("down", "up") if double else ("down",)
        behind = p.up if double else p.S
        law = Law(volume={"S": at.room, "P": at.room})
        for side in sides:
            law.streams |= {
                f"draw_{side}": Stream("S", side, rate * check(p.S - p[side], at.cracking, 1e5), Loss.PUMP),
                f"press_{side}": Stream(side, "P", rate * check(p[side] - p.P, at.cracking, 1e5), Loss.PUMP),
                f"back_{side}": Stream("P", side, at.check_leakage * thin * (p.P - p[side]), Loss.PUMP),
            }
        other = "up" if double else "S"
        law.streams["past"] = Stream("down", other, at.leakage * thin * (p.down - behind), Loss.PUMP)
        law.volume["down"] = at.room + area * (at.stroke - x)
        law.volume["up"] = at.room + (area * x if double else 0.0)
        swept = "up" if double else "S"
        if not double:
            law.volume["S"] = at.room + area * x  # what is behind the plunger is the inlet's
        thrust = area * (p.down - p[swept])
        rub = at.friction * v
        push = stops["bottom"][0] - stops["top"][0]
        mass = _LEVER * at.lever_ratio * at.lever_ratio
        law.rate = {"plunged": v, "going": (hand - thrust - rub - push) / mass}
        law.heat = {"rub": Heat(rub * v, Loss.PUMP), "ends": Heat(stops["bottom"][1] + stops["top"][1], Loss.PUMP)}
        law.supply = {"arms": hand * v}
        law.stored = {"motion": mass * v * v / 2, "stop": stops["bottom"][2] + stops["top"][2]}
        pressed: Any = sum(
            (law.streams[f"press_{side}"].flow - law.streams[f"back_{side}"].flow for side in sides), 0.0
        )
        law.readings = {
            "hand": (hand / at.lever_ratio, "force"), "pushes": (hand, "force"), "thrust": (thrust, "force"),
            "rub": (rub, "force"), "speeding": (hand - thrust - rub - push, "force"), "at_end": (push, "force"),
            "delivery": (pressed * at.w.P, "flow"), "power": (hand * v, "power"), "face": (area, "area"),
            "effort": (ca.sqrt(hand * hand + 1e-6) / most, "ratio"), "seat": (at.check_leakage, "leakage"),
            "clearance": (at.leakage, "leakage"), "asked": (most / area, "pressure"),
        }  # fmt: skip
        return law

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield the lever's gain, the highest pressure of the hand, what stands against it, and the leaks."""
        ratio = at.number("i", "lever_ratio", tr("way of the hand to way of the plunger"), PLAIN)
        force = at.reading("Fp", "pushes", tr("on the plunger"), (), _NEWTON)
        yield Working(
            at.part, tr("Force on the plunger"), force,
            (at.reading("F", "hand", tr("of the hand"), (), _NEWTON), ratio), ("Fp = F · i",) * 2,
        )  # fmt: skip
        face = at.reading("A", "face", tr("plunger"), (), pair("mm2", 1, "in2", 4))
        most = at.number("Fm", "strength", tr("most that the hand pushes"), _NEWTON)
        asked = at.reading("pm", "asked", tr("that the hand can hold"))
        yield Working(
            at.part, tr("Highest pressure of the hand"), asked, (most, ratio, face),
            ("pm = Fm · i · 10 / A", "pm = Fm · i / A"),
        )  # fmt: skip
        yield from gap(at, "past")
        for side in ("down", "up"):
            if f"back_{side}" in at.streams:
                yield from gap(at, f"back_{side}")


_LEVER = 0.15  # kg of lever and arm, felt at the hand
