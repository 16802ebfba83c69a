"""Lever patterns: which way of which stick moves which lever of a rig, named by whoever works with them.

A slot is a way that a hand can go: "left along" is the left stick, away and back. What has a slot is told by the
controllers; a pattern needs none and can be held against a machine.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import msgspec

from trainer.language import tr
from trainer.parts.part import Control

__all__ = ["SLOTS", "STEPPED", "Lead", "Pattern", "first_pattern", "slot_words", "stick_ways", "way_words"]

SLOTS = (
    "left across", "left along", "right across", "right along", "triggers", "shoulders", "cross along",
    "cross across", "left twist", "right twist", "left buttons", "right buttons",
)  # fmt: skip
STEPPED = ("shoulders", "cross along", "cross across", "left buttons", "right buttons")  # down or not: they ramp


class Lead(msgspec.Struct, frozen=True):
    """What leads a lever: a slot, whose + way is the lever's, or its - way where it is ``turned``."""

    slot: str
    turned: bool = False


class Pattern(msgspec.Struct, frozen=True):
    """What leads the levers of a rig, by "part.control"; a slot leads one at most."""

    name: str
    leads: dict[str, Lead] = {}

    def led(self, control: str, lead: Lead | None) -> Pattern:
        """Return it with another lead of a lever, or none; whatever the slot led before is left without."""
        leads = {
            other: has for other, has in self.leads.items() if other != control and has.slot != (lead and lead.slot)
        }
        return Pattern(self.name, {**leads, control: lead} if lead is not None else leads)

    def by_slot(self) -> dict[str, tuple[str, bool]]:
        """Return what each slot leads: the control, and whether it is turned."""
        return {lead.slot: (control, lead.turned) for control, lead in self.leads.items()}


def first_pattern(levers: Mapping[str, Control]) -> Pattern:
    """Return a pattern to begin with, of a rig's levers from the left: what slews goes across, the last are near.

    It follows no machine: learners copy that of their own.
    """
    across = next((name for name, control in levers.items() if {*control.ends} == {"left", "right"}), "")
    rest = [name for name in levers if name != across]
    if len(rest) <= 2:
        order = [*zip(rest, ("left along", "right along")[2 - len(rest) :], strict=True)]
    else:
        near = ("right along", "left along", "right across")
        far = (*(() if across else ("left across",)), "triggers", "shoulders", "cross along", "cross across")
        order = [*zip(rest[-3:], near, strict=True), *zip(rest[:-3], far, strict=False)]
    leads = {name: Lead(slot, levers[name].ends[1] in ("lift", "raise")) for name, slot in order}
    if across:
        leads[across] = Lead("left across", levers[across].ends[1] == "left")
    return Pattern(tr("First pattern"), leads)


def slot_words(slot: str) -> str:
    """Return what a slot is called."""
    known = {
        "left across": tr("left stick, left and right"),
        "left along": tr("left stick, away and back"),
        "right across": tr("right stick, left and right"),
        "right along": tr("right stick, away and back"),
        "left twist": tr("left stick, twisted"),
        "right twist": tr("right stick, twisted"),
        "triggers": tr("triggers"),
        "shoulders": tr("shoulder buttons"),
        "cross across": tr("cross, left and right"),
        "cross along": tr("cross, up and down"),
        "left buttons": tr("buttons of the left stick"),
        "right buttons": tr("buttons of the right stick"),
    }
    hand, _, axis = slot.partition(" axis ")
    if slot in known:
        return known[slot]
    return (
        tr("left stick, axis {axis}").format(axis=axis)
        if hand == "left"
        else tr("right stick, axis {axis}").format(axis=axis)
    )


def way_words(slot: str) -> tuple[str, str]:
    """Return what the - way and the + way of a slot are called."""
    if slot.endswith("across") or slot in ("triggers", "shoulders"):
        return tr("left"), tr("right")
    if slot == "cross along":
        return tr("down"), tr("up")
    if slot.endswith("along"):
        return tr("back"), tr("away")
    if slot.endswith("twist"):
        return tr("twisted left"), tr("twisted right")
    if slot.endswith("buttons"):
        return tr("first button"), tr("second button")
    return "−", "+"


def stick_ways(
    pattern: Pattern, levers: Mapping[str, Control], names: Mapping[str, str], slots: Iterable[str]
) -> dict[str, tuple[str, str, str]]:
    """Return for slots that lead something the lever's name, and what the slot's - way and + way do with it."""
    told = {}
    by_slot = pattern.by_slot()
    for slot in slots:
        control, turned = by_slot.get(slot, ("", False))
        if control in levers:
            less, more = (word or sign for word, sign in zip(levers[control].ends, ("−", "+"), strict=True))
            told[slot] = (names[control], more, less) if turned else (names[control], less, more)
    return told
