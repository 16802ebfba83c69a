"""The loader's drawing: everything in its place, nothing on anything else, and what moves follows the engine."""

from __future__ import annotations

import itertools
import math
import re
from dataclasses import dataclass

import pytest
from cases import first
from lines_of_python import lines_of_python
from loader_for_drawing import RIG, instants, meet, text_boxes

from trainer.drawing.moving import SectionView
from trainer.drawing.scene import Scene, SceneOptions, SceneState
from trainer.drawing.shapes import Arc, Marks, Path, Shape, Words
from trainer.drawing.theme import THEMES
from trainer.engine.session import Session
from trainer.units import System

SCENE = Scene(RIG)
STATES = ("neutral", "boom", "slew", "legs", "relief")
SECTIONS = ("1V1", "2V1", "3V1", "4V1", "5V1")


def picture(
    state: str, scene: Scene = SCENE, system: System = System.METRIC, covered: frozenset[str] = frozenset()
) -> list[Shape]:
    return scene.live(instants()[state], SceneState(system=system, covered=set(covered)))


def texts(shapes: list[Shape]) -> list[str]:
    return [shape.text for shape in shapes if isinstance(shape, Words)]


def marks(shapes: list[Shape]) -> list[tuple[float, float, float]]:
    return [place for shape in shapes if isinstance(shape, Marks) for place in shape.places]


def test_it_fits_the_board_at_zoom_one() -> None:
    width, height = SCENE.size
    assert width <= 1430  # the board's drawing is 1424 wide and 780 high
    assert height <= 780


def test_what_the_machine_shows_is_not_in_the_circuit() -> None:
    drawn = {*SCENE.still(), *picture("boom")}
    elsewhere = [part for id_, part in SCENE.layout.placed.items() if not SCENE.layout.seen(id_)]
    assert [part.fitted.id for part in elsewhere] == ["1W1", "3W1"]
    assert not [part.fitted.id for part in elsewhere if drawn & {*part.symbol.drawn()}]


@pytest.mark.parametrize("state", STATES)
@pytest.mark.parametrize("system", System)
@pytest.mark.parametrize("theme", first(1, ["light", "dark", "print"]))
def test_no_text_lies_on_another(state: str, system: System, theme: str) -> None:
    scene = Scene(RIG, SceneOptions(THEMES[theme], system))
    boxes = text_boxes([*scene.still(system), *picture(state, scene, system)])
    clashes = [(a, b) for (a, one), (b, other) in itertools.combinations(boxes, 2) if meet(one, other)]
    assert clashes == []
    for text, (left, top, right, bottom) in boxes:
        assert left >= 0, text
        assert top >= 0, text
        assert right <= scene.size[0], text
        assert bottom <= scene.size[1], text


@pytest.mark.parametrize("system", System)
def test_no_text_lies_on_a_pipe(system: System) -> None:
    scene = Scene(RIG, SceneOptions(system=system))
    boxes = text_boxes([*scene.still(system), *picture("legs", scene, system)])
    for net in scene.pipes.nets.values():
        for run in net.runs:
            for (ax, ay), (bx, by) in itertools.pairwise(run.points):
                pipe = (min(ax, bx) - 4, min(ay, by) - 4, max(ax, bx) + 4, max(ay, by) + 4)
                assert [text for text, box in boxes if meet(box, pipe)] == [], net.line


def test_no_line_crosses_another_without_need() -> None:
    """B crosses the gallery once in every section, and A once between the legs; nothing else crosses."""
    segments = [
        (name, a, b)
        for name, net in SCENE.pipes.nets.items()
        for run in net.runs
        for a, b in itertools.pairwise(run.points)
    ]
    level = [s for s in segments if s[1][1] == s[2][1]]
    upright = [s for s in segments if s[1][0] == s[2][0]]
    crossings = [
        (across[0], down[0])
        for across in level
        for down in upright
        if across[0] != down[0]
        and min(across[1][0], across[2][0]) < down[1][0] < max(across[1][0], across[2][0])
        and min(down[1][1], down[2][1]) < across[1][1] < max(down[1][1], down[2][1])
    ]
    assert sorted(crossings) == [("A1", "B1"), ("G3", "B2"), ("G4", "B3"), ("G5", "B4"), ("R", "B5"), ("banks", "B1")]


def test_one_column_is_one_function() -> None:
    xs = [SCENE.levers[id_] for id_ in SECTIONS]
    assert [b - a for a, b in itertools.pairwise(xs[1:])] == [190.0] * 3
    for section, actuator in (("2V1", "2A1"), ("3V1", "3A1"), ("4V1", "4A1"), ("5V1", "5A1")):
        assert SCENE.layout.placed[actuator].x == SCENE.levers[section]
    galleries = {SCENE.layout.placed[id_].symbol.anchors["C"].y for id_ in SECTIONS}
    assert len(galleries) == 1
    assert set(SCENE.boxes) == {*RIG.parts, *RIG.instruments}


def test_banks_are_enclosed_and_named() -> None:
    still = SCENE.still()
    chains = [s for s in still if isinstance(s, Path) and s.dash and s.closed]
    assert len(chains) == 2
    assert {"1V", "2V"} <= set(texts(still))
    inlet = SCENE.layout.placed["2V0"].x
    first, second = sorted(chains, key=lambda s: s.points[0][0])
    assert first.points[1][0] < SCENE.gauges["P1"].x < second.points[0][0] < inlet


def test_names_and_sizes_are_told() -> None:
    told = texts(SCENE.still())
    assert {"Stabilisers", "Slew", "Boom", "Stick", "Grapple"} <= set(told)
    assert {"1A1, 1A2", "2 × Ø63/40", "Ø90/50", "315 cm³/rev", "180 bar", "160 bar", "15.2 cm³/rev"} <= set(told)
    assert {"0Z1  45 L", "0M1  diesel", "ISO VG 46"} <= set(told)
    names = {s.text: s.weight for s in SCENE.still() if isinstance(s, Words)}
    assert names["Boom"] == 600
    assert names["3A1"] == 400
    live = picture("neutral")
    assert "Oil 45 °C" in texts(live)
    assert any(re.fullmatch(r"n1  \d{4} r/min", text) for text in texts(live))
    assert "Oil 113 °F" in texts(picture("neutral", system=System.US))


def test_what_is_shown_in_the_machine_view_is_not_drawn_in_the_circuit() -> None:
    hidden = [p for p in SCENE.layout.placed.values() if p.elsewhere]
    assert len(hidden) == 2
    still = SCENE.still()
    assert not any(shape in still for part in hidden for shape in part.symbol.drawn())


def test_the_case_drain_has_a_tank_sign_of_its_own() -> None:
    assert SCENE.layout.drains == {("2A1", "L")}
    reached = {port for run in SCENE.pipes.nets["T"].runs for port in run.far}
    assert reached == {("0V1", "T"), ("0Z3", "2")}


def test_marks_go_with_the_oil_while_the_boom_is_lifted() -> None:
    """From the pump along the gallery to 3V1, up A3, down B3, and back along the lower gallery to the filter."""
    places = marks(picture("boom"))

    def ways(x: tuple[float, float], y: tuple[float, float]) -> set[float]:
        return {round(a) % 360 for mx, my, a in places if x[0] <= mx <= x[1] and y[0] <= my <= y[1]}

    assert ways((149, 151), (400, 520)) == {90}  # up from the pump
    assert ways((160, 850), (400, 400)) == {0}  # along the gallery
    assert ways((980, 980), (190, 370)) == {90}  # A3, up to the cap end
    assert ways((1000, 1000), (110, 390)) == {270}  # B3, down from the rod end
    assert ways((560, 1390), (610, 610)) == {180}  # back to the filter
    assert ways((380, 420), (680, 680)) == {180}  # through the cooler to the tank
    assert ways((209, 211), (470, 700)) == set()  # nothing over the main relief


def test_the_moving_function_tells_load_and_speed() -> None:
    live = instants()["boom"]
    shapes = picture("boom")
    speed = live.speed("boom") * 1e3
    assert speed > 20
    words = [s for s in shapes if isinstance(s, Words)]
    assert [s.ink for s in words if s.text == f"{speed:.0f} mm/s up"] == ["accent"]
    force = live.value("3A1", "force") / 1e3
    assert f"Load {force:.1f} kN" in texts(shapes)
    bold = {s.text for s in words if s.weight == 600}
    assert f"A  {live.pressure('A3') / 1e5:.0f} bar" in bold
    assert f"A  {live.pressure('A5') / 1e5:.0f} bar" not in bold


def test_the_motor_tells_which_way_it_turns() -> None:
    live = instants()["slew"]
    rate = math.degrees(live.speed("slew"))
    assert rate < -5
    shapes = picture("slew")
    assert f"{-rate:.0f} °/s right" in texts(shapes)
    arcs = [s for s in shapes if isinstance(s, Arc) and s.ink == "accent"]
    assert len(arcs) == 1
    assert arcs[0].span < 0  # clockwise
    assert not [s for s in picture("boom") if isinstance(s, Arc) and s.ink == "accent"]


def test_the_legs_are_told_apart_while_they_move() -> None:
    told = [s for s in picture("legs") if isinstance(s, Words) and s.text.endswith("mm/s down")]
    assert sorted(s.align for s in told) == ["left", "right"]


def test_on_the_relief_the_oil_goes_over_it() -> None:
    live = instants()["relief"]
    assert live.pressure("pump") > 160e5
    places = marks(picture("relief"))
    down = {round(a) % 360 for x, y, a in places if x == 210 and 570 < y < 730}
    assert down == {270}
    assert not [text for text in texts(picture("relief")) if "mm/s" in text]


def test_a_quiver_is_no_movement_until_it_is_one() -> None:
    """A rod counts as moving above 2 mm/s, and until it falls below 0.8 mm/s."""

    @dataclass(frozen=True)
    class Quiver:
        rod: float

        def speed(self, line: str) -> float:
            return self.rod

        def __getattr__(self, name: str) -> object:
            return getattr(instants()["neutral"], name)

    view = SceneState()
    seen = []
    for speed in (1e-3, 3e-3, 1e-3, 0.5e-3, 1e-3):
        SCENE.live(Quiver(speed), view)  # type: ignore[arg-type]  # a stand-in
        seen.append("5A1" in view.moving)
    assert seen == [False, True, True, False, False]


def test_covered_flow_and_pressure_stay_hidden() -> None:
    live = instants()["boom"]
    told = " ".join(texts(picture("boom", covered=frozenset({"P1", "Q1"}))))
    assert f"{live.pressure('banks') / 1e5:.0f} bar" not in told
    assert f"{live.pressure('A3') / 1e5:.0f} bar" not in told
    assert not re.search(r"\d L/min", told)


def test_a_frame_is_made_quickly() -> None:
    """Some tenth of a frame of 60 a second, counted in lines of Python: about a million run in a second."""
    live, view = instants()["boom"], SceneState()

    def frame() -> None:
        _, pipes = SCENE.pipes_at(live, view)
        pipes()
        SCENE.sliding(live, view)

    frame()
    lines = lines_of_python(frame)
    print(f"a frame: {lines} lines of Python")
    assert lines < 7500


def test_oil_that_runs_into_a_shut_port_is_seen_to_pass_its_valve() -> None:
    """When the slew is stopped, the motor draws oil from the return through the anti-cavitation valve at its port."""
    session = Session(RIG)
    session.set_control("2V1.lever", -0.7)
    session.advance(1.0)
    session.set_control("2V1.lever", 0.0)
    session.advance(0.1)
    live = session.readings
    assert live.stream("2V1", "B_anti_cavitation") > 1e-3 / 60
    passed = {
        (passage.start, passage.end, passage.stream)
        for passage in SectionView(SCENE.layout.placed["2V1"], SCENE.theme).picture(live).passages
        if passage.stream
    }
    assert ("T", "B", "B_anti_cavitation") in passed
    neutral = SectionView(SCENE.layout.placed["2V1"], SCENE.theme, standing=0.27e-3 / 60).picture(
        instants()["neutral"]
    )
    assert {passage.stream for passage in neutral.passages} == {"past_spool", ""}
