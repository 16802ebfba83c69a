"""Pressure valves that limit: the direct-acting relief."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping

from trainer.formula import Term, Working
from trainer.language import mark, tr
from trainer.parts.laws import clip, edge_rate, relief, sqrt_flow
from trainer.parts.part import At, Choice, Expr, Kind, Latched, Law, Loss, Parameter, Part, Stream, Wear
from trainer.parts.plain import Plain
from trainer.parts.roles import PressureLimiter
from trainer.parts.sheet import EDGE, PERCENT, Sheet
from trainer.parts.workings import edge, override
from trainer.units import PLAIN, pair

__all__ = ["ReliefValve", "beaten", "not_fluttered"]

OIL = Kind.OIL
_STEEPEST, _SOFTEST = 5e-3, 0.9  # override of the setting that a poppet has at least, and at most
_SLIT = 0.65  # discharge coefficient of what dirt leaves open
_BEATS = (7.3, 11.9)  # Hz: slow enough for an eye and a needle; whole turns of both in _ROUND
_ROUND = 10.0  # s
_SWING = (0.6, 0.4)  # of the two


def beaten(values: Mapping[str, float]) -> dict[str, float]:
    """Return the clock [s] of a valve that chatters, and how far down its setting is just now, 0 … 1.

    The poppet itself beats some hundred times a second (common practice, no source), far too fast for a needle. What
    is seen of it is what one beat differs from the next by, here two beats that never fall together: it follows from
    the time that has passed, so that it is the same again in a replay. A sound valve has none of it.
    """
    if not values["chatter"]:
        return {"beat": 0.0, "flutter": 0.0}
    beat = math.fmod(values["beat"] + values["call.length"], _ROUND)
    swing = zip(_SWING, _BEATS, strict=True)
    return {"beat": beat, "flutter": sum(s * (1 - math.cos(2 * math.pi * f * beat)) / 2 for s, f in swing)}


def not_fluttered(at: At) -> Expr:
    """Return what is left of a setting while its valve chatters."""
    return 1 - clip(at.chatter, 0, 1) * clip(at.flutter, 0, 1)


class ReliefValve(Part):
    """A spring-loaded poppet that opens P to T: it cracks first and passes its rated flow at full pressure.

    Given by its setting (full-flow pressure) and override, or by poppet area, spring rate, preload and lift.
    Pressure at T adds to the setting.
    """

    ports = {"P": OIL, "T": OIL}
    symbol = "relief"
    plate = ("{setting}",)
    letter = "V"
    plain = Plain(
        mark("Pressure-relief valve"),
        does=mark("It decides the highest pressure in its line: what is too much, it lets go home."),
        works=mark(
            "A spring holds a poppet shut. Below its setting it passes nothing and the load decides; near it "
            "the poppet lifts, and the higher the pressure the more oil it passes. All that goes over it "
            "becomes heat."
        ),
        set=mark(
            "It is set with a gauge on its line, oil warm, full flow over it, screw turned in from low, lock "
            "nut tight. The setting is what is read at full flow; it begins to open some percent below. More "
            "setting makes no more pressure unless a load asks for it."
        ),
        law=mark(
            "Poppet against spring: its lift grows with the pressure above cracking, and the edge passes lift ·"
            " √p, so that q = qr · ( Δp − pc ) / ( pf − pc ) · √( Δp / pf ), as every textbook has it."
        ),
    )
    role = PressureLimiter(swing="chatter")
    words = {"over_relief": "over the relief", "past_dirt": "past dirt in the relief"}
    given_by = Choice("setting", "spring", meaning="which numbers describe it")
    setting = Parameter("175 bar", low="1 bar", high="450 bar", meaning="pressure at rated flow")
    override = Wear(
        "10 %",
        mild="20 %",
        marginal="30 %",
        failed="45 %",
        notice="it hisses early, and the last of the speed is gone under load",
        meaning="rise from cracking to rated flow, of the setting",
    )
    rated_flow = Parameter(
        "40 L/min",
        low="0.05 L/min",
        high="2000 L/min",
        meaning="flow at which the setting holds",
        follows="pump flow",
    )
    area = Parameter("1 cm2", low="0.05 cm2", high="50 cm2", meaning="poppet area that pressure acts on")
    spring = Parameter("100 N/mm", low="1 N/mm", high="5000 N/mm", meaning="spring rate")
    preload = Parameter("15 mm", low="0.1 mm", high="100 mm", meaning="compression of the spring when shut")
    lift = Parameter("2 mm", low="0.05 mm", high="20 mm", meaning="lift at rated flow")
    fatigue = Wear(
        "0 %",
        mild="10 %",
        marginal="30 %",
        failed="90 %",
        notice="all is weak, and the gauge stays low",
        meaning="share of its spring that is lost",
    )
    seizing = Wear(
        "0 %",
        mild="10 %",
        marginal="30 %",
        failed="100 %",
        notice="it stops hard, with a gauge far above what is set",
        meaning="what it takes to free a poppet that sticks, of its opening pressure",
    )
    chatter = Wear(
        "0 %",
        mild="4 %",
        marginal="10 %",
        failed="25 %",
        notice="it buzzes and squeals under load, and the gauge flutters",
        meaning="share of its setting by which it swings: a poppet that beats on its seat",
        most="50 %",
    )
    held_open = Wear(
        "0 mm2",
        mild="0.2 mm2",
        marginal="1 mm2",
        failed="6 mm2",
        notice="weak or dead, with a hiss, and the screw changes nothing",
        meaning="opening that dirt under its poppet leaves",
    )
    gallery = Parameter("5 cm3", low="1 cm3", high="1 L", meaning="oil in its body", at_rest=True)
    beat = Latched("0 s")
    flutter = Latched("0 %")

    @classmethod
    def screws(cls, choice: Callable[[str], str]) -> tuple[str, ...]:
        """Return what its screw turns: the preload where the spring itself is given."""
        return ("preload",) if choice("given_by") == "spring" else ("setting",)

    latched_by = ("chatter", "beat")

    @classmethod
    def latch(cls, values: Mapping[str, float]) -> dict[str, float]:
        """Return where it is in its chatter."""
        return beaten(values)

    def equations(self, at: At) -> Law:
        """Return the relief's law; structure by ``given_by``."""
        if at.given_by == "spring":
            cracking = at.spring * at.preload / at.area
            full = at.spring * (at.preload + at.lift) / at.area
        else:
            cracking, full = at.setting * (1 - clip(at.override, _STEEPEST, _SOFTEST)), at.setting
        tired = (1 + at.seizing) * (1 - clip(at.fatigue, 0, 0.95)) * not_fluttered(at)
        cracking, full = cracking * tired, full * tired
        drop = at.p.P - at.p.T
        flow = relief(drop, cracking, full, at.rated_flow)
        dirt = edge_rate(at.held_open, _SLIT, at.oil) * sqrt_flow(drop)
        return Law(
            streams={
                "over_relief": Stream("P", "T", flow, Loss.RELIEF),
                "past_dirt": Stream("P", "T", dirt, Loss.RELIEF),
            },
            volume={"P": at.gallery, "T": at.gallery},
            readings={
                "opening": (flow / at.rated_flow, "ratio"),
                "cracking": (cracking, "pressure"),
                "full": (full, "pressure"),
                "worn": (tired, "ratio"),
                "slit": (at.held_open, "area"),
            },
        )

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield flow, override, heat, warming and cracking pressure of a relief valve."""
        cracking, full = at.value("cracking"), at.value("full")
        yield from override(at, "over_relief", cracking, full, at.parameter("rated_flow"))
        yield from edge(at, "past_dirt", at.reading("A", "slit", tr("held open by dirt"), (), EDGE), _SLIT)
        cracks = at.term("pc", cracking, "pressure", tr("opens at"))
        if at.choice("given_by") == "setting":
            share = at.number("o", "override", tr("override, of the setting"), PERCENT)
            setting = at.term("ps", full, "pressure", tr("setting: passes its rated flow"))
            yield Working(
                at.part, tr("Cracking pressure"), cracks, (setting, share), ("pc = ps · ( 1 − o / 100 )",) * 2
            )
            return
        spring = pair("N/mm", 1, "lbf/in", 0)
        fine, small = pair("mm", 2, "in", 4), pair("cm2", 3, "in2", 4)
        terms: tuple[Term, ...] = (
            at.number("c", "spring", tr("spring rate"), spring), at.number("y", "preload", tr("preload"), fine),
            at.number("A", "area", tr("poppet"), small),
        )  # fmt: skip
        worn = ""
        if at.value("worn") != 1.0:
            worn = " · w"
            terms = (
                *terms,
                at.reading("w", "worn", tr("its spring tired, its poppet sticking or beating"), (), PLAIN),
            )
        forms = (f"pc = c · y{worn} / ( 10 · A )", f"pc = c · y{worn} / A")
        yield Working(at.part, tr("Cracking pressure"), cracks, terms, forms)
        lift = at.number("h", "lift", tr("lift at rated flow"), fine)
        yield Working(
            at.part, tr("Pressure at rated flow"), at.term("pf", full, "pressure", tr("passes its rated flow")),
            (*terms, lift), (f"pf = c · ( y + h ){worn} / ( 10 · A )", f"pf = c · ( y + h ){worn} / A"),
        )  # fmt: skip
