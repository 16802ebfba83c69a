"""The sticks of all controllers together: what they lead, what must be let go first, what was lost."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field

from trainer.operating.axes import Travel
from trainer.operating.hands_kept import HandsKept, PadKept
from trainer.operating.motions import LeverMotion
from trainer.operating.patterns import STEPPED, Pattern

__all__ = ["Pad", "Sticks"]

_FIRST = Travel()
_BUTTONS = frozenset((*STEPPED, "buttons"))


@dataclass(frozen=True, slots=True)
class Pad:
    """A controller at one instant: ``number`` while it is plugged in, ``key`` of its make and kind, ``name``.

    ``raw`` are the places of what it has, -1 … 1: right, away and clockwise are +. With two sticks (``both``) these
    are slots; those of a single one have no hand yet.
    """

    number: int
    key: str
    name: str
    both: bool
    raw: Mapping[str, float] = field(default_factory=dict)

    @property
    def axes(self) -> dict[str, float]:
        """Those of its places that are anywhere between their ends."""
        return {name: value for name, value in self.raw.items() if name not in _BUTTONS}


class Sticks:
    """Leads levers by what controllers say, before each frame.

    A stick that is off its centre when it is seen first, or after ``stand_off``, leads nothing until it has been let
    go: ``waiting`` tells that there is one.
    """

    def __init__(self, kept: HandsKept) -> None:
        self.kept = kept
        self.pads: tuple[Pad, ...] = ()
        self.pattern = Pattern("")
        self._hands: dict[int, str] = {}  # of single sticks, by number
        self._ready: set[tuple[int, str]] = set()  # what has been let go since it must be
        self._pressed: dict[str, int] = {}  # levers that a button moves -> the way
        self.waiting = False

    def kept_of(self, pad: Pad) -> PadKept:
        """Return what is kept of a controller, from now on if nothing was."""
        found = self.kept.pads.get(pad.key)
        if found is None:
            found = self.kept.pads[pad.key] = PadKept(pad.name)
        return found

    def hand(self, pad: Pad) -> str:
        """Return the hand that a single stick is in, "" for a controller with two sticks."""
        return self._hands.get(pad.number, "")

    def slot(self, pad: Pad, name: str) -> str:
        """Return the slot of what a controller has."""
        return name if pad.both or name.startswith("cross") else f"{self.hand(pad)} {name}"

    def swap(self) -> None:
        """Let every single stick be in the other hand."""
        for pad in self.pads:
            if not pad.both:
                self.kept_of(pad).hand = "left" if self.hand(pad) == "right" else "right"
        self._hands = {}
        self._choose_hands()
        self.stand_off()

    def _choose_hands(self) -> None:
        """Give every single stick a hand: the one that is kept, else the one that is free, right first."""
        single = [pad for pad in self.pads if not pad.both]
        self._hands = {pad.number: self._hands[pad.number] for pad in single if pad.number in self._hands}
        for pad in single:
            if pad.number not in self._hands:
                taken = set(self._hands.values())
                wanted = self.kept_of(pad).hand or "right"
                other = "left" if wanted == "right" else "right"
                self._hands[pad.number] = other if wanted in taken and other not in taken else wanted

    def take(self, pads: Collection[Pad]) -> tuple[list[Pad], list[Pad]]:
        """Take all controllers that are there now; return those that have come, and lost ones that led a lever."""
        before, now = {pad.number: pad for pad in self.pads}, {pad.number: pad for pad in pads}
        self.pads = tuple(pads)
        come = [pad for number, pad in now.items() if number not in before]
        gone = [pad for number, pad in before.items() if number not in now]
        lost = [pad for pad in gone if self._leads_any(pad)]
        if come or gone:
            self._ready = {one for one in self._ready if one[0] in now}
            self._choose_hands()
        return come, lost

    def _leads_any(self, pad: Pad) -> bool:
        used = {lead.slot for lead in self.pattern.leads.values()}
        return any(self.slot(pad, name) in used for name in pad.raw)

    def travel(self, pad: Pad, name: str) -> Travel:
        """Return the travel of an axis."""
        kept = self.kept.pads.get(pad.key)
        return kept.travels.get(name, _FIRST) if kept is not None else _FIRST

    def share(self, pad: Pad, name: str) -> float:
        """Return where what a controller has stands, as a share of its travel."""
        return pad.raw[name] if name in _BUTTONS else self.travel(pad, name).share(pad.raw[name])

    def stand_off(self) -> None:
        """Whatever is off its centre leads nothing until it has been let go, such as when the window had lost it."""
        self._ready.clear()

    def places(self) -> dict[str, float]:
        """Return by slot where all that may lead stands; of two with the same one, the farther from its centre."""
        found: dict[str, float] = {}
        self.waiting = False
        used = {lead.slot for lead in self.pattern.leads.values()}
        for pad in self.pads:
            for name in pad.raw:
                slot, share = self.slot(pad, name), self.share(pad, name)
                if not share:
                    self._ready.add((pad.number, name))
                elif (pad.number, name) not in self._ready:
                    self.waiting = self.waiting or slot in used
                    share = 0.0
                if abs(share) >= abs(found.get(slot, 0.0)):
                    found[slot] = share
        return found

    def standing(self) -> dict[str, float]:
        """Return by slot where all stands, whether it may lead or not."""
        shares = [(self.slot(pad, name), self.share(pad, name)) for pad in self.pads for name in pad.raw]
        return dict(sorted(shares, key=lambda one: abs(one[1])))

    def lead(self, levers: Mapping[str, LeverMotion]) -> None:
        """Lead the levers of a rig by where the sticks stand."""
        places = self.places()
        for control, lead in self.pattern.leads.items():
            motion = levers.get(control)
            if motion is None or lead.slot not in places:
                continue
            share = -places[lead.slot] if lead.turned else places[lead.slot]
            if lead.slot in STEPPED:
                self._press(control, motion, round(share))
            else:
                motion.lead(share)

    def _press(self, control: str, motion: LeverMotion, way: int) -> None:
        before = self._pressed.get(control, 0)
        if way == before:
            return
        self._pressed[control] = way
        if before:
            motion.release(before, "button")
        if way:
            motion.press(way, "button")

    def let_go(self, levers: Mapping[str, LeverMotion]) -> None:
        """Let the springs have every lever that a stick or a button of one has."""
        for control, motion in levers.items():
            if motion.led or self._pressed.get(control):
                motion.forget()
        self._pressed.clear()

    def moved_most(self) -> tuple[str, float] | None:
        """Return the slot that is farthest off its centre, and where it stands, if more than half of its way."""
        places = self.places()
        slot = max(places, key=lambda slot: abs(places[slot]), default="")
        return (slot, places[slot]) if slot and abs(places[slot]) > 0.6 else None
