"""What shares one pump between two: flow dividers by spool and by gears, and the priority valve."""

from __future__ import annotations

import math
from collections.abc import Iterator

import casadi as ca

from trainer.formula import Working
from trainer.language import mark, tr
from trainer.parts.laws import (
    RATED_VISCOSITY,
    clip,
    displaced,
    drag_torque,
    edge_rate,
    gaps,
    leak_rate,
    ramp,
    smooth_abs,
    smooth_sign,
    sqrt_flow,
    straight_ramp,
)
from trainer.parts.part import At, Expr, Heat, Kind, Law, Loss, Parameter, Part, State, Stream, Wear
from trainer.parts.plain import Plain
from trainer.parts.roles import FLOW, Restrictor, Role
from trainer.parts.sheet import EDGE, LEAK, PERCENT, TRICKLE, Sheet
from trainer.parts.workings import edge, gap
from trainer.units import pair

__all__ = ["FlowDivider", "GearFlowDivider", "PriorityValve"]

OIL = Kind.OIL
_DENSITY = 870.0  # kg/m3, for which edges are cut
_QUICKEST = 2e-3  # s: no spool is quicker
_TURNED = 0.5e5  # Pa, over which a divider's spool is turned round by oil that comes back
_EVEN = 1e-3  # of the larger drop, by which two drops differ and are taken as alike
_NOTHING, _SLIT = 1e-3, 1e-4  # of a drop and of an edge: from there a divider's spool shuts all the way
_STANDS = 0.05  # rad/s: below it gears stand
_TWO = ("A", "B")


class FlowDivider(Part):
    """Two fixed edges from P, and a spool that throttles the side that runs ahead: A and B get their shares.

    The spool compares the pressures behind both fixed edges and stands still where they are alike; then the flows are
    as the edges, whatever the loads. Flow forces shut the edge that throttles a little more (Merritt 1967, from
    memory), by which the lighter side has some percent less. Oil that comes back it joins in the same shares. It
    trails the place where it balances, first order, as the bores to its ends let it: that damps loads on their oil.
    """

    ports = {"P": OIL, "A": OIL, "B": OIL}
    symbol = "flow_divider"
    plate = ("{rated_flow}",)
    letter = "V"
    plain = Plain(
        mark("Spool-type flow divider"),
        does=mark("It gives two cylinders the same oil, whatever each of them lifts."),
        works=mark(
            "Each half of the oil passes a hole of its own, and a spool between them feels which half runs ahead: it "
            "throttles that one until both holes have the same drop. What the lighter side does not need is turned "
            "into heat there. When one cylinder stands at its end, the other gets hardly any."
        ),
        set=mark(
            "It is chosen by its flow: far below it the holes have no drop and it shares badly. Some percent of "
            "error add up stroke after stroke, so both cylinders go to an end now and then, where its small leak "
            "brings the late one home."
        ),
        law=mark(
            "Each side is a fixed edge and one of the spool in series, q = Cd · A · √( 2 Δp / ρ ). The spool moves "
            "until both fixed edges have the same drop, but for a share of what it throttles: flow forces after "
            "Merritt (1967), from memory. It follows with a lag of first order, of this program."
        ),
    )
    role = Role()
    group = FLOW
    words = {"to_A": "to A", "to_B": "to B", "between": "leak from side to side"}
    rated_flow = Parameter("20 L/min", low="0.5 L/min", high="1000 L/min", meaning="flow at P for which it is made")
    drop = Parameter("8 bar", low="1 bar", high="40 bar", meaning="drop over its fixed edges at that flow")
    share = Parameter("50 %", low="10 %", high="90 %", meaning="share of the flow that A gets")
    width = Parameter("3", low="1", high="20", meaning="spool's edges wide open, against the fixed ones")
    levelling = Parameter("4 %", low="0 %", high="30 %", meaning="of the spool's edges, what never shuts")
    flow_force = Parameter(
        "0.4 %", low="0 %", high="3 %", meaning="of the drop over the spool's edges, what shuts the larger one more"
    )
    sticking = Wear(
        "15 ms", mild=8, marginal=60, failed=2000, notice="one side runs ahead, the lighter one",
        meaning="time by which its spool follows",
    )  # fmt: skip
    discharge = Parameter("0.65", low="0.5", high="1", meaning="discharge coefficient")
    leakage = Wear(
        "1e-14 m3/s/Pa", mild=50, marginal=300, failed=2000,
        notice="what it holds apart comes together when it rests", meaning="leak from side to side, at 35 mPa s",
    )  # fmt: skip
    gallery = Parameter("10 cm3", low="1 cm3", high="1 L", meaning="oil in each room", at_rest=True)
    spool = State("0", nominal="0.1")  # beyond 0 it shuts A, below it B

    def equations(self, at: At) -> Law:
        """Return the law of two fixed edges, each in series with one of the spool."""
        whole = at.rated_flow / (at.discharge * ca.sqrt(2 * at.drop / _DENSITY))
        stands = clip(at.spool, -1, 1)
        drops = {port: at.p.P - at.p[port] for port in _TWO}
        forth = smooth_sign((drops["A"] + drops["B"]) / 2, _TURNED)
        law = Law(volume=dict.fromkeys(("P", "A", "B"), at.gallery))
        fixed_drop: dict[str, Expr] = {}
        for port, part, shut in (("A", at.share, stands), ("B", 1 - at.share, -stands)):
            fixed = whole * part
            open_ = at.width * fixed * (at.levelling + (1 - at.levelling) * clip(1 - shut, 0, 1) ** 2)
            squares = fixed * fixed + open_ * open_
            both = fixed * open_ / ca.sqrt(squares)
            fixed_drop[port] = drops[port] * open_ * open_ / squares
            flow = edge_rate(both, at.discharge, at.oil) * sqrt_flow(drops[port])
            law.streams[f"to_{port}"] = Stream("P", port, flow, Loss.METERING)
            law.readings |= {
                f"fixed_{port}": (fixed, "area"), f"open_{port}": (open_, "area"), f"both_{port}": (both, "area"),
                f"over_fixed_{port}": (fixed_drop[port], "pressure"),
                f"taken_{port}": (drops[port] - fixed_drop[port], "pressure"),
            }  # fmt: skip
        taken = {port: drops[port] - fixed_drop[port] for port in _TWO}
        error = forth * (fixed_drop["A"] - fixed_drop["B"]) + at.flow_force * forth * (taken["A"] - taken["B"])
        law.rate["spool"] = (self._balances(at, forth, drops) - at.spool) / ca.fmax(at.sticking, _QUICKEST)
        across = at.p.A - at.p.B
        leak = leak_rate(at.leakage, at.oil.viscosity) * across
        law.streams["between"] = Stream("A", "B", leak, Loss.LEAKAGE)
        law.readings |= {"ahead": (error, "pressure"), "seat": (at.leakage, "leakage")}
        return law

    def _balances(self, at: At, forth: Expr, drops: dict[str, Expr]) -> Expr:
        """Return where the spool balances, -1 … 1: there it takes what the lighter side has too much."""
        larger = ca.fmax(ca.fmax(forth * drops["A"], forth * drops["B"]), _TURNED)
        uneven = forth * (drops["A"] - drops["B"]) / larger  # beyond 0 A is the lighter side
        most = at.width**2 / (1 + at.width**2)  # of a side's drop, what its fixed edge has with the spool wide open
        has = most - (most + at.flow_force / (1 - at.flow_force)) * smooth_abs(uneven, _EVEN)
        asked = clip(has, _NOTHING, most)
        edge_open = ca.sqrt(asked / (1 - asked)) / at.width
        slit = clip((edge_open - at.levelling) / (1 - at.levelling), _SLIT, 1)
        return (1 - ca.sqrt(slit) * ramp(has / _NOTHING)) * smooth_sign(uneven, _EVEN)

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield for each side its flow, the drop over its fixed edge and what the spool takes."""
        for port in _TWO:
            both = at.reading("A", f"both_{port}", tr("fixed edge and spool, one behind the other"), (), EDGE)
            yield from edge(at, f"to_{port}", both, at.parameter("discharge"))
            drop = at.drop("P", port)
            fixed = at.reading("Af", f"fixed_{port}", tr("fixed edge"), (), EDGE)
            open_ = at.reading("As", f"open_{port}", tr("edge of the spool, as it stands"), (), EDGE)
            over = at.reading("Δpf", f"over_fixed_{port}", tr("over the fixed edge"), drop.refers_to)
            name = tr("Drop over the fixed edge to {port}").format(port=port)
            yield Working(at.part, name, over, (drop, fixed, open_), ("Δpf = Δp · As² / ( Af² + As² )",) * 2)
            taken = at.reading("Δps", f"taken_{port}", tr("taken by the spool"), drop.refers_to)
            name = tr("What the spool takes before {port}").format(port=port)
            yield Working(at.part, name, taken, (drop, over), ("Δps = Δp − Δpf",) * 2)
        yield from gap(at, "between")


class GearFlowDivider(Part):
    """Two pairs of gears on one shaft: oil from P turns both, and each gives at its outlet what its teeth hold.

    One that is loaded more is driven by the other: what P has too much for A raises B. Without load at A, twice the
    pressure of P stands at B (any textbook: p1 D1 + p2 D2 = p (D1 + D2)). Slip and drag of each after Wilson (1946).
    """

    ports = {"P": OIL, "A": OIL, "B": OIL}
    symbol = "flow_divider_gear"
    plate = ("2 × {displacement}",)
    letter = "V"
    plain = Plain(
        mark("Gear-type flow divider"),
        does=mark("It gives two cylinders the same oil and wastes little where their loads differ."),
        works=mark(
            "Two gear motors sit on one shaft and have to turn alike. The lightly loaded one has pressure to spare "
            "and drives the other, which then pumps: the heavy side can have more pressure than the pump itself. "
            "What slips through the gears makes some percent of error."
        ),
        set=mark(
            "It is chosen by the flow of each half, so that it turns fast enough: slow, slip has the larger share. "
            "Each outlet needs a relief of its own, for the pressure that it may reach, and so that the late "
            "cylinder still gets home."
        ),
        law=mark(
            "T = Δp · V / 2π of each half, their sum less drag turns the shaft; slip and drag after Wilson (1946). "
            "Without losses p1 · V1 + p2 · V2 = p · ( V1 + V2 ), as every textbook has it."
        ),
    )
    role = Role()
    group = FLOW
    words = {
        "gears_A": "gears to A", "gears_B": "gears to B", "slip_A": "slip to A", "slip_B": "slip to B",
        "drag": "drag", "filling": "filling", "motion": "motion",
    }  # fmt: skip
    displacement = Parameter("6 cm3/rev", low="0.3 cm3/rev", high="250 cm3/rev", meaning="oil per turn of each half")
    ratio = Parameter("1", low="0.2", high="5", meaning="oil per turn of B's half, against A's")
    slip = Wear(
        "2e-8", mild=3, marginal=8, failed=25, notice="the heavier side lags behind, worse when hot",
        meaning="slip coefficient Cs of each half",
    )  # fmt: skip
    viscous_drag = Parameter("8e4", low="0", high="1e6", meaning="viscous drag coefficient Cv")
    pressure_drag = Parameter("4 %", low="0 %", high="50 %", meaning="share of the torque lost to pressure, Cf")
    breakaway = Parameter("0.2 N m", low="0 N m", high="50 N m", meaning="friction torque of seals and bearings")
    rotor = Parameter("2e-4 kg m2", low="1e-6 kg m2", high="1 kg m2", meaning="moment of inertia of gears and shaft")
    gallery = Parameter("30 cm3", low="1 cm3", high="1 L", meaning="oil in each room", at_rest=True)
    turning = State("0 rad/s", nominal="10 rad/s")

    def equations(self, at: At) -> Law:
        """Return the law of two units on one shaft; each fills with what is at the port that it takes from."""
        w, mu = at.turning, at.oil.viscosity
        forth = ramp(0.5 + 10 * w)
        torque, drag, filling = 0.0, 0.0, 0.0
        law = Law(volume=dict.fromkeys(("P", "A", "B"), at.gallery))
        for port, d in (("A", at.displacement), ("B", at.displacement * at.ratio)):
            lift, drop = at.h.P - at.h[port], at.p.P - at.p[port]
            geometric = d * w
            moved = displaced(geometric, at.w.P, at.w[port], d)
            law.streams[f"gears_{port}"] = Stream("P", port, moved, Loss.FRICTION, raised=lift)  # to the shaft
            leaks = gaps(at.slip, d, mu)
            law.streams[f"slip_{port}"] = Stream("P", port, leaks * drop, Loss.LEAKAGE)
            torque = torque + d * drop
            drag = drag + drag_torque(
                d, w, drop, mu, viscous=at.viscous_drag, pressed=at.pressure_drag, steady=at.breakaway / 2
            )
            filling = filling + moved * lift - geometric * drop
            swells = forth * at.w[port] / at.w.P + (1 - forth) * at.w.P / at.w[port]
            law.readings |= {
                f"delivery_{port}": ((moved + leaks * drop) * at.w[port], "flow"),
                f"gaps_{port}": (leaks * at.w[port], "leakage"), f"slip_{port}": (leaks * drop * at.w[port], "flow"),
                f"drives_{port}": (d * drop, "torque"), f"filling_{port}": (swells, "ratio"),
                f"size_{port}": (d, "displacement"),
            }  # fmt: skip
        law.rate["turning"] = (torque - drag) / at.rotor
        law.heat = {"drag": Heat(drag * w, Loss.FRICTION), "filling": Heat(filling, Loss.LEAKAGE)}
        law.stored["motion"] = at.rotor * w * w / 2
        law.readings |= {"drag": (drag, "torque"), "speed": (w, "shaft speed"), "torque": (torque - drag, "torque")}
        return law

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield the delivery of both halves, what each drives the shaft with, their slip, and what turns it."""
        w, mu = at.value("speed"), at.oil.viscosity
        turns = at.term("n", abs(w), "shaft speed", tr("of both pairs of gears"))
        for port in _TWO:
            size = at.reading("V", f"size_{port}", tr("oil per turn of this half"))
            drop = at.drop("P", port)
            leak = at.value(f"slip_{port}")
            slip = at.term("qs", abs(leak), "flow", tr("slips through its gears"))
            share = at.term("f", at.value(f"filling_{port}"), "ratio", tr("swells from inlet to outlet"), (),
                            pair("", 4, "", 4))  # fmt: skip
            if w > _STANDS * 10:
                delivery = at.flow_at(port, at.value(f"delivery_{port}"), source=tr("out of this half"))
                sign = "+" if leak >= 0 else "−"
                yield Working(
                    at.part, tr("Delivery at {port}").format(port=port), delivery, (size, turns, share, slip),
                    (f"q = V · n · f / 1000 {sign} qs", f"q = V · n · f / 231 {sign} qs"),
                )  # fmt: skip
            drives = at.reading("T", f"drives_{port}", tr("drives the shaft"), drop.refers_to)
            name = tr("What half {port} drives with").format(port=port)
            note = tr("Below zero it is driven by the other half, and pumps.") if drives.value < 0 else ""
            yield Working(at.part, name, drives, (drop, size), ("T = Δp · V / 62.83", "T = Δp · V / 75.4"), note)
            if abs(drop.value) > 1e3:
                rate = at.value(f"gaps_{port}") * mu / RATED_VISCOSITY
                k = at.term("k", rate, "leakage", tr("gaps, with oil of 35 mPa·s"), (), LEAK)
                lost = at.reading("qs", f"slip_{port}", tr("slips through its gears"), drop.refers_to, TRICKLE)
                yield Working(
                    at.part, tr("Slip to {port}").format(port=port), lost, (k, drop, at.viscosity()),
                    ("qs = k · Δp · 35 / μ",) * 2,
                )  # fmt: skip


class PriorityValve(Part):
    """P to CF as much as that needs, the rest to EF: a spool holds CF a spring above what is told at LS.

    A small bore lets oil from CF to LS, so that the told pressure follows quickly; while LS has no pressure CF stands
    at the spring's and takes nothing more (textbooks of mobile hydraulics, from memory).
    """

    ports = {"P": OIL, "CF": OIL, "EF": OIL, "LS": OIL}
    port_names = {"CF": mark("priority"), "EF": mark("excess"), "LS": mark("load-sensing line")}
    symbol = "priority"
    plate = ("{spring}",)
    letter = "V"
    plain = Plain(
        mark("Priority valve"),
        does=mark("It serves the steering first and gives the other functions what is left of the pump's oil."),
        works=mark(
            "A spring and the steering's own pressure hold its spool open to the steering; the pressure that stands "
            "there pushes it back. At rest the steering takes nothing and all oil goes on. Turn the wheel and the "
            "spool takes just so much from the others as the steering asks for."
        ),
        set=mark(
            "The spring is some 4 to 10 bar, as the steering unit wants it. Slow steering with the other functions "
            "at work tells of a spool that sticks or a told pressure that leaks away. The highest pressure of the "
            "steering is set on its own line."
        ),
        law=mark(
            "Its spool stands where spring and told load hold the pressure of the priority port; both edges pass q = "
            "Cd · A · √( 2 Δp / ρ ). As textbooks of mobile hydraulics describe it (from memory)."
        ),
    )
    role = Restrictor(ends=("P", "CF"))
    signals = ("LS",)
    words = {"priority": "to the priority port", "excess": "to the excess port", "bleed": "bleed to its LS line",
             "shut_leak": "leak when shut"}  # fmt: skip
    spring = Parameter(
        "7 bar", low="1 bar", high="30 bar", meaning="what the priority port stands above the told load"
    )
    rise = Parameter(
        "2 bar", low="0.2 bar", high="20 bar", meaning="further rise until it is shut to the priority port"
    )
    area = Parameter("50 mm2", low="1 mm2", high="2000 mm2", meaning="each of its edges when wide open")
    bleed = Parameter("0.8 mm", low="0 mm", high="3 mm", meaning="bore from the priority port to its LS line")
    lag = Parameter("10 ms", low="2 ms", high="0.5 s", meaning="time by which its spool trails what is asked of it")
    discharge = Parameter("0.65", low="0.5", high="1", meaning="discharge coefficient")
    sticking = Wear(
        "0 %", mild="30 %", marginal="60 %", failed="98 %", most="100 %",
        notice="the wheel is heavy while something else moves",
        meaning="share of its way to the priority port that it does not come back",
    )  # fmt: skip
    leakage = Parameter("1e-14 m3/s/Pa", low="0 m3/s/Pa", high="1e-10 m3/s/Pa", meaning="leak when shut, at 35 mPa s")
    gallery = Parameter("10 cm3", low="1 cm3", high="1 L", meaning="oil in each room", at_rest=True)
    spool = State("0", nominal="0.1")  # 0 is open to CF, 1 to EF

    def equations(self, at: At) -> Law:
        """Return the law of two edges of one spool, one of which opens as the other shuts."""
        above = at.p.CF - at.p.LS - at.spring
        stuck = clip(at.sticking, 0, 1)
        stands = stuck + (1 - stuck) * clip(at.spool, 0, 1)
        rate = edge_rate(1.0, at.discharge, at.oil)
        first, rest = at.p.P - at.p.CF, at.p.P - at.p.EF
        hole = math.pi / 4 * at.bleed * at.bleed
        leak = leak_rate(at.leakage, at.oil.viscosity)
        return Law(
            streams={
                "priority": Stream("P", "CF", rate * at.area * (1 - stands) * sqrt_flow(first), Loss.METERING),
                "excess": Stream("P", "EF", rate * at.area * stands * sqrt_flow(rest), Loss.METERING),
                "bleed": Stream("CF", "LS", rate * hole * sqrt_flow(at.p.CF - at.p.LS), Loss.METERING),
                "shut_leak": Stream("P", "CF", leak * first, Loss.LEAKAGE),
            },
            rate={"spool": (straight_ramp(above / at.rise) - at.spool) / at.lag},
            volume={**dict.fromkeys(("P", "CF", "EF"), at.gallery), "LS": 0.2 * at.gallery},
            readings={
                "above": (above, "pressure"), "place": (stands, "ratio"), "hole": (hole, "area"),
                "first_area": (at.area * (1 - stands), "area"), "rest_area": (at.area * stands, "area"),
                "seat": (at.leakage, "leakage"),
            },
        )  # fmt: skip

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield flow and drop of both edges and of the bleed, and what moves the spool."""
        discharge = at.parameter("discharge")
        first = at.reading("A", "first_area", tr("opening to the priority port"), (), EDGE)
        yield from edge(at, "priority", first, discharge)
        yield from edge(
            at, "excess", at.reading("A", "rest_area", tr("opening to the excess port"), (), EDGE), discharge
        )
        yield from edge(at, "bleed", at.reading("A", "hole", tr("bleed"), (), EDGE), discharge)
        terms = at.at_port("CF"), at.at_port("LS", "pL"), at.number("ps", "spring", tr("its spring"))
        above = at.value("above")
        if above < 0:
            left = at.term("pn", -above, "pressure", tr("until it takes oil from the priority port"))
            name = tr("Pressure left until it gives to the excess port")
            yield Working(at.part, name, left, terms, ("pn = ps − p + pL",) * 2)
        else:
            over = at.term("po", above, "pressure", tr("priority port above spring and told load"))
            yield Working(at.part, tr("What moves its spool"), over, terms, ("po = p − pL − ps",) * 2)
        place = at.reading("s", "place", tr("open to the excess port"), (), PERCENT)
        whole, rest = (
            at.number("Ao", "area", tr("wide open"), EDGE),
            at.reading("A", "rest_area", tr("opening"), (), EDGE),
        )
        yield Working(at.part, tr("Opening to the excess port"), rest, (place, whole), ("A = s · Ao / 100",) * 2)
        yield from gap(at, "shut_leak")
