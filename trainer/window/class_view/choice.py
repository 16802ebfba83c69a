"""What the instructor has chosen to be read before the class: a large dial and figures, figures, or nothing."""

from __future__ import annotations

from trainer.rig.rig import Instrument, Rig

__all__ = ["MOST", "Choice"]

MOST = 3  # instruments at once


class Choice:
    """Which instruments are shown. ``traced`` is the name of the one whose trace is drawn, "" for none."""

    def __init__(self, rig: Rig) -> None:
        self.order: list[Instrument] = []
        self.turn = 0  # of which the dial is shown; after all of them come the figures, then nothing
        self.traced = ""
        self.take_rig(rig)
        if self.order:
            self.traced = self.order[0].name

    def take_rig(self, rig: Rig) -> None:
        """Take the instruments of a rig, gauges first; what is gone is shown no more."""
        found = sorted(rig.instruments.values(), key=lambda item: item.kind != "gauge")
        if len(found) != len(self.order):
            self.turn = 0
        self.order = found
        if self.traced not in rig.instruments:
            self.traced = ""

    @property
    def dialled(self) -> bool:
        """Whether the first one is shown as a dial."""
        return self.turn < len(self.order)

    @property
    def shown(self) -> list[Instrument]:
        """The instruments that are shown, that of the dial first."""
        if self.turn > len(self.order):
            return []
        if not self.dialled:
            return self.order[:MOST]
        first = self.order[self.turn]
        return [first, *(item for item in self.order if item is not first)][:MOST]

    def next(self) -> None:
        """Go to the next instrument as the dial, then to figures alone, then to nothing, then begin again."""
        self.turn = (self.turn + 1) % (len(self.order) + 2) if self.order else 1

    def next_trace(self) -> None:
        """Go to the trace of the next instrument that is shown, after the last to none."""
        names = [item.name for item in self.shown]
        at = names.index(self.traced) + 1 if self.traced in names else 0
        self.traced = names[at] if at < len(names) else ""

    def put_first(self, name: str) -> None:
        """Show an instrument as the dial."""
        self.turn = next((k for k, item in enumerate(self.order) if item.name == name), self.turn)
