"""The reservoir: the oil that a rig has, how much and what state it is in."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from trainer.formula import Working
from trainer.language import mark, tr
from trainer.parts.laws import clip
from trainer.parts.oil import ATMOSPHERE, HEAT_CAPACITY
from trainer.parts.part import At, Kind, Latched, Law, Parameter, Part, State, Wear
from trainer.parts.plain import Plain
from trainer.parts.roles import Tank
from trainer.parts.sheet import COOLING, Sheet
from trainer.units import pair

__all__ = ["Reservoir"]

OIL = Kind.OIL
_DRAWS = 1e-6  # m3/s: what a pump that runs at least draws
_COVERED, _BARE, _MOST_AIR = 0.35, 0.15, 0.15  # of the tank: intake whole covered, whole bare; air drawn in then
_MIXES, _RISES = 4.0, 60.0  # s
_AIR, _LEAST_AIR = 0.2, 0.02  # over the oil, of its volume: common practice, no source; and what is left at least
_BREATHES, _SEEPS = 0.1, 1e-3  # s in which a clean breather evens out the air; share past the lid where none does
_GIVES = 0.5e5  # Pa either way, from which on air finds a way past the lid: our own number


class Reservoir(Part):
    """A vented tank: oil leaves by S and returns by T, both at zero gauge; its oil is counted, and cools.

    With a plugged breather the air over its oil grows as rods go out and shrinks as they come in (Boyle); S and T
    have its pressure, and the work of that air is a supply.
    """

    ports = {"S": OIL, "T": OIL}
    carries = ("S", "T")
    symbol = "reservoir"
    plate = ("{volume}",)
    letter = "Z"
    plain = Plain(
        mark("Reservoir"),
        does=mark("It keeps the oil, lets air and dirt settle out of it, and gives off heat."),
        works=mark(
            "The air above the oil pushes it into the pump. Oil that comes home has to stay a while before it"
            " is sucked in again; the rods that go out take oil out of it, those that come in bring it back."
        ),
        set=mark(
            "It is filled with all rods in, to the mark. Level and temperature are looked at before any "
            "reading is believed. Too small, it runs hot; too low, the pump takes in air. Its breather is kept "
            "clean: it has to let in as much air as the rods take oil out."
        ),
        law=mark(
            "Its oil is counted: content = what was in it + return − suction. Heat to the air = k · ( oil − air"
            " ), Newton's law of cooling. Air that cannot get out or in has p · V = constant, Boyle's law."
        ),
    )
    role = Tank()
    called = "tank"
    words = {"air": "air over the oil"}
    volume = Parameter("40 L", low="1 L", high="2000 L", meaning="oil in the tank at the start", at_rest=True)
    cooling = Parameter(
        "6 W/K",
        low="0 W/K",
        high="500 W/K",
        meaning="heat given to the air per kelvin (about 12 W/m2 K of wall)",
    )
    steel = Parameter("20 kg", low="0 kg", high="2000 kg", meaning="metal that warms with the oil")
    ambient = Parameter("20 C", low="-40 C", high="50 C", meaning="temperature of the air")
    missing = Wear(
        "0 %",
        mild="45 %",
        marginal="60 %",
        failed="75 %",
        notice="it whines and goes soft when the cylinders are out, and it gets hot",
        meaning="share of the oil that is missing at the start",
    )
    froth = Wear(
        "0 %",
        mild="2 %",
        marginal="5 %",
        failed="12 %",
        notice="it is spongy and jerks, it whines, and there is foam in the tank",
        meaning="air that the oil takes along: a leak in the suction line, a return above the oil",
    )
    left_in = Wear(
        "0 %",
        mild="3 %",
        marginal="6 %",
        failed="12 %",
        notice="since it was last opened it is spongy and jerks; with working it gets better",
        meaning="air that was left in after work on it; it comes out as the oil goes round",
    )
    thinned = Wear(
        "0 %",
        mild="32 %",
        marginal="54 %",
        failed="68 %",
        notice="good in the morning, by noon it is slow and loads sink",
        meaning="viscosity that its oil lacks: one, two, three grades of ISO 3448",
    )
    thickened = Wear(
        "0 %",
        mild="47 %",
        marginal="117 %",
        failed="226 %",
        notice="sluggish, and it howls until it is warm",
        meaning="viscosity that its oil has too much: one, two, three grades of ISO 3448",
    )
    breather = Wear(
        "0 %",
        mild="95 %",
        marginal="99 %",
        failed="100 %",
        notice="with the rods right out it howls and goes slow; the filler cap sighs when it is opened",
        meaning="share of its breather that dirt has plugged",
        most="100 %",
    )
    content = State("0 m3", nominal="1 cm3")  # gained since the start
    air = Latched("0 %")  # that the oil takes round, besides that of the rig's
    rounds = Latched("0")  # how often its oil has gone round since air was left in
    over = Latched("0 bar")  # gauge pressure of the air over its oil

    @classmethod
    def oil(cls, values: Mapping[str, float]) -> tuple[float, float]:
        """Return what the viscosity of the rig's oil is multiplied by, and what air it has besides.

        Oil of a grade is about 1.47 times as thick as that of the one below (ISO 3448).
        """
        return (1 - min(values["thinned"], 0.9)) * (1 + values["thickened"]), values["air"]

    @classmethod
    def latch(cls, values: Mapping[str, float]) -> dict[str, float]:
        """Return how much air the oil has, and the pressure of that over it."""
        return cls._aired(values) | cls._breathed(values)

    @staticmethod
    def _breathed(values: Mapping[str, float]) -> dict[str, float]:
        """Return the pressure of the air over the oil: it fills what oil has left, and evens out by the breather.

        A clean one passes the pump's flow with some hundredths of a bar (common practice, no source).
        """
        if not values["breather"]:
            return {"over": 0.0}
        volume, length = values["volume"], values["call.length"]
        now = max((_AIR + min(values["missing"], 0.95)) * volume - values["content"], _LEAST_AIR * volume)
        before = max(now + values["flow"] * length, _LEAST_AIR * volume)
        over = (values["over"] + ATMOSPHERE) * before / now - ATMOSPHERE
        over *= math.exp(-length * max(1 - values["breather"], _SEEPS) / _BREATHES)
        return {"over": min(max(over, -_GIVES), _GIVES)}

    @staticmethod
    def _aired(values: Mapping[str, float]) -> dict[str, float]:
        """Return how much air the oil has: it comes in within seconds and takes a minute to rise out of it again.

        From 35 % of the volume down to 15 % the oil covers the intake less and less; common practice, no source.
        """
        share = 1 - min(values["missing"], 0.95) + values["content"] / values["volume"]
        if share > _COVERED and not (values["froth"] or values["left_in"] or values["air"]):
            return {"rounds": 0.0}
        taken, rounds, drawn = 0.0, values["rounds"] if values["left_in"] else 0.0, values["drawn"]
        if drawn > _DRAWS:
            bare = min(max((_COVERED - share) / (_COVERED - _BARE), 0.0), 1.0)
            rounds += drawn * values["call.length"] / values["volume"]
            taken = max(values["froth"], bare * _MOST_AIR, values["left_in"] * math.exp(-rounds))
        time = _MIXES if taken > values["air"] else _RISES
        more = (min(taken, _MOST_AIR) - values["air"]) * -math.expm1(-values["call.length"] / time)
        return {"air": values["air"] + more, "rounds": rounds}

    def equations(self, at: At) -> Law:
        """Return the tank's law: two lines at the pressure of its air, content by their flows."""
        flow = at.given.S + at.given.T
        filled = at.volume * (1 - clip(at.missing, 0, 0.95))
        return Law(
            carries={"S": at.over, "T": at.over},
            rate={"content": flow},
            supply={"air": -at.given.S * at.h.S - at.given.T * at.h.T},
            readings={
                "content": (filled + at.content, "volume"),
                "flow": (flow, "flow"),
                "drawn": (-at.given.S, "flow"),
                "heat_capacity": (
                    filled * at.oil.density * HEAT_CAPACITY + at.steel * 480.0,
                    "heat capacity",
                ),
                "heat_to_air": (at.cooling * (at.oil.temperature - at.ambient), "power"),
            },
        )

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield the heat that the tank gives to the air, and how long its oil rests."""
        thousand = "" if at.fine else " / 1000"
        yield Working(
            at.part, tr("Heat that the tank gives to the air"),
            at.reading("Pt", "heat_to_air", tr("through its walls")),
            (
                at.number("k", "cooling", tr("walls of the tank"), COOLING),
                at.warmth("θ", tr("oil in the tank")),
                at.number("θa", "ambient", tr("air"), pair("C", 1, "F", 1)),
            ),
            (f"Pt = k · ( θ − θa ){thousand}", "Pt = k · ( θ − θa ) / ( 60 · 42.41 )"),
        )  # fmt: skip
        drawn = -at.enters("S")
        if drawn > at.moves:
            content = at.reading("Vo", "content", tr("oil in the tank"), (), pair("L", 1, "gal", 2))
            flow = at.flow_at("S", drawn, source=tr("drawn by the pump"))
            yield Working(
                at.part, tr("How long the oil rests in the tank"),
                at.term("t", content.value / drawn, "time", tr("from return to suction"), (), pair("s", 0, "s", 0)),
                (content, flow), ("t = Vo · 60 / q",) * 2,
            )  # fmt: skip
