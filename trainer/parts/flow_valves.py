"""Flow valves that do more than throttle: pressure-compensated flow controls, and the throttle of one way."""

from __future__ import annotations

from collections.abc import Iterator

import casadi as ca

from trainer.formula import Term, Working
from trainer.language import mark, tr
from trainer.parts.laws import clip, edge_laminar, edge_rate, leak_rate, opened, ramp, sqrt_flow, straight_ramp
from trainer.parts.part import At, Control, Expr, Kind, Law, Loss, Parameter, Part, State, Stream, Wear
from trainer.parts.plain import Plain
from trainer.parts.roles import Restrictor
from trainer.parts.sheet import EDGE, PERCENT, Sheet
from trainer.parts.workings import edge, gap, part_open

__all__ = ["BypassFlowControlValve", "FlowControlValve", "OneWayThrottle"]

OIL = Kind.OIL
_DENSITY = 870.0  # kg/m3, for which a metering edge is cut
_SHUT = 1e-3  # of the whole edge: what a balance of two edges does not tell from nothing
_QUICKEST = 2e-3  # s: no spool is quicker
_BEGINS = 0.02  # of the held drop over which a compensator begins to throttle
_ROUND = 0.01  # of the whole opening over which a bypass begins
_SCREW = 100.0  # laminar number of a throttle's long notch


def _metering(at: At) -> tuple[Expr, Expr]:
    """Return the whole metering edge [m2], for the rated flow at the held drop, and how much of it is open."""
    whole = at.rated_flow / (at.discharge * ca.sqrt(2 * at.held / _DENSITY))
    return whole, whole * clip(at.opening, 0, 1) * (1 - clip(at.clogging, 0, 1))


def _edge_workings(at: Sheet) -> Iterator[Working]:
    """Yield how the metering edge comes about."""
    area, whole = (
        at.reading("A", "edge", tr("metering edge"), (), EDGE),
        at.reading("Ao", "whole", tr("wide open"), (), EDGE),
    )
    share = at.reading("s", "opened", tr("opened by"), (), PERCENT)
    dirt = at.term("z", at.value("dirt"), "ratio", tr("of it shut by dirt"), (), PERCENT)
    terms: tuple[Term, ...] = (share, whole)
    words = "A = s · Ao / 100"
    if dirt.value > 0:
        terms, words = (share, whole, dirt), "A = s · Ao / 100 · ( 1 − z / 100 )"
    yield Working(at.part, tr("Metering edge"), area, terms, (words,) * 2)


class FlowControlValve(Part):
    """A metering edge with a compensator before it that holds the drop over it: the same flow whatever the load.

    q = Cd A sqrt(2 held / rho) once the drop over both is more than the held one; with less both are plain orifices
    in series (Merritt 1967 and every textbook of hydraulics, from memory). The compensator stands wide open until oil
    flows: what passes until it has come down is the jump of such a valve at a start. Backwards it holds nothing.

    It trails the place where it balances, as the bore to its spring room lets it: first order, so that after a jump
    of pressure the flow is right again in some 50 ms (makers' step responses, from memory). Meanwhile it throttles,
    and that is all that damps a load on its oil.
    """

    ports = {"1": OIL, "2": OIL}
    symbol = "flow_control_2"
    plate = ("{rated_flow}",)
    letter = "V"
    plain = Plain(
        mark("Pressure-compensated flow control valve"),
        does=mark("It keeps a speed: the same flow goes through it whatever the load, as far as it is opened."),
        works=mark(
            "Behind its inlet a small spool throttles just so much that the drop over the set edge is always a few "
            "bar. Load or pump may rise and fall: the spool takes up the difference. What a fixed pump moves beyond "
            "that has to go over the relief, at full pressure."
        ),
        set=mark(
            "The screw sets the flow, by a stopwatch at the cylinder. It needs some ten bar over it, else it is a "
            "plain throttle. Dirt in the edge slows one function; a compensator that sticks lets speed follow the "
            "load again."
        ),
        law=mark(
            "q = Cd · A · √( 2 Δph / ρ ) over its edge, which the compensator keeps at Δph where there is more; with "
            "less, edge and compensator are orifices in series. Every textbook of hydraulics, after Merritt (1967), "
            "from memory. The compensator follows with a lag of first order, of this program."
        ),
    )
    role = Restrictor()
    words = {"through": "through", "shut_leak": "leak when shut"}
    opening = Control("1", low="0", high="1", meaning="how far its metering edge is opened", ends=("shut", "open"))
    rated_flow = Parameter("20 L/min", low="0.1 L/min", high="1000 L/min", meaning="flow when fully open")
    held = Parameter("6 bar", low="1 bar", high="30 bar", meaning="drop over its edge that the compensator holds")
    width = Parameter("3", low="1", high="20", meaning="compensator wide open, against the metering edge wide open")
    discharge = Parameter("0.65", low="0.5", high="1", meaning="discharge coefficient")
    sticking = Wear(
        "15 ms", mild=8, marginal=60, failed=2000,
        notice="its speed goes with the load, and comes right late or never",
        meaning="time by which its compensator follows",
    )  # fmt: skip
    clogging = Wear(
        "0 %", mild="20 %", marginal="50 %", failed="90 %", most="100 %",
        notice="one function is slow, the others are as ever", meaning="share of its metering edge that dirt shuts",
    )  # fmt: skip
    leakage = Parameter("1e-14 m3/s/Pa", low="0 m3/s/Pa", high="1e-10 m3/s/Pa", meaning="leak when shut, at 35 mPa s")
    gallery = Parameter("5 cm3", low="1 cm3", high="1 L", meaning="oil on each side", at_rest=True)
    compensator = State("1", nominal="0.1")  # 1 stands wide open

    def equations(self, at: At) -> Law:
        """Return the law of two edges in series, of which the spool's closes until the other has its drop."""
        whole, area = _metering(at)
        stands = clip(at.compensator, 0, 1)
        before = at.width * whole * stands
        least = area * area + (_SHUT * whole) ** 2
        squares = least + before * before
        drop = at.p["1"] - at.p["2"]
        over_edge = drop * before * before / squares
        both = area * before / ca.sqrt(squares)
        flow = edge_rate(both, at.discharge, at.oil) * sqrt_flow(drop)
        spare, begins = drop - at.held, _BEGINS * at.held
        wide = at.held * least / (at.width * whole) ** 2  # what is left for it when it stands wide open
        narrow = ca.sqrt(wide / ca.fmax(ca.fmax(spare, wide), begins))  # there its edge has the held drop
        balances = 1 - (1 - narrow) * ramp(spare / begins)
        leak = leak_rate(at.leakage, at.oil.viscosity)
        return Law(
            streams={
                "through": Stream("1", "2", flow, Loss.METERING),
                "shut_leak": Stream("1", "2", leak * drop, Loss.LEAKAGE),
            },
            rate={"compensator": (balances - at.compensator) / ca.fmax(at.sticking, _QUICKEST)},
            volume={"1": at.gallery, "2": at.gallery},
            readings={
                "flow": (flow, "flow"), "opened": (clip(at.opening, 0, 1), "ratio"), "whole": (whole, "area"),
                "edge": (area, "area"), "before": (before, "area"), "both": (both, "area"),
                "over_edge": (over_edge, "pressure"), "taken": (drop - over_edge, "pressure"),
                "dirt": (clip(at.clogging, 0, 1), "ratio"), "seat": (at.leakage, "leakage"),
            },
        )  # fmt: skip

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield flow, drop and heat, the share of its edge and of its compensator in the drop, the edge."""
        both = at.reading("A", "both", tr("edge and compensator, one behind the other"), (), EDGE)
        yield from edge(at, "through", both, at.parameter("discharge"))
        drop = at.drop("1", "2")
        edges = (
            at.reading("A", "edge", tr("metering edge"), (), EDGE),
            at.reading("Ac", "before", tr("its compensator, as it stands"), (), EDGE),
        )
        over = at.reading("Δpe", "over_edge", tr("over its metering edge"), drop.refers_to)
        if at.value("edge") > 0.01 * at.value("whole"):
            words = "Δpe = Δp · Ac² / ( A² + Ac² )"
            yield Working(at.part, tr("Drop over its edge"), over, (drop, *edges), (words,) * 2)
        taken = at.reading("Δpc", "taken", tr("taken by its compensator"), drop.refers_to)
        yield Working(at.part, tr("What its compensator takes"), taken, (drop, over), ("Δpc = Δp − Δpe",) * 2)
        yield from _edge_workings(at)
        yield from gap(at, "shut_leak")


class BypassFlowControlValve(Part):
    """A metering edge P to A, and a spool that lets P to T what is too much: three ports.

    The spool opens as soon as the drop over the edge is the held one, by which the pump stands that much above the
    load and no more: what it moves beyond need not go over a relief (every textbook of hydraulics, from memory).
    """

    ports = {"P": OIL, "A": OIL, "T": OIL}
    symbol = "flow_control_3"
    plate = ("{rated_flow}",)
    letter = "V"
    plain = Plain(
        mark("Three-port flow control valve"),
        does=mark(
            "It keeps a speed and sends the rest of the pump's oil on, at little more than the load's pressure."
        ),
        works=mark(
            "The set edge leads to the load. A spool feels the pressure before and behind that edge and opens a way "
            "out as soon as they differ by a few bar. So the pump works at the load's pressure and those few bar; "
            "the rest goes to tank, or on to another valve."
        ),
        set=mark(
            "The screw sets the flow. It belongs ahead of the load: behind it, it would have nothing to send on. The "
            "pump's relief only opens at the end of the stroke. A stuck spool sends all oil to the load, or all of "
            "it home."
        ),
        law=mark(
            "q = Cd · A · √( 2 Δp / ρ ) over its edge. The spool opens the way out in proportion to what that Δp is "
            "above its spring, as every textbook of hydraulics has it (from memory)."
        ),
    )
    role = Restrictor(ends=("P", "A"))
    words = {"through": "through", "excess": "sent on", "shut_leak": "leak when shut"}
    opening = Control("1", low="0", high="1", meaning="how far its metering edge is opened", ends=("shut", "open"))
    rated_flow = Parameter("20 L/min", low="0.1 L/min", high="1000 L/min", meaning="flow when fully open")
    held = Parameter("6 bar", low="1 bar", high="30 bar", meaning="drop over its edge at which the spool opens")
    rise = Parameter("2 bar", low="0.2 bar", high="20 bar", meaning="further rise until the spool is wide open")
    area = Parameter("60 mm2", low="1 mm2", high="2000 mm2", meaning="spool's way out when wide open")
    discharge = Parameter("0.65", low="0.5", high="1", meaning="discharge coefficient")
    sticking = Wear(
        "0 %", mild="50 %", marginal="80 %", failed="100 %", most="100 %",
        notice="its speed goes up and down with the engine, and oil hisses over the relief",
        meaning="share of the spool's way out that stays shut",
    )  # fmt: skip
    clogging = Wear(
        "0 %", mild="20 %", marginal="50 %", failed="90 %", most="100 %",
        notice="one function is slow, the others are as ever", meaning="share of its metering edge that dirt shuts",
    )  # fmt: skip
    leakage = Parameter("1e-14 m3/s/Pa", low="0 m3/s/Pa", high="1e-10 m3/s/Pa", meaning="leak when shut, at 35 mPa s")
    gallery = Parameter("10 cm3", low="1 cm3", high="1 L", meaning="oil in each room", at_rest=True)

    def equations(self, at: At) -> Law:
        """Return the law of an edge, and of the spool that the drop over it opens."""
        whole, area = _metering(at)
        rate = edge_rate(1.0, at.discharge, at.oil)
        over_edge, out = at.p.P - at.p.A, at.p.P - at.p["T"]
        share = straight_ramp((over_edge - at.held) / at.rise, _ROUND) * (1 - clip(at.sticking, 0, 1))
        leak = leak_rate(at.leakage, at.oil.viscosity)
        return Law(
            streams={
                "through": Stream("P", "A", rate * area * sqrt_flow(over_edge), Loss.METERING),
                "excess": Stream("P", "T", rate * at.area * share * sqrt_flow(out), Loss.PAST),
                "shut_leak": Stream("P", "T", leak * out, Loss.LEAKAGE),
            },
            volume=dict.fromkeys(("P", "A", "T"), at.gallery),
            readings={
                "opened": (clip(at.opening, 0, 1), "ratio"), "whole": (whole, "area"), "edge": (area, "area"),
                "over_edge": (over_edge, "pressure"), "opening": (share, "ratio"),
                "open_area": (share * at.area, "area"), "dirt": (clip(at.clogging, 0, 1), "ratio"),
                "seat": (at.leakage, "leakage"),
            },
        )  # fmt: skip

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield flow, drop and heat of the edge and of what is sent on, and how far the spool is from opening."""
        discharge = at.parameter("discharge")
        yield from edge(at, "through", at.reading("A", "edge", tr("metering edge"), (), EDGE), discharge)
        yield from _edge_workings(at)
        out = at.reading("A", "open_area", tr("the spool's way out"), (), EDGE)
        yield from edge(at, "excess", out, discharge)
        terms = at.at_port("P"), at.at_port("A", "pa"), at.number("ph", "held", tr("its spool opens"))
        above = at.value("over_edge") - at.parameter("held")
        if above < 0:
            left = at.term("pn", -above, "pressure", tr("until its spool opens"))
            yield Working(at.part, tr("Drop left until its spool opens"), left, terms, ("pn = ph − p + pa",) * 2)
        else:
            over = at.term("po", above, "pressure", tr("above what opens its spool"))
            yield Working(at.part, tr("Drop above what opens its spool"), over, terms, ("po = p − pa − ph",) * 2)
        if at.value("open_area") > 0 and at.parameter("sticking") == 0:
            yield from part_open(at, "open_area", "area")
        yield from gap(at, "shut_leak")


class OneWayThrottle(Part):
    """A throttle with a check beside it: slow from 2 to 1, free from 1 to 2.

    The check trails what opens it; until it is home it lets oil the slow way, too.
    """

    ports = {"1": OIL, "2": OIL}
    symbol = "throttle_check"
    letter = "V"
    plain = Plain(
        mark("One-way throttle valve"),
        does=mark("It slows a movement one way and leaves it free the other way."),
        works=mark(
            "Oil that comes one way has to go through the set narrow place; the other way it lifts a ball and goes "
            "beside it. On the side where oil leaves a cylinder it holds a load back; where oil enters, it does not."
        ),
        set=mark(
            "It is set with the load that is meant: more load drives more through it. Fitted "
            "the wrong way round it slows the other stroke. A ball that does not seat makes both ways as fast."
        ),
        law=mark(
            "Both ways q = Cd · A · √( 2 Δp / ρ ), after Torricelli, one of them with its check beside the throttle. "
            "The check follows what opens it with a lag of first order, of this program."
        ),
    )
    role = Restrictor()
    words = {"throttled": "throttled", "check": "its check"}
    opening = Control("1", low="0", high="1", meaning="how far it is opened", ends=("shut", "open"))
    area = Parameter("10 mm2", low="0.1 mm2", high="1000 mm2", meaning="throttle when fully open")
    check_area = Parameter("40 mm2", low="0.5 mm2", high="1000 mm2", meaning="its check when fully open")
    cracking = Parameter(
        "0.5 bar", low="0.05 bar", high="10 bar", meaning="pressure at which its check begins to open"
    )
    full = Parameter("1 bar", low="0.1 bar", high="10 bar", meaning="further rise until it is fully open")
    lag = Parameter("5 ms", low="0.5 ms", high="0.5 s", meaning="time by which its check trails what opens it")
    discharge = Parameter("0.65", low="0.5", high="1", meaning="discharge coefficient")
    held_open = Wear(
        "0 mm2", mild="0.5 mm2", marginal="2 mm2", failed="10 mm2",
        notice="the slow way has become as fast as the other", meaning="opening that dirt under its check leaves",
    )  # fmt: skip
    clogging = Wear(
        "0 %", mild="20 %", marginal="50 %", failed="95 %", most="100 %",
        notice="one way of one function is slower than ever", meaning="share of the throttle that dirt shuts",
    )  # fmt: skip
    gallery = Parameter("5 cm3", low="1 cm3", high="1 L", meaning="oil on each side", at_rest=True)
    lift = State("0", nominal="0.1")

    def equations(self, at: At) -> Law:
        """Return the law of a throttle and a check that trails."""
        drop = at.p["1"] - at.p["2"]
        area = at.area * clip(at.opening, 0, 1) * (1 - clip(at.clogging, 0, 1))
        laminar = edge_laminar(area, at.oil, at.discharge, _SCREW)
        beside = at.check_area * clip(at.lift, 0, 1) + at.held_open
        return Law(
            streams={
                "throttled": Stream(
                    "1", "2", edge_rate(area, at.discharge, at.oil) * sqrt_flow(drop, laminar), Loss.METERING
                ),
                "check": Stream("1", "2", edge_rate(beside, at.discharge, at.oil) * sqrt_flow(drop), Loss.LINES),
            },
            rate={"lift": (opened(drop, at.cracking, at.full) - at.lift) / at.lag},
            volume={"1": at.gallery, "2": at.gallery},
            readings={
                "opened": (clip(at.opening, 0, 1), "ratio"), "edge": (area, "area"), "beside": (beside, "area"),
                "whole": (at.area, "area"), "dirt": (clip(at.clogging, 0, 1), "ratio"),
            },
        )  # fmt: skip

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield flow, drop and heat of the throttle and of its check."""
        area, discharge = at.reading("A", "edge", tr("opening"), (), EDGE), at.parameter("discharge")
        laminar = float(edge_laminar(area.value, at.oil, discharge, _SCREW))
        yield from edge(at, "throttled", area, discharge, laminar=laminar)
        yield from _edge_workings(at)
        beside = at.reading("A", "beside", tr("its check, as far as it is open"), (), EDGE)
        yield from edge(at, "check", beside, discharge)
