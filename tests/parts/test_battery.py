"""The battery over every part and every word of its choices."""

from __future__ import annotations

import importlib
import pkgutil
import re
from collections.abc import Callable, Iterator

import pytest
from battery import CHECKS, check_anchors, check_continuous, worded

import trainer.parts
from trainer.parts import CATALOGUE
from trainer.parts.part import Part


def _written() -> dict[str, type[Part]]:
    """Return every part that stands in a module of the parts, in the catalogue or not yet."""
    for module in pkgutil.iter_modules(trainer.parts.__path__):
        importlib.import_module(f"trainer.parts.{module.name}")
    return {part.__name__: part for part in _below(Part) if part.__module__.startswith("trainer.parts")}


def _below(part: type[Part]) -> Iterator[type[Part]]:
    """Yield every class that a class of parts is a base of."""
    for one in part.__subclasses__():
        yield one
        yield from _below(one)


PARTS = _written()
CASES = [
    (check, part, words)
    for part in PARTS.values()
    for words in worded(part)
    for check in CHECKS
    if check is not check_anchors or part in CATALOGUE.values()
]


def test_the_catalogue_holds_only_parts_by_their_names() -> None:
    assert all(PARTS[name] is part for name, part in CATALOGUE.items())


def test_every_part_is_told_in_plain_words() -> None:
    """At three depths, in sentences that a learner reads in a breath or two, each in its own words."""
    told: dict[str, str] = {}
    for name, part in PARTS.items():
        plain = part.plain
        assert plain.name[:1].isupper(), name
        for text in (plain.does, plain.works, plain.set):
            assert text.endswith("."), (name, text)
            assert 20 <= len(text) <= 330, (name, len(text))
            assert text not in told, (name, told.get(text))
            assert text.rstrip(".") not in " ".join((part.__doc__ or "").split()), name
            told[text] = name
        assert len(plain.does) <= 160, name  # the first depth is for who has never seen one
    names = [part.plain.name for part in PARTS.values()]
    assert len(set(names)) == len(names)


_SOURCE = re.compile(
    r"\b1[6-9]\d\d\b|\b20\d\d\b|\bISO \d|textbook|from memory|practice|our own|this program|"
    r"\bafter [A-Z]|Kloss|Newton|Hooke|Lagrange|Ideal gas"
)


def test_every_law_says_where_it_is_from() -> None:
    """A book, a standard, a law of a name, common practice, or this program itself: a page shows it."""
    for name, part in PARTS.items():
        law = part.plain.law
        assert law.endswith("."), name
        assert 20 <= len(law) <= 400, (name, len(law))
        assert _SOURCE.search(law), (name, law)


def _case(check: Callable[..., None], part: type[Part], words: dict[str, str], alike: int) -> object:
    """Return a case with its name; of a part of many choices all but the last, which has most, are long tests.

    Whether a law is continuous takes longest: in every run it is asked of one part in four.
    """
    name = " ".join([part.__name__, *words.values(), check.__name__.removeprefix("check_")])
    *_, last = worded(part)
    dear = check is check_continuous and [*PARTS].index(part.__name__) % 4
    return pytest.param(
        check, part, words, id=name, marks=[pytest.mark.soak] if dear or (words != last and alike > 3) else []
    )


@pytest.mark.parametrize(("check", "part", "words"), [_case(*case, len([*worded(case[1])])) for case in CASES])
def test_battery(check: Callable[..., None], part: type[Part], words: dict[str, str]) -> None:
    check(part, words)
