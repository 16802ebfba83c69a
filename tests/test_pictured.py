"""Pictures that leave the program: no word in another, what they are of below them."""

from __future__ import annotations

from functools import lru_cache
from itertools import combinations, count, cycle

import pytest
from cases import LARGER, first
from random_rigs import random_rig

from trainer import resources
from trainer.changing.pictured import pictured
from trainer.drawing.scene import Scene, SceneOptions, SceneState
from trainer.drawing.shapes import Shape, Words
from trainer.drawing.theme import THEMES
from trainer.drawing.word_places import box_of
from trainer.engine.session import Session
from trainer.rig import file as rig_file
from trainer.rig.rig import Rig
from trainer.units import System

PRINT = THEMES["print"]


def met(shapes: list[Shape]) -> list[tuple[str, str]]:
    """Return the words that lie on each other."""
    boxes = [(shape.text, box_of(shape, 1.0, 0.0)) for shape in shapes if isinstance(shape, Words) and shape.text]
    return [
        (one, other)
        for (one, a), (other, b) in combinations(boxes, 2)
        if min(a[2], b[2]) - max(a[0], b[0]) > 1 and min(a[3], b[3]) - max(a[1], b[1]) > 1
    ]


def plain(session: Session, system: System) -> list[Shape]:
    """Return the same drawing with every word at its home."""
    scene, state = Scene(session.rig, SceneOptions(PRINT, system)), SceneState(system)
    return [*scene.still(system, session.number), *scene.live(session.readings, state)]


@lru_cache
def crowded(k: int) -> tuple[int, Session]:
    """Return the k-th of the rigs by chance in whose drawings words would lie on each other, after its seed."""
    for seed in count(crowded(k - 1)[0] + 1 if k else 0):
        session = Session(random_rig(seed), settle=False)
        if met(plain(session, System.US)):
            return seed, session
    raise AssertionError("there is always one more")


@pytest.mark.parametrize("k", first(1, range(5)))
def test_no_word_of_a_picture_lies_on_another(k: int) -> None:
    """Rigs in whose drawings words would; what has no room is counted below the picture."""
    _, session = crowded(k)
    shapes, (across, down) = pictured(session, PRINT, System.US, "Chance · today")
    assert met(shapes) == []
    texts = [shape for shape in shapes if isinstance(shape, Words)]
    for words in texts:
        left, _, right, bottom = box_of(words, 1.0, 0.0)
        assert -1 <= left < right <= across + 1, words.text
        assert bottom <= down + 1, words.text
    told = next(words.text for words in texts if words.text.startswith("Chance · today"))
    missing = len([s for s in plain(session, System.US) if isinstance(s, Words) and s.text]) - len(texts) + 1
    assert (f"{missing} word" in told) is (missing > 0)


@pytest.mark.parametrize(
    ("name", "system"),
    first(2, zip(sorted(resources.rigs(), key=lambda name: name not in LARGER), cycle(System), strict=False)),
)
def test_pictures_of_shipped_rigs_have_all_their_words(name: str, system: System) -> None:
    rig: Rig = rig_file.load(resources.rigs()[name])
    session = Session(rig)
    session.advance(0.2)
    shapes, _ = pictured(session, PRINT, system, "below")
    texts = sorted(shape.text for shape in shapes if isinstance(shape, Words))
    assert texts == sorted(["below", *(s.text for s in plain(session, system) if isinstance(s, Words))])
    assert met(shapes) == []
