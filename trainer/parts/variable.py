"""Variable pumps: by pressure compensator, and by load sensing."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

import casadi as ca

from trainer.formula import Working
from trainer.language import mark, tr
from trainer.parts.efficiency import of_pump
from trainer.parts.laws import RATED_VISCOSITY, clip, displaced, drag_torque, gaps, pos, ramp, smooth_min, sqrt_flow
from trainer.parts.part import At, Efficiency, Expr, Heat, Kind, Law, Loss, Parameter, Part, State, Stream, Wear
from trainer.parts.plain import Plain
from trainer.parts.roles import Pump, Role
from trainer.parts.sheet import EDGE, LEAK, PERCENT, TRICKLE, Sheet
from trainer.parts.workings import edge, pump_efficiency, pump_powers
from trainer.units import pair

__all__ = ["LoadSensingPump", "PressureCompensatedPump"]

OIL, SHAFT = Kind.OIL, Kind.SHAFT
_BLEED = 0.7  # discharge coefficient of a short bore
_TURNS = 0.5  # rad/s above which a shaft is worth its speed
_PARTED = 1e5  # Pa over which the compensators hand the stroke over to one another
_ROUND = 0.02  # rad/s of full stroke over which the way of its oil is rounded
_SLOW = 0.02  # strokes a second, over which the stroking piston's taking is rounded
_QUICKEST = 5e-3  # s: no control is quicker
_TURN = 2 * math.pi
_WORDS = {"slip": "slip to the case", "stroking": "takes the stroke back", "drag": "drag", "filling": "filling"}


class _Variable:
    """An axial piston unit whose stroke is controlled; its data are our own choice, within the usual 0.95 / 0.93."""

    role: Role = Pump(built="piston")
    called = "pump"
    displacement = Parameter(
        "28 cm3/rev", low="1 cm3/rev", high="500 cm3/rev", meaning="oil moved per turn at full stroke"
    )
    rated_speed = Parameter(
        "1800 r/min", low="1 r/min", high="4000 r/min", meaning="speed at which the circuit is laid out", at_rest=True
    )
    cut_off = Parameter(
        "210 bar", low="10 bar", high="450 bar", meaning="pressure at which its stroke is taken to nothing"
    )
    torque_limit = Parameter(
        "2000 N m", low="2 N m", high="5000 N m", meaning="torque that its oil may take: less stroke beyond"
    )
    least = Parameter("0 %", low="0 %", high="50 %", meaning="stroke at its small stop, of the full stroke")
    band = Parameter(
        "10 bar", low="4 bar", high="40 bar", meaning="pressure by which the control gives the whole stroke"
    )
    piston = Parameter(
        "20 %", low="1 %", high="100 %", meaning="oil of the piston that takes its stroke back, of the oil per turn"
    )
    hung_up = Wear(
        "0 %",
        mild="20 %",
        marginal="50 %",
        failed="100 %",
        notice="hot, and the engine works, with all levers at rest",
        meaning="stroke from which a stuck compensator no longer takes it back, of the full stroke",
    )
    held_back = Wear(
        "0 %",
        mild="30 %",
        marginal="60 %",
        failed="95 %",
        notice="everything is slow, light or heavy",
        meaning="stroke that a stuck compensator no longer gives, of the full stroke",
    )
    sticking = Wear(
        "20 ms",
        mild=4,
        marginal=20,
        failed=200,
        notice="answers late, then surges; a blow when a cylinder stops",
        meaning="time by which its stroke follows the compensator",
    )
    slip = Wear(
        "6e-9",
        mild=2,
        marginal=5,
        failed=12,
        notice="slower as the load rises, worse when hot; its case runs hot",
        meaning="slip coefficient Cs, to the case",
    )
    viscous_drag = Parameter("9.3e3", low="0", high="1e6", meaning="viscous drag coefficient Cv")
    pressure_drag = Parameter("4 %", low="0 %", high="50 %", meaning="share of the torque lost to pressure, Cf")
    breakaway = Parameter("1 N m", low="0 N m", high="50 N m", meaning="friction torque of seals and bearings")
    rotor = Parameter("2e-3 kg m2", low="1e-6 kg m2", high="2 kg m2", meaning="moment of inertia of the rotor")
    gallery = Parameter("100 cm3", low="5 cm3", high="5 L", meaning="oil in the pump's outlet", at_rest=True)
    stroke = State("1", nominal="1")

    @classmethod
    def delivery(cls, value: Callable[[str], float]) -> float:
        """Return the flow at rated speed and full stroke without slip [m3/s]."""
        return value("displacement") * value("rated_speed")

    @classmethod
    def efficiency(cls, value: Callable[[str], float], choice: Callable[[str], str]) -> Efficiency:
        """Return its efficiencies at its rated speed and full stroke."""
        del choice  # its numbers have it
        return of_pump(value, value("rated_speed"))


def _law(at: At, wanted: Expr, readings: dict[str, tuple[Expr, str]]) -> Law:
    """Return the law of a variable piston pump whose control wants ``wanted`` [Pa] more at the outlet.

    The control spool lets oil to or from the stroking piston in proportion to what is wanting: ds/dt = e / (band tau)
    inside the stops; as a lag towards s + e / band it stops there without a switch. What takes the stroke back is oil
    of the outlet, which thereby falls: without it outlet and stroke would swing like a weight on a spring, as either
    only adds up the other. It counts as gone to the case at once. Slip (to the case) and drag after Wilson (1946).
    """
    d, w, mu = at.displacement, at.speed.shaft, at.oil.viscosity
    drop, lift = at.p.P - at.p.S, at.h.P - at.h.S
    limit = at.torque_limit / (d * pos(drop, 1e5) + 1e-3 * at.torque_limit)
    least = ca.fmax(at.least, ca.fmin(at.hung_up, 1))
    most = ca.fmax(least, ca.fmin(limit, 1 - ca.fmin(at.held_back, 1)))
    stroke = clip(at.stroke, 0, 1)
    target = clip(at.stroke + wanted / at.band, least, most)
    growing = (target - at.stroke) / ca.fmax(at.sticking, _QUICKEST)
    stroking = at.piston * d * _TURN * pos(-growing - _SLOW, _SLOW) * ramp((at.p.P - at.p.L) / 1e5)
    geometric = stroke * d * w
    forth = ramp(0.5 + 10 * w)
    moved = displaced(geometric, at.w.S, at.w.P, _ROUND * d)
    rate = gaps(at.slip, d, mu)
    slip = rate * (at.p.P - at.p.L)
    drag = drag_torque(d, w, drop, mu, viscous=at.viscous_drag, pressed=at.pressure_drag, steady=at.breakaway)
    torque = stroke * d * drop + drag
    return Law(
        into={"S": moved, "P": -moved, "shaft": torque},
        streams={"slip": Stream("P", "L", slip, Loss.PUMP), "stroking": Stream("P", "L", stroking, Loss.PUMP)},
        rate={"stroke": growing},
        volume={"S": 0.5 * at.gallery, "P": at.gallery, "L": 0.5 * at.gallery},
        inertia={"shaft": at.rotor},
        heat={
            "drag": Heat(drag * w, Loss.PUMP),
            "filling": Heat(geometric * drop - moved * lift, Loss.PUMP),
        },
        readings={
            "delivery": ((moved - slip - stroking) * at.w.P, "flow"),
            "stroking": (stroking * at.w.P, "flow"),
            "gaps": (rate * at.w.P, "leakage"),
            "slip": (slip * at.w.P, "flow"),
            "filling": (forth * at.w.P / at.w.S + (1 - forth) * at.w.S / at.w.P, "ratio"),  # taken in, pressed
            "share": (stroke, "ratio"),
            "wanted": (wanted, "pressure"),
            "drag": (drag, "torque"),
            "torque": (torque, "torque"),
            "power": (torque * w, "power"),
            **readings,
        },
    )


def _workings(at: Sheet) -> Iterator[Working]:
    """Yield delivery, torque, powers, slip and efficiency of a variable pump."""
    size = at.number("V", "displacement", tr("displacement at full stroke"))
    stroke = at.reading("s", "share", tr("of the full stroke"), (), PERCENT)
    turning = at.turns("shaft")
    leak = at.value("slip") + at.value("stroking")
    slip = at.term("qs", abs(leak), "flow", tr("to the case: slip, and what takes the stroke back"))
    sign = "−" if leak >= 0 else "+"
    filling = at.term("f", at.value("filling"), "ratio", tr("of what it takes in, pressed"), (), pair("", 4, "", 4))
    w = at.speed_at("shaft")
    delivery = at.flow_at("P", at.value("delivery"), source=tr("pump outlet"))
    if w > _TURNS:
        yield Working(
            at.part, tr("Delivery of the pump"), delivery, (size, stroke, turning, filling, slip),
            (f"q = V · s · n · f / 100000 {sign} qs", f"q = V · s · n · f / 23100 {sign} qs"),
        )  # fmt: skip
    drop = at.drop("P", "S")
    rub = at.term("Tr", abs(at.value("drag")), "torque", tr("friction"))
    rubs = "+" if at.value("drag") >= 0 else "−"
    torque = at.term("T", at.value("torque"), "torque", tr("shaft"), drop.refers_to)
    yield Working(
        at.part, tr("Torque on the pump"), torque, (drop, size, stroke, rub),
        (f"T = Δp · V · s / 6283 {rubs} Tr", f"T = Δp · V · s / 7540 {rubs} Tr"),
    )  # fmt: skip
    oil, shaft = powers = pump_powers(at, delivery, torque, turning)
    yield from powers
    over = at.drop("P", "L")
    if abs(over.value) > 1e3:
        rate = at.value("gaps") * at.oil.viscosity / RATED_VISCOSITY
        k = at.term("k", rate, "leakage", tr("gaps, with oil of 35 mPa·s"), (), LEAK)
        lost = at.reading("qs", "slip", tr("slips to the case"), over.refers_to, TRICKLE)
        yield Working(at.part, tr("Slip of the pump"), lost, (k, over, at.viscosity()), ("qs = k · Δp · 35 / μ",) * 2)
    yield from pump_efficiency(at, oil, shaft, drop)


def _left(at: Sheet) -> Working:
    """Return the pressure left until the compensator takes the stroke away."""
    cut, now = at.number("pc", "cut_off", tr("set at the compensator")), at.at_port("P")
    left = at.term("pl", cut.value - now.value, "pressure", tr("until it strokes back"), now.refers_to)
    return Working(at.part, tr("Pressure left to the compensator"), left, (cut, now), ("pl = pc − p",) * 2)


class PressureCompensatedPump(_Variable, Part):
    """A piston pump that gives all its oil up to the set pressure and there only what is taken.

    A spool against a spring feels the outlet and takes the stroke back: an integral of the error within two stops
    (Merritt 1967, from memory).
    """

    ports = {"S": OIL, "P": OIL, "L": OIL, "shaft": SHAFT}
    port_names = {"L": mark("case drain")}
    symbol = "pump_comp"
    screwed = ("cut_off",)
    plate = ("{displacement}", "{cut_off}")
    letter = "P"
    plain = Plain(
        mark("Pressure-compensated pump"),
        does=mark("It keeps its line under a set pressure and gives just the oil that is taken there."),
        works=mark(
            "A spring tips its swash plate to full stroke. When the outlet reaches the setting, a small spool sends "
            "oil to a piston that tips it back, until what it moves is what is taken. With everything shut it still "
            "holds its pressure, with hardly any flow."
        ),
        set=mark(
            "The compensator is set with all ports shut, warm, by a gauge at the outlet. A relief beside it stands "
            "20 bar and more above, only for blows. A hot case line tells of slip: its flow is caught and timed."
        ),
        law=mark(
            "The control spool moves oil to or from the stroking piston in proportion to what is wanting, an "
            "integral between two stops (Merritt 1967, from memory). Slip and drag after Wilson (1946); its "
            "numbers are our own, within the usual 95 % and 93 %."
        ),
    )
    words = _WORDS

    def equations(self, at: At) -> Law:
        """Return the pump's law; its control wants the cut-off pressure."""
        return _law(at, at.cut_off - at.p.P, {})

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield delivery, torque, powers, slip, efficiency and what is left to its setting."""
        yield from _workings(at)
        yield _left(at)


class LoadSensingPump(_Variable, Part):
    """A piston pump that keeps its outlet a margin above the pressure of the load that is told to it at LS.

    Two spools take its stroke: one feels outlet against LS and a spring, one feels the outlet alone. A bleed lets the
    oil of the LS line to the case, so that it comes down when nothing is asked for.
    """

    ports = {"S": OIL, "P": OIL, "L": OIL, "LS": OIL, "shaft": SHAFT}
    port_names = {"L": mark("case drain"), "LS": mark("load-sensing line")}
    signals = ("LS",)
    symbol = "pump_ls"
    screwed = ("cut_off", "margin")
    plate = ("{displacement}", "{margin} / {cut_off}")
    letter = "P"
    plain = Plain(
        mark("Load-sensing pump"),
        does=mark(
            "It gives the flow that the valves ask for, at the pressure of the heaviest load and a little more."
        ),
        works=mark(
            "A thin line tells it the highest load. Its spool keeps the outlet a margin above that: more flow asked "
            "for lets the outlet sag, so the stroke grows; less, and it shrinks. With all levers at rest the line is "
            "empty and the pump stands by at its margin."
        ),
        set=mark(
            "First the cut-off, against a stop; then the margin, from outlet less LS while something moves slowly. "
            "Too small a margin makes everything slow, too large wastes it as heat. A plugged or open LS line looks "
            "like a worn pump."
        ),
        law=mark(
            "Two spools move the stroke in proportion to what is wanting, one of outlet less LS less margin, "
            "one of the cut-off: an integral between two stops (Merritt 1967, from memory). Slip and drag after"
            " Wilson (1946); its numbers are our own, within the usual 95 % and 93 %."
        ),
    )
    words = _WORDS | {"bleed": "bleed of the LS line"}
    fatigue = Wear(
        "0 %",
        mild="25 %",
        marginal="50 %",
        failed="80 %",
        notice="all functions are slow, and slower together",
        meaning="share of its margin's spring that is lost",
    )
    plugging = Wear(
        "0 %",
        mild="10 %",
        marginal="30 %",
        failed="100 %",
        notice="light things move, heavy ones stay",
        meaning="share of the told pressure that does not get through to its spool",
    )
    margin = Parameter("21 bar", low="5 bar", high="60 bar", meaning="what the outlet stands above the told load")
    bleed = Wear(
        "0.06 mm2",
        mild=4,
        marginal=8,
        failed=20,
        notice="all functions slow, worse with a load; the pump stays low",
        meaning="bleed from the LS line to the case",
    )

    @classmethod
    def objections(cls, value: Callable[[str], float]) -> list[str]:
        """Return that a margin reaches the cut-off."""
        if value("margin") >= value("cut_off"):
            return [tr("its margin has to be below its cut-off")]
        return []

    def equations(self, at: At) -> Law:
        """Return the pump's law; its control wants the smaller of what margin and cut-off want."""
        told = (at.p.LS - at.p.L) * (1 - clip(at.plugging, 0, 1))  # the spring's side is drained to the case
        kept = at.margin * (1 - clip(at.fatigue, 0, 0.95))
        wanted = smooth_min(told + kept - at.p.P + at.p.L, at.cut_off - at.p.P, _PARTED)
        across = at.p.LS - at.p.L
        bleed = _BLEED * at.bleed * math.sqrt(2) / ca.sqrt(at.oil.density) * sqrt_flow(across)
        law = _law(at, wanted, {"above": (at.p.P - at.p.LS, "pressure"), "bleed_area": (at.bleed, "area")})
        law.streams["bleed"] = Stream("LS", "L", bleed, Loss.METERING)
        law.volume["LS"] = 0.1 * at.gallery
        return law

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield the margin as it stands, delivery, torque, powers, slip and the bleed of the LS line."""
        told, outlet = at.at_port("LS", "pL"), at.at_port("P")
        above = at.reading("pm", "above", tr("outlet above the told load"), outlet.refers_to)
        yield Working(at.part, tr("Margin of the pump as it stands"), above, (outlet, told), ("pm = p − pL",) * 2)
        yield from _workings(at)
        yield _left(at)
        across = at.drop("LS", "L")
        if across.value > 1e5:
            hole = at.reading("A", "bleed_area", tr("bleed"), (), EDGE)
            yield from edge(at, "bleed", hole, _BLEED)
