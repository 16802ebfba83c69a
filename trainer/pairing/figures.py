"""What is measured of each of two rigs, so that it can stand in pairs: the same figures, rounded alike, on one scale.

Powers are those of the power ledger, rounded with it: what goes to the load, into heat and into store sums to what is
paid in as it is printed.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from trainer import units
from trainer.energy.books import FlowBook
from trainer.energy.ledger import rounded
from trainer.engine.network import Network
from trainer.engine.readings import Readings
from trainer.language import mark, tr
from trainer.parts.roles import PrimeMover, Pump
from trainer.units import System, Unit

__all__ = [
    "OVER_TIME",
    "QUANTITIES",
    "STYLES",
    "Figures",
    "Gauge",
    "PassingScales",
    "Scales",
    "figures_of",
    "style_words",
]

QUANTITIES: Mapping[str, tuple[str, str]] = {  # figure -> what it is called, its quantity; in the order shown
    "pressure": (mark("Pressure"), "pressure"),
    "delivery": (mark("Delivery"), "flow"),
    "input": (mark("Input"), "power"),
    "load": (mark("To the load"), "power"),
    "heat": (mark("Heat"), "power"),
    "temperature": (mark("Oil"), "temperature"),
}
OVER_TIME = ("pressure", "delivery", "input")  # figures that are recorded, as a strip shows them
_DECIMALS: Mapping[str, tuple[int, int]] = {  # metric and US
    "pressure": (0, 0), "flow": (1, 1), "power": (2, 2), "temperature": (1, 1),
}  # fmt: skip
STYLES: Mapping[str, str] = {  # kinds of entries of the power ledger, in its order
    "useful": mark("To the load"),
    "past": mark("Past the spools"),
    "relief": mark("Over a relief"),
    "pump": mark("Pump"),
    "metering": mark("Metering edges"),
    "lines": mark("Lines, filter, friction"),
    "friction": mark("Other"),
    "stored": mark("Into motion and pressed oil"),
}
_NO_HEAT = ("useful", "stored")
_NICE = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0)
_LEAST = {"pressure": 100e5, "flow": 10e-3 / 60, "power": 1000.0}  # ends of scales while nothing is larger [SI]
_LEAST_SMALL = {"pressure": 20e5, "flow": 1e-3 / 60, "power": 20.0}  # of rigs that are cranked by hand
_REST, _SPARE = 4.0, 1.25  # seconds after which a scale comes back, and room that it has then
_WARM = (0.0, 100.0)  # ends of the scale of the oil [C]


def figures_of(quantity: str, system: System, small: bool = False) -> tuple[Unit, int]:
    """Return the unit and the decimals of a figure; ``small`` rigs, cranked by hand, show powers in W."""
    unit, decimals = units.shown_with(quantity, system, small)[0], _DECIMALS[quantity][system is System.US]
    if not small or quantity not in ("power", "flow"):
        return unit, decimals
    return unit, 1 if unit.symbol == "W" else decimals + 1


def style_words(style: str) -> str:
    """Return what a kind of entries is called."""
    return tr(STYLES[style])


@dataclass(frozen=True, slots=True)
class Figures:
    """What is measured of one rig at an instant, as it is printed.

    ``values`` by figure [SI]; ``texts`` are their figures without a unit. ``shares`` are what the power paid in went
    into, by style of the ledger [W], ``share_texts`` printed; ``total`` is all that is paid in [W], ``given`` what of
    it no drive pays (a load coming down), with ``total_text`` and ``given_text``, the latter "" for nothing.
    """

    values: Mapping[str, float]
    texts: Mapping[str, str]
    shares: Mapping[str, float]
    share_texts: Mapping[str, str]
    total: float
    given: float
    total_text: str
    given_text: str


class Gauge:
    """Measures one rig, a ``small`` one in small units. ``styles`` are the kinds of entries of its power ledger."""

    def __init__(self, network: Network, small: bool = False) -> None:
        rig = network.rig
        self.small = small
        self.book = FlowBook(network)
        self.outlets = [(id_, port) for id_, role in rig.having(Pump).items() for port in role.outlets]
        drives = {f"power.from.{id_}" for id_ in rig.having(PrimeMover)}
        self._drives = [k for k, payer in enumerate(self.book.power.payers) if payer.id in drives]
        styles = {_style(account.style) for account in self.book.power.accounts}
        self.styles = tuple(style for style in STYLES if style in styles)

    def at_pump(self, live: Readings) -> dict[str, float]:
        """Return what the pumps have to give and what the drive pays at an instant [SI]: what is in ``OVER_TIME``."""
        paid, line_of = self.book.power.values(live)[0], live.network.line_of
        return {
            "pressure": max((live.pressure(line_of[pair]) for pair in self.outlets), default=0.0),
            "delivery": sum(max(-live.flow(*pair), 0.0) for pair in self.outlets),
            "input": float(sum(paid[k] for k in self._drives)),
        }

    def figures(self, live: Readings, system: System) -> Figures:
        """Return what is measured at an instant."""
        unit, decimals = figures_of("power", system, self.small)
        step = unit.factor / 10**decimals
        ledger, at_pump = self.book.power.ledger(live), self.at_pump(live)
        drive = at_pump["input"]
        total, counts = rounded(ledger.total, [entry.value for entry in ledger.entries], step)
        _, (driven, given) = rounded(ledger.total, [drive, ledger.total - drive], step)
        shares, whole = dict.fromkeys(self.styles, 0.0), dict.fromkeys(self.styles, 0)
        for entry, count in zip(ledger.entries, counts, strict=True):
            shares[_style(entry.style)] += entry.value
            whole[_style(entry.style)] += count
        heat = [style for style in self.styles if style not in _NO_HEAT]
        counted = {"input": driven, "load": whole.get("useful", 0), "heat": sum(whole[style] for style in heat)}
        values = {
            **at_pump,
            "load": shares.get("useful", 0.0),
            "heat": sum(shares[style] for style in heat),
            "temperature": live.temperature,
        }

        def printed(count: int) -> str:
            return f"{'−' if count < 0 else ''}{abs(count) / 10**decimals:.{decimals}f}"

        texts = {
            name: printed(counted[name]) if name in counted
            else units.text_in(values[name], *figures_of(quantity, system, self.small))[0]
            for name, (_, quantity) in QUANTITIES.items()
        }  # fmt: skip
        return Figures(
            values, texts, shares, {style: printed(count) for style, count in whole.items()}, ledger.total,
            ledger.total - drive, printed(total), printed(given) if given else "",
        )  # fmt: skip


def _style(style: str) -> str:
    return "lines" if style == "leakage" else style


@dataclass(slots=True)
class Scales:
    """The ends of the scales that both rigs share [SI]; they grow with what is measured, and never shrink."""

    small: bool = False
    _most: dict[str, float] = field(default_factory=dict)

    def take(self, figures: Sequence[Figures]) -> None:
        """Let the scales reach what is measured."""
        for one in figures:
            for name, (_, quantity) in QUANTITIES.items():
                self.reach(quantity, one.total if quantity == "power" else one.values[name])

    def reach(self, quantity: str, value: float) -> None:
        """Let a scale reach a value [SI]."""
        if math.isfinite(value):
            self._most[quantity] = max(self._most.get(quantity, 0.0), value)

    def forget(self) -> None:
        """Begin anew."""
        self._most.clear()

    def unit(self, quantity: str, system: System) -> Unit:
        """Return the unit of a scale."""
        return figures_of(quantity, system, self.small)[0]

    def ends(self, quantity: str, system: System) -> tuple[float, float]:
        """Return the ends of a scale [SI]: zero and a round number of the unit that is shown; 0 to 100 C for oil."""
        if quantity == "temperature":
            return _WARM
        unit = self.unit(quantity, system)
        least = (_LEAST_SMALL if self.small else _LEAST)[quantity]
        wanted = max(self._most.get(quantity, 0.0), least) / unit.factor
        tens = 10.0 ** math.floor(math.log10(wanted))
        return 0.0, next(nice for nice in _NICE if nice * tens >= wanted * (1 - 1e-9)) * tens * unit.factor

    def end_text(self, quantity: str, system: System) -> str:
        """Return the figure of the upper end."""
        unit = self.unit(quantity, system)
        return f"{unit.number(self.ends(quantity, system)[1]):g}"


@dataclass(slots=True)
class PassingScales(Scales):
    """Scales that come back: after ``_REST`` seconds of the run below half of what was reached, to what was needed.

    Between the half and the whole nothing changes, so that a reading that swings moves no scale.
    """

    _low: dict[str, tuple[float, float]] = field(default_factory=dict)  # since when it is below, the most since then

    def pass_on(self, figures: Sequence[Figures], time: float) -> None:
        """Let the scales reach what is measured at an instant of the run [s], or come back."""
        self.take(figures)
        for quantity, name in {quantity: name for name, (_, quantity) in QUANTITIES.items()}.items():
            now = max(one.total if quantity == "power" else one.values[name] for one in figures)
            since, most = self._low.get(quantity, (time, 0.0))
            if not now < self._most.get(quantity, 0.0) / 2 or time < since:
                self._low.pop(quantity, None)
            elif time - since < _REST:
                self._low[quantity] = since, max(most, now)
            else:
                self._most[quantity] = _SPARE * max(most, now)
                del self._low[quantity]
