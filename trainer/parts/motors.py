"""Hydraulic motors whose displacement changes: in two steps, and at will."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.formula import Term, Working
from trainer.language import mark, tr
from trainer.parts.drives import HydraulicMotor
from trainer.parts.laws import clip, ramp, smooth_abs
from trainer.parts.part import At, Control, Expr, Law, Parameter, State
from trainer.parts.plain import Plain
from trainer.parts.sheet import PERCENT, Sheet

__all__ = ["TwoSpeedMotor", "VariableMotor"]


class _Changing:
    """What a motor has of which a part of the displacement is taken; that follows what is asked within a time."""

    symbol = "motor_var"
    least = Parameter("50 %", low="10 %", high="95 %", meaning="small displacement, of the whole")
    shifting = Parameter("0.15 s", low="20 ms", high="5 s", meaning="time by which its displacement follows")
    share = State("1", nominal="1")

    @classmethod
    def size(cls, at: Sheet) -> Term:
        """Return the oil that a turn takes as it stands."""
        return at.reading("V", "size", tr("displacement as it stands"))


def _law(at: At, wanted: Expr) -> Law:
    """Return the law of a motor that wants a share of its displacement, 0 for the small, 1 for the whole one."""
    taken = at.least + (1 - at.least) * clip(at.share, 0, 1)
    law = HydraulicMotor.law(at, at.displacement * taken)
    law.rate["share"] = (wanted - at.share) / at.shifting
    law.readings["taken"] = (taken, "ratio")
    law.readings["size"] = (at.displacement * taken, "displacement")
    return law


def _taken(at: Sheet, size: Term) -> Working:
    """Return a motor's displacement as it stands."""
    whole = at.number("Vm", "displacement", tr("whole displacement"))
    taken = at.reading("s", "taken", tr("of it"), (), PERCENT)
    return Working(at.part, tr("Displacement as it stands"), size, (whole, taken), ("V = Vm · s / 100",) * 2)


class TwoSpeedMotor(_Changing, HydraulicMotor):
    """A motor with two displacements: the whole one, and a part of it for speed.

    Half the displacement gives twice the speed and half the torque from the same oil.
    """

    plate = ("{displacement}", "fast {least}")
    plain = Plain(
        mark("Two-speed motor"),
        does=mark("It turns slowly and strongly, or fast and with less force, at the turn of a switch."),
        works=mark(
            "A valve takes part of its chambers out of the circuit. The oil for a turn becomes less, so the same "
            "flow turns it faster, and the same pressure gives less torque: power stays what it was."
        ),
        set=mark(
            "It is shifted down before a slope, not on it: in the fast step its pressure is as much higher as its "
            "displacement is smaller: it stalls where the slow step would still pull."
        ),
        law=mark(
            "That of a motor with the displacement as it stands, which follows the switch within a time. Half of "
            "it: twice the speed and half the torque from the same oil (textbooks of fluid power)."
        ),
    )
    shift = Control("0", low="0", high="1", meaning="slow step or fast step", ends=("slow", "fast"))

    def equations(self, at: At) -> Law:
        """Return the motor's law; its valve opens in the middle of the lever's way."""
        return _law(at, 1 - ramp(clip(at.shift, 0, 1)))

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield its displacement as it stands, and what every motor has."""
        yield _taken(at, cls.size(at))
        yield from super().workings(at)


class VariableMotor(_Changing, HydraulicMotor):
    """A motor whose displacement is set at will, and grows by itself when its pressure gets too high.

    The override is a spring in proportion: from its setting on, ``band`` of pressure takes it to the whole
    displacement.
    """

    plate = ("{displacement}", "{override}")
    plain = Plain(
        mark("Variable motor"),
        does=mark("Its speed and torque are traded against each other at will, from the same oil."),
        works=mark(
            "Its swash plate is tipped less for speed, more for torque. A spring-loaded spool feels the pressure "
            "and tips it further when a slope comes, so that the drive gets slower and stronger without a hand."
        ),
        set=mark(
            "The smallest displacement is limited by the speed that the motor bears. The override stands under "
            "the relief, else the drive stalls over the relief while it could still shift down."
        ),
        law=mark(
            "That of a motor with the displacement as it stands: what is asked, or from the override on so much "
            "more as the pressure rises through a band; it follows within a time (textbooks of fluid power)."
        ),
    )
    asked = Control("1", low="0", high="1", meaning="displacement that is asked for", ends=("small", "whole"))
    least = Parameter("30 %", low="10 %", high="95 %", meaning="small displacement, of the whole")
    override = Parameter(
        "200 bar", low="20 bar", high="450 bar", meaning="pressure from which it takes more by itself"
    )
    band = Parameter("40 bar", low="5 bar", high="200 bar", meaning="pressure by which it then takes all")

    def equations(self, at: At) -> Law:
        """Return the motor's law; the larger of what is asked and what the pressure asks counts."""
        high = (at.p.A + at.p.B + smooth_abs(at.p.A - at.p.B, 1e5)) / 2
        forced = clip((high - at.override) / at.band, 0, 1)
        asked = clip(at.asked, 0, 1)
        return _law(at, 1 - (1 - asked) * (1 - forced))

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield its displacement as it stands, and what every motor has."""
        yield _taken(at, cls.size(at))
        yield from super().workings(at)
