"""The small shipped rigs as drawn: no pipe through a part, no label on another or on a pipe, actuators above."""

from __future__ import annotations

import itertools
from dataclasses import replace

import pytest
from cases import shipped

from trainer import resources
from trainer.drawing.functions import function_of
from trainer.drawing.placed import circuit
from trainer.drawing.scene import Scene, SceneOptions
from trainer.drawing.shapes import Path
from trainer.drawing.type_widths import text_width
from trainer.parts.roles import DirectionalValve, Tank
from trainer.rig.rig import Rig
from trainer.units import System

Box = tuple[float, float, float, float]
RIGS = {name: shipped(name) for name in resources.rigs()}
EDGE = 3.0  # by which things may touch: half the width of a pipe [px]


def meet(one: Box, other: Box) -> bool:
    """Return whether two boxes share more than their edges."""
    return all(min(one[k + 2], other[k + 2]) - max(one[k], other[k]) > EDGE for k in (0, 1))


def bodies(scene: Scene) -> dict[str, Box]:
    """Return the bodies of all parts that are drawn in the circuit."""
    return {id_: part.box for id_, part in scene.layout.placed.items() if scene.layout.seen(id_)}


def segments(scene: Scene) -> list[tuple[str, Box]]:
    """Return every straight piece of a pipe, without the stubs within the symbols."""
    return [
        (name, (min(a[0], b[0]) - 3, min(a[1], b[1]) - 3, max(a[0], b[0]) + 3, max(a[1], b[1]) + 3))
        for name, net in scene.pipes.nets.items()
        for run in net.runs
        for a, b in itertools.pairwise(run.points)
    ]


def words(scene: Scene) -> list[tuple[str, Box]]:
    """Return every label with its box."""
    found = []
    for label in scene.labels:
        wide = text_width(label.text, label.size, label.weight)
        left = label.x - {"left": 0.0, "centre": 0.5, "right": 1.0}[label.align] * wide
        found.append((label.text, (left, label.y - 0.7 * label.size, left + wide, label.y)))
    return found


SMALL = [name for name in RIGS if name != "timber-trailer-loader"]  # whose engine stands close to its pump


@pytest.mark.parametrize("name", SMALL)
def test_no_pipe_goes_through_a_part_and_no_part_lies_on_another(name: str) -> None:
    scene = Scene(RIGS[name])
    boxes = bodies(scene)
    for (one, a), (other, b) in itertools.combinations(boxes.items(), 2):
        assert not meet(a, b), f"{one} on {other}"
    for line, piece in segments(scene):
        own = {owner for owner, _ in RIGS[name].lines[line].joins}
        for id_, box in boxes.items():
            tank = isinstance(scene.layout.placed[id_].role, Tank)
            assert not meet(piece, box) or (id_ in own and (tank or ends_in(scene, id_, piece))), f"{line} on {id_}"


def ends_in(scene: Scene, id_: str, piece: Box) -> bool:
    """Return whether a piece of pipe leads to a port of a part, into its symbol."""
    ports = scene.layout.placed[id_].symbol.anchors.values()
    return any(
        piece[0] <= x <= piece[2] and piece[1] <= y <= piece[3]
        for port in ports
        for x, y in (port.inner, (port.x, port.y))
    )


@pytest.mark.parametrize("name", RIGS)
def test_no_line_goes_on_past_the_port_of_another(name: str) -> None:
    """A valve, a hose or a strainer that stands the wrong way round has both its lines drawn through its symbol."""
    scene = Scene(RIGS[name])
    for line in RIGS[name].lines.values():
        for id_, port in line.joins:
            anchor = scene.layout.placed[id_].symbol.anchors.get(port)
            if anchor is None:
                continue
            for other, (left, top, right, bottom) in segments(scene):
                upright = right - left < 7 and left < anchor.x < right and top + 4 < anchor.y < bottom - 4
                level = bottom - top < 7 and top < anchor.y < bottom and left + 4 < anchor.x < right - 4
                assert other == line.name or not (upright or level), f"{other} passes {id_}.{port}"


@pytest.mark.parametrize("system", list(System))
@pytest.mark.parametrize("name", SMALL)
def test_labels_lie_on_no_part_and_on_no_other_label(name: str, system: System) -> None:
    scene = Scene(RIGS[name], SceneOptions(system=system))
    found, boxes = words(scene), bodies(scene)
    for (one, a), (other, b) in itertools.combinations(found, 2):
        assert not meet(a, b), f"'{one}' on '{other}'"
    for (text, a), (id_, b) in itertools.product(found, boxes.items()):
        assert text.startswith(id_) or not meet(a, b), f"'{text}' on {id_}"


@pytest.mark.parametrize("name", RIGS)
def test_actuators_stand_above_their_sections_and_the_supply_at_the_left(name: str) -> None:
    rig, scene = RIGS[name], Scene(RIGS[name])
    placed = scene.layout.placed
    sections = rig.having(DirectionalValve)
    for id_ in sections:
        assert placed["0P1"].x < placed[id_].x
        mine = [part for part in placed if part[len(circuit(part))] == "A" and circuit(part) == circuit(id_)]
        assert all(placed[part].y < placed[id_].y - 150 for part in mine)
    order = sorted(sections, key=lambda id_: placed[id_].x)
    assert order == sorted(sections), "flow left to right, in the order of the numbers"


def test_a_load_on_two_rods_is_drawn_once_over_both_and_moves_with_them() -> None:
    scene = Scene(RIGS["outside-force"])
    placed, rods = scene.layout.placed, scene.layout.rods
    assert list(rods) == ["1W1"], "a cylinder is no load of another"
    left, _, right, _ = placed["1W1"].box
    assert left < placed["1A1"].x - 5 < placed["2A1"].x + 5 < right
    assert placed["1W1"].x == pytest.approx((placed["1A1"].x + placed["2A1"].x) / 2)
    carrier = placed[rods["1W1"]]
    assert placed["1W1"].symbol.anchors["rod"].x == carrier.x, "where its rod's tip meets it"


def test_what_a_level_cylinder_pushes_stands_before_its_rod() -> None:
    scene = Scene(RIGS["back-pressure"])
    load, cylinder = scene.layout.placed["1W1"], scene.layout.placed["1A1"]
    assert load.box[0] == pytest.approx(cylinder.x + 105.0)
    assert load.y == cylinder.y
    mirrored = {**RIGS["back-pressure"].drawing, "1A1": {"at": [70, 17], "turn": 0, "mirror": True}}
    load = Scene(with_drawing(RIGS["back-pressure"], mirrored)).layout.placed["1W1"]
    assert load.box[2] < load.symbol.anchors["rod"].x + 1.0


def with_drawing(rig: Rig, drawing: dict[str, object]) -> Rig:
    """Return a rig with another drawing and automatic routes."""
    return replace(rig, drawing={key: value for key, value in drawing.items() if key != "routes"})


def test_several_on_one_section_are_called_by_their_own_labels() -> None:
    lifts = RIGS["two-lifts"]
    assert [function_of(lifts, id_) for id_ in ("1A1", "1A2")] == ["Wide", "Narrow"]
    loader = RIGS["timber-trailer-loader"]
    assert [function_of(loader, id_) for id_ in ("1A1", "1A2", "3A1")] == ["Stabilisers", "Stabilisers", "Boom"]
    assert function_of(RIGS["single-acting-lift"], "1A1") == "Tip"
    assert function_of(RIGS["three-throttles"], "1A1") == "Lift", "its section stands behind throttles"


@pytest.mark.parametrize(("name", "plugged"), [("neutral-only", {"A", "B"}), ("three-throttles", set())])
def test_a_port_that_nothing_is_coupled_to_is_drawn_plugged(name: str, plugged: set[str]) -> None:
    """ISO 1219-1: a cross at the end of the line."""
    scene = Scene(RIGS[name])
    anchors = scene.layout.placed["1V1"].symbol.anchors
    strokes = [one.points for one in scene.still() if isinstance(one, Path) and len(one.points) == 2]
    crossed = set()
    for port in ("A", "B"):
        x, y = anchors[port].x, anchors[port].y
        near = [(a, b) for a, b in strokes if all(0 <= q[0] - x <= 12 and abs(q[1] - y) <= 6 for q in (a, b))]
        slopes = {(b[1] - a[1]) / (b[0] - a[0]) for a, b in near if a[0] != b[0]}
        if slopes == {1.0, -1.0}:
            crossed.add(port)
    assert crossed == plugged
