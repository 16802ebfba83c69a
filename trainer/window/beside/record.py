"""What is recorded of two rigs beside each other: what their pumps give and what their drives pay, in step."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from trainer.pairing.figures import OVER_TIME, QUANTITIES, Gauge, Scales
from trainer.pairing.pair import Pair
from trainer.window.strip.record import Record

__all__ = ["PairRecord", "column_of"]


def column_of(side: int, name: str) -> str:
    """Return the column of a figure of the first rig (0) or the second (1)."""
    return f"{side + 1} {name}"


class PairRecord(Record):
    """The figures of ``OVER_TIME`` of both rigs of a pair, by ``column_of``; ``scales`` reach what is recorded."""

    def __init__(self, pair: Pair, gauges: Sequence[Gauge], scales: Scales) -> None:
        columns = [column_of(side, name) for side in range(len(gauges)) for name in OVER_TIME]
        super().__init__(columns, pair.time)
        self.pair, self.gauges, self.scales = pair, gauges, scales
        self.take()

    def take(self) -> None:
        """Take the instant at which both stand."""
        if not self.show(self.pair.time, self.pair.end):
            return
        row: list[float] = []
        for gauge, session in zip(self.gauges, self.pair.both, strict=True):
            found = gauge.at_pump(session.readings)
            row += [found[name] for name in OVER_TIME]
            for name in OVER_TIME:
                self.scales.reach(QUANTITIES[name][1], found[name])
        self.push(np.array(row))

    def value(self, side: int, name: str, time: float) -> float:
        """Return a figure of a side at an instant [SI]; nan where nothing was recorded."""
        return self.series.value(column_of(side, name), time)
