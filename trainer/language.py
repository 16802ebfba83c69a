"""Words for people in the language in use; English is what stands in the code.

A sentence or a label is ``tr("Lifts the {part}").format(part=...)`` where it is made. What is written in a table of a
module or in a class, before any language is chosen, is marked there with ``mark`` and looked up where it is shown; so
are the words that parts declare. Ids, keys of rig files, symbols and units are no words. A translation is a catalogue
of ``gettext``.
"""

from __future__ import annotations

from gettext import NullTranslations

__all__ = ["mark", "tr", "trn", "use"]


class _Language:
    """The language of the process."""

    def __init__(self) -> None:
        self.translations = NullTranslations()


_IN_USE = _Language()


def tr(text: str) -> str:
    """Return a text in the language in use, as it is where that has none for it."""
    return _IN_USE.translations.gettext(text) if text else text


def trn(one: str, many: str, count: int) -> str:
    """Return the text for a number of things in the language in use; English has one for 1 and one for all others."""
    return _IN_USE.translations.ngettext(one, many, count)


def mark(text: str) -> str:
    """Return a text as it is: it is looked up where it is shown."""
    return text


def use(translations: NullTranslations) -> NullTranslations:
    """Use a catalogue from now on, and return the one used so far. What has been shown stays as it is."""
    before, _IN_USE.translations = _IN_USE.translations, translations
    return before
