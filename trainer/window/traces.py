"""What the strip records: levers, the first gauge, the speeds that the levers command, sample by sample."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from trainer.drawing.live import Live
from trainer.parts.part import Kind
from trainer.rig import Rig
from trainer.window.names import lever_name

__all__ = ["Ring", "Trace", "Traces", "decimated"]


class Ring:
    """The newest ``count`` rows of numbers, written twice so that they are always one slice."""

    def __init__(self, count: int, columns: int) -> None:
        self._rows = np.full((2 * count, columns), np.nan)
        self.count = count
        self.written = 0

    def push(self, row: tuple[float, ...]) -> None:
        """Add one row."""
        at = self.written % self.count
        self._rows[at] = self._rows[at + self.count] = row
        self.written += 1

    def newest(self) -> np.ndarray:
        """Return all rows kept, oldest first (rows, columns), as a view."""
        at = self.written % self.count
        if self.written < self.count:
            return self._rows[:at]
        return self._rows[at : at + self.count]

    def clear(self) -> None:
        """Forget all rows."""
        self.written = 0


def decimated(times: np.ndarray, values: np.ndarray, first: int, bucket: int) -> tuple[np.ndarray, np.ndarray]:
    """Return (times, values) with the least and the greatest of every bucket of samples, peaks kept.

    ``first`` is the running number of the first sample: buckets stand on absolute numbers, so that peaks do
    not shimmer while the strip scrolls.
    """
    start = -first % bucket
    whole = (len(values) - start) // bucket
    if whole < 2:
        return times, values
    end = start + whole * bucket
    blocks = values[start:end].reshape(whole, bucket)
    low, high = blocks.min(axis=1), blocks.max(axis=1)
    rising = blocks.argmin(axis=1) <= blocks.argmax(axis=1)
    pairs = np.where(rising[:, None], np.stack((low, high), 1), np.stack((high, low), 1)).ravel()
    stamps = np.repeat(times[start:end].reshape(whole, bucket).mean(axis=1), 2)
    return (
        np.concatenate((times[:start], stamps, times[end:])),
        np.concatenate((values[:start], pairs, values[end:])),
    )


@dataclass(frozen=True, slots=True)
class Trace:
    """One trace: its name, quantity, how it is read, its range [SI], whether it may go below zero."""

    name: str
    quantity: str
    read: Callable[[Live], float]
    high: float
    both: bool
    ink: str
    instrument: str = ""  # hides with this instrument


@dataclass(slots=True)
class Traces:
    """All that is recorded, cause first; three of them are shown: a lever, the gauge, the speed that it commands.

    ``pairs`` are (control, place of the lever's trace, place of the speed's or None).
    """

    all: list[Trace]
    pairs: list[tuple[str, int | None, int | None]]
    gauge: int | None
    chosen: int = 0

    @classmethod
    def of(cls, rig: Rig) -> Traces:
        """Return the traces of a rig; without a lever the speed of its first cylinder or motor."""
        found: list[Trace] = []
        pairs: list[tuple[str, int | None, int | None]] = []
        speeds: dict[str, int] = {}

        def speed(actuator: str, name: str) -> int | None:
            made = _speed(rig, actuator, name)
            if made is not None and actuator not in speeds:
                found.append(made)
                speeds[actuator] = len(found) - 1
            return speeds.get(actuator)

        for control in [name for name in rig.controls() if name.endswith(".lever")]:
            part, _, own = control.partition(".")
            name = lever_name(rig, control)
            found.append(Trace(f"{name} lever", "ratio", _reader(part, own), 1.0, True, "accent"))
            lever = len(found) - 1
            actuator = _actuator(rig, part)
            pairs.append((control, lever, speed(actuator, name) if actuator else None))
        if not pairs:
            moved = next((id_ for id_ in rig.parts if _speed(rig, id_, "") is not None), None)
            pairs.append(("", None, speed(moved, "Rod") if moved else None))
        gauge = None
        for instrument in rig.instruments.values():
            if instrument.kind == "gauge":
                read = _pressure(instrument.on)
                found.append(
                    Trace(instrument.name, "pressure", read, instrument.range_, False, "ink", instrument.name)
                )
                gauge = len(found) - 1
                break
        return cls(found, pairs, gauge)

    def choose(self, control: str) -> bool:
        """Show a lever and what it moves; return whether that is another one."""
        for k, (name, _, _) in enumerate(self.pairs):
            if name == control and k != self.chosen:
                self.chosen = k
                return True
        return False

    @property
    def shown(self) -> list[int]:
        """The places of what is shown, from top to bottom."""
        _, lever, speed = self.pairs[self.chosen]
        return [place for place in (lever, self.gauge, speed) if place is not None]


def _reader(part: str, control: str) -> Callable[[Live], float]:
    return lambda live: live.control(part, control)


def _pressure(line: str) -> Callable[[Live], float]:
    return lambda live: live.pressure(line)


def _rate(line: str) -> Callable[[Live], float]:
    return lambda live: live.speed(line)


def _actuator(rig: Rig, section: str) -> str | None:
    """Return the cylinder or motor on a section's work ports."""
    for port in ("A", "B"):
        if port in rig.parts[section].part.ports:
            for id_, _ in rig.line_of(section, port).joins:
                if rig.parts[id_].part.symbol.startswith(("cyl", "motor")):
                    return id_
    return None


def _speed(rig: Rig, actuator: str, name: str) -> Trace | None:
    """Return the trace of a rod's or a shaft's speed, its scale from the pumps' delivery."""
    fitted = rig.parts[actuator]
    flow = _greatest_flow(rig)
    for port, kind in fitted.part.ports.items():
        line = rig.line_of(actuator, port).name
        if kind is Kind.ROD and fitted.part.symbol.startswith("cyl"):
            fastest = max(flow / (math.pi / 4 * fitted.value("bore") ** 2), 1e-3)
            return Trace(f"{name} speed", "speed", _rate(line), fastest, True, "ink")
        if kind is Kind.SHAFT and fitted.part.symbol.startswith("motor"):
            fastest = max(flow / fitted.value("displacement"), 1e-2)
            return Trace(f"{name} motor", "shaft speed", _rate(line), fastest, True, "ink")
    return None


def _greatest_flow(rig: Rig) -> float:
    """Return the end of the first flow meter's scale, else what the pumps deliver [m3/s]."""
    for instrument in rig.instruments.values():
        if instrument.kind == "flow meter":
            return instrument.range_
    return sum(fitted.part.delivery(fitted.value) for fitted in rig.parts.values())
