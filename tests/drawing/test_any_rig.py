"""Any rig that is in order can be drawn: rigs by chance, and the ones that once could not."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

import pytest
from cases import first
from random_rigs import ChanceReadings, random_rig

from trainer import resources
from trainer.drawing.layout import lay_out
from trainer.drawing.nets import Terminal
from trainer.drawing.pipes import route_rig
from trainer.drawing.route import Router
from trainer.drawing.scene import Scene, SceneOptions, SceneState
from trainer.drawing.shapes import Arc, Circle, Marks, Path, Shape, Words
from trainer.drawing.still import ground
from trainer.drawing.svg import svg
from trainer.drawing.theme import THEMES
from trainer.drawing.type_widths import text_width
from trainer.parts.part import Kind
from trainer.rig import file as rig_file
from trainer.rig.rig import Rig
from trainer.units import System

SEEDS, MANY = range(300), range(300, 620)
_QUICK = 10  # of the seeds that every run tries; all are tried with the long tests
BENCH = resources.rigs()["one-spool-bench"].read_text("utf-8").partition("\n[drawing")[0]


def numbers(shapes: Sequence[Shape]) -> Iterator[float]:
    """Yield every coordinate and size of a draw list."""
    for shape in shapes:
        match shape:
            case Path():
                yield from (v for point in shape.points for v in point)
                yield shape.width
            case Circle():
                yield from (shape.x, shape.y, shape.radius)
            case Arc():
                yield from (shape.x, shape.y, shape.radius, shape.start, shape.span)
            case Words():
                yield from (shape.x, shape.y, shape.size)
                assert "nan" not in shape.text.lower().split()
            case Marks():
                yield from (v for place in shape.places for v in place)


def draw(rig: Rig, seed: int) -> Scene:
    """Draw a rig at rest and in motion, as shapes and as SVG, and return its scene."""
    system = System.US if seed % 3 == 0 else System.METRIC
    theme = THEMES[("light", "dark", "print", "projector")[seed % 4]]
    scene, view = Scene(rig, SceneOptions(theme, system)), SceneState(system)
    live = ChanceReadings(rig, seed)
    scene.advance(live, view, 0.02)
    shapes = [*scene.still(system, live.parameter), *scene.live(live, view)]
    assert all(math.isfinite(number) for number in numbers(shapes))
    assert all(0 < extent < 1e5 for extent in scene.size)
    picture = svg(shapes, scene.size, theme, rig.title, "by chance")
    assert "NaN" not in picture
    assert "inf" not in picture.split("</title>")[-1].split()
    return scene


def check(seed: int, most: int = 12) -> None:
    """Read a rig as its file says it, draw it, and see that nothing of it is left out."""
    rig = random_rig(seed, most)
    assert rig_file.loads(rig_file.dump(rig), rig.source) == rig
    scene = draw(rig, seed)
    assert set(rig.parts) <= set(scene.boxes)
    seen = {*scene.gauges, *scene.meters}
    assert {name for name, item in rig.instruments.items() if item.kind == "gauge"} <= seen


@pytest.mark.parametrize(
    "tens",
    [
        pytest.param(SEEDS[k : k + 10], marks=[pytest.mark.soak] if k >= _QUICK else [], id=f"{k} to {k + 9}")
        for k in range(0, len(SEEDS), 10)
    ],
)
def test_a_rig_by_chance_is_drawn(tens: range) -> None:
    for seed in tens:
        check(seed)


@pytest.mark.soak
@pytest.mark.parametrize("tens", [MANY[k : k + 40] for k in range(0, len(MANY), 40)], ids=str)
def test_more_and_larger_rigs_by_chance_are_drawn(tens: range) -> None:
    for seed in tens:
        check(seed, most=18)


@pytest.mark.parametrize("seed", range(0, 60, 3))
def test_every_port_of_a_drawn_line_is_reached(seed: int) -> None:
    """Every port is at the end of a run, but the tanks at which lines begin and the one at which a tree is rooted."""
    rig = random_rig(seed)
    layout = lay_out(rig)
    nets, _ = route_rig(rig, layout, ground(layout), [])
    assert set(nets) == {line.name for line in rig.lines_of_kind(Kind.OIL)}
    for name, net in nets.items():
        ports = {p for p in rig.lines[name].joins if p not in layout.drains and layout.placed[p[0]].vessel is None}
        reached = {port for run in net.runs for port in run.far if port[0]}
        assert reached <= ports
        assert len(ports - reached) <= 1


def test_what_has_no_place_of_its_own_does_not_lie_on_another() -> None:
    """Four tanks and a relief beside no pump: each stands on ground of its own."""
    text = BENCH.replace("0V1", "1V5").replace("[lines]\n", '[lines]\nX1 = ["0Z7.S"]\nX2 = ["0Z7.T"]\n')
    text = text.replace("[lines]\n", '[lines]\nX3 = ["0Z8.S"]\nX4 = ["0Z8.T"]\n')
    text = text.replace("[lines]\n", '0Z7 = { is = "Reservoir" }\n0Z8 = { is = "Reservoir" }\n\n[lines]\n')
    rig = rig_file.loads(text)
    layout = lay_out(rig)
    boxes = {id_: layout.placed[id_].box for id_ in rig.parts if id_ not in layout.rods}
    for one, a in boxes.items():
        for other, b in boxes.items():
            apart = one >= other or a[0] >= b[2] or b[0] >= a[2] or a[1] >= b[3] or b[1] >= a[3]
            assert apart, f"{one} on {other}"
    draw(rig, 0)


def test_a_first_relief_outside_the_supply_is_drawn() -> None:
    draw(rig_file.loads(BENCH.replace("0V1", "1V5")), 1)


def test_the_remedy_for_a_port_on_no_line_can_be_drawn_and_read() -> None:
    """The line of its own that the reader proposes, for a tank and for another port, with a gauge on it."""
    text = BENCH.replace('"0V1.T", "0Z1.T"]', '"0V1.T"]\n0Z1_T = ["0Z1.T"]').replace(
        "[instruments]\n", '[instruments]\nX1 = { on = "0Z1_T", range = "10 bar" }\n'
    )
    scene = draw(rig_file.loads(text), 2)
    assert "X1" in scene.gauges


def long_words(rig: Rig) -> Rig:
    """Return a rig in which every part is called by many words."""
    parts = {
        id_: replace(fitted, label=f"the one of them all that is called {id_}") for id_, fitted in rig.parts.items()
    }
    return replace(rig, parts=parts)


@pytest.mark.parametrize("seed", first(4, range(0, 60, 6)))
def test_no_label_leaves_the_sheet(seed: int) -> None:
    rig = long_words(random_rig(seed))
    for system in System:
        scene = Scene(rig, SceneOptions(system=system))
        for words in scene.labels:
            wide = text_width(words.text, words.size, words.weight)
            left = words.x - {"left": 0.0, "centre": 0.5, "right": 1.0}[words.align] * wide
            assert left >= 0.0, words.text
            assert left + wide <= scene.size[0], words.text
            assert words.size <= words.y <= scene.size[1], words.text


@pytest.mark.soak
def test_a_search_without_hope_ends() -> None:
    """Counted, not timed: it gives up after so many cells, and the straightest way is taken."""
    router = Router([(4000.0, -10.0, 4010.0, 10.0)], (0.0, -5000.0, 5000.0, 5000.0))
    ends = [Terminal((id_, "1"), (x, 0.0), (x, 0.0)) for id_, x in (("a", 0.0), ("b", 4000.0))]
    assert router.search("x", (0.0, 0.0), [(4000.0, 0.0)]) == []
    assert router.looked == 30_000
    paths, _ = router.join("x", ends)
    assert paths == [[(4000.0, 0.0), (0.0, 0.0)]] or paths == [[(0.0, 0.0), (4000.0, 0.0)]]
    for _ in range(40):
        router.search("x", (0.0, 0.0), [(4000.0, 0.0)])
    assert router.looked == 250_000


@pytest.mark.soak
def test_a_drawing_far_apart_is_drawn() -> None:
    rig = random_rig(6)
    far = {id_: {"at": [500 * (k % 3), 500 * (k % 2)]} for k, id_ in enumerate(rig.parts)}
    draw(replace(rig, drawing=far), 0)
