"""What differs between two states of one rig: numbers, words, loads, oil and instruments, in words."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from trainer.changing.adjustables import OIL, Adjustable, Value, adjustables
from trainer.language import tr
from trainer.parts.part import Control, Parameter
from trainer.rig.names import measured_at
from trainer.rig.rig import Rig
from trainer.units import System

__all__ = ["Difference", "differences", "start_of"]


@dataclass(frozen=True, slots=True)
class Difference:
    """What is not as in the rig's file. ``about`` is None for an instrument, whose values are words.

    ``instead`` is what a number would follow to that is said only so that it stays.
    """

    name: str
    was: Value
    now: Value
    about: Adjustable | None = None
    instead: float | None = None

    @property
    def title(self) -> str:
        """What it is of: the title of a part, the name of an instrument."""
        return self.about.title if self.about is not None else self.name

    def words(self, system: System) -> str:
        """Return it in words, such as "Relief valve 0V1: pressure at rated flow 180 → 160 bar"."""
        return f"{self.title}: {self.told(system)}"

    def told(self, system: System) -> str:
        """Return what is told of it below its title, such as "pressure at rated flow 180 → 160 bar"."""
        if self.about is not None and self.instead is not None:
            stays, other = (self.about.shown(value, system) for value in (self.now, self.instead))
            return tr("{meaning} stays {stays}, where it would follow the pump to {other}").format(
                meaning=self.about.meaning, stays=stays, other=other
            )
        if self.about is not None:
            return self.about.step(self.was, self.now, system)
        if not self.was:
            return tr("{now}, fitted").format(now=self.now)
        return tr("{was}, taken off").format(was=self.was) if not self.now else f"{self.was} → {self.now}"


def start_of(rig: Rig, about: Adjustable) -> float:
    """Return what a number or a load is at a rig's start [SI], and the oil's temperature [C]."""
    name = about.started or about.name
    own = name.partition(".")[2]
    if about.part == OIL:
        return float(getattr(rig.oil, own))
    if own in rig.parts[about.part].part.declared(Control):
        return rig.start.get(name, float(about.usual))
    return rig.value(about.part, own)


def differences(was: Rig, now: Rig, known: Mapping[str, Adjustable] | None = None) -> list[Difference]:
    """Return what differs between two states of one rig; what follows from another change is not told.

    ``known`` are its ``adjustables``, where they are at hand.
    """
    found = []
    for name, about in (known or adjustables(was)).items():
        if about.run:
            continue
        if about.part != OIL and not about.started and was.parts[about.part] == now.parts.get(about.part):
            continue
        before, after = _of(was, about), _of(now, about)
        told = about.part == OIL or bool(about.started) or bool(about.options)
        told = told or any(about.own in rig.parts[about.part].values for rig in (was, now))
        if before != after and told:
            found.append(Difference(name, before, after, about))
        elif (instead := _followed(was, now, about)) is not None and instead != after:
            found.append(Difference(name, before, after, about, instead))
    return [*found, *_instruments(was, now)]


def _of(rig: Rig, about: Adjustable) -> Value:
    if about.options and about.part == OIL:
        return str(getattr(rig.oil, about.own))
    if about.options:
        return rig.parts[about.part].choice(about.own)
    return start_of(rig, about)


def _followed(was: Rig, now: Rig, about: Adjustable) -> float | None:
    """Return what a number would follow to [SI] that only the later rig says, None for all others."""
    fitted = now.parts.get(about.part) if not about.started else None
    if fitted is None or about.own not in fitted.values or about.own in was.parts[about.part].values:
        return None
    if not fitted.part.declared(Parameter)[about.own].follows:
        return None
    plain = replace(fitted, values={own: value for own, value in fitted.values.items() if own != about.own})
    return replace(now, parts={**now.parts, about.part: plain}).value(about.part, about.own)


def _instruments(was: Rig, now: Rig) -> Iterator[Difference]:
    for name in [*was.instruments, *(name for name in now.instruments if name not in was.instruments)]:
        before, after = was.instruments.get(name), now.instruments.get(name)
        if before != after:
            pairs = ((was, before), (now, after))
            words = [f"{tr(one.kind)}, {measured_at(rig, one)}" if one is not None else "" for rig, one in pairs]
            if words[0] == words[1]:
                words[1] += tr(", other range or label")
            yield Difference(name, words[0], words[1])
