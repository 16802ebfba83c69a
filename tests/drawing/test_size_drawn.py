"""A drawing of more and more sections in line: what is looked at and drawn grows with them and no faster."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace

import pytest
from random_rigs import ChanceReadings

from trainer.bench.bank import bank
from trainer.drawing.functions import twins
from trainer.drawing.route import Router
from trainer.drawing.scene import Scene, SceneState
from trainer.drawing.shapes import Path, Words
from trainer.drawing.word_places import WordPlaces
from trainer.rig import file as rig_file
from trainer.rig.rig import Rig

SMALL, LARGE = 6, 18


def rig(sections: int) -> Rig:
    """Return the rig of so many sections, read as any file is."""
    return rig_file.loads(bank(sections), f"{sections} sections")


def growth(count: Callable[[int], int]) -> float:
    """Return the n of size^n by which a count grows from a small drawing to a large one."""
    return math.log(count(LARGE) / count(SMALL)) / math.log(LARGE / SMALL)


def test_columns_stand_in_the_order_of_their_numbers() -> None:
    """Section 10 right of section 9, not between 1 and 2, where every gallery would cross the sheet."""
    levers = Scene(rig(12)).levers
    assert sorted(levers, key=lambda id_: levers[id_]) == [f"{k}V1" for k in range(1, 13)]


def test_cells_that_routes_are_sought_on_grow_as_the_drawing(monkeypatch: pytest.MonkeyPatch) -> None:
    routers: list[Router] = []

    class Seen(Router):
        def __init__(self, *given: object) -> None:
            super().__init__(*given)  # type: ignore[arg-type] # whatever a router is given
            routers.append(self)

    monkeypatch.setattr("trainer.drawing.pipes.Router", Seen)

    def looked(sections: int) -> int:
        routers.clear()
        Scene(rig(sections))
        return sum(router.looked for router in routers)

    assert growth(looked) <= 1.1


def test_shapes_grow_as_the_drawing() -> None:
    def drawn(sections: int) -> int:
        made = rig(sections)
        scene, view, live = Scene(made), SceneState(), ChanceReadings(made, 1)
        scene.advance(live, view, 0.02)
        return len([*scene.still(view.system, live.parameter), *scene.live(live, view)])

    assert growth(drawn) <= 1.1


def test_what_a_rig_says_of_itself_is_found_once() -> None:
    made = rig(3)
    assert made.line_of("2V1", "A") is made.lines["A2"]
    assert twins(made) is twins(made)
    with pytest.raises(KeyError):
        made.line_of("2V1", "X")


def crowded(sections: int) -> Iterator[list[Words]]:
    """Yield words close to each other, column by column; each time one of them has gone a bit further."""
    words = [
        Words(200.0 + 190.0 * k + 3 * row, 300.0 + 6.0 * row, f"{100 + row} bar {chr(97 + k)}", 12.0, "ink")
        for k in range(sections)
        for row in range(5)
    ]
    for step in range(6):
        words[7] = replace(words[7], x=words[7].x + 8.0 * step)
        yield [*words]


@pytest.mark.soak
def test_places_of_words_are_looked_for_where_something_has_moved(monkeypatch: pytest.MonkeyPatch) -> None:
    """As many for a large drawing as for a small one; and they stand where they would if all were looked for."""
    sought: list[object] = []
    seek = WordPlaces._sought

    def counted(self: WordPlaces, *given: object) -> object:
        sought.append(given[0])
        return seek(self, *given)  # type: ignore[arg-type] # whatever it is given

    monkeypatch.setattr(WordPlaces, "_sought", counted)

    def most(sections: int) -> int:
        scene, counts = Scene(rig(sections)), []
        places, others = (WordPlaces(scene, 0.6, 12.0, None) for _ in range(2))
        for words in crowded(sections):
            sought.clear()
            found = places.moving(words, True)
            counts.append(len(sought))
            others._ways.clear()
            assert found == others.moving(words, True)
        assert counts[0] > 4 * sections
        return max(counts[2:])  # the second time they may stay where they were put

    assert 0 < most(LARGE) == most(SMALL)


def test_new_words_wait_until_places_are_looked_for_and_covers_do_not() -> None:
    places = WordPlaces(Scene(rig(SMALL)), 0.6, 12.0, None)
    first, second = (Words(100.0 * k, 50.0, f"{text} 5 bar") for k, text in ((1, "A"), (5, "B")))
    box = ((300.0, 40.0), (330.0, 40.0), (330.0, 55.0), (300.0, 55.0))
    cover = Path(box, None, 0.0, "paper", closed=True, hatch="cover-hatch")
    assert len(places.moving([first], True)) == 1
    assert len(places.moving([first, second], False)) == 1
    assert places.wait
    assert len(places.moving([first, second], True)) == 2
    assert not places.wait
    assert len(places.moving([first, second, cover, replace(first, x=335.0, text="L/min")], False)) == 4
    assert not places.wait
