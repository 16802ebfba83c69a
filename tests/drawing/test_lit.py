"""What is lit on a drawing: halos under the pipes, rings, numbered steps, and names that are hidden."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import approved_lists
import pytest
from loader_for_drawing import RIG as LOADER
from loader_for_drawing import instants, text_boxes
from rig_for_drawing import DRAWING, HandMade, bench, lifting

from trainer import resources
from trainer.drawing.lit import disc_size
from trainer.drawing.scene import Scene, SceneOptions, SceneState
from trainer.drawing.scene_state import StepShown
from trainer.drawing.shapes import Circle, Path, Shape, Words
from trainer.drawing.symbols.symbol import flat
from trainer.drawing.theme import THEMES, contrast
from trainer.rig import file as rig_file
from trainer.rig.names import short_words
from trainer.tracing.words import place_words

RIG = bench(DRAWING)
SCENE, LOADER_SCENE = Scene(RIG), Scene(LOADER)
LIVE = lifting(RIG)
PATH = (
    StepShown(1, ("line", "P1"), ("0P1", "P")), StepShown(2, ("line", "A1"), ("1V1", "A")),
    StepShown(3, ("line", "B1"), ("1A1", "B")), StepShown(4, ("line", "R"), ("1V1", "T")),
    StepShown(5, ("line", "T"), ("0Z2", "2")), StepShown(6, ("part", "0Z1")),
)  # fmt: skip
LIT = {("line", name) for name in ("P1", "A1", "B1", "R", "T")} | {
    ("part", name) for name in ("0P1", "1V1", "1A1", "0Z2", "0Z1")
}


def pipes(view: SceneState, scene: Scene = SCENE) -> list[Shape]:
    return flat(scene.pipes_at(LIVE, view)[1]())


def texts(shapes: list[Shape]) -> list[str]:
    return [shape.text for shape in shapes if isinstance(shape, Words)]


def discs(shapes: list[Shape]) -> list[Circle]:
    return [shape for shape in shapes if isinstance(shape, Circle)]


def test_nothing_lit_draws_nothing_more() -> None:
    plain = SceneState()
    assert SCENE.halo(plain) == []
    assert SCENE.discs(plain) == []
    assert pipes(plain) == SCENE.piped(SCENE.steps_at(LIVE, plain))


def test_a_halo_lies_under_the_pipes_and_is_wider_than_they_are() -> None:
    view = SceneState(lit={("line", "A1")})
    shapes = pipes(view)
    halo = SCENE.halo(view)
    assert shapes[: len(halo)] == halo
    assert {shape.ink for shape in halo if isinstance(shape, Path)} == {"accent", "accent-pale"}
    widest = max(SCENE.theme.pipes)
    assert all(shape.width > widest + 4 for shape in halo if isinstance(shape, Path))
    # it follows the line, and no other
    riser = [p for shape in halo if isinstance(shape, Path) for p in shape.points]
    assert all(700 < x < 800 and 200 < y < 420 for x, y in riser)


@pytest.mark.parametrize("theme", ["light", "dark", "projector"])
def test_the_halo_can_be_told_from_the_paper(theme: str) -> None:
    """WCAG 2.2, 1.4.11: 3 to 1 for what tells something; the rim does, the pale band only fills."""
    shown = THEMES[theme]
    assert contrast(shown.colour("accent"), shown.colour("paper")) >= 3.0
    assert contrast(shown.colour("ink"), shown.colour("cell")) >= 7.0  # of a number in its disc


def test_what_is_lit_is_part_of_the_key_of_the_kept_pipes() -> None:
    keys = {
        SCENE.pipes_at(LIVE, SceneState(lit=lit, chosen=chosen))[0]
        for lit in (set(), {("line", "A1")}, {("line", "A1"), ("part", "1A1")})
        for chosen in (None, ("line", "A1"))
    }
    assert len(keys) == 6


def test_halos_are_made_once() -> None:
    view = SceneState(lit=set(LIT))
    assert all(one is other for one, other in zip(SCENE.halo(view), SCENE.halo(view), strict=True))


def test_what_is_not_drawn_here_is_not_lit() -> None:
    view = SceneState(lit={("part", "3W1"), ("line", "boom"), ("line", "nowhere"), ("part", "9Z9")})
    assert LOADER_SCENE.halo(view) == []


def test_the_halo_of_a_line_ends_outside_the_parts_it_joins() -> None:
    for name in LOADER_SCENE.pipes.nets:
        for shape in LOADER_SCENE.halo(SceneState(lit={("line", name)})):
            if not isinstance(shape, Path) or shape.ink != "accent-pale":
                continue
            for end in (shape.points[0], shape.points[-1]):
                for id_, part in LOADER_SCENE.layout.placed.items():
                    if part.vessel is None and LOADER_SCENE.layout.seen(id_) and id_ not in LOADER_SCENE.layout.rods:
                        left, top, wide, high = LOADER_SCENE.boxes[id_]
                        assert not (left < end[0] < left + wide and top < end[1] < top + high), (name, id_)


def test_the_frame_of_a_section_slides_with_its_envelope() -> None:
    def top(lever: float) -> float:
        view = SceneState(lit={("part", "1V1")})
        frames = [
            shape
            for shape in SCENE.moving(HandMade(RIG, lever), view)
            if isinstance(shape, Path) and shape.closed and shape.ink == "accent" and shape.fill is None
        ]
        assert len(frames) == 1
        return min(y for _, y in frames[0].points)

    assert top(0.5) - top(0.0) == pytest.approx(30)  # 60 px of travel for a full lever
    assert top(0.0) < 410 - 90  # around the three squares


def test_the_ring_is_drawn_in_ink() -> None:
    for chosen in (("line", "A1"), ("part", "1A1"), ("instrument", "P1")):
        shapes = SCENE.halo(SceneState(chosen=chosen))
        assert "ink" in {shape.ink for shape in shapes if isinstance(shape, Path)}
        assert "accent" not in {shape.ink for shape in shapes if isinstance(shape, Path)}


def test_steps_are_numbered_where_the_oil_enters() -> None:
    view = SceneState(steps_shown=PATH)
    shapes = SCENE.discs(view)
    assert texts(shapes) == ["1", "2", "3", "4", "5", "6"]
    first, second, third = discs(shapes)[:3]
    assert first.x == 230 or first.y == 410  # on the pump's riser or the gallery behind it
    assert (second.x - 758) ** 2 + (second.y - 390) ** 2 < 40**2  # near port A of the section
    assert (third.x, third.y) != (second.x, second.y)
    assert SCENE.discs(view) is SCENE.discs(SceneState(steps_shown=PATH))  # made once


@pytest.mark.parametrize("least", [0.0, 22.0, 30.0])
def test_discs_keep_clear_of_each_other_and_of_instruments(least: float) -> None:
    parts = tuple(StepShown(k, ("part", id_)) for k, id_ in enumerate(LOADER.parts, 1))
    for scene, steps in ((SCENE, PATH), (LOADER_SCENE, _loader_path()), (LOADER_SCENE, parts)):
        found = discs(scene.discs(SceneState(steps_shown=steps), least))
        assert len(found) == len(steps)
        size, radius = disc_size(scene.theme, least)
        assert size >= max(least, 12)
        assert radius > 0.5 * math.hypot(2 * 0.513 * size, 0.66 * size)  # two figures of Source Sans within it
        for k, one in enumerate(found):
            assert all(math.dist((one.x, one.y), (two.x, two.y)) > 2 * radius for two in found[:k])
            for name in scene.gauges:
                left, top, wide, high = scene.boxes[name]
                assert math.dist((one.x, one.y), (left + wide / 2, top + high / 2)) > radius + 20


def test_a_disc_that_names_a_line_or_a_part_stands_on_no_other_one() -> None:
    """Where a pilot line crosses the pump's line, or a rod carries a weight, it would be the other's."""
    scene = Scene(rig_file.load(resources.path("rigs/pilot-joystick.toml")))
    asked = [("line", "XA"), *(("part", id_) for id_ in ("1A1", "0V2", "0P1", "1V1", "0V3"))]
    steps = tuple(StepShown(k, place) for k, place in enumerate(asked, 1))
    for (_, own), disc in zip(
        asked, discs(scene.discs(SceneState(nameless=True, steps_shown=steps), 13.0)), strict=True
    ):
        runs = (run for name, net in scene.pipes.nets.items() if name != own for run in net.runs)
        for (ax, ay), (bx, by) in (pair for run in runs for pair in itertools.pairwise(run.points)):
            across, down = (
                max(min(ax, bx) - disc.x, disc.x - max(ax, bx)),
                max(min(ay, by) - disc.y, disc.y - max(ay, by)),
            )
            assert max(across, down) > disc.radius
        left, top, wide, high = scene.boxes["1W1"]
        assert not (left < disc.x + disc.radius and disc.x - disc.radius < left + wide and disc.y < top + high)


def _loader_path() -> tuple[StepShown, ...]:
    ways = (
        ("pump", "0P1", "P"), ("banks", "1V1", "C1"), ("G3", "2V1", "C1"), ("A3", "3V1", "A"), ("G4", "3V1", "C1"),
        ("G5", "4V1", "C1"), ("B3", "3A1", "B"), ("R", "5V1", "C1"), ("RC", "0Z2", "2"), ("T", "0Z3", "2"),
    )  # fmt: skip
    lines = [StepShown(k, ("line", line), (part, port)) for k, (line, part, port) in enumerate(ways, 1)]
    return (*lines, StepShown(len(ways) + 1, ("part", "0Z1")))


def test_a_name_stands_beside_its_disc_and_off_the_pipes() -> None:
    named = tuple(replace(step, words=short_words(place_words(LOADER, step.place))) for step in _loader_path())
    shapes = LOADER_SCENE.discs(SceneState(steps_shown=named))
    words = [text for text in texts(shapes) if not text.isdigit()]
    assert words == [step.words for step in named]
    boxes = [box for text, box in text_boxes(shapes) if not text.isdigit()]
    for k, one in enumerate(boxes):
        assert not any(
            one[0] < two[2] and two[0] < one[2] and one[1] < two[3] and two[1] < one[3] for two in boxes[:k]
        )


@pytest.mark.soak
def test_names_and_sizes_are_hidden_and_figures_stay() -> None:
    live = instants()["boom"]
    view = SceneState(nameless=True)
    written = " ".join(texts([*LOADER_SCENE.still(nameless=True), *LOADER_SCENE.moving(live, view)]))
    for id_, fitted in LOADER.parts.items():
        assert id_ not in written
        assert not fitted.label or fitted.label not in written
    for name in LOADER.instruments:
        assert name not in written.split()
    assert "Ø" not in written
    assert "cm³" not in written
    assert "bar" in written
    assert "L/min" in written
    assert "r/min" in written
    assert "M" in texts(LOADER_SCENE.still(nameless=True))  # a symbol's own letter is no name


def test_the_lit_bench_while_lifting_is_the_approved_picture() -> None:
    view = SceneState(lit=set(LIT), steps_shown=PATH)
    scene = Scene(RIG, SceneOptions(THEMES["light"]))
    shapes = [*scene.halo(view), *scene.moving(LIVE, view)[:8], *scene.discs(view)]
    approved_lists.check("trace", shapes)
