"""What of a rig can be changed, each made from its declaration: meaning, units, limits, usual value."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from trainer import units
from trainer.engine.machine import AT_START
from trainer.errors import UnitError
from trainer.language import tr
from trainer.parts.oil import GRADES
from trainer.parts.part import Choice, Control, Parameter
from trainer.rig.names import part_title
from trainer.rig.rig import OIL_TEMPERATURE, OilSpec, Rig
from trainer.units import UNITS, System

__all__ = ["OIL", "Adjustable", "Value", "adjustables", "owner_title"]

Value = float | str
OIL = "oil"  # stands where a part's id stands
_AIR = ("0.01 %", "20 %")  # limits of the oil's air
_AIR_INDEX = ("1", "1.4")  # of how it is compressed: at the oil's temperature, without any heat given away
_NUMBER = re.compile(r"\s*([+\-−]?(?:\d{1,12}[.,]?\d{0,12}|[.,]\d{1,12})(?:[eE][+\-−]?\d{1,2})?)\s*(\S.*)?")


@dataclass(frozen=True, slots=True)
class Adjustable:
    """One number [SI] or word of a rig: "part.parameter", "part.choice", "part.load", "oil.temperature".

    ``units`` are the symbols in which it is written, metric and US; words have ``options`` instead of limits.
    ``at_rest``: a change needs the rig built anew. ``control``: it is moved as a control. ``run``: it belongs to the
    run, not to the machine: a load, the oil's temperature; how it starts is a number of its own, "part.load@start".
    """

    name: str
    title: str  # of its part
    meaning: str
    usual: Value  # the declaration's default
    quantity: str = ""
    units: tuple[str, str] = ("", "")
    low: float = 0.0
    high: float = 0.0
    options: tuple[str, ...] = ()
    at_rest: bool = False
    control: bool = False
    run: bool = False

    @property
    def part(self) -> str:
        """The id of its part, "oil" for the oil."""
        return self.name.partition(".")[0]

    @property
    def own(self) -> str:
        """Its name in its part."""
        return self.name.partition(".")[2]

    @property
    def started(self) -> str:
        """The name of what has this number at the start, "" for all other numbers."""
        return self.name.removesuffix(AT_START) if self.name.endswith(AT_START) else ""

    def unit(self, system: System) -> str:
        """Return its unit as it is printed, "" for words and plain numbers."""
        return units.pretty(self.units[system is System.US])

    def figures(self, value: Value, system: System) -> str:
        """Return a value without its unit, as ``units.figures`` prints it; a word as it is."""
        if isinstance(value, str):
            return tr(value)
        return units.figures(value, units.unit(self.units[system is System.US]))

    def shown(self, value: Value, system: System) -> str:
        """Return a value with its unit, such as "180 bar"."""
        return f"{self.figures(value, system)} {self.unit(system)}".rstrip()

    def offered(self, system: System) -> Value:
        """Return the usual value as the trade names it: 175 bar, or 2500 psi. Words stay."""
        if isinstance(self.usual, str):
            return self.usual
        return min(max(units.trade_value(self.usual, self.quantity, system), self.low), self.high)

    def span(self, system: System) -> str:
        """Return its limits, such as "5 to 450 bar", round inside them in US units, or its words."""
        if self.options:
            return ", ".join(map(tr, self.options))
        low = units.trade_value(self.low, self.quantity, system, 1)
        high = units.trade_value(self.high, self.quantity, system, -1)
        return tr("{low} to {high}").format(low=self.figures(low, system), high=self.shown(high, system))

    def change(self, before: Value, after: Value, system: System) -> str:
        """Return a change in words, such as "Relief valve 0V1: pressure at rated flow 180 → 160 bar"."""
        return f"{self.title}: {self.step(before, after, system)}"

    def step(self, before: Value, after: Value, system: System) -> str:
        """Return a change without what it is of, such as "pressure at rated flow 180 → 160 bar"."""
        return f"{self.meaning} {self.figures(before, system)} → {self.shown(after, system)}"

    def set_to(self, value: Value, system: System) -> str:
        """Return what it is set to in words: "2V0 at 180 bar", "0P1, oil moved per turn, at 12 cm³/rev"."""
        return tr("{called} at {shown}").format(called=self.called, shown=self.shown(value, system))

    @property
    def called(self) -> str:
        """What it is called in a sentence: "2V0" for a valve's setting, "0P1, oil moved per turn," for others."""
        if self.own == "setting":
            return self.part
        return f"{tr('the oil') if self.part == OIL else self.part}, {self.meaning},"

    def read(self, written: str, system: System) -> Value:
        """Return what was written [SI]. Raises ValueError with a sentence that says what to write."""
        if self.options:
            return self.checked(written.strip())
        span = self.span(system)
        match = _NUMBER.fullmatch(written.strip()) if len(written) <= 60 else None
        if match is None:
            raise ValueError(tr("That is not a number. Write one from {span}.").format(span=span))
        number = match[1].replace(",", ".").replace("−", "-")
        symbol = (match[2] or "").strip()
        own = self.units[system is System.US]
        if not symbol or symbol.lower() in (own.lower(), units.pretty(own).lower()):
            value = units.unit(own).value(float(number))
        else:
            try:
                value = units.read(f"{number} {symbol}", self.quantity)
            except UnitError:
                where = tr("in {unit}").format(unit=self.unit(system)) if own else tr("without a unit")
                raise ValueError(
                    tr("Write the number {where}, from {span}.").format(where=where, span=span)
                ) from None
        for limit in (self.low, self.high):  # a limit as it is printed is the limit
            if self.figures(value, system) == self.figures(limit, system):
                value = limit
        if not self.low <= value <= self.high:
            raise ValueError(
                tr("{written} is out of reach. Write a number from {span}.").format(
                    written=written.strip()[:20], span=span
                )
            )
        return value

    def checked(self, value: Value) -> Value:
        """Return a value that may be set. Raises ValueError with a sentence that says what may."""
        if self.options:
            if value not in self.options:
                raise ValueError(
                    tr("{title}: {value} is no choice. Choose {options}.").format(
                        title=self.title, value=str(value)[:20], options=", ".join(self.options)
                    )
                )
            return value
        if isinstance(value, str) or not self.low <= value <= self.high:  # also what is no number
            told = value[:20] if isinstance(value, str) else self.shown(value, System.METRIC)
            raise ValueError(
                tr("{title}: {meaning}: {told} is out of reach; it goes from {span}.").format(
                    title=self.title, meaning=self.meaning, told=told, span=self.span(System.METRIC)
                )
            )
        return float(value)


def _symbols(written: str) -> tuple[str, str]:
    symbol = re.sub(r"^\s*[-+]?[\d.]+(?:[eE][-+]?\d+)?\s*", "", written).strip()
    symbol = symbol if symbol in UNITS else ""
    return units.shop_units(symbol)


def owner_title(rig: Rig, owner: str) -> str:
    """Return the heading over the numbers of a part, or of the oil."""
    return tr("Oil") if owner == OIL else part_title(rig, owner)


def adjustables(rig: Rig) -> dict[str, Adjustable]:
    """Return all that can be changed of a rig by name: the oil first, then part by part as declared."""
    found = [*_of_oil()]
    for id_, fitted in rig.parts.items():
        title = part_title(rig, id_)
        for own, control in fitted.part.declared(Control).items():
            if control.quantity == "mass":
                found.append(_number(f"{id_}.{own}", title, control, ("kg", "lb"), control=True, run=True))
        for own, choice in fitted.part.declared(Choice).items():
            found.append(
                Adjustable(f"{id_}.{own}", title, choice.meaning, choice.start, options=choice.options, at_rest=True)
            )
        for own, parameter in fitted.part.declared(Parameter).items():
            found.append(
                _number(
                    f"{id_}.{own}",
                    title,
                    parameter,
                    _symbols(parameter.written),
                    at_rest=parameter.at_rest,
                    run=parameter.load,
                )
            )
    return {adjustable.name: adjustable for one in found for adjustable in _with_start(one)}


def _with_start(about: Adjustable) -> tuple[Adjustable, ...]:
    """Return what belongs to the run with the number that it starts with; all else by itself."""
    if not about.run:
        return (about,)
    name, meaning = f"{about.name}{AT_START}", tr("{meaning}, at the start").format(meaning=about.meaning)
    return about, replace(about, name=name, meaning=meaning, run=False, control=False)


def _number(
    name: str,
    title: str,
    declared: Parameter | Control,
    symbols: tuple[str, str],
    at_rest: bool = False,
    control: bool = False,
    run: bool = False,
) -> Adjustable:
    return Adjustable(
        name,
        title,
        declared.meaning,
        declared.start,
        declared.quantity,
        symbols,
        declared.low,
        declared.high,
        at_rest=at_rest,
        control=control,
        run=run,
    )


def _of_oil() -> tuple[Adjustable, ...]:
    plain = OilSpec()
    low, high = (units.read(limit, "ratio") for limit in _AIR)
    isothermal, adiabatic = (units.read(limit, "ratio") for limit in _AIR_INDEX)
    return (
        replace(
            _number(OIL_TEMPERATURE.name, tr("Oil"), OIL_TEMPERATURE, ("C", "F"), run=True), meaning=tr("temperature")
        ),
        Adjustable(
            "oil.grade", tr("Oil"), tr("viscosity grade (ISO 3448)"), plain.grade, options=(*GRADES,), at_rest=True
        ),
        Adjustable(
            "oil.air",
            tr("Oil"),
            tr("air in it, share of its volume at atmospheric pressure"),
            plain.air,
            "ratio",
            ("%", "%"),
            low,
            high,
            at_rest=True,
        ),
        Adjustable(
            "oil.air_index",
            tr("Oil"),
            tr("how its air is compressed: 1 isothermal, 1.4 adiabatic"),
            plain.air_index,
            "ratio",
            ("", ""),
            isothermal,
            adiabatic,
            at_rest=True,
        ),
    )
