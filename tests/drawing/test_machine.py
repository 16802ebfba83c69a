"""The machine view: to scale, inside its size, its numbers those of the state."""

from __future__ import annotations

import itertools
import math

import pytest
from lines_of_python import lines_of_python
from loader_for_drawing import RIG, instants, meet, text_boxes
from rig_for_drawing import bench

from trainer.drawing.hung_views import along_view, hung_aside
from trainer.drawing.machine import MachineView
from trainer.drawing.machine_pose import Log, Pose
from trainer.drawing.machine_views import side_view
from trainer.drawing.shapes import Circle, Path, Words
from trainer.drawing.theme import ROLES, THEMES
from trainer.drawing.view_frame import ViewFrame
from trainer.engine.session import Session
from trainer.rig.live import Live
from trainer.units import System

STATES = ("neutral", "boom", "slew", "legs", "relief")
VIEWS = {way: MachineView(RIG, arranged=way) for way in ("tall", "wide", "low")}


def figure(live: Live, name: str, system: System = System.METRIC, view: str = "tall") -> float:
    shapes = VIEWS[view].live(live, system)
    words = [s for s in shapes if isinstance(s, Words)]
    y = next(s.y for s in words if s.text == name or (name == "slew" and s.text.startswith(name)))
    (text,) = [s.text for s in words if s.y == y and s.weight == 600 and s.align == "right"]
    return float(text.replace("−", "-"))


@pytest.mark.parametrize("state", STATES)
@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize("system", System)
def test_everything_is_inside_and_no_text_on_another(state: str, view: str, system: System) -> None:
    machine = VIEWS[view]
    shapes = machine.shapes(instants()[state], system)
    width, height = machine.size
    for shape in shapes:
        if isinstance(shape, Path):
            assert all(-1 <= x <= width + 1 and -1 <= y <= height + 1 for x, y in shape.points)
    boxes = text_boxes(shapes)
    assert not [(a, b) for (a, one), (b, other) in itertools.combinations(boxes, 2) if meet(one, other)]
    assert all(box[0] >= 0 and box[1] >= 0 and box[2] <= width and box[3] <= height for _, box in boxes)
    assert {s.ink for s in shapes if isinstance(s, Words)} <= set(ROLES)


@pytest.mark.parametrize("state", STATES)
def test_numbers_are_those_of_the_state(state: str) -> None:
    live = instants()[state]
    reach, over = live.value("3W1", "reach"), live.value("3W1", "load_height")
    assert figure(live, "reach") == pytest.approx(reach, abs=0.006)
    assert figure(live, "load height") == pytest.approx(over, abs=0.006)
    assert figure(live, "slew") == pytest.approx(abs(math.degrees(live.state("3W1", "slew"))), abs=0.51)
    assert figure(live, "sway") == pytest.approx(math.degrees(live.value("3W1", "sway")), abs=0.51)
    assert figure(live, "load") == 250
    # the foot of 1959: 0.3048 m; the pound: 0.45359237 kg (NIST SP 811, appendix B.8)
    assert figure(live, "reach", System.US) == pytest.approx(reach / 0.3048, abs=0.06)
    assert figure(live, "load", System.US) == pytest.approx(250 / 0.45359237, abs=0.51)


def test_slewing_right_is_told_and_turns_the_boom_right_in_plan() -> None:
    live = instants()["slew"]
    assert live.state("3W1", "slew") < -0.05
    for view in VIEWS.values():
        shapes = view.live(live, System.METRIC)
        assert "slew right" in [s.text for s in shapes if isinstance(s, Words)]
        column = next(s for s in shapes if isinstance(s, Circle) and s.radius == 8.0)
        load = next(s for s in shapes if isinstance(s, Circle) and s.radius == 6.0)
        assert load.x > column.x
        assert load.y < column.y


def test_the_tip_is_where_the_state_says() -> None:
    """Circles of the side view: heel, knee and tip, to one scale."""
    live = instants()["boom"]
    shapes = VIEWS["wide"].live(live, System.METRIC)
    heel, knee = [s for s in shapes if isinstance(s, Circle) and s.radius == 4.0]
    tip = next(s for s in shapes if isinstance(s, Circle) and s.radius == 3.4)
    scale = math.dist((heel.x, heel.y), (knee.x, knee.y)) / 2.60
    assert math.dist((knee.x, knee.y), (tip.x, tip.y)) / scale == pytest.approx(2.05)
    assert (tip.x - heel.x) / scale == pytest.approx(live.value("3W1", "reach"), rel=1e-3)
    assert (heel.y - tip.y) / scale == pytest.approx(live.value("3W1", "tip_height"), abs=5e-3)


def test_cylinders_are_as_long_as_the_solver_says() -> None:
    """Their eyes are the black dots of the side view: boom base and rod, stick base and rod."""
    live = instants()["boom"]
    shapes = VIEWS["tall"].live(live, System.METRIC)
    heel, knee = [s for s in shapes if isinstance(s, Circle) and s.radius == 4.0]
    scale = math.dist((heel.x, heel.y), (knee.x, knee.y)) / 2.60
    eyes = [(s.x, s.y) for s in shapes if isinstance(s, Circle) and s.radius == 2.6]
    lengths = [math.dist(eyes[k], eyes[k + 1]) / scale for k in (0, 2)]
    assert lengths[0] == pytest.approx(0.825 + live.place("boom"), abs=2e-3)  # closed lengths of the crane
    assert lengths[1] == pytest.approx(1.03 + live.place("stick"), abs=2e-3)


def test_the_shadow_lies_under_the_load_in_every_view_from_the_side() -> None:
    """As far below what hangs as that is over the ground, whatever a view has its origin at."""
    for live in instants().values():
        pose = MachineView(RIG).pose(live)
        for view, frame, tip in (
            (side_view, ViewFrame(0.0, 0.0, 100.0, 0.0, 0.0), 0.0),
            (along_view, ViewFrame(0.0, 0.0, 100.0, 0.0, 0.0), pose.tip[2]),
        ):
            shadows = [
                shape for shape in view(pose, frame, THEMES["light"])
                if isinstance(shape, Path) and (shape.ink, shape.width) == ("ink2", 4.0)
            ]  # fmt: skip
            (shadow,) = shadows
            belly = pose.body[2] - pose.belly
            assert shadow.points[0][1] == pytest.approx(100.0 * (tip + pose.over - belly), abs=1.0)


def test_loads_on_the_feet_are_told() -> None:
    live = instants()["relief"]
    assert live.value("1W1", "load_1") > 1e3
    told = [s.text for s in VIEWS["wide"].live(live, System.METRIC) if isinstance(s, Words) and s.text.endswith("kN")]
    assert told == [f"{live.value('1W1', f'load_{k}') / 1e3:.1f} kN" for k in (1, 2)]


def test_a_rig_without_a_crane_has_no_machine_view() -> None:
    view = MachineView(bench())
    assert not view.exists
    assert view.still() == []


def test_a_frame_is_made_quickly() -> None:
    live, machine = instants()["slew"], MachineView(RIG, THEMES["dark"], "wide")
    machine.live(live, System.METRIC)
    lines = lines_of_python(lambda: machine.live(live, System.METRIC))
    print(f"a frame: {lines} lines of Python")
    assert lines < 2200


def clear(one: tuple[float, float], other: tuple[float, float], middle: tuple[float, float]) -> float:
    """How near a straight line from one point to another comes to a third."""
    x, y = other[0] - one[0], other[1] - one[1]
    share = ((middle[0] - one[0]) * x + (middle[1] - one[1]) * y) / (x * x + y * y)
    share = min(max(share, 0.0), 1.0)
    return math.dist((one[0] + share * x, one[1] + share * y), middle)


def tongs_of(pose: Pose) -> tuple[Circle, list[Path]]:
    """What is carried and both tongs, seen from the side, 100 to a metre."""
    shapes = hung_aside(pose, ViewFrame(0.0, 0.0, 100.0, 0.0, 0.0), THEMES["light"])
    (log,) = [s for s in shapes if isinstance(s, Circle) and s.fill == "accent-pale"]
    return log, [s for s in shapes if isinstance(s, Path) and (s.ink, s.width) == ("ink", 3.0)][-2:]


@pytest.mark.parametrize("radius", [0.1, 0.18, 0.25, 0.35])
@pytest.mark.parametrize("off", [(0.0, 0.0), (0.3, -0.3), (-0.25, 0.1)])
def test_both_claws_touch_the_log_that_is_held_and_go_through_none(radius: float, off: tuple[float, float]) -> None:
    pose = MachineView(RIG).pose(instants()["neutral"])
    x, y, z = pose.body
    pose.hooked, pose.logs = 0.0, (Log((x + off[0], y, z + off[1]), radius, carried=True),)
    log, tongs = tongs_of(pose)
    for tong in tongs:
        assert math.dist(tong.points[-1], (log.x, log.y)) == pytest.approx(100 * radius)
        assert min(clear(*ends, (log.x, log.y)) for ends in itertools.pairwise(tong.points)) > 99 * radius


def strop_of(pose: Pose) -> Path | None:
    """Return what a hooked load hangs by, from one side of the log to the other."""
    log, _ = tongs_of(pose)
    shapes = [
        shape
        for shape in hung_aside(pose, ViewFrame(0.0, 0.0, 100.0, 0.0, 0.0), THEMES["light"])
        if isinstance(shape, Path)
    ]
    for shape in shapes:
        ends = [math.dist(end, (log.x, log.y)) for end in (shape.points[0], shape.points[-1])]
        if len(shape.points) == 3 and ends == pytest.approx([log.radius] * 2, rel=0.02):
            return shape
    return None


def test_a_hooked_load_is_as_thick_as_a_log_of_its_mass_and_tongs_close_on_it() -> None:
    session = Session(RIG)
    session.set_control("3W1.load", 500.0)
    session.advance(0.1)
    heavy = MachineView(RIG).pose(session.readings)
    pose = MachineView(RIG).pose(instants()["neutral"])
    density, length = (instants()["neutral"].parameter("3W1", f"log_{name}") for name in ("density", "length"))
    assert pose.hooked == pytest.approx(math.sqrt(250 / (density * length * math.pi)), rel=1e-3)
    assert heavy.hooked == pytest.approx(math.sqrt(2) * pose.hooked, rel=1e-3)
    assert tongs_of(pose)[0].radius == pytest.approx(100 * pose.hooked)
    assert not pose.closed
    assert strop_of(pose) is not None  # open tongs hold nothing: it hangs by a strop, at both sides of the log
    pose.closed = True
    assert strop_of(pose) is None
    log, tongs = tongs_of(pose)
    assert [math.dist(tong.points[-1], (log.x, log.y)) for tong in tongs] == pytest.approx([100 * pose.hooked] * 2)
