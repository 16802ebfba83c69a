"""The scene: what stands still, what moves with lever, rod and flow, and what a cover hides."""

from __future__ import annotations

import itertools
import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest
from rig_for_drawing import DRAWING, HandMade, bank, bench, lifting

from trainer.drawing.legend import LEGEND, legend
from trainer.drawing.pipes import MARK, PITCH, Track, oil_speed
from trainer.drawing.scene import Scene, SceneOptions, SceneState
from trainer.drawing.shapes import Circle, Marks, Path, Row, Shape, Words
from trainer.drawing.svg import svg, triangle
from trainer.drawing.theme import ROLES, STEPS, THEMES, contrast
from trainer.rig.live import Live
from trainer.units import System

RIG = bench(DRAWING)
SCENE = Scene(RIG)


def texts(shapes: list[Shape]) -> list[str]:
    return [shape.text for shape in shapes if isinstance(shape, Words)]


def picture(live: Live, scene: Scene = SCENE, **view: object) -> list[Shape]:
    return scene.live(live, replace(SceneState(), **view))  # type: ignore[arg-type]  # its names are the fields'


def envelope_top(shapes: list[Shape]) -> float:
    """Return the upper edge of the section's row of squares: the tall rectangle of three 60 px squares."""
    for shape in shapes:
        if isinstance(shape, Path) and shape.closed and shape.fill == "cell" and len(shape.points) == 4:
            ys = [y for _, y in shape.points]
            if max(ys) - min(ys) == 180:
                return min(ys)
    raise AssertionError("no envelope drawn")


def marks(shapes: list[Shape]) -> list[tuple[float, float, float]]:
    return [place for shape in shapes if isinstance(shape, Marks) for place in shape.places]


def roles(shapes: list[Shape]) -> set[str]:
    return {role for s in shapes for role in (getattr(s, "ink", None), getattr(s, "fill", None)) if role}


@pytest.mark.parametrize(("lever", "shift"), [(0.0, 0), (0.5, 30), (1.0, 60), (-0.25, -15)])
def test_the_envelope_slides_exactly_with_the_spool(lever: float, shift: float) -> None:
    assert envelope_top(picture(HandMade(RIG, lever))) == pytest.approx(410 - 90 + shift)


@pytest.mark.parametrize("lever", [0.5, -0.5])
def test_open_ports_reach_from_their_fixed_places(lever: float) -> None:
    starts = {
        shape.points[0]
        for shape in picture(HandMade(RIG, lever))
        if isinstance(shape, Path) and shape.ink == "casing" and len(shape.points) == 4
    }
    assert {(700 - 58.0, 390.0), (700 - 58.0, 410.0)} <= starts  # P and C, straight on for 6 px


def test_the_lever_is_told_in_per_cent_only_when_moved() -> None:
    assert "50 %" in texts(picture(HandMade(RIG, 0.5)))
    assert "−50 %" in texts(picture(HandMade(RIG, -0.5)))
    assert not [text for text in texts(picture(HandMade(RIG))) if "%" in text]


def test_the_accent_is_for_what_is_asked_and_got() -> None:
    assert "accent" not in roles(picture(HandMade(RIG)))
    shapes = picture(lifting(RIG))
    assert "accent-pale" in roles(shapes)
    assert "8 mm/s up" in texts(shapes)


def test_no_marks_where_no_oil_moves() -> None:
    assert marks(picture(HandMade(RIG))) == []
    assert marks(picture(lifting(RIG)))


def test_marks_go_the_way_the_oil_goes() -> None:
    view = SceneState()
    shapes = SCENE.live(lifting(RIG), view)
    riser = [d % 360 for x, y, d in marks(shapes) if x == 760 and 220 < y < 380]  # A1, up to the cap end
    back = [d % 360 for x, y, d in marks(shapes) if x == 780 and 140 < y < 400]  # B1, down from the rod end
    assert riser
    assert set(riser) == {90}
    assert back
    assert set(back) == {270}
    tip, one, other = triangle(0, 0, 90, 11, 8)
    assert tip[1] < one[1] == pytest.approx(other[1])


def test_marks_advance_with_the_oil_and_stand_when_motion_is_reduced() -> None:
    live, view = lifting(RIG), SceneState()
    before = marks(SCENE.live(live, view))
    SCENE.advance(live, view, 1 / 60)
    after = marks(SCENE.live(live, view))
    assert before != after
    still = SceneState(reduced=True)
    SCENE.advance(live, still, 1 / 60)
    assert marks(SCENE.live(live, still)) == before


def test_marks_never_move_a_third_of_their_pitch() -> None:
    live, view = lifting(RIG), SceneState()
    live.flows = {key: 1e3 * flow for key, flow in live.flows.items()}
    SCENE.advance(live, view, 1 / 15)
    moved = [min(phase, PITCH - phase) for phase in view.phases.values()]
    assert moved
    assert max(moved) < PITCH / 3


def test_oil_speed_is_compressed_by_its_root() -> None:
    assert oil_speed(4e-5, 0.01) == pytest.approx(2 * oil_speed(1e-5, 0.01))
    assert oil_speed(-1e-5, 0.01) == -oil_speed(1e-5, 0.01)
    assert oil_speed(1e-9, 0.01) == 0


def test_marks_keep_clear_of_dots() -> None:
    track = Track(((0.0, 0.0), (100.0, 0.0)), (True, True))
    for phase in range(38):
        for flow in (1.0, -1.0):
            rows: list[Row] = []
            track.marks(float(phase), flow, rows)
            places = Marks(tuple(rows), MARK, 6.0, "ink", PITCH).places
            assert places
            assert all(13 <= x <= 87 for x, _, _ in places)


def test_piston_and_load_move_with_the_rod() -> None:
    def weight_y(extension: float) -> float:
        live = HandMade(RIG, extension=extension)
        return next(s.y for s in picture(live) if isinstance(s, Words) and s.text == "255 kg")

    assert weight_y(0.0) - weight_y(0.2) == pytest.approx(50)  # 5 M of travel for the whole stroke


def test_relief_arrow_comes_into_line_when_it_opens() -> None:
    def heads(opening: float) -> list[float]:
        live = HandMade(RIG, opening=opening)
        return [s.points[1][0] for s in picture(live) if isinstance(s, Path) and s.points[0][1] == 511]

    assert heads(0.0) == [320.0]
    assert heads(1.0) == [330.0]


def test_pressure_sets_colour_and_weight() -> None:
    low = [s for s in picture(HandMade(RIG, pressures={"P1": 5e5})) if isinstance(s, Path)]
    high = [s for s in picture(HandMade(RIG, pressures={"P1": 45e5})) if isinstance(s, Path)]
    assert "pressure4" not in {s.ink for s in low}
    theme = SCENE.theme
    cores = [s for s in high if s.ink == "pressure4"]
    assert cores
    assert all(s.width == theme.pipe(4) - 2 * theme.casing for s in cores)


def test_colour_steps_hold_against_small_waves() -> None:
    view, live = SceneState(), HandMade(RIG)
    seen = []
    for bar in (9.0, 10.5, 11.5, 9.5, 8.5):  # step 10 bar: up beyond 11, down below 9
        live.pressures["P1"] = bar * 1e5
        SCENE.live(live, view)
        seen.append(view.steps["P1"])
    assert seen == [0, 0, 1, 1, 0]


def test_a_covered_gauge_hides_reading_colour_chamber_and_figures() -> None:
    open_ = picture(lifting(RIG))
    covered = picture(lifting(RIG), covered={"P1"})
    assert {"24.8 bar", "A  22.8 bar", "B  0.5 bar"} <= set(texts(open_))
    told = " ".join(texts(covered))
    assert "24.8" not in told
    assert "22.8" not in told
    assert "B  0.5 bar" in texts(covered)  # drains to the tank, tells nothing
    assert roles(open_) & {"pressure2"}
    assert not roles(covered) & {f"pressure{step}" for step in range(1, STEPS)}
    assert any(isinstance(s, Circle) and s.hatch == "cover-hatch" for s in covered)
    assert marks(covered)  # flow stays to be seen


@pytest.mark.parametrize(("theme", "ticked"), [("print", True), ("projector print", True), ("light", False)])
def test_a_covered_line_has_ticks_across_where_no_colour_tells_it(theme: str, ticked: bool) -> None:
    """In grey its core is as light as that of hardly any pressure; the legend shows the same."""
    scene, view = Scene(RIG, SceneOptions(THEMES[theme])), replace(SceneState(), covered={"P1"})
    steps = scene.steps_at(lifting(RIG), view)
    assert steps["P1"] is None
    for shapes in (scene.piped(steps), legend(THEMES[theme], System.METRIC, 10e5, covered=True)):
        across = [s for s in shapes if isinstance(s, Path) and s.dash]
        assert bool(across) is ticked
        assert all(s.width == THEMES[theme].pipe(None) and s.ink == "casing" for s in across)
    assert not [s for s in scene.piped(dict.fromkeys(steps, 0)) if isinstance(s, Path) and s.dash]


def test_a_held_load_does_not_betray_a_covered_gauge() -> None:
    live = HandMade(RIG, 0.0, {"A1": 20e5})
    covered = picture(live, covered={"P1"})
    assert "20.0" not in " ".join(texts(covered))
    assert not roles(covered) & {f"pressure{step}" for step in range(1, STEPS)}


def test_the_pictures_of_two_pressures_under_cover_are_the_same() -> None:
    one, other = lifting(RIG), lifting(RIG)
    other.pressures |= {"P1": 48e5, "A1": 44e5}
    assert picture(one, covered={"P1"}) == picture(other, covered={"P1"})


def test_a_covered_flow_meter_hides_the_pump_flow() -> None:
    assert "0.60 L/min" in texts(picture(lifting(RIG)))
    assert "0.60 L/min" not in texts(picture(lifting(RIG), covered={"Q1"}))


def test_what_stands_still_names_the_parts_and_their_data() -> None:
    told = texts(SCENE.still())
    assert {"Lift cylinder", "1A1", "Ø40/25", "× 200 mm", "50 bar", "11 cm³/rev", "P1"} <= set(told)
    assert any("12 L" in text and "VG 46" in text for text in told)
    assert any("psi" in text for text in texts(SCENE.still(System.US)))


def test_columns_levers_and_boxes() -> None:
    assert SCENE.columns["1"] == SCENE.levers["1V1"] == 700
    x, y, wide, high = SCENE.boxes["1V1"]
    assert x < 700 < x + wide
    assert y < 410 - 150
    assert y + high > 410 + 150
    assert set(SCENE.boxes) == {*RIG.parts, *RIG.instruments}


def test_columns_of_a_bank_are_19_modules_apart() -> None:
    scene = Scene(bank(5))
    xs = [scene.levers[f"{i}V1"] for i in range(1, 6)]
    assert [b - a for a, b in itertools.pairwise(xs)] == [190.0] * 4
    assert len([s for s in scene.still() if isinstance(s, Path) and s.ink == "ink2" and s.dash]) == 1


def test_a_tandem_gallery_is_one_straight_line() -> None:
    scene = Scene(bank(3))
    for i in (1, 2):
        runs = scene.pipes.nets[f"C{i}"].runs
        level = {y for run in runs for _, y in run.points if ("", "") not in run.far}
        assert 440 in {round(y) for y in level}
        straight = [r for r in runs if len(r.points) == 2 and r.points[0][1] == r.points[1][1]]
        assert straight


@pytest.mark.parametrize("theme", THEMES)
def test_everything_drawn_is_inside_and_in_known_roles(theme: str) -> None:
    scene = Scene(RIG, SceneOptions(THEMES[theme]))
    shapes = [*scene.still(), *scene.live(lifting(RIG), SceneState())]
    assert roles(shapes) <= set(ROLES)
    for shape in shapes:
        if isinstance(shape, Path):
            assert all(0 <= x <= scene.size[0] and 0 <= y <= scene.size[1] for x, y in shape.points)
        if isinstance(shape, Words):
            wide = 0.5 * shape.size * len(shape.text)
            left = shape.x - {"left": 0.0, "centre": 0.5, "right": 1.0}[shape.align] * wide
            assert left >= 0
            assert left + wide <= scene.size[0]


def test_deleting_the_drawing_changes_places_only() -> None:
    automatic = Scene(bench())
    assert {t for t in texts(automatic.still()) if "P1" in t} == {t for t in texts(SCENE.still()) if "P1" in t}
    assert set(automatic.pipes.nets) == set(SCENE.pipes.nets)


@pytest.mark.parametrize("theme", THEMES)
def test_svg_is_xml_of_the_right_size(theme: str) -> None:
    shapes = [*SCENE.still(), *picture(lifting(RIG), covered={"P1"})]
    text = svg(shapes, SCENE.size, THEMES[theme], "Bench <1> & more", "at rest")
    root = ElementTree.fromstring(text)
    name = "{http://www.w3.org/2000/svg}"
    assert root.findtext(f"{name}title") == "Bench <1> & more"
    assert float(root.attrib["width"]) == pytest.approx(SCENE.size[0])
    assert root.find(f"{name}defs/{name}pattern") is not None
    assert not re.search(r"\d\.\d{3}", text)


def test_the_ramps_differ_step_by_step() -> None:
    for theme in THEMES.values():
        levels = [contrast(theme.colour(f"pressure{k}"), "#000000") for k in range(STEPS)]
        assert levels == sorted(levels, reverse=not theme.dark)
        assert list(theme.pipes) == sorted(theme.pipes)
        for k in range(STEPS):  # marks must be seen on every core
            role, inside = theme.mark(k)
            assert contrast(theme.colour(role), theme.colour(f"pressure{k}")) > 2.9
            assert inside == (theme.colour(role) == theme.colour("paper"))


def test_text_can_be_read_on_every_paper() -> None:
    # WCAG 2.2, success criterion 1.4.3: 4.5 to 1 for text
    for theme in THEMES.values():
        for role in ("ink", "ink2", "accent"):
            assert contrast(theme.colour(role), theme.colour("paper")) >= 4.5


def test_contrast_of_black_on_white() -> None:
    assert contrast("#000000", "#FFFFFF") == pytest.approx(21)  # WCAG 2.2, definition of contrast ratio


def test_the_legend_tells_the_steps_and_the_marks() -> None:
    shapes = legend(THEMES["light"], System.METRIC, 30e5)
    assert {"0", "30", "60", "90", "120", "150", "180", "over 180", "Oil moving", "Oil standing"} <= set(
        texts(shapes)
    )
    assert marks(shapes)
    assert max(x for s in shapes if isinstance(s, Path) for x, _ in s.points) <= LEGEND[0]
    assert "Pressure in the line, psi" in texts(legend(THEMES["print"], System.US, 30e5, covered=True))
