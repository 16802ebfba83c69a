"""Traces of the strip: what each of them is, and which of them are shown."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, field

from trainer.language import mark, tr
from trainer.rig.rig import Instrument

__all__ = ["MOST", "Key", "Trace", "Traces"]

MOST = 4  # traces on the strip
Key = tuple[str, ...]  # as the readings have it, or "control", "tank", "skin", "dial" and a name
_NUMBERS = {1: mark("one"), 2: mark("two"), 3: mark("three"), 4: mark("four")}


@dataclass(frozen=True, slots=True)
class Trace:
    """One trace: its column in the time series, what it is called, the part it belongs to, its quantity.

    ``reads`` are summed and multiplied by ``sign`` [SI]; ``high`` is the first end of its scale [SI], ``both`` says
    that it goes below zero. ``dial`` is the instrument whose needle it is, read off as on its dial; None for what is
    there, whatever a needle shows. It hides with one of its ``instruments``, or with the pressure of its ``line``.
    """

    column: str
    name: str
    group: str
    quantity: str
    reads: tuple[Key, ...]
    high: float
    both: bool = False
    ink: str = "ink"
    sign: float = 1.0
    instruments: tuple[str, ...] = ()
    line: str = ""
    dial: Instrument | None = None

    @property
    def instrument(self) -> str:
        """The instrument that shows the same, or nothing."""
        return self.instruments[0] if self.instruments else ""


@dataclass(slots=True)
class Traces:
    """All that is recorded, and what of it is shown: by the lever moved last, or as the user has chosen.

    ``pairs`` are (control, place of the lever's trace, place of the speed's or None).
    """

    all: list[Trace]
    pairs: list[tuple[str, int | None, int | None]]
    gauge: int | None
    chosen: int = 0
    wanted: list[str] | None = None  # columns that the user has chosen
    _places: dict[str, int] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        self._places = {trace.column: k for k, trace in enumerate(self.all)}

    def of_instrument(self, name: str) -> Trace | None:
        """Return the trace of what an instrument reads: its own, else that of what it measures."""
        found = [trace for trace in self.all if name in trace.instruments]
        return next((trace for trace in found if trace.name == name), found[0] if found else None)

    def choose(self, control: str) -> bool:
        """Show a lever and what it moves; return whether that changes what is shown."""
        for k, (name, _, _) in enumerate(self.pairs):
            if name == control and k != self.chosen:
                self.chosen = k
                return self.wanted is None
        return False

    def place(self, column: str) -> int | None:
        """Return the place of a trace by its column, or None."""
        return self._places.get(column)

    @property
    def first(self) -> list[int]:
        """The places of the first choice: the lever moved last, the first gauge, the speed that it commands."""
        _, lever, speed = self.pairs[self.chosen]
        return [place for place in (lever, self.gauge, speed) if place is not None]

    @property
    def shown(self) -> list[int]:
        """The places of what is shown, from top to bottom."""
        if self.wanted is None:
            return self.first
        return [place for place in map(self.place, self.wanted) if place is not None]

    def hidden(
        self, covered: Collection[str], lines: Collection[str], kinds: Collection[str], unseen: bool = False
    ) -> set[int]:
        """Return the places of traces whose values must not be told.

        ``covered`` are instruments, ``lines`` those whose pressure is hidden, ``kinds`` of the covered instruments:
        as in the ledgers, a covered gauge hides powers, a covered flow meter deliveries; as on the drawing, it hides
        the speeds of rods, which would tell them. ``unseen`` leaves only what hands do.
        """
        if unseen:
            hands = {place for _, place, _ in self.pairs}
            return {k for k in range(len(self.all)) if k not in hands}
        if not covered:
            return set()
        quantities = {"power"} if "gauge" in kinds else set()
        quantities |= {"flow", "speed"} if "flow meter" in kinds else set()
        return {
            k
            for k, trace in enumerate(self.all)
            if trace.quantity in quantities
            or trace.line in lines
            or any(name in covered for name in trace.instruments)
        }

    def want(self, columns: list[str] | None) -> None:
        """Show these from now on, or the first choice again; names that are not recorded are passed over."""
        known = [column for column in columns or () if self.place(column) is not None]
        self.wanted = known[:MOST] or None

    def change(self, column: str) -> str:
        """Add a trace to what is shown, or take it away; return why not, or nothing."""
        now = [self.all[place].column for place in self.shown]
        if column in now and len(now) == 1:
            return tr("One trace stays on the strip. Choose another one first.")
        if column not in now and len(now) >= MOST:
            return tr("The strip has room for {numbers} traces. Take one away first, in the list (F2).").format(
                numbers=tr(_NUMBERS[MOST])
            )
        self.want([name for name in now if name != column] if column in now else [*now, column])
        return ""
