"""A click on a printed number finds what it measures, and of what: the whole drawing, both rigs."""

from __future__ import annotations

import pytest
from cases import first
from working_scenes import RIGS, instants, rig_of

from trainer import units
from trainer.drawing.picking import figure_at
from trainer.drawing.scene import Scene, SceneOptions, SceneState
from trainer.drawing.shapes import Figure, Words
from trainer.drawing.type_widths import text_width
from trainer.units import System

MEASURES = {  # "in" is a word too
    unit.pretty: unit.quantity
    for unit in (*units.UNITS.values(), units.unit("deg/s"))
    if unit.symbol and unit.quantity not in ("length", "time")
}


def quantity_of(text: str) -> str:
    """Return what a printed number measures by its unit: "force" for "Load 40.6 kN"; "" where it has none."""
    return next((MEASURES[word] for word in reversed(text.split()) if word in MEASURES), "")


def middle(words: Words) -> tuple[float, float]:
    """Return the middle of words."""
    wide = text_width(words.text, words.size, words.weight)
    x = words.x + {"left": wide / 2, "centre": 0.0, "right": -wide / 2}[words.align]
    return x, words.y - 0.3 * words.size


@pytest.mark.parametrize("system", [System.US, pytest.param(System.METRIC, marks=pytest.mark.soak)])
@pytest.mark.parametrize("name", first(1, RIGS[:2]))
def test_every_printed_number_is_found(name: str, system: System) -> None:
    """Each text with a unit that moves on the drawing tells its own quantity at its own place."""
    rig = rig_of(name)
    scene = Scene(rig, SceneOptions(system=system))
    view = SceneState(system)
    count = 0
    for now in instants(name):
        shapes = scene.moving(now, view)
        for shape in shapes:
            if isinstance(shape, Words) and (quantity := quantity_of(shape.text)):
                found = figure_at(shapes, *middle(shape))
                assert found is not None, shape.text
                assert found.quantity == quantity, (shape.text, found)
                count += 1
    assert count > 40


LIFTING = {  # the loader lifts 250 kg: what stands on the drawing -> what it is
    "Load": Figure("part", "3A1", "force"),
    "A": Figure("part", "3A1", "pressure", "A"),
    "B": Figure("part", "3A1", "pressure", "B"),
    "Oil": Figure("part", "0Z1", "temperature"),
    "n1": Figure("instrument", "n1", "shaft speed"),
}


@pytest.mark.soak
@pytest.mark.parametrize("start", LIFTING)
def test_whose_number_it_is(start: str) -> None:
    rig, now = rig_of(RIGS[1]), instants(RIGS[1])[2]
    scene, view = Scene(rig), SceneState()
    boom = scene.layout.placed["3A1"].x
    words = [s for s in scene.moving(now, view) if isinstance(s, Words) and s.text.startswith(f"{start} ")]
    if start in ("A", "B", "Load"):
        words = [min(words, key=lambda s: abs(s.x - boom))]
    assert len(words) == 1
    assert figure_at(scene.moving(now, view), *middle(words[0])) == LIFTING[start]


@pytest.mark.soak
def test_pump_figures_and_return_flow() -> None:
    rig, now = rig_of(RIGS[1]), instants(RIGS[1])[2]
    scene, view = Scene(rig), SceneState()
    found = {figure_at(scene.moving(now, view), *middle(s)) for s in scene.moving(now, view) if isinstance(s, Words)}
    assert {Figure("part", "0P1", "flow", "P"), Figure("part", "0P1", "pressure", "P")} <= found
    assert Figure("part", "0Z2", "flow", "1") in found
    assert Figure("part", "3A1", "speed") in found
    assert Figure("part", "3V1", "ratio") in found


def test_loads_of_the_bench() -> None:
    """The weight tells mass and force of its own, and the speed of the rod below it."""
    rig, now = rig_of(RIGS[0]), instants(RIGS[0])[2]
    scene, view = Scene(rig), SceneState()
    shapes = scene.moving(now, view)
    texts = {s.text.split()[-1] if "F" in s.text else s.text.split()[1]: figure_at(shapes, *middle(s))
             for s in shapes if isinstance(s, Words) and len(s.text.split()) > 1}  # fmt: skip
    assert texts["kg"] == Figure("part", "1W1", "mass")
    assert texts["kN"] == Figure("part", "1W1", "force")
    assert texts["mm/s"] == Figure("part", "1A1", "speed")


@pytest.mark.soak
def test_covered_figures_can_be_asked_about() -> None:
    """A hatched field stands for the same number."""
    rig, now = rig_of(RIGS[1]), instants(RIGS[1])[2]
    scene, view = Scene(rig), SceneState()
    plain = {
        s.text[0]: middle(s) for s in scene.moving(now, view) if isinstance(s, Words) and s.text.startswith("A ")
    }
    view.covered = {"P1"}
    for place in plain.values():
        found = figure_at(scene.moving(now, view), *place)
        assert found is not None
        assert (found.quantity, found.port) == ("pressure", "A")


@pytest.mark.soak
def test_marks_that_stand_tell_flows() -> None:
    rig, now = rig_of(RIGS[1]), instants(RIGS[1])[2]
    scene, view = Scene(rig), SceneState(reduced=True)
    written = {words.about: words for words in scene.figures.flows(now, view.system)}
    words = written[Figure("part", "3A1", "flow", "A")]
    assert figure_at([*written.values()], words.x, words.y - 4) == words.about
    mine = scene.layout.placed["3A1"].x
    assert all(
        abs(words.x - mine) < abs(words.x - part.x)
        for id_, part in scene.layout.placed.items()
        if part.symbol.name == "cyl_da" and id_ != "3A1"
    )  # nobody reads it as a neighbour's


@pytest.mark.soak
def test_nothing_on_the_ground() -> None:
    rig, now = rig_of(RIGS[1]), instants(RIGS[1])[2]
    assert figure_at(Scene(rig).moving(now, SceneState()), 5.0, 5.0) is None
