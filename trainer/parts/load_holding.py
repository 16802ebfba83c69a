"""Valves that hold a load: counterbalance valve, pilot-operated checks, and the shuttle that picks a pressure."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.formula import Working
from trainer.language import mark, tr
from trainer.parts.laws import RATED_VISCOSITY, check, clip, edge_rate, leak_rate, opened, pos, ramp, sqrt_flow
from trainer.parts.part import At, Expr, Kind, Law, Loss, Parameter, Part, State, Stream, Wear
from trainer.parts.plain import Plain
from trainer.parts.roles import CHECKS, HOLDING, Check, Role
from trainer.parts.sheet import EDGE, Sheet
from trainer.parts.workings import edge, gap, part_open
from trainer.units import PLAIN

__all__ = ["CounterbalanceValve", "DoublePilotOperatedCheckValve", "PilotOperatedCheckValve", "ShuttleValve"]

OIL = Kind.OIL
_SHUT = 0.01  # lift over which a counterbalance spool's edge begins, and goes home further
_SOUND = 1e-16  # m3/s/Pa, of a seat that is as new
_BALL = 3e4  # Pa, over which a shuttle's ball goes across


class CounterbalanceValve(Part):
    """Oil goes freely V to C; back C to V only as far as load and pilot together overcome its spring.

    Opening = (pC + R pX - (1 + R) pV - setting) / rise, with the pilot ratio R and a spring room that drains to V, as
    textbooks of mobile hydraulics have it (from memory). Without a pilot the load's own pressure opens it at the
    setting: a relief for shut-in oil that warms, or is struck. Its damping makes the spool trail what is asked of it.
    """

    ports = {"C": OIL, "V": OIL, "X": OIL}
    port_names = {"C": mark("load"), "V": mark("valve"), "X": mark("pilot")}
    signals = ("X",)
    symbol = "counterbalance"
    plate = ("{setting}",)
    letter = "V"
    plain = Plain(
        mark("Counterbalance valve"),
        does=mark("It holds a load where it is, and lets it down no faster than oil is pumped in on the other side."),
        works=mark(
            "Going up, oil passes a check. Coming down, the load's oil must open a spring: the load helps a little, "
            "pressure pumped into the other end helps by the pilot ratio. If the load runs ahead, that pressure "
            "falls and the valve shuts. Unpiloted it opens at its setting, as a relief."
        ),
        set=mark(
            "To some 1.3 times the highest pressure of the load, before it goes on. A high ratio saves pressure and "
            "is lively, a low one is steady. Too low a setting and the load runs; too high and lowering wastes "
            "power. Back pressure behind it counts against it, ratio and all."
        ),
        law=mark(
            "Opening = ( pC + R · pX − ( 1 + R ) · pV − setting ) / rise, with the pilot ratio R: the balance "
            "of its spool, as textbooks of mobile hydraulics have it (from memory)."
        ),
    )
    role = Check(ends=("V", "C"))
    group = HOLDING
    words = {"lowering": "held back", "lifting": "its check", "seat_leak": "leak at the seat"}
    setting = Parameter("200 bar", low="5 bar", high="450 bar", meaning="load pressure that opens it unpiloted")
    ratio = Parameter("4", low="0.5", high="15", meaning="pilot ratio: pilot area to the area that the load acts on")
    rise = Parameter("80 bar", low="5 bar", high="300 bar", meaning="beyond its setting, until it is wide open")
    area = Parameter("30 mm2", low="0.5 mm2", high="1000 mm2", meaning="area when wide open, coming down")
    check_area = Parameter("60 mm2", low="1 mm2", high="1000 mm2", meaning="area of its check, going up")
    cracking = Parameter("1.7 bar", low="0.1 bar", high="10 bar", meaning="pressure at which its check opens")
    discharge = Parameter("0.65", low="0.5", high="1", meaning="discharge coefficient")
    damping = Parameter("25 ms", low="2 ms", high="1 s", meaning="time by which its spool trails what is asked of it")
    leakage = Wear(
        "1e-15 m3/s/Pa", mild=30, marginal=300, failed=3000, notice="the load sinks with the lever at rest",
        meaning="leak C to V when shut, at 35 mPa s",
    )  # fmt: skip
    fatigue = Wear(
        "0 %", mild="10 %", marginal="30 %", failed="60 %", notice="the load runs away while it is lowered",
        meaning="share of its spring that is lost",
    )  # fmt: skip
    seizing = Wear(
        "0 %", mild="15 %", marginal="50 %", failed="120 %",
        notice="lowering is slow or in jerks and takes much pressure",
        meaning="what it takes to free it, of its setting",
    )  # fmt: skip
    plugging = Wear(
        "0 %", mild="30 %", marginal="70 %", failed="99 %", notice="it lifts, and will not come down",
        meaning="share of the pilot pressure that does not get through",
    )  # fmt: skip
    gallery = Parameter("5 cm3", low="1 cm3", high="1 L", meaning="oil in each room", at_rest=True)
    lift = State("0", nominal="0.1")

    def equations(self, at: At) -> Law:
        """Return the law of a spool that load and pilot open against spring and back pressure, and of a check."""
        spring = at.setting * (1 + at.seizing) * (1 - clip(at.fatigue, 0, 0.95))
        pilot = at.ratio * (1 - clip(at.plugging, 0, 1)) * (at.p.X - at.p.V)
        drop = at.p.C - at.p.V
        open_ = drop + pilot - spring
        share = pos(clip(at.lift, -1, 1 + _SHUT) - _SHUT, _SHUT)
        rate = edge_rate(1.0, at.discharge, at.oil)
        leak = leak_rate(at.leakage, at.oil.viscosity) * drop
        return Law(
            streams={
                "lowering": Stream("C", "V", rate * at.area * share * sqrt_flow(drop), Loss.METERING),
                "lifting": Stream("V", "C", rate * at.check_area * check(-drop, at.cracking, 1e5), Loss.LINES),
                "seat_leak": Stream("C", "V", leak, Loss.LEAKAGE),
            },
            rate={"lift": (clip(open_ / at.rise + _SHUT, -_SHUT, 1 + _SHUT) - at.lift) / at.damping},
            volume=dict.fromkeys(("C", "V", "X"), at.gallery),
            readings={
                "opening": (share, "ratio"), "open_area": (share * at.area, "area"), "beyond": (open_, "pressure"),
                "spring": (spring, "pressure"), "reach": (at.ratio * (1 - clip(at.plugging, 0, 1)), "ratio"),
                "seat": (at.leakage, "leakage"),
            },
        )  # fmt: skip

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield both ways through it, and the sum of pressures that opens it."""
        discharge = at.parameter("discharge")
        area = at.reading("A", "open_area", tr("opening"), (), EDGE)
        yield from edge(at, "lowering", area, discharge)
        yield from edge(
            at, "lifting", at.number("A", "check_area", tr("its check"), EDGE), discharge,
            cracking=at.parameter("cracking"),
        )  # fmt: skip
        beyond, spring = at.value("beyond"), at.reading("ps", "spring", tr("its spring, unpiloted"))
        load, back, pilot = at.at_port("C", "pc"), at.at_port("V", "pv"), at.at_port("X", "px")
        ratio = at.reading("R", "reach", tr("pilot ratio, as far as the pilot gets through"), (), PLAIN)
        terms = load, ratio, pilot, back, spring
        note = tr("Pressure behind it counts with the pilot ratio and one more.")
        if beyond > 0:
            over = at.term("po", beyond, "pressure", tr("beyond where it begins to open"))
            forms = ("po = pc + R · px − ( 1 + R ) · pv − ps",) * 2
            yield Working(at.part, tr("What opens it"), over, terms, forms, note)
            yield from part_open(at, "open_area", "area")
        else:
            left = at.term("pn", -beyond, "pressure", tr("until it opens"))
            forms = ("pn = ps − pc − R · px + ( 1 + R ) · pv",) * 2
            yield Working(at.part, tr("What holds it shut"), left, terms, forms, note)
        yield from gap(at, "seat_leak")


def _reach(at: At) -> Expr:
    """Return the pilot ratio as far as its push gets through."""
    return at.ratio * (1 - clip(at.sticking, 0, 1))


def _piloted(at: At, pilot: Expr, before: Expr, load: Expr, push: Expr) -> tuple[Expr, Expr, Expr]:
    """Return how far a piloted check has opened, the rate of its push, and what its pilot has beyond the load's [Pa].

    ``before`` and ``load`` are the pressures on either side; the pilot piston is ``ratio`` times its seat. It has to
    move oil through its bore, and trails what is asked of it: ``push`` is where it stands, 0 … 1.
    """
    beyond = _reach(at) * (pilot - before) - (load - before) - at.cracking
    forward, back = opened(before - load, at.cracking, at.full), clip(push, 0, 1)
    return forward + back - forward * back, (ramp(beyond / at.full) - push) / at.lag, beyond


class PilotOperatedCheckValve(Part):
    """A check, 1 to 2, that pressure at X pushes open the other way.

    It opens back as R (pX - p1) > p2 - p1 + cracking, with the pilot piston R times its seat (3 to 4, trade practice,
    from memory). It holds, and does not meter: a load that runs ahead takes its pilot's pressure away, it shuts, and
    is pushed open again (a dealer's guide to load holding calls it ratcheting). Its pilot piston's lag says how hard:
    0.5 cm3 through a bore of 1.2 mm at 10 bar take some 15 ms, by hand.
    """

    ports = {"1": OIL, "2": OIL, "X": OIL}
    port_names = {"X": mark("pilot")}
    signals = ("X",)
    symbol = "check_po"
    letter = "V"
    plain = Plain(
        mark("Pilot-operated check valve"),
        does=mark("It holds a load without a drip, until a pilot pressure pushes it open."),
        works=mark(
            "One way it is a plain check. The load presses its ball home; a small piston with three or four times "
            "its area can push it off again, with pressure from the other side of the cylinder. Then it is open at "
            "once, whatever the load is: it does not brake."
        ),
        set=mark(
            "Nothing is set. The pilot needs the load's pressure over the ratio. An overrunning load takes the "
            "pilot's pressure away and it chatters: such a load wants a counterbalance valve. With pressure left in "
            "its pilot it does not hold."
        ),
        law=mark(
            "It opens backwards as R · ( pX − p1 ) > p2 − p1 + cracking: the balance of pilot piston and seat. "
            "A piston of 3 to 4 times the seat is trade practice (from memory); it follows with a lag of first "
            "order, of this program."
        ),
    )
    role = Check()
    group = HOLDING
    words = {"through": "through", "seat_leak": "leak at the seat"}
    ratio = Parameter("3.5", low="1", high="15", meaning="pilot ratio: area of its piston to that of its seat")
    area = Parameter("40 mm2", low="0.5 mm2", high="1000 mm2", meaning="area when fully open")
    cracking = Parameter("1 bar", low="0.05 bar", high="10 bar", meaning="pressure at which it begins to open")
    full = Parameter("1 bar", low="0.1 bar", high="10 bar", meaning="further rise until it is fully open")
    discharge = Parameter("0.7", low="0.5", high="1", meaning="discharge coefficient")
    lag = Parameter(
        "15 ms", low="0.5 ms", high="0.5 s", meaning="time by which its pilot piston trails what is asked"
    )
    leakage = Wear(
        "1e-16 m3/s/Pa", mild=300, marginal=3000, failed=3e4, notice="the load sinks with the lever at rest",
        meaning="leak at its seat, at 35 mPa s",
    )  # fmt: skip
    sticking = Wear(
        "0 %", mild="30 %", marginal="70 %", failed="99 %", notice="what it holds cannot be let down again",
        meaning="share of its pilot's push that does not get through",
    )  # fmt: skip
    gallery = Parameter("5 cm3", low="1 cm3", high="1 L", meaning="oil in each room", at_rest=True)
    push = State("0", nominal="0.1")  # of its pilot piston: 1 holds it wide open

    def equations(self, at: At) -> Law:
        """Return the law of a check that a pilot opens."""
        share, moves, beyond = _piloted(at, at.p.X, at.p["1"], at.p["2"], at.push)
        drop = at.p["1"] - at.p["2"]
        flow = edge_rate(at.area, at.discharge, at.oil) * share * sqrt_flow(drop)
        leak = leak_rate(at.leakage, at.oil.viscosity) * drop
        return Law(
            streams={
                "through": Stream("1", "2", flow, Loss.LINES),
                "seat_leak": Stream("1", "2", leak, Loss.LEAKAGE),
            },
            rate={"push": moves},
            volume=dict.fromkeys(("1", "2", "X"), at.gallery),
            readings={
                "opening": (share, "ratio"), "open_area": (share * at.area, "area"), "beyond": (beyond, "pressure"),
                "reach": (_reach(at), "ratio"), "seat": (at.leakage, "leakage"),
            },
        )  # fmt: skip

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield flow and drop, and what its pilot has too much or lacks."""
        area = at.reading("A", "open_area", tr("opening"), (), EDGE)
        yield from edge(at, "through", area, at.parameter("discharge"))
        yield from _pushes(at, "X", "1", "2", "beyond")
        yield from gap(at, "seat_leak")


class DoublePilotOperatedCheckValve(Part):
    """Two checks, V1 to C1 and V2 to C2, each pushed open by the pressure that feeds the other: a lock."""

    ports = {"V1": OIL, "V2": OIL, "C1": OIL, "C2": OIL}
    symbol = "check_po_double"
    letter = "V"
    plain = Plain(
        mark("Double pilot-operated check valve"),
        does=mark("It locks a cylinder at both ends until oil is sent to one of them."),
        works=mark(
            "Oil that goes to one end passes its check and pushes the other one open, so that the far end may go "
            "home. With the lever at rest both balls sit and neither end can lose a drop, whatever pulls or pushes."
        ),
        set=mark(
            "Nothing is set, but the section before it should join its ports to tank at rest: pressure that stays "
            "there keeps a check open. One side of it that drips lets the rod move, in until both ends have the "
            "same pressure, or out."
        ),
        law=mark(
            "Each check opens backwards as R · ( pX − p1 ) > p2 − p1 + cracking, its pilot being the other "
            "feed: the balance of piston and seat. A piston of 3 to 4 times the seat is trade practice (from "
            "memory); it follows with a lag of first order, of this program."
        ),
    )
    role = Role()
    group = HOLDING
    words = {"through_1": "through the first check", "through_2": "through the second check",
             "seat_leak_1": "leak at the first seat", "seat_leak_2": "leak at the second seat"}  # fmt: skip
    ratio = Parameter("3.5", low="1", high="15", meaning="pilot ratio: area of its piston to that of its seats")
    area = Parameter("40 mm2", low="0.5 mm2", high="1000 mm2", meaning="area of each when fully open")
    cracking = Parameter("1 bar", low="0.05 bar", high="10 bar", meaning="pressure at which they begin to open")
    full = Parameter("1 bar", low="0.1 bar", high="10 bar", meaning="further rise until they are fully open")
    discharge = Parameter("0.7", low="0.5", high="1", meaning="discharge coefficient")
    lag = Parameter(
        "15 ms", low="0.5 ms", high="0.5 s", meaning="time by which its pilot piston trails what is asked"
    )
    leakage = Wear(
        "1e-16 m3/s/Pa", mild=300, marginal=3000, failed=3e4, notice="the leg creeps in while the machine works",
        meaning="leak at the first seat, at 35 mPa s",
    )  # fmt: skip
    sticking = Wear(
        "0 %", mild="30 %", marginal="70 %", failed="99 %", notice="the leg goes down, and not up again",
        meaning="share of its piston's push that does not get through",
    )  # fmt: skip
    gallery = Parameter("5 cm3", low="1 cm3", high="1 L", meaning="oil in each room", at_rest=True)
    push_1 = State("0", nominal="0.1")  # of the pilot piston, on the first check
    push_2 = State("0", nominal="0.1")

    def equations(self, at: At) -> Law:
        """Return the law of two checks with one pilot piston between them."""
        rate = edge_rate(at.area, at.discharge, at.oil)
        thin = RATED_VISCOSITY / at.oil.viscosity
        law = Law(
            volume=dict.fromkeys(("V1", "V2", "C1", "C2"), at.gallery),
            readings={"reach": (_reach(at), "ratio"), "seat": (at.leakage, "leakage"), "sound": (_SOUND, "leakage")},
        )  # fmt: skip
        for one, other, leakage, push in (("1", "2", at.leakage, at.push_1), ("2", "1", _SOUND, at.push_2)):
            valve, load = at.p[f"V{one}"], at.p[f"C{one}"]
            share, law.rate[f"push_{one}"], beyond = _piloted(at, at.p[f"V{other}"], valve, load, push)
            flow = rate * share * sqrt_flow(valve - load)
            law.streams[f"through_{one}"] = Stream(f"V{one}", f"C{one}", flow, Loss.LINES)
            leak = leakage * thin * (valve - load)
            law.streams[f"seat_leak_{one}"] = Stream(f"V{one}", f"C{one}", leak, Loss.LEAKAGE)
            law.readings |= {
                f"open_area_{one}": (share * at.area, "area"), f"beyond_{one}": (beyond, "pressure"),
            }  # fmt: skip
        return law

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield flow and drop of both checks, and what their piston has too much or lacks."""
        for one, other in (("1", "2"), ("2", "1")):
            area = at.reading("A", f"open_area_{one}", tr("opening"), (), EDGE)
            yield from edge(at, f"through_{one}", area, at.parameter("discharge"))
            yield from _pushes(at, f"V{other}", f"V{one}", f"C{one}", f"beyond_{one}")
            yield from gap(at, f"seat_leak_{one}")


def _pushes(at: Sheet, pilot: str, before: str, load: str, reading: str) -> Iterator[Working]:
    """Yield what a pilot has beyond what it needs to push a check open against its load, or lacks."""
    found, cracks = at.value(reading), at.number("pk", "cracking", tr("its spring"))
    ratio = at.reading("R", "reach", tr("pilot ratio, as far as its push gets through"), (), PLAIN)
    terms = ratio, at.at_port(pilot, "px"), at.at_port(before, "p1"), at.at_port(load, "p2"), cracks
    where = at.called(load)
    if found > 0:
        over = at.term("po", found, "pressure", tr("beyond what its load takes"))
        words = ("po = R · ( px − p1 ) − ( p2 − p1 ) − pk",) * 2
        yield Working(at.part, tr("What its pilot has too much: {line}").format(line=where), over, terms, words)
    else:
        left = at.term("pn", -found, "pressure", tr("until its pilot opens it"))
        words = ("pn = ( p2 − p1 ) + pk − R · ( px − p1 )",) * 2
        yield Working(at.part, tr("What its pilot lacks: {line}").format(line=where), left, terms, words)


class ShuttleValve(Part):
    """A ball between two seats: A is joined to that one of 1 and 2 which has the higher pressure."""

    ports = {"1": OIL, "2": OIL, "A": OIL}
    symbol = "shuttle"
    letter = "V"
    plain = Plain(
        mark("Shuttle valve"),
        does=mark("It passes on the higher of two pressures and shuts off the lower."),
        works=mark(
            "A loose ball lies between two seats. The stronger side blows it across onto the other seat, and is "
            "then joined to the middle; oil may go through there both ways. With equal pressures it lies between."
        ),
        set=mark(
            "Nothing is set. It tells a load-sensing pump or a brake what the heaviest function asks for. A ball "
            "that does not seat lets one function's pressure leak into the other's."
        ),
        law=mark(
            "A ball between two seats goes with the higher pressure; what it leaves open passes q = Cd · A · √("
            " 2 Δp / ρ ), after Torricelli, as every textbook has it."
        ),
    )
    role = Role()
    group = CHECKS
    words = {"from_1": "from 1", "from_2": "from 2", "ball_leak": "leak past the ball"}
    area = Parameter("5 mm2", low="0.2 mm2", high="500 mm2", meaning="area of each seat")
    discharge = Parameter("0.65", low="0.5", high="1", meaning="discharge coefficient")
    leakage = Wear(
        "1e-15 m3/s/Pa", mild=100, marginal=1000, failed=1e4,
        notice="a function that rests moves a little with the other", meaning="leak past its ball, at 35 mPa s",
    )  # fmt: skip
    gallery = Parameter("2 cm3", low="0.5 cm3", high="1 L", meaning="oil in each room", at_rest=True)

    def equations(self, at: At) -> Law:
        """Return the law of two seats with one ball."""
        across = at.p["1"] - at.p["2"]
        first = ramp(0.5 + across / (2 * _BALL))
        rate = edge_rate(at.area, at.discharge, at.oil)
        law = Law(
            volume=dict.fromkeys(("1", "2", "A"), at.gallery),
            readings={"seat": (at.leakage, "leakage"), "across": (across, "pressure")},
        )
        for port, share in (("1", first), ("2", 1 - first)):
            flow = rate * share * sqrt_flow(at.p[port] - at.p.A)
            law.streams[f"from_{port}"] = Stream(port, "A", flow, Loss.LINES)
            law.readings[f"open_area_{port}"] = (share * at.area, "area")
        leak = leak_rate(at.leakage, at.oil.viscosity) * across
        law.streams["ball_leak"] = Stream("1", "2", leak, Loss.LEAKAGE)
        return law

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield what holds the ball, and flow and drop of the seat that is open."""
        across, one, other = at.value("across"), at.at_port("1", "p1"), at.at_port("2", "p2")
        held = at.term("Δpb", abs(across), "pressure", tr("on the ball"))
        words = "Δpb = p1 − p2" if across > 0 else "Δpb = p2 − p1"
        yield Working(at.part, tr("What holds the ball"), held, (one, other), (words,) * 2)
        for port in ("1", "2"):
            area = at.reading("A", f"open_area_{port}", tr("opening"), (), EDGE)
            yield from edge(at, f"from_{port}", area, at.parameter("discharge"))
        yield from gap(at, "ball_leak")
