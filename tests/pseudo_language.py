"""A language that is English with accents on all its letters: what has none has not been looked up.

``plain`` finds in a text for people the words that no catalogue can have reached. What comes from a rig's file, units
and ids have none and are allowed.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from contextlib import contextmanager
from gettext import NullTranslations

from trainer import language
from trainer.rig.rig import Rig
from trainer.units import UNITS

__all__ = ["PseudoLanguage", "accented", "in_pseudo_language", "of_file", "plain"]

_ACCENTED = dict(
    zip(
        map(ord, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ"),
        "àḃćḋéḟĝĥíĵķĺḿńóṕɋŕśţúṽŵẋýźÀḂĆḊÉḞĜĤÍĴĶĹḾŃÓṔɊŔŚŢÚṼŴẊÝŹ",
        strict=True,
    )
)
_PLACE = re.compile(r"(\{[^{}]*\})")
_WORD = re.compile(r"[A-Za-z]{2,}")


def accented(text: str) -> str:
    """Return a text with accents on its letters, its {places} as they are."""
    return "".join(piece if k % 2 else piece.translate(_ACCENTED) for k, piece in enumerate(_PLACE.split(text)))


class PseudoLanguage(NullTranslations):
    """The catalogue of the language."""

    def gettext(self, message: str) -> str:
        return accented(message)

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        return accented(msgid1 if n == 1 else msgid2)


@contextmanager
def in_pseudo_language() -> Iterator[None]:
    """Use the language for a while."""
    before = language.use(PseudoLanguage())
    try:
        yield
    finally:
        language.use(before)


PRINTED = "mL fl oz Wh kWh g/kWh lb/hp h kN ft lbf Btu kJ MJ deg"  # units that stand on pages alone
UNIT_WORDS = {word for symbol, unit in UNITS.items() for word in _WORD.findall(f"{symbol} {unit.pretty} {PRINTED}")}
NAMES = {"Spoolroom", "ISO", "TOML", "UTF", "EN", "VG"}
KEYS = {
    "Ctrl",
    "Shift",
    "Alt",
    "Enter",
    "Esc",
    "Space",
    "Backspace",
    "Delete",
    "Home",
    "End",
    "PgUp",
    "PgDown",
    "Up",
    "Down",
    "Left",
    "Right",
    "Arrows",
    "Menu",
}


def of_file(rig: Rig) -> set[str]:
    """Return the words, in small letters, that come from the file of a rig: its texts, and the ids in it."""
    texts = [rig.title, rig.notes, *rig.lines, *rig.parts, *rig.instruments, *(one.name for one in rig.healthy)]
    texts += [item.label for item in rig.instruments.values()]
    texts += [port for fitted in rig.parts.values() for port in fitted.part.ports]
    texts += [text for fitted in rig.parts.values() for text in (fitted.label, *(fitted.ends or ()))]
    return {word.lower() for text in texts for word in _WORD.findall(text)}


def plain(text: str, allowed: Collection[str] = ()) -> list[str]:
    """Return the words of a text that are not in the language and are none of those allowed."""
    return [
        word
        for word in _WORD.findall(text)
        if word not in UNIT_WORDS and word not in NAMES | KEYS and word.lower() not in allowed
    ]
