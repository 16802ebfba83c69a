"""What a mechanic brings along: the portable flow tester, the cup for a case drain."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.formula import Working
from trainer.language import mark, tr
from trainer.parts.laws import clip, pos, relief
from trainer.parts.part import At, Control, Kind, Law, Loss, Parameter, Part, State, Stream
from trainer.parts.plain import Plain
from trainer.parts.restrictors import Throttle
from trainer.parts.roles import TESTS, Catcher
from trainer.parts.sheet import Sheet
from trainer.units import pair

__all__ = ["FlowTester", "MeasuringCup"]

_POURS = 2.0  # s in which an open cock empties what stands in a cup
_BRIM = 0.01  # share of a cup over which it begins to run over


class FlowTester(Throttle):
    """A flow meter, a gauge and a loading valve in one box, put into a line: oil goes through from 1 to 2.

    The valve raises the pressure before it; a disc beside it bursts before anything else does and opens the way, for
    as long as the pressure lasts.
    """

    symbol = "flow_tester"
    plate = ("disc {disc}",)
    called = "tester"
    letter = "Z"
    group = TESTS
    plain = Plain(
        mark("Portable flow tester"),
        does=mark("It is put into a line to load what feeds it, and to read flow, pressure and heat while it works."),
        works=mark(
            "Oil passes its meter and then a valve. Screwing the valve in raises the pressure by hand, a step at "
            "a time; how much flow is lost on the way tells what the pump slips and what leaks between."
        ),
        set=mark(
            "It is fitted with the rig stopped and without pressure, the arrow with the flow, the valve open, its "
            "outlet never shut. Warm oil, the speed of the sheet, a pressure below the relief's; shut it never "
            "where no relief stands before it."
        ),
        law=mark(
            "That of a throttle; its disc opens from the burst pressure on as a relief does, and shuts again "
            "after it: a real one would have to be renewed (simplified, our own)."
        ),
    )
    words = {**Throttle.words, "disc": "past the burst disc"}
    area = Parameter("60 mm2", low="5 mm2", high="1000 mm2", meaning="area of its valve when fully open")
    disc = Parameter("300 bar", low="20 bar", high="600 bar", meaning="pressure at which its disc bursts")
    disc_flow = Parameter("100 L/min", low="1 L/min", high="1000 L/min", meaning="flow past a burst disc")
    gallery = Parameter("30 cm3", low="1 cm3", high="1 L", meaning="oil on each side of its valve", at_rest=True)

    def equations(self, at: At) -> Law:
        """Return the tester's law."""
        law = super().equations(at)
        burst = relief(at.p["1"] - at.p["2"], at.disc, 1.1 * at.disc, at.disc_flow)
        law.streams["disc"] = Stream("1", "2", burst, Loss.RELIEF)
        law.readings["burst"] = (burst, "flow")
        return law

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield the power of the oil at its inlet, and what a throttle has."""
        flow = at.flow_at("1", at.flow("1"), source=tr("through the meter"))
        pressure = at.at_port("1")
        if flow.value > at.moves:
            yield at.hydraulic(tr("Power of the oil at the tester"), pressure.value * flow.value, pressure, flow)
        yield from super().workings(at)


class MeasuringCup(Part):
    """A graduated cup over the tank: what comes in at 1 stands in it until its cock lets it go by 2.

    Open to the air. What is more than it holds runs over, home as well.
    """

    ports = {"1": Kind.OIL, "2": Kind.OIL}
    carries = ("1",)
    symbol = "cup"
    plate = ("{volume}",)
    letter = "Z"
    called = "cup"
    role = Catcher(caught="caught")
    plain = Plain(
        mark("Measuring cup"),
        does=mark("It catches what drips from a case or past a seal, so that it can be timed."),
        works=mark(
            "A line is led into it instead of home. Shut the cock, wait a minute by the watch, read what stands "
            "in it: volume over time is the leak, and no meter is too coarse for it."
        ),
        set=mark(
            "Readings count at the speed, the pressure and the oil's warmth of the sheet, with the function held. "
            "Compare the same motor light and loaded: the growth tells more than the figure."
        ),
        law=mark("Volume gains what comes in; an open cock lets it go in some seconds (textbooks; our own time)."),
    )
    words = {"poured": "poured back"}
    volume = Parameter("1 L", low="20 cm3", high="20 L", meaning="what it holds", at_rest=True)
    cock = Control("0", low="0", high="1", meaning="cock that empties it", ends=("shut", "open"))
    content = State("0 m3", nominal="1 cm3")  # what stands in it

    def equations(self, at: At) -> Law:
        """Return the cup's law: inlet at zero gauge, content by its flows; the height that it stands at pays them."""
        stands = pos(at.content, 1e-7)
        brim = _BRIM * at.volume
        out = clip(at.cock, 0, 1) * stands / _POURS + pos(at.content - at.volume, brim) / _POURS
        return Law(
            carries={"1": 0.0},
            into={"2": -out},
            rate={"content": at.given["1"] - out},
            supply={"poured": out * at.h["2"]},
            readings={"caught": (at.content, "volume"), "runs": (at.given["1"], "flow"), "leaves": (out, "flow")},
        )

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield what comes in within a minute."""
        runs = at.reading("q", "runs", tr("comes in"), (("flow", f"{at.part}.1"),))
        minute = at.term("t", 60.0, "time", tr("a minute by the watch"))
        fine = pair("cm3", 1, "in3", 3)
        gained = at.term("V", abs(runs.value) * 60.0, "volume", tr("caught then"), (), fine)
        came = at.term("q", abs(runs.value), "flow", runs.source, runs.refers_to)
        yield Working(
            at.part,
            tr("Caught in a minute"),
            gained,
            (came, minute),
            ("V = q · t · 1000 / 60", "V = q · t · 231 / 60"),
        )
