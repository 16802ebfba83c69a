"""Pressure valves that switch, reduce and unload, and the relief that a pilot lifts."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

import casadi as ca

from trainer.formula import Working
from trainer.language import mark, tr
from trainer.parts.laws import LAMINAR, clip, edge_rate, leak_rate, pos, relief, sqrt_flow, straight_ramp
from trainer.parts.part import At, Expr, Kind, Latched, Law, Loss, Parameter, Part, Stream, Wear
from trainer.parts.plain import Plain
from trainer.parts.relief import ReliefValve, beaten, not_fluttered
from trainer.parts.roles import PRESSURE, PressureLimiter, Restrictor
from trainer.parts.sheet import EDGE, PERCENT, Sheet
from trainer.parts.workings import edge, gap, override, part_open

__all__ = [
    "PilotOperatedReliefValve",
    "ReducingRelievingValve",
    "ReducingValve",
    "SequenceValve",
    "UnloadingValve",
]

OIL = Kind.OIL
_STEEPEST = 5e-3  # override of the setting that a poppet has at least
_ROUND = 0.01  # of the whole opening over which it begins
_FORCE = (
    0.1  # of the drop: what shuts a wide open spool, 2 Cd cos 69° of an edge a fifth of it (Merritt, from memory)
)
_HELD = 0.01  # differential from which on an unloading valve stays wide open until it shuts


def _leaks(at: At, drop: Expr) -> Expr:
    return leak_rate(at.leakage, at.oil.viscosity) * drop


class PilotOperatedReliefValve(Part):
    """A small poppet holds the pressure behind a large spool, which lifts by the drop over its orifice.

    Oil that the poppet lets go comes through the orifice; from a drop as its main spring's on (1.5 bar;
    trade pages have 21 lbf/in2) the main spool opens P to T. The setting is the pressure at P with the rated flow.
    X is the room behind the spool: plugged, the poppet decides; led home, the spring alone; led to another poppet,
    the lower one. The oil that rushes out pulls the main spool shut, by a share of the drop.
    """

    ports = {"P": OIL, "T": OIL, "X": OIL}
    port_names = {"X": mark("vent")}
    signals = ("X",)
    symbol = "relief_po"
    plate = ("{setting}",)
    letter = "V"
    plain = Plain(
        mark("Pilot-operated relief valve"),
        does=mark("It limits the pressure of a line with hardly any difference between a little oil and all of it."),
        works=mark(
            "A small poppet opens first. What it passes has to come through an orifice in the large spool, and that "
            "drop lifts it. The strong spring holds only a trickle, the large spool has a soft one. With its vent "
            "open to tank nothing is held but that soft spring."
        ),
        set=mark(
            "The screw turns the small poppet's spring, with a gauge on the line and full flow over it. Too low and "
            "no answer to the screw: dirt under the poppet, a plugged orifice, or a vent that is open."
        ),
        law=mark(
            "The poppet is in balance with its spring; the main spool lifts by the drop that the poppet's oil "
            "makes in the orifice, against a spring of 1.5 bar (21 psi, trade pages), less what the oil that "
            "rushes out pulls it shut (flow force, Merritt 1967, from memory)."
        ),
    )
    role = PressureLimiter(swing="chatter")
    words = {"over_relief": "over the relief", "orifice": "through its orifice", "pilot": "pilot poppet",
             "pilot_leak": "leak at the poppet"}  # fmt: skip
    setting = Parameter("175 bar", low="5 bar", high="450 bar", meaning="pressure at rated flow")
    override = Wear(
        "4 %", mild=2, marginal=4, failed=8, notice="it hisses early, and the last of the speed is gone under load",
        meaning="rise of the poppet from cracking to what the rated flow asks of it",
    )  # fmt: skip
    rated_flow = Parameter(
        "40 L/min",
        low="0.05 L/min",
        high="2000 L/min",
        meaning="flow at which the setting holds",
        follows="pump flow",
    )
    area = Parameter("60 mm2", low="5 mm2", high="2000 mm2", meaning="main spool when wide open")
    spring = Parameter("1.5 bar", low="0.3 bar", high="10 bar", meaning="drop at which the main spool begins to open")
    rise = Parameter("1.5 bar", low="0.1 bar", high="10 bar", meaning="further drop until it is wide open")
    orifice = Parameter("0.8 mm", low="0.3 mm", high="4 mm", meaning="orifice in the main spool")
    discharge = Parameter("0.65", low="0.5", high="1", meaning="discharge coefficient")
    leakage = Wear(
        "1e-15 m3/s/Pa", mild=500, marginal=1000, failed=5000,
        notice="pressure stays low, and the screw changes little", meaning="leak at the poppet's seat at 35 mPa s",
    )  # fmt: skip
    seizing = Wear(
        "0 %", mild="5 %", marginal="20 %", failed="100 %", notice="it stops hard, far above what is set",
        meaning="what it takes to free a main spool that sticks, of the setting",
    )  # fmt: skip
    fatigue = Wear(
        "0 %", mild="10 %", marginal="30 %", failed="90 %", notice="all is weak, and the gauge stays low",
        meaning="share of the poppet's spring that is lost",
    )  # fmt: skip
    chatter = ReliefValve.chatter
    plugging = Wear(
        "0 %", mild="90 %", marginal="99 %", failed="100 %", notice="all is weak, and its screw changes nothing",
        meaning="share of its orifice that dirt fills",
    )  # fmt: skip
    gallery = Parameter("5 cm3", low="1 cm3", high="1 L", meaning="oil in its body", at_rest=True)
    beat = ReliefValve.beat
    flutter = ReliefValve.flutter

    latched_by = ReliefValve.latched_by

    @classmethod
    def latch(cls, values: Mapping[str, float]) -> dict[str, float]:
        """Return where its poppet is in its chatter."""
        return beaten(values)

    def equations(self, at: At) -> Law:
        """Return the law of orifice, poppet and main spool."""
        whole = edge_rate(at.area, at.discharge, at.oil)
        lifted = ca.fmin(at.rated_flow / (whole * ca.sqrt(at.setting)), 1)  # at the rated flow
        over = at.spring + (at.rise + _FORCE * at.setting) * lifted
        full = ca.fmax(at.setting - over, 0.3 * at.setting) * (1 - clip(at.fatigue, 0, 0.95)) * not_fluttered(at)
        cracking = full * (1 - clip(at.override, _STEEPEST, 0.9))
        bore = math.pi / 4 * at.orifice * at.orifice
        rated = edge_rate(bore, at.discharge, at.oil) * ca.sqrt(over)  # of a clean one
        clear = bore * (1 - clip(at.plugging, 0, 0.9998))
        hole = edge_rate(clear, at.discharge, at.oil)
        lifts = at.p.P - at.p.X - at.seizing * at.setting
        drop, behind = at.p.P - at.p["T"], at.p.X - at.p["T"]
        share = straight_ramp((lifts - at.spring) / (at.rise + _FORCE * pos(drop, LAMINAR)), _ROUND)
        return Law(
            streams={
                "over_relief": Stream("P", "T", whole * share * sqrt_flow(drop), Loss.RELIEF),
                "orifice": Stream("P", "X", hole * sqrt_flow(at.p.P - at.p.X), Loss.RELIEF),
                "pilot": Stream("X", "T", relief(behind, cracking, full, rated), Loss.RELIEF),
                "pilot_leak": Stream("X", "T", _leaks(at, behind), Loss.LEAKAGE),
            },
            volume={"P": at.gallery, "T": at.gallery, "X": at.gallery},
            readings={
                "opening": (share, "ratio"), "open_area": (share * at.area, "area"),
                "cracking": (cracking, "pressure"), "full": (full, "pressure"), "pilot_flow": (rated, "flow"),
                "lifts": (at.p.P - at.p.X, "pressure"),
                "hole": (clear, "area"),
                "seat": (at.leakage, "leakage"),
            },
        )  # fmt: skip

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield the main spool's flow, what lifts it, the orifice that makes that drop, and the poppet."""
        discharge = at.parameter("discharge")
        area = at.reading("A", "open_area", tr("opening of the main spool"), (), EDGE)
        yield from edge(at, "over_relief", area, discharge)
        lifts, one, other = (
            at.reading("Δpm", "lifts", tr("on the main spool")),
            at.at_port("P"),
            at.at_port("X", "px"),
        )
        yield Working(
            at.part, tr("What lifts the main spool"), lifts, (one, other), ("Δpm = p − px",) * 2,
            tr("With the vent led home only its spring holds it."),
        )  # fmt: skip
        yield from part_open(at, "open_area", "area")
        yield from edge(at, "orifice", at.reading("A", "hole", tr("orifice"), (), EDGE), discharge)
        yield from override(at, "pilot", at.value("cracking"), at.value("full"), at.value("pilot_flow"))
        yield from gap(at, "pilot_leak")


class SequenceValve(Part):
    """It opens P to A once the pressure at P is at its setting above that of its drain L, whatever stands at A."""

    ports = {"P": OIL, "A": OIL, "L": OIL}
    symbol = "sequence"
    plate = ("{setting}",)
    letter = "V"
    plain = Plain(
        mark("Sequence valve"),
        does=mark("It lets a second movement have oil only when the first has come up to a pressure."),
        works=mark(
            "Its spool is pressed against a spring by the oil before it. Shut, all oil goes to the first movement; "
            "when that meets its load or its end, pressure rises, the spool opens and the second one moves. The "
            "spring room drains home by a line of its own, so that pressure behind it does not matter."
        ),
        set=mark(
            "Well above what the first movement needs, well below the relief. Set too low both move at once; too "
            "high and the relief takes the oil first. While the second one moves, the first keeps at least this "
            "pressure."
        ),
        law=mark(
            "Opening = ( p − pL − setting ) / rise: the balance of spool and spring; the edge passes q = Cd · A"
            " · √( 2 Δp / ρ ), as every textbook has it."
        ),
    )
    role = Restrictor(ends=("P", "A"))
    group = PRESSURE
    words = {"through": "through", "shut_leak": "leak when shut", "drain": "drain"}
    setting = Parameter("60 bar", low="1 bar", high="400 bar", meaning="pressure at which it begins to open")
    rise = Parameter("8 bar", low="0.5 bar", high="60 bar", meaning="further rise until it is wide open")
    area = Parameter("40 mm2", low="1 mm2", high="1000 mm2", meaning="area when wide open")
    discharge = Parameter("0.65", low="0.5", high="1", meaning="discharge coefficient")
    leakage = Wear(
        "1e-14 m3/s/Pa", mild=10, marginal=50, failed=500,
        notice="the second movement creeps before its turn", meaning="leak when shut, and to its drain, at 35 mPa s",
    )  # fmt: skip
    gallery = Parameter("5 cm3", low="1 cm3", high="1 L", meaning="oil in each room", at_rest=True)

    def equations(self, at: At) -> Law:
        """Return the law of an edge that the pressure before it opens."""
        above = at.p.P - at.p.L - at.setting
        share = straight_ramp(above / at.rise, _ROUND)
        drop = at.p.P - at.p.A
        flow = edge_rate(at.area, at.discharge, at.oil) * share * sqrt_flow(drop)
        return Law(
            streams={
                "through": Stream("P", "A", flow, Loss.METERING),
                "shut_leak": Stream("P", "A", _leaks(at, drop), Loss.LEAKAGE),
                "drain": Stream("P", "L", _leaks(at, at.p.P - at.p.L), Loss.LEAKAGE),
            },
            volume=dict.fromkeys(("P", "A", "L"), at.gallery),
            readings={
                "opening": (share, "ratio"), "open_area": (share * at.area, "area"), "above": (above, "pressure"),
                "seat": (at.leakage, "leakage"),
            },
        )  # fmt: skip

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield flow, drop and heat where it is open, and how far pressure is from its setting."""
        area = at.reading("A", "open_area", tr("opening"), (), EDGE)
        yield from edge(at, "through", area, at.parameter("discharge"))
        terms = at.at_port("P"), at.at_port("L", "pl"), at.number("ps", "setting", tr("begins to open"))
        above = at.value("above")
        if above < 0:
            left = at.term("pn", -above, "pressure", tr("until it opens"))
            yield Working(at.part, tr("Pressure left until it opens"), left, terms, ("pn = ps − p + pl",) * 2)
        else:
            over = at.term("po", above, "pressure", tr("above its setting"))
            yield Working(at.part, tr("Pressure above its setting"), over, terms, ("po = p − pl − ps",) * 2)
            yield from part_open(at, "open_area", "area")
        yield from gap(at, "shut_leak")
        yield from gap(at, "drain")


class ReducingValve(Part):
    """It stands open P to A and shuts as the pressure at A, above that of its drain L, comes up to its setting."""

    ports = {"P": OIL, "A": OIL, "L": OIL}
    symbol = "reducing"
    plate = ("{setting}",)
    letter = "V"
    plain = Plain(
        mark("Pressure-reducing valve"),
        does=mark("It keeps one branch at a lower pressure than the rest of the machine."),
        works=mark(
            "At rest it is open. The oil behind it presses on its spool; near the setting the spool throttles, and "
            "at it it shuts but for what its drain lets go. What it takes off times the flow becomes heat. Pressure "
            "that comes from the branch itself it cannot let off."
        ),
        set=mark(
            "With a gauge on the branch, which has come to rest. It can only take away: less pressure before it "
            "than the setting, and it just stands open. Blocked, its drain lets the branch rise to what stands "
            "before it."
        ),
        law=mark(
            "Opening = ( setting − ( pA − pL ) ) / rise: the balance of spool and spring; the edge passes q = "
            "Cd · A · √( 2 Δp / ρ ), as every textbook has it."
        ),
    )
    role = Restrictor(ends=("P", "A"))
    group = PRESSURE
    words = {"through": "through", "shut_leak": "leak when shut", "drain": "drain"}
    setting = Parameter("50 bar", low="1 bar", high="400 bar", meaning="pressure at A at which it is shut")
    rise = Parameter("4 bar", low="0.3 bar", high="60 bar", meaning="rise at A from wide open to shut")
    area = Parameter("30 mm2", low="1 mm2", high="1000 mm2", meaning="area when wide open")
    discharge = Parameter("0.65", low="0.5", high="1", meaning="discharge coefficient")
    leakage = Wear(
        "1e-14 m3/s/Pa", mild=20, marginal=100, failed=1000,
        notice="the branch creeps up to full pressure when it rests", meaning="leak when shut at 35 mPa s",
    )  # fmt: skip
    pilot = Parameter("3e-13 m3/s/Pa", low="0 m3/s/Pa", high="1e-10 m3/s/Pa", meaning="A to its drain, at 35 mPa s")
    gallery = Parameter("5 cm3", low="1 cm3", high="1 L", meaning="oil in each room", at_rest=True)

    def equations(self, at: At) -> Law:
        """Return the law of an edge that the pressure behind it shuts."""
        share, flow = _reduced(at, at.p.L)
        pilot = leak_rate(at.pilot, at.oil.viscosity) * (at.p.A - at.p.L)
        return Law(
            streams={
                "through": Stream("P", "A", flow, Loss.METERING),
                "shut_leak": Stream("P", "A", _leaks(at, at.p.P - at.p.A), Loss.LEAKAGE),
                "drain": Stream("A", "L", pilot, Loss.LEAKAGE),
            },
            volume=dict.fromkeys(("P", "A", "L"), at.gallery),
            readings={
                "opening": (share, "ratio"), "open_area": (share * at.area, "area"),
                "below": (at.setting - (at.p.A - at.p.L), "pressure"),
                "seat": (at.leakage, "leakage"), "bore": (at.pilot, "leakage"),
            },
        )  # fmt: skip

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield flow, drop and heat, and how far the branch is below the setting."""
        yield from _reducing(at, "L")
        yield from gap(at, "shut_leak")
        yield from gap(at, "drain")


class ReducingRelievingValve(Part):
    """A reducing valve that also lets off to T what its branch has above the setting, a gap further on."""

    ports = {"P": OIL, "T": OIL, "A": OIL}
    symbol = "reducing_relieving"
    plate = ("{setting}",)
    letter = "V"
    plain = Plain(
        mark("Pressure-reducing and relieving valve"),
        does=mark("It holds one branch at a lower pressure, from whichever side that pressure comes."),
        works=mark(
            "Its spool has two edges: one throttles the oil that comes in and shuts at the setting, the other opens "
            "the branch to tank a little above it. So an outside force on the branch cannot raise it, and a pilot "
            "line follows a lever down as well as up."
        ),
        set=mark(
            "The setting is read on the branch at rest. Between its edges lies a small dead gap: wide, and the "
            "branch wanders in it; none, and oil runs from pump to tank all day."
        ),
        law=mark(
            "Opening P to A = ( setting − ( pA − pL ) ) / rise; past a gap beyond the setting it opens A to T: "
            "the balance of spool and spring, with edges of q = Cd · A · √( 2 Δp / ρ ), as every textbook has "
            "it."
        ),
    )
    role = Restrictor(ends=("P", "A"))
    group = PRESSURE
    words = {"through": "through", "shut_leak": "leak when shut", "let_off": "let off to tank"}
    setting = Parameter("50 bar", low="1 bar", high="400 bar", meaning="pressure at A at which it is shut")
    rise = Parameter("4 bar", low="0.3 bar", high="60 bar", meaning="change at A from shut to wide open, each way")
    between = Parameter("1 bar", low="0 bar", high="30 bar", meaning="above its setting, until it opens A to T")
    area = Parameter("30 mm2", low="1 mm2", high="1000 mm2", meaning="area of each edge when wide open")
    discharge = Parameter("0.65", low="0.5", high="1", meaning="discharge coefficient")
    leakage = Wear(
        "1e-14 m3/s/Pa", mild=20, marginal=100, failed=1000,
        notice="it runs warm, and its branch stands a little high", meaning="leak when shut at 35 mPa s",
    )  # fmt: skip
    gallery = Parameter("5 cm3", low="1 cm3", high="1 L", meaning="oil in each room", at_rest=True)

    def equations(self, at: At) -> Law:
        """Return the law of two edges on one spool."""
        tank = at.p["T"]
        share, flow = _reduced(at, tank)
        drop = at.p.A - tank
        open_ = straight_ramp((drop - at.setting - at.between) / at.rise, _ROUND)
        off = edge_rate(at.area, at.discharge, at.oil) * open_ * sqrt_flow(drop)
        return Law(
            streams={
                "through": Stream("P", "A", flow, Loss.METERING),
                "shut_leak": Stream("P", "A", _leaks(at, at.p.P - at.p.A), Loss.LEAKAGE),
                "let_off": Stream("A", "T", off, Loss.RELIEF),
            },
            volume=dict.fromkeys(("P", "T", "A"), at.gallery),
            readings={
                "opening": (share, "ratio"), "open_area": (share * at.area, "area"),
                "below": (at.setting - drop, "pressure"), "letting": (open_ * at.area, "area"),
                "seat": (at.leakage, "leakage"),
            },
        )  # fmt: skip

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield flow, drop and heat of both edges, and how far the branch is below the setting."""
        yield from _reducing(at, "T")
        off = at.reading("A", "letting", tr("opening to tank"), (), EDGE)
        yield from edge(at, "let_off", off, at.parameter("discharge"))
        yield from gap(at, "shut_leak")


def _reduced(at: At, home: Expr) -> tuple[Expr, Expr]:
    """Return how far an edge P to A stands open that the pressure at A shuts, and its flow [m3/s]."""
    share = straight_ramp((at.setting - (at.p.A - home)) / at.rise, _ROUND)
    return share, edge_rate(at.area, at.discharge, at.oil) * share * sqrt_flow(at.p.P - at.p.A)


def _reducing(at: Sheet, home: str) -> Iterator[Working]:
    """Yield the workings of an edge that the pressure behind it shuts, drained at the port ``home``."""
    area = at.reading("A", "open_area", tr("opening"), (), EDGE)
    yield from edge(at, "through", area, at.parameter("discharge"))
    terms = at.number("ps", "setting", tr("shut")), at.at_port("A", "pa"), at.at_port(home, "pl")
    below = at.value("below")
    if below > 0:
        left = at.term("pn", below, "pressure", tr("until it is shut"))
        yield Working(at.part, tr("Pressure left until it is shut"), left, terms, ("pn = ps − pa + pl",) * 2)
        yield from part_open(at, "open_area", "area")
    else:
        over = at.term("po", -below, "pressure", tr("above its setting"))
        yield Working(at.part, tr("Pressure above its setting"), over, terms, ("po = pa − pl − ps",) * 2)


class UnloadingValve(Part):
    """Pressure at X from elsewhere opens P to T, so that a pump runs idle.

    Once it has opened it shuts only a share of the setting lower: an accumulator's pump rests between the two. With
    no such share it is as open as the pressure at X says, as two pumps of which one is let go need it.
    """

    ports = {"P": OIL, "T": OIL, "X": OIL}
    signals = ("X",)
    symbol = "unloading"
    plate = ("{setting}",)
    letter = "V"
    plain = Plain(
        mark("Unloading valve"),
        does=mark("It sends a pump's oil home at hardly any pressure while another line has all that it needs."),
        works=mark(
            "A pilot line tells it a pressure from elsewhere: of the small pump, or of an accumulator. At its "
            "setting it opens wide, and the pump turns idle; a check keeps the other line's oil. A relief would "
            "pass that oil at full pressure, all of it heat."
        ),
        set=mark(
            "Below the relief's setting by more than that one's override. For an accumulator it closes again well "
            "below: a small difference means that it switches often, a large one that pressure varies much."
        ),
        law=mark(
            "A piston fed from X against a spring; once open it holds itself so until X has fallen by the "
            "difference of two areas, as textbooks have the accumulator's unloading valve (from memory). The "
            "edge passes q = Cd · A · √( 2 Δp / ρ )."
        ),
    )
    role = Restrictor(ends=("P", "T"))
    group = PRESSURE
    words = {"through": "through", "shut_leak": "leak when shut"}
    setting = Parameter("100 bar", low="1 bar", high="400 bar", meaning="pressure at X at which it begins to open")
    rise = Parameter("4 bar", low="0.3 bar", high="60 bar", meaning="further rise at X until it is wide open")
    differential = Parameter("0 %", low="0 %", high="50 %", meaning="below its setting at which it shuts again")
    area = Parameter("60 mm2", low="1 mm2", high="2000 mm2", meaning="area when wide open")
    discharge = Parameter("0.65", low="0.5", high="1", meaning="discharge coefficient")
    leakage = Wear(
        "1e-14 m3/s/Pa", mild=20, marginal=100, failed=1000,
        notice="the fast approach has become slow, and oil hisses home", meaning="leak when shut at 35 mPa s",
    )  # fmt: skip
    gallery = Parameter("5 cm3", low="1 cm3", high="1 L", meaning="oil in each room", at_rest=True)
    unloaded = Latched("0")

    @classmethod
    def latch(cls, values: Mapping[str, float]) -> dict[str, float]:
        """Return that it holds itself open from its setting on, until its pilot has fallen by the differential."""
        setting, pilot = values["setting"], values["pilot"]
        if pilot >= setting:
            return {"unloaded": 1.0}
        return {"unloaded": values["unloaded"] if pilot > setting * (1 - values["differential"]) else 0.0}

    def equations(self, at: At) -> Law:
        """Return the law of an edge that a pilot opens."""
        pilot = at.p.X - at.p["T"]
        wide = at.rise * ca.fmin(at.differential / _HELD, 1)
        held = clip(at.unloaded, 0, 1) * (at.differential * at.setting + wide)
        share = straight_ramp((pilot - at.setting + held) / at.rise, _ROUND)
        drop = at.p.P - at.p["T"]
        flow = edge_rate(at.area, at.discharge, at.oil) * share * sqrt_flow(drop)
        return Law(
            streams={
                "through": Stream("P", "T", flow, Loss.PAST),
                "shut_leak": Stream("P", "T", _leaks(at, drop), Loss.LEAKAGE),
            },
            volume=dict.fromkeys(("P", "T", "X"), at.gallery),
            readings={
                "opening": (share, "ratio"), "open_area": (share * at.area, "area"), "pilot": (pilot, "pressure"),
                "shuts": (at.setting * (1 - at.differential), "pressure"), "seat": (at.leakage, "leakage"),
            },
        )  # fmt: skip

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield flow, drop and heat, what its pilot lacks or has too much, and where it shuts again."""
        area = at.reading("A", "open_area", tr("opening"), (), EDGE)
        yield from edge(at, "through", area, at.parameter("discharge"))
        setting = at.number("ps", "setting", tr("begins to open"))
        terms = at.at_port("X", "px"), at.at_port("T", "pt"), setting
        above = at.value("pilot") - at.parameter("setting")
        if above < 0:
            left = at.term("pn", -above, "pressure", tr("until its pilot opens it"))
            yield Working(at.part, tr("Pilot pressure left until it opens"), left, terms, ("pn = ps − px + pt",) * 2)
        else:
            over = at.term("po", above, "pressure", tr("its pilot, above the setting"))
            yield Working(at.part, tr("Pilot pressure above its setting"), over, terms, ("po = px − pt − ps",) * 2)
        yield from part_open(at, "open_area", "area")
        share = at.number("d", "differential", tr("it shuts lower by"), PERCENT)
        shuts = at.reading("pr", "shuts", tr("at which it shuts again"))
        yield Working(
            at.part, tr("Where it shuts again"), shuts, (setting, share), ("pr = ps · ( 1 − d / 100 )",) * 2
        )
        yield from gap(at, "shut_leak")
