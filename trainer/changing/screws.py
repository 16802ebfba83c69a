"""The set screw of a valve or pump: a lock-nut that is loosened first, turns in eighths, a spring with an end."""

from __future__ import annotations

import math

from trainer.changing.adjustables import Adjustable
from trainer.changing.changes import AS_IN_FILE, Changes, Step
from trainer.language import mark, tr
from trainer.rig.names import part_title
from trainer.rig.rig import Rig
from trainer.units import System

__all__ = ["EIGHTH", "PITCH", "SAFETY", "SPRINGS", "TURNS", "Screw", "held", "screws"]

EIGHTH = 1 / 8  # turn
# Relief springs up to these settings [Pa]; the one that is fitted reaches a tenth above the file's setting.
# TURNS turns of the screw take it from slack to its highest setting. Common practice, no source.
SPRINGS = (50e5, 100e5, 200e5, 320e5, 480e5)
TURNS = 5.0
PITCH = 1e-3  # of the screw's thread, where the spring itself is given [m per turn]; common practice, no source
SAFETY = mark(
    "Set a relief only with the maker's figures and a gauge on the line. Back it off first, bring it up with the "
    "function held for a few seconds at a time, and never above what the weakest part of the circuit may bear."
)


def screws(rig: Rig) -> dict[str, tuple[str, ...]]:
    """Return the parts with set screws, and the parameters that they turn."""
    turned = {id_: fitted.part.screws(fitted.choice) for id_, fitted in rig.parts.items()}
    return {id_: parameters for id_, parameters in turned.items() if parameters}


def held(changes: Changes, name: str) -> Screw | None:
    """Return the screw that a number is set with where its lock-nut is tight: no hand changes the number then.

    None for all other numbers. Whoever writes one is held by the same nut as who turns.
    """
    part, _, own = name.partition(".")
    if own not in screws(changes.session.rig).get(part, ()) or name in changes.loose:
        return None
    return Screw(changes, part, own)


class Screw:
    """One set screw: clockwise raises. A pressure goes by the spring's range over TURNS, a preload by PITCH, a turn.

    Turning wants the lock-nut loose, and a tightened nut adds nothing to the setting. Whether the nut is loose is
    kept in ``changes``.
    """

    def __init__(self, changes: Changes, part: str, parameter: str) -> None:
        self.changes = changes
        self.name = f"{part}.{parameter}"
        self.about: Adjustable = changes.known[self.name]

    @property
    def title(self) -> str:
        """What it belongs to, such as "Relief valve 0V1"."""
        return part_title(self.changes.session.rig, self.about.part)

    @property
    def present(self) -> float:
        """What it is set to: a pressure [Pa] or a preload [m]."""
        value = self.changes.value(self.name)
        assert not isinstance(value, str)
        return value

    @property
    def spring(self) -> float:
        """The highest setting of its spring [Pa]; the limit of the preload [m] where the spring itself is given.

        The spring is the file's, or the strongest that a setting asked for since: it stays in when the screw is
        turned out again.
        """
        if self.about.quantity != "pressure":
            return self.about.high
        return self._reaching(max(1.1 * self._own, self.present, *self._written()))

    @property
    def _own(self) -> float:
        return self.changes.original.value(self.about.part, self.about.own)

    def _written(self) -> list[float]:
        """Return what it has been set to since the machine was as in its file [Pa]."""
        found = [0.0]
        for step in reversed(self.changes.done):
            if step.what == AS_IN_FILE:
                break
            found += [float(one.after) for one in step.all if one.name == self.name]
        return found

    def _reaching(self, setting: float) -> float:
        """Return the highest setting of the weakest spring that reaches one [Pa]."""
        return min(next((top for top in SPRINGS if top >= setting * (1 - 1e-9)), SPRINGS[-1]), self.about.high)

    def wants(self, value: float, system: System) -> str:
        """Return that a setting wants another spring than the one that is in, in a sentence; else nothing."""
        if self.about.quantity != "pressure" or value <= self.spring * (1 + 1e-9):
            return ""
        reaches, other = (self.about.shown(top, system) for top in (self.spring, self._reaching(value)))
        return tr("The spring of {part} reaches {reaches}: one up to {other} is put in.").format(
            part=self.about.part, reaches=reaches, other=other
        )

    @property
    def per_turn(self) -> float:
        """What one turn does [Pa or m]."""
        if self.about.quantity != "pressure":
            return PITCH
        return next((top for top in SPRINGS if top >= self.spring * (1 - 1e-9)), SPRINGS[-1]) / TURNS

    @property
    def turns(self) -> float:
        """How far it is turned in, from slack."""
        return self.present / self.per_turn

    @property
    def pressure(self) -> float:
        """The pressure at which it passes its rated flow now [Pa]."""
        if self.about.quantity == "pressure":
            return self.present
        asked, part = self.changes.session.asked, self.about.part
        rate, lift, area = (asked(f"{part}.{own}") for own in ("spring", "lift", "area"))
        return rate * (self.present + lift) / area

    @property
    def loose(self) -> bool:
        """Whether its lock-nut is loose."""
        return self.name in self.changes.loose

    def loosen(self) -> None:
        """Loosen the lock-nut; the setting stays."""
        self.changes.loose.add(self.name)

    def tighten(self) -> None:
        """Tighten the lock-nut; the setting stays."""
        self.changes.loose.discard(self.name)

    def question(self, value: float, system: System) -> str:
        """Return what there is to do before and after a number is set while the lock-nut is tight."""
        before, after = self.about.figures(self.present, system), self.about.shown(value, system)
        told = (
            tr("The lock-nut of {part} is tight.").format(part=self.about.part),
            self.wants(value, system),
            tr("Loosen it, set {before} → {after} with the screw, and tighten it again?").format(
                before=before, after=after
            ),
        )
        return " ".join(filter(None, told))

    @property
    def notice(self) -> str:
        """A sentence while the lock-nut is loose, else nothing."""
        return (
            tr("The lock-nut of {part} is loose: its setting can creep. Tighten it.").format(part=self.about.part)
            if self.loose
            else ""
        )

    def turn(self, eighths: int, going_on: bool = False) -> Step | None:
        """Turn by eighths of a turn, clockwise positive. Raises ValueError: nut tight, screw at its end."""
        if not self.loose:
            raise ValueError(tr("Loosen the lock-nut of {part} first.").format(part=self.about.part))
        low, high = self.about.low, self.spring
        wanted = self.present + eighths * EIGHTH * self.per_turn
        value = min(max(wanted, low), high)
        if math.isclose(value, self.present, rel_tol=1e-12):
            end = (
                tr("The screw of {part} is all the way in: a higher setting wants a stronger spring.")
                if eighths > 0
                else tr("The screw of {part} is all the way out: the spring is slack.")
            )
            raise ValueError(end.format(part=self.about.part))
        return self.changes.set(self.name, value, going_on)

    def rule(self, system: System) -> str:
        """Return what a turn does, in words, and how far the spring reaches."""
        turn = tr("a turn is {shown}, clockwise raises").format(shown=self.about.shown(self.per_turn, system))
        if self.about.quantity != "pressure":
            return turn
        own = self.spring == self._reaching(1.1 * self._own)
        words = (
            tr("{turn}; the spring reaches {end}") if own else tr("{turn}; the spring, not the file's, reaches {end}")
        )
        return words.format(turn=turn, end=self.about.shown(self.spring, system))
