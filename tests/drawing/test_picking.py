"""What stands at a place of the drawing, and what comes next in a direction: on the bench and on the loader."""

from __future__ import annotations

from collections import deque

import pytest
from loader_for_drawing import RIG as LOADER
from rig_for_drawing import DRAWING, bench

from trainer.drawing.picking import Pick, beside, pick, targets
from trainer.drawing.scene import Scene, SceneState
from trainer.drawing.scene_state import Place
from trainer.drawing.shapes import Words
from trainer.parts.part import Kind

BENCH_SCENE, LOADER_SCENE = Scene(bench(DRAWING)), Scene(LOADER)
SCENES = pytest.mark.parametrize("scene", [BENCH_SCENE, LOADER_SCENE], ids=["bench", "loader"])


@pytest.mark.parametrize(
    ("x", "y", "kind", "name"),
    [  # places of the drawing table, 10 px a module
        (700, 410, "part", "1V1"),
        (700, 560, "part", "1V1"),  # the end of its travel
        (760, 300, "line", "A1"),
        (780, 300, "line", "B1"),
        (765, 300, "line", "A1"),  # beside the pipe
        (560, 410, "line", "P1"),
        (450, 330, "instrument", "P1"),
        (230, 570, "part", "0P1"),
        (80, 560, "part", "0M1"),
        (700, 170, "part", "1A1"),
        (700, 40, "part", "1W1"),  # the weight, and where it is with the rod in
        (700, 95, "part", "1W1"),
        (800, 60, "part", "1W1"),  # its force and speed
    ],
)
def test_what_stands_at_a_place_of_the_bench(x: float, y: float, kind: str, name: str) -> None:
    found = pick(BENCH_SCENE, x, y)
    assert found is not None
    assert found.place == (kind, name)


def test_the_ground_is_nothing() -> None:
    assert pick(BENCH_SCENE, 40, 40) is None
    assert pick(BENCH_SCENE, 600, 300) is None


def test_a_line_tells_its_nearest_port() -> None:
    assert pick(BENCH_SCENE, 760, 370) == Pick("line", "A1", ("1V1", "A"))
    assert pick(BENCH_SCENE, 780, 160) == Pick("line", "B1", ("1A1", "B"))


@SCENES
def test_every_part_drawn_can_be_picked_where_it_stands(scene: Scene) -> None:
    for id_, part in scene.layout.placed.items():
        if part.elsewhere:
            continue
        left, top, wide, high = scene.boxes[id_]
        places = [(left + wide * a, top + high * b) for a in (0.5, 0.3, 0.7, 0.1, 0.9) for b in (0.5, 0.2, 0.8)]
        found = [thing.place for x, y in places if (thing := pick(scene, x, y)) is not None]
        assert ("part", id_) in found, id_


@SCENES
def test_every_oil_line_and_instrument_can_be_picked(scene: Scene) -> None:
    for name in scene.pipes.nets:
        x, y = targets(scene)["line", name]
        found = pick(scene, x, y)
        assert found is not None
        assert found == Pick("line", name, found.port)
    for name in scene.rig.instruments:
        x, y = targets(scene)["instrument", name]
        thing = pick(scene, x, y)
        assert thing is not None
        assert thing.place == ("instrument", name)


def test_what_the_machine_shows_is_no_target_of_the_circuit() -> None:
    hidden = {id_ for id_, part in LOADER_SCENE.layout.placed.items() if part.elsewhere}
    assert hidden == {"1W1", "3W1"}
    for id_ in hidden:
        left, top, wide, high = LOADER_SCENE.boxes[id_]
        thing = pick(LOADER_SCENE, left + wide / 2, top + high / 2)
        assert thing is None or thing.name not in hidden
        assert ("part", id_) not in targets(LOADER_SCENE)


def test_a_figure_is_picked_as_its_part_and_port() -> None:
    """The boom's cap pressure is written under its cylinder, the pump's flow left of the pipe, as the scene draws."""
    words = {shape.text: shape for shape in _moving_words()}
    cap = next(shape for text, shape in words.items() if text.startswith("A  ") and abs(shape.x - 920) < 30)
    assert pick(LOADER_SCENE, cap.x, cap.y - 4) == Pick("part", "3A1", ("3A1", "A"))
    flow = next(shape for text, shape in words.items() if text.endswith("L/min") and shape.x < 200)
    assert pick(LOADER_SCENE, flow.x - 10, flow.y - 4) == Pick("part", "0P1", ("0P1", "P"))
    engine = next(shape for text, shape in words.items() if text.startswith("n1"))
    assert pick(LOADER_SCENE, engine.x + 20, engine.y - 4) == Pick("instrument", "n1")
    left, top, wide, high = LOADER_SCENE.boxes["0M1"]
    assert pick(LOADER_SCENE, left + wide / 2, top + high / 2) == Pick("part", "0M1")  # not its tachometer


def _moving_words() -> list[Words]:
    from loader_for_drawing import instants

    shapes = LOADER_SCENE.moving(instants()["boom"], SceneState())
    return [shape for shape in shapes if isinstance(shape, Words)]


def test_a_label_is_picked_as_its_part() -> None:
    label = next(shape for shape in LOADER_SCENE.labels if getattr(shape, "text", "") == "0Z3  cooler")
    assert pick(LOADER_SCENE, label.x, label.y - 4) == Pick("part", "0Z3")


@pytest.mark.parametrize(
    ("begin", "way", "end"),
    [
        (("part", "1V1"), (0, -1), ("line", "A1")),  # up from the section to its work port's line
        (("line", "A1"), (1, 0), ("line", "B1")),
        (("part", "0Z2"), (-1, 0), ("line", "T")),
        (("part", "1A1"), (0, -1), ("part", "1W1")),
    ],
)
def test_the_arrows_go_to_what_lies_there(begin: Place, way: tuple[int, int], end: Place) -> None:
    assert beside(BENCH_SCENE, begin, *way) == end


def test_nothing_lies_beyond_the_edge() -> None:
    leftmost = min(targets(BENCH_SCENE), key=lambda place: targets(BENCH_SCENE)[place][0])
    assert beside(BENCH_SCENE, leftmost, -1, 0) == leftmost


@SCENES
def test_the_arrows_reach_everything(scene: Scene) -> None:
    first = beside(scene, None, 0, 0)
    assert first is not None
    seen, ahead = {first}, deque([first])
    while ahead:
        place = ahead.popleft()
        for way in ((1, 0), (-1, 0), (0, 1), (0, -1)):
            after = beside(scene, place, *way)
            assert after is not None
            if after not in seen:
                seen.add(after)
                ahead.append(after)
    assert seen == set(targets(scene))
    oil = {("line", line.name) for line in scene.rig.lines_of_kind(Kind.OIL)}
    assert oil <= seen
