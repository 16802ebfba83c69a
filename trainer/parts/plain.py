"""A part in plain words, at three depths: what it does for the machine, how it works, how it is set or chosen."""

from __future__ import annotations

from dataclasses import dataclass

from trainer.language import tr

__all__ = ["Plain"]


@dataclass(frozen=True, slots=True)
class Plain:
    """What a person is told of a part; each text is marked, and looked up where it is shown.

    ``name`` is the trade's term for it, as ISO 5598 has it where it has one; ``law`` its law and where that is from:
    a book, a standard, common practice, or this program itself.
    """

    name: str = ""
    does: str = ""
    works: str = ""
    set: str = ""
    law: str = ""

    @property
    def term(self) -> str:
        """The trade's term, in the language in use."""
        return tr(self.name)

    @property
    def depths(self) -> tuple[str, str, str]:
        """The three texts, in the language in use."""
        return tr(self.does), tr(self.works), tr(self.set)
