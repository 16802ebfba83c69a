"""The reference page of a part, from its declarations alone: ports, keys with ranges, wear, controls, readings, law.

Numbers are told in the units of the shop, in either system, or as the declaration writes them (``system`` None), as
they would stand in a rig file.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from trainer import units
from trainer.language import mark, tr
from trainer.parts import CATALOGUE
from trainer.parts.efficiency import HOT, PRESSURES, Curve, curve, words
from trainer.parts.laws import RATED_VISCOSITY
from trainer.parts.model import PartModel
from trainer.parts.part import DEGREES, Choice, Control, Kind, Latched, Parameter, Part, State, Wear
from trainer.parts.roles import GROUPS, Actuator
from trainer.units import System

__all__ = ["Numbers", "Reference", "Table", "efficiencies", "group_of", "groups", "having", "named"]

KINDS = {Kind.OIL: mark("oil"), Kind.SHAFT: mark("shaft"), Kind.ROD: mark("rod")}
Numbers = tuple[Mapping[str, float], Mapping[str, str]]  # a part's numbers [SI] and words, by name
Numbered = Parameter | Control | State | Latched


@dataclass(frozen=True, slots=True)
class Table:
    """Rows below a title, ``heads`` over their columns; ``names``: columns that hold what files have."""

    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    names: frozenset[int] = frozenset({0})


def named(name: str) -> type[Part] | None:
    """Return the part of a class's name, of an older one, or of the trade's term for it; capitals do not matter."""
    wanted = name.replace(" ", "").lower()
    for part in CATALOGUE.values():
        known = (part.__name__, part.plain.name, part.plain.term, *part.replaces)
        if wanted in (one.replace(" ", "").lower() for one in known):
            return part
    return None


def having(word: str) -> list[type[Part]]:
    """Return the parts that have a word in their class's name or in the trade's term, in the catalogue's order."""
    wanted = word.lower()
    return [part for part in CATALOGUE.values() if wanted in f"{part.__name__} {part.plain.term}".lower()]


def group_of(part: type[Part]) -> str:
    """Return where a part is looked for: one of ``roles.GROUPS``."""
    return part.group or part.role.group


def groups() -> Mapping[str, Sequence[type[Part]]]:
    """Return the parts of the catalogue by what they are, in the order of a course, and then by their terms."""
    found: dict[str, list[type[Part]]] = {group: [] for group in GROUPS}
    for part in CATALOGUE.values():
        found[group_of(part)].append(part)
    return {group: sorted(parts, key=lambda part: part.plain.term) for group, parts in found.items() if parts}


def efficiencies(
    part: type[Part], viscosity: float = RATED_VISCOSITY, drops: tuple[float, ...] = PRESSURES,
    given: Mapping[str, float] | None = None, chosen: Mapping[str, str] | None = None,
) -> Curve | None:  # fmt: skip
    """Return a part's efficiencies with its usual numbers, or with those ``given`` [SI]; None where it has none."""
    numbers = {name: one.start for name, one in part.declared(Parameter).items()} | dict(given or {})
    chosen = {name: one.start for name, one in part.declared(Choice).items()} | dict(chosen or {})
    found = part.efficiency(numbers.__getitem__, chosen.__getitem__)
    return None if found is None else curve(found, viscosity, drops)


class Reference:
    """A part's page; ``system`` is that in which numbers are told, None as they are declared.

    ``here`` are the numbers [SI] and words of one in a rig, for its efficiencies; None for the usual ones.
    """

    def __init__(self, part: type[Part], system: System | None = None, here: Numbers | None = None) -> None:
        self.part, self.system, self.here = part, system, here

    @property
    def title(self) -> str:
        """The trade's term for it."""
        return self.part.plain.term

    @property
    def group(self) -> str:
        """Where it is looked for, and its role: what it is to all that ask for one."""
        group, role = tr(group_of(self.part)), tr(self.part.role.title)
        return tr("{group} (role: {role})").format(group=group, role=role) if role else group

    @property
    def example(self) -> str:
        """How it is written in a rig file, with the first two of its numbers."""
        part = self.part
        written = {name: one.written for name, one in part.declared(Parameter).items() if not isinstance(one, Wear)}
        entries = [f'is = "{part.__name__}"', *(f'{name} = "{number}"' for name, number in [*written.items()][:2])]
        return f"1{part.letter}1 = {{ {', '.join(entries)} }}"

    @property
    def law(self) -> str:
        """Its law, and where that is from."""
        return tr(self.part.plain.law)

    # -- numbers ---------------------------------------------------------------------------------------------------

    def _number(self, one: Numbered, value: float, written: str = "", inward: int = 0) -> str:
        """Return a number [SI] of a declaration as it is told, ``written`` being how it is declared.

        A limit is round in US units, ``inward`` 1 up or -1 down.
        """
        if self.system is None and written:
            return written
        symbol = units.symbol_of(written or one.written) if isinstance(one, Parameter) else _usual(one)
        if self.system is not None:
            symbol = units.shop_units(symbol)[self.system is System.US]
            value = units.trade_value(value, one.quantity, self.system, inward) if inward else value
        figures = units.figures(value, units.unit(symbol))
        return f"{figures} {symbol if self.system is None else units.pretty(symbol)}".rstrip()

    def _span(self, one: Parameter | Control, written: tuple[str, str] = ("", "")) -> str:
        low, high = self._number(one, one.low, written[0], 1), self._number(one, one.high, written[1], -1)
        figures, _, unit = low.partition(" ")
        return f"{figures if unit == high.partition(' ')[2] else low} … {high}"

    # -- tables ----------------------------------------------------------------------------------------------------

    @property
    def ports(self) -> Table:
        """Its ports: their kind of line, and what each is."""
        rows = [(port, tr(KINDS[kind]), self._place(port)) for port, kind in self.part.ports.items()]
        return Table(tr("Ports"), (tr("port"), tr("line"), tr("what it is")), tuple(rows))

    def _place(self, port: str) -> str:
        part = self.part
        found = [tr(part.port_names[port])] if port in part.port_names else []
        for entry, word in part.role.places.items() if not found else ():
            ports = getattr(part.role, entry)
            if port == ports or (isinstance(ports, tuple) and port in ports):
                found.append(tr(word))
        if port in part.signals:
            found.append(tr("a pilot line"))
        if port in part.spare:
            found.append(tr("may be on no line"))
        return ", ".join(dict.fromkeys(found))

    @property
    def keys(self) -> Table:
        """What a rig file can say of it: words and numbers, with defaults and ranges."""
        rows = []
        for name, choice in self.part.declared(Choice).items():
            rows.append((name, choice.start, ", ".join(choice.options), choice.meaning))
        for name, one in self.part.declared(Parameter).items():
            if not isinstance(one, Wear):
                usual = self._number(one, one.start, one.written)
                rows.append((name, usual, self._span(one, one.range_written), self._told(one)))
        heads = (tr("key"), tr("default"), tr("range"), tr("what it is"))
        return Table(tr("Keys"), heads, tuple(rows), frozenset({0, 1, 2}))

    def _told(self, one: Parameter) -> str:
        """Return what a number is, and what else holds for it."""
        also = [one.meaning]
        if one.name in self.part.screwed:
            also.append(tr("turned with a screw"))
        if one.follows:
            also.append(tr("where a rig says nothing, the rated flow of its pumps"))
        if one.at_rest:
            also.append(tr("changed at rest"))
        if one.load:
            also.append(tr("belongs to the run, as levers do"))
        return "; ".join(also)

    @property
    def presets(self) -> Table:
        """What a word of a choice sets besides."""
        rows = [
            (name, word, ", ".join(f'{key} = "{value}"' for key, value in written.items()))
            for name, sets in self.part.presets.items()
            for word, written in sets.items()
            if written
        ]
        heads = (tr("key"), tr("word"), tr("other defaults"))
        return Table(tr("What a word sets"), heads, tuple(rows), frozenset({0, 1, 2}))

    @property
    def wear(self) -> Table:
        """What can wear or fail, with its severities and what is noticed of it."""
        rows = []
        for name, one in self.part.declared(Wear).items():
            degrees = [self._number(one, value) for value in one.severities.values()]
            told = one.meaning if one.meaning == one.notice else f"{one.meaning}: {one.notice}"
            rows.append((name, self._number(one, one.start, one.written), *degrees, told))
        heads = (tr("key"), tr("healthy"), *map(tr, DEGREES.values()), tr("what is noticed"))
        return Table(tr("Wear"), heads, tuple(rows))

    @property
    def controls(self) -> Table:
        """What is moved while it runs: a lever, a setting."""
        rows = []
        for name, one in self.part.declared(Control).items():
            ends = " / ".join(filter(None, one.ends))
            told = f"{one.meaning}: {ends}" if ends else one.meaning
            rows.append((name, self._number(one, one.start), self._span(one), told))
        heads = (tr("name"), tr("at the start"), tr("range"), tr("what it is"))
        return Table(tr("Moved by hand"), heads, tuple(rows))

    @property
    def states(self) -> Table:
        """What ``[start]`` can say of it besides, and where it starts otherwise."""
        found = self.part.declared(State) | self.part.declared(Latched)
        rows = [(name, self._number(one, one.start)) for name, one in found.items()]
        return Table(tr("At the start"), (tr("name"), tr("default")), tuple(rows))

    @property
    def readings(self) -> Table:
        """What its law tells at every instant, with the quantity of each."""
        rows = [(name, tr(quantity)) for name, quantity in PartModel(self.part).reads.items()]
        return Table(tr("Readings"), (tr("name"), tr("quantity")), tuple(rows))

    @property
    def tables(self) -> list[Table]:
        """All tables that have rows; that of the efficiencies is another."""
        found = (self.ports, self.keys, self.presets, self.wear, self.controls, self.states, self.readings)
        return [table for table in found if table.rows]

    # -- efficiency ------------------------------------------------------------------------------------------------

    @property
    def efficiency(self) -> Table | None:
        """Volumetric, hydromechanical and overall efficiency over pressure, and the last with hot oil."""
        system = self.system or System.METRIC
        curves = self.curves(tuple(units.trade_value(drop, "pressure", system) for drop in PRESSURES))
        if curves is None:
            return None
        found, hot = curves
        pressure = units.shown_unit("pressure", system)
        columns = zip(found.volumetric, found.mechanical, found.overall, hot.overall, strict=True)
        rows = [
            (f"{units.figures(drop, pressure)} {pressure.pretty}", *(f"{100 * share:.1f} %" for share in shares))
            for drop, shares in zip(found.drops, columns, strict=True)
        ]
        hot_oil = tr("η, hot oil of {viscosity:.0f} mPa·s").format(viscosity=1e3 * HOT)
        speed = f"{found.speed / units.unit('r/min').factor:.0f}"
        title = tr("Efficiency at {speed} r/min, oil of {viscosity:.0f} mPa·s").format(
            speed=speed, viscosity=1e3 * RATED_VISCOSITY
        )
        return Table(title, (tr("drop"), "ηv", "ηhm", "η", hot_oil), tuple(rows), frozenset())

    def curves(self, drops: tuple[float, ...]) -> tuple[Curve, Curve] | None:
        """Return its efficiencies over drops [Pa] with the oil that its numbers are for and with hot oil, or None."""
        given, chosen = self.here or ({}, {})
        found, hot = (efficiencies(self.part, one, drops, given, chosen) for one in (RATED_VISCOSITY, HOT))
        return None if found is None or hot is None else (found, hot)

    @property
    def efficiency_words(self) -> str:
        """How its efficiencies come about, "" where it has none."""
        return words(isinstance(self.part.role, Actuator)) if efficiencies(self.part) is not None else ""


def _usual(one: Control | State | Latched) -> str:
    """Return the unit of what is not declared in one of the shop."""
    if one.quantity == "ratio":
        return "%" if isinstance(one, Control) else ""
    return next(iter((*units.FAVOURED.get(one.quantity, ()), *units.symbols_of(one.quantity))))
