"""What is set of hands by the page of hands: patterns, what leads a lever, how an axis is felt, calibrating."""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal

from msgspec.structs import replace

from trainer.language import tr, trn
from trainer.operating.axes import Calibrating, Travel
from trainer.operating.hands_kept import LONGEST, RigHands
from trainer.operating.patterns import Lead, Pattern
from trainer.operating.sticks import Pad, Sticks

__all__ = ["Setup"]


class Setup:
    """Changes what ``sticks`` keep, for the rig whose ``hands`` are given; ``keep`` is called after each change.

    ``asked`` is the lever for whose + way a stick is to be pushed, "" for none; ``calibrating`` what finds travels,
    while it does; ``told`` what came of it.
    """

    def __init__(self, sticks: Sticks, hands: Callable[[], RigHands], keep: Callable[[], object]) -> None:
        self.sticks, self._hands, self._keep = sticks, hands, keep
        self.asked = ""
        self.calibrating: Calibrating | None = None
        self.told = ""

    # -- patterns ----------------------------------------------------------------------------------------------

    @property
    def hands(self) -> RigHands:
        """The patterns of the open rig."""
        return self._hands()

    @property
    def pattern(self) -> Pattern:
        """The chosen one."""
        return self.hands.patterns[self.hands.chosen]

    def choose(self, place: int) -> None:
        """Choose a pattern by its place."""
        self.hands.chosen = place
        self._changed()

    def _put(self, pattern: Pattern) -> None:
        self.hands.patterns[self.hands.chosen] = pattern
        self._changed()

    def _changed(self) -> None:
        self.sticks.pattern = self.pattern
        self.sticks.stand_off()
        self._keep()

    def _free_name(self, wanted: str) -> str:
        """Return a name that no other pattern has."""
        taken = {one.name for k, one in enumerate(self.hands.patterns) if k != self.hands.chosen}
        if wanted not in taken:
            return wanted
        return next(name for k in range(2, 99) if (name := f"{wanted[: LONGEST - 3]} {k}") not in taken)

    def add(self) -> None:
        """Make one more like the chosen one, and choose it."""
        hands = self.hands
        taken = {one.name for one in hands.patterns}
        names = (tr("Own pattern {k}").format(k=k) for k in range(1, 99))
        hands.patterns.append(replace(self.pattern, name=next(name for name in names if name not in taken)))
        self.choose(len(hands.patterns) - 1)

    def name(self, words: str) -> None:
        """Give the chosen one a name, where there are words."""
        if words.strip():
            self._put(replace(self.pattern, name=self._free_name(" ".join(words.split())[:LONGEST])))

    def remove(self) -> None:
        """Delete the chosen one; the last one stays."""
        hands = self.hands
        if len(hands.patterns) > 1:
            del hands.patterns[hands.chosen]
            self.choose(max(hands.chosen - 1, 0))

    # -- what leads a lever ------------------------------------------------------------------------------------

    def lead(self, control: str, slot: str) -> None:
        """Let a slot lead a lever the way it was led, "" for none."""
        before = self.pattern.leads.get(control)
        turned = before is not None and before.turned
        self._put(self.pattern.led(control, Lead(slot, turned) if slot else None))

    def turn(self, control: str, turned: bool) -> None:
        """Let what leads a lever do so the other way round."""
        before = self.pattern.leads.get(control)
        if before is not None:
            self._put(self.pattern.led(control, replace(before, turned=turned)))

    def ask(self, control: str) -> None:
        """Take the next stick that is pushed for a lever's + way; "" asks for none any more."""
        self.asked = control
        self.sticks.stand_off()

    # -- travels -----------------------------------------------------------------------------------------------

    def axis_of(self, control: str) -> tuple[Pad, str] | None:
        """Return the controller and the axis that lead a lever now, None where none does."""
        lead = self.pattern.leads.get(control)
        found = ((pad, name) for pad in self.sticks.pads for name in pad.axes)
        return next((one for one in found if lead is not None and self.sticks.slot(*one) == lead.slot), None)

    def set_travel(self, pad: Pad, name: str, travel: Travel) -> None:
        """Feel an axis by a travel from now on."""
        self.sticks.kept_of(pad).travels[name] = travel
        self._changed()

    def all_alike(self, pad: Pad, name: str) -> None:
        """Let every axis have the dead zone and the curve of one."""
        like = self.sticks.travel(pad, name)
        for other in self.sticks.pads:
            for axis in other.axes:
                felt = replace(self.sticks.travel(other, axis), dead=like.dead, curve=like.curve)
                self.sticks.kept_of(other).travels[axis] = felt
        self._changed()

    # -- calibrating -------------------------------------------------------------------------------------------

    def go_on(self) -> Literal["rest", "ends", "done"]:
        """Begin to find travels, or end the phase; return the phase that it is in then."""
        finder = self.calibrating
        if finder is None:
            travels = {
                (pad.key, name): self.sticks.travel(pad, name) for pad in self.sticks.pads for name in pad.axes
            }
            self.calibrating, self.told = Calibrating(travels), ""
            return "rest"
        if finder.phase == "rest":
            self.told = "" if finder.at_rest() else tr("Something moved. Let go of everything, and once more.")
            return finder.phase
        found = finder.found()
        for pad in self.sticks.pads:
            for name in pad.axes:
                if (pad.key, name) in found:
                    self.sticks.kept_of(pad).travels[name] = found[pad.key, name]
        count, left = len(found), len(finder.before) - len(found)
        told = trn("{count} axis was found.", "{count} axes were found.", count).format(count=count)
        rest = tr("{left} did not go to both ends: as before.").format(left=left) if left else ""
        self.told = f"{told} {rest}".strip()
        self.calibrating = None
        self._changed()
        return "done"

    def give_up(self) -> bool:
        """Leave all as it was; return whether there was something to give up."""
        begun = bool(self.asked) or self.calibrating is not None
        self.asked, self.calibrating, self.told = "", None, ""
        return begun

    def pass_frame(self) -> bool:
        """Look at the sticks, once a frame; return whether something was set by them."""
        if self.calibrating is not None:
            self.calibrating.take({(pad.key, name): pad.raw[name] for pad in self.sticks.pads for name in pad.axes})
        elif self.asked and (found := self.sticks.moved_most()) is not None:
            slot, place = found
            control, self.asked = self.asked, ""
            self._put(self.pattern.led(control, Lead(slot, place < 0)))
            return True
        return False
