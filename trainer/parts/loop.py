"""What makes a hydrostatic loop: the pump over centre, and the valve that flushes hot oil out of it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from trainer.formula import Working
from trainer.language import mark, tr
from trainer.parts.efficiency import of_pump
from trainer.parts.laws import (
    RATED_VISCOSITY,
    clip,
    displaced,
    drag_torque,
    edge_rate,
    gaps,
    ramp,
    relief,
    smooth_abs,
    sqrt_flow,
)
from trainer.parts.part import At, Control, Efficiency, Heat, Kind, Law, Loss, Parameter, Part, State, Stream, Wear
from trainer.parts.plain import Plain
from trainer.parts.roles import DIRECTION, NOTCH, Pump, Role
from trainer.parts.sheet import EDGE, LEAK, PERCENT, TRICKLE, Sheet
from trainer.parts.workings import edge, override

__all__ = ["FlushingValve", "HydrostaticPump"]

OIL, SHAFT = Kind.OIL, Kind.SHAFT
_TURNS = 0.5  # rad/s above which a shaft is worth its speed
_ROUND = 0.02  # rad/s of full stroke over which the way of its oil is rounded
_CRACKS = 0.8  # of its setting: where the flushing relief begins to open


class HydrostaticPump(Part):
    """An axial piston pump whose swash plate goes over centre: its lever says how much oil, and which way.

    A gives oil with the lever ahead, B with it back; in the middle it turns and moves none. The plate trails the
    lever; above the cut-off, on either side, it is taken back by a band. Slip, to the case from both sides, and drag
    after Wilson (1946); its data are our own choice, within the usual 0.95 / 0.93.
    """

    ports = {"A": OIL, "B": OIL, "L": OIL, "shaft": SHAFT}
    port_names = {"L": mark("case drain")}
    symbol = "pump_hst"
    screwed = ("cut_off",)
    plate = ("{displacement}", "{cut_off}")
    letter = "P"
    plain = Plain(
        mark("Pump over centre, for a closed circuit"),
        does=mark("With one lever it drives a motor faster, slower, stops it and turns it the other way round."),
        works=mark(
            "The oil comes straight back from the motor to its other side. Tipped one way its plate makes A the "
            "pressing side, tipped the other way B; upright it moves nothing. What the case loses a small charge "
            "pump puts back, on the side that is low. Going downhill the motor pumps, and the engine brakes it."
        ),
        set=mark(
            "Charge pressure first: 15 to 25 bar in all states, or the pump is ruined in minutes. Then the loop's "
            "reliefs, or the cut-off below them. A drive that creeps at rest has its middle set wrong. Slow and hot "
            "in both directions: worn. In one direction: that side's relief or check."
        ),
        law=mark(
            "q = V · s · n with s from −1 to 1, torque T = V · s · Δp / 2π + Tr; slip to the case from both sides, "
            "and drag, after Wilson (1946). Its numbers are our own, within the usual 95 % and 93 %."
        ),
    )
    role = Pump(inlet="B", outlet="A", built="piston", case="L")
    called = "pump"
    words = {"slip_A": "slip of A to the case", "slip_B": "slip of B to the case", "drag": "drag",
             "filling": "filling"}  # fmt: skip
    lever = Control("0", low="-1", high="1", meaning="lever; + presses A, - presses B", ends=("back", "ahead"))
    displacement = Parameter(
        "28 cm3/rev", low="1 cm3/rev", high="500 cm3/rev", meaning="oil moved per turn at full stroke"
    )
    rated_speed = Parameter(
        "1800 r/min", low="1 r/min", high="4000 r/min", meaning="speed at which the circuit is laid out", at_rest=True
    )
    cut_off = Parameter(
        "350 bar",
        low="20 bar",
        high="500 bar",
        meaning="drop between its sides at which its stroke is taken to nothing",
    )
    band = Parameter("20 bar", low="5 bar", high="100 bar", meaning="below that: over which its stroke is taken back")
    lag = Parameter("150 ms", low="20 ms", high="2 s", meaning="time by which its plate trails the lever")
    detent = Parameter("110 %", low="50 %", high="110 %", meaning=NOTCH, at_rest=True)
    off_centre = Wear(
        "0 %",
        mild="2 %",
        marginal="5 %",
        failed="15 %",
        notice="it creeps with the lever in the middle",
        meaning="stroke that is left with the lever in the middle, of the full stroke",
    )
    slip = Wear(
        "6e-9",
        mild=2,
        marginal=5,
        failed=12,
        notice="weak drive uphill, worse when hot; the case runs hot and charge pressure falls",
        meaning="slip coefficient Cs, to the case",
    )
    viscous_drag = Parameter("9.3e3", low="0", high="1e6", meaning="viscous drag coefficient Cv")
    pressure_drag = Parameter("4 %", low="0 %", high="50 %", meaning="share of the torque lost to pressure, Cf")
    breakaway = Parameter("1 N m", low="0 N m", high="50 N m", meaning="friction torque of seals and bearings")
    rotor = Parameter("2e-3 kg m2", low="1e-6 kg m2", high="2 kg m2", meaning="moment of inertia of the rotor")
    gallery = Parameter("80 cm3", low="5 cm3", high="5 L", meaning="oil at each of its sides", at_rest=True)
    stroke = State("0", nominal="1")

    @classmethod
    def delivery(cls, value: Callable[[str], float]) -> float:
        """Return the flow at rated speed and full stroke without slip [m3/s]."""
        return value("displacement") * value("rated_speed")

    @classmethod
    def efficiency(cls, value: Callable[[str], float], choice: Callable[[str], str]) -> Efficiency:
        """Return its efficiencies at its rated speed and full stroke, one side under pressure."""
        del choice  # it has none
        return of_pump(value, value("rated_speed"), sides=2)

    def equations(self, at: At) -> Law:
        """Return the law of a pump whose stroke has a sign."""
        d, w, mu, p = at.displacement, at.speed.shaft, at.oil.viscosity, at.p
        drop, lift = p.A - p.B, at.h.A - at.h.B
        left = clip((at.cut_off - smooth_abs(drop, 1e4)) / at.band, 0, 1)
        target = clip(at.lever + at.off_centre, -left, left)
        stroke = clip(at.stroke, -1, 1)
        swept = stroke * d * w
        moved = displaced(swept, at.w.B, at.w.A, _ROUND * d)
        leaks = gaps(at.slip, d, mu)
        drag = drag_torque(d, w, drop, mu, viscous=at.viscous_drag, pressed=at.pressure_drag, steady=at.breakaway)
        torque = stroke * d * drop + drag
        return Law(
            into={"B": moved, "A": -moved, "shaft": torque},
            streams={
                f"slip_{side}": Stream(side, "L", 0.5 * leaks * (p[side] - p.L), Loss.PUMP) for side in ("A", "B")
            },
            rate={"stroke": (target - at.stroke) / at.lag},
            volume={"A": at.gallery, "B": at.gallery, "L": 0.5 * at.gallery},
            inertia={"shaft": at.rotor},
            heat={"drag": Heat(drag * w, Loss.PUMP), "filling": Heat(swept * drop - moved * lift, Loss.PUMP)},
            readings={
                "swept": (swept, "flow"), "share": (stroke, "ratio"), "gaps": (0.5 * leaks, "leakage"),
                "slip_A": (0.5 * leaks * (p.A - p.L), "flow"), "slip_B": (0.5 * leaks * (p.B - p.L), "flow"),
                "drag": (drag, "torque"), "torque": (torque, "torque"), "power": (torque * w, "power"),
            },
        )  # fmt: skip

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield what it sweeps and which way, its torque and power, its slip, and what is left to its cut-off."""
        size = at.number("V", "displacement", tr("displacement at full stroke"))
        share = at.value("share")
        stroke = at.term("s", abs(share), "ratio", tr("of the full stroke"), (), PERCENT)
        high, low = ("A", "B") if share >= 0 else ("B", "A")
        w = at.speed_at("shaft")
        turning = at.turns("shaft")
        if w > _TURNS:
            swept = at.flow_at(high, abs(at.value("swept")), source=tr("swept, out of {port}").format(port=high))
            yield Working(
                at.part, tr("What it sweeps"), swept, (size, stroke, turning),
                ("q = V · s · n / 100000", "q = V · s · n / 23100"),
            )  # fmt: skip
        drop = at.drop(high, low)
        rub = at.term("Tr", at.value("drag"), "torque", tr("friction"))
        sign = "+" if rub.value >= 0 else "−"
        torque = at.term("T", at.value("torque"), "torque", tr("shaft"), drop.refers_to)
        yield Working(
            at.part, tr("Torque on the pump"), torque, (drop, size, stroke, replace(rub, value=abs(rub.value))),
            (f"T = Δp · V · s / 6283 {sign} Tr", f"T = Δp · V · s / 7540 {sign} Tr"),
        )  # fmt: skip
        turned = replace(torque, value=-torque.value if w < 0 else torque.value)
        given = at.value("power")
        name = tr("Power on the shaft") if given >= 0 else tr("Power that the load gives back")
        yield at.turning(name, given, turned, turning)
        for side in ("A", "B"):
            over = at.drop(side, "L")
            if abs(over.value) > 1e3:
                rate = at.value("gaps") * at.oil.viscosity / RATED_VISCOSITY
                k = at.term("k", rate, "leakage", tr("gaps, with oil of 35 mPa·s"), (), LEAK)
                lost = at.reading("qs", f"slip_{side}", tr("slips to the case"), over.refers_to, TRICKLE)
                title = tr("Slip of side {side}").format(side=side)
                yield Working(at.part, title, lost, (k, over, at.viscosity()), ("qs = k · Δp · 35 / μ",) * 2)
        across = at.drop("A", "B")
        way = across if across.value >= 0 else at.drop("B", "A")
        cut = at.number("pc", "cut_off", tr("set at the compensator"))
        left = at.term("pl", cut.value - way.value, "pressure", tr("until it strokes back"), way.refers_to)
        yield Working(at.part, tr("Pressure left to the compensator"), left, (cut, way), ("pl = pc − Δp",) * 2)


class FlushingValve(Part):
    """A shuttle spool that opens the lower side of a loop to a relief: hot oil leaves, cool oil is charged in.

    The spool goes over by the difference of the sides against centring springs; with both alike it stays shut and the
    charge relief keeps the pressure. Its relief stands a few bar below that of the charge pump (trade practice, from
    memory).
    """

    ports = {"A": OIL, "B": OIL, "T": OIL}
    symbol = "flushing"
    plate = ("{setting}",)
    letter = "V"
    plain = Plain(
        mark("Flushing valve"),
        does=mark("It lets a part of the hot oil out of a closed loop, so that cool oil can come in."),
        works=mark(
            "The side of the loop that presses pushes its spool over, and that opens the other side, which only "
            "comes back, to a small relief. What goes over there the charge pump replaces from the tank. With both "
            "sides alike the spool stands in the middle and shuts."
        ),
        set=mark(
            "Its relief stands two to five bar below the charge relief, so that the charge pump's oil goes through "
            "the loop and not past it. A spool that hangs on one side lets the pressing side go: weak one way, "
            "strong the other."
        ),
        law=mark(
            "The lower side's oil goes over a relief, q ~ ( p − pc ) · √p, as far as the difference of the two "
            "sides has moved its spool against its springs: a layout of this program."
        ),
    )
    role = Role()
    group = DIRECTION
    words = {"from_A": "flushed out of A", "from_B": "flushed out of B", "stuck": "past its spool that hangs"}
    setting = Parameter("16 bar", low="3 bar", high="60 bar", meaning="pressure at which its relief passes its flow")
    rated_flow = Parameter("8 L/min", low="0.5 L/min", high="200 L/min", meaning="flow of its relief at the setting")
    shift = Parameter("6 bar", low="1 bar", high="40 bar", meaning="difference of the sides that begins to move it")
    hanging = Wear(
        "0 mm2",
        mild="0.5 mm2",
        marginal="2 mm2",
        failed="8 mm2",
        notice="strong one way and weak the other, and hot",
        meaning="opening from A to T of a spool that hangs",
    )
    gallery = Parameter("5 cm3", low="1 cm3", high="1 L", meaning="oil in each room", at_rest=True)

    def equations(self, at: At) -> Law:
        """Return the law of a spool that lets the lower side over a relief."""
        p = at.p
        law = Law(volume=dict.fromkeys(("A", "B", "T"), at.gallery))
        cracking = _CRACKS * at.setting
        for low, high in (("A", "B"), ("B", "A")):
            over = ramp((p[high] - p[low] - at.shift) / at.shift)
            passed = over * relief(p[low] - p["T"], cracking, at.setting, at.rated_flow)
            law.streams[f"from_{low}"] = Stream(low, "T", passed, Loss.RELIEF)
            law.readings[f"over_{low}"] = (over, "ratio")
        hangs = edge_rate(at.hanging, 0.65, at.oil) * sqrt_flow(p.A - p["T"])
        law.streams["stuck"] = Stream("A", "T", hangs, Loss.LEAKAGE)
        law.readings |= {"cracking": (cracking, "pressure"), "hole": (at.hanging, "area")}
        return law

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield what moves its spool, and the flow over its relief."""
        low, high = ("B", "A") if at.pressure_at("A") >= at.pressure_at("B") else ("A", "B")
        drop = at.drop(high, low)
        begins = at.number("ps", "shift", tr("begins to move it"))
        if drop.value >= begins.value:
            beyond = at.term("po", drop.value - begins.value, "pressure", tr("moves its spool"), drop.refers_to)
            yield Working(at.part, tr("What moves its spool"), beyond, (drop, begins), ("po = Δp − ps",) * 2)
        else:
            left = at.term("pl", begins.value - drop.value, "pressure", tr("until its spool moves"), drop.refers_to)
            yield Working(at.part, tr("What its spool lacks"), left, (begins, drop), ("pl = ps − Δp",) * 2)
        if at.value(f"over_{low}") > 0.999:
            yield from override(
                at, f"from_{low}", at.value("cracking"), at.parameter("setting"), at.parameter("rated_flow")
            )
        yield from edge(at, "stuck", at.reading("A", "hole", tr("it hangs"), (), EDGE), 0.65)
