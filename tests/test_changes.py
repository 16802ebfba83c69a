"""Changing a rig while it runs: undo across time and across building it anew, loads, oil."""

from __future__ import annotations

import math

import pytest
from change_moves import pass_frames

from trainer.changing.changes import OILS, RAMP, Changes, Step
from trainer.engine.session import FRAME, Session
from trainer.errors import RigError
from trainer.rig import Rig
from trainer.units import System

BAR = 1e5


# -- changing, undoing, and time -----------------------------------------------------------------------------------


def test_a_change_is_live_and_told_and_undone(changes: Changes) -> None:
    assert changes.different() == []
    step = changes.set("0V1.setting", 30 * BAR)
    assert step == Step("0V1.setting", 50 * BAR, 30 * BAR)
    assert changes.session.readings.parameter("0V1", "setting") == 30 * BAR
    assert changes.words(step, System.METRIC) == "Relief valve 0V1: pressure at rated flow 50 → 30 bar"
    assert [d.words(System.US) for d in changes.different()] == [
        "Relief valve 0V1: pressure at rated flow 725.2 → 435.1 psi"
    ]
    assert changes.set("0V1.setting", 30 * BAR) is None
    assert changes.undo() == step
    assert changes.different() == []
    assert changes.undo() is None
    assert changes.redo() == step
    assert changes.redo() is None
    assert changes.now("0V1.setting") == 30 * BAR


def test_a_new_change_ends_what_could_be_redone(changes: Changes) -> None:
    changes.set("0V1.setting", 30 * BAR)
    changes.undo()
    changes.set("0V1.override", 0.2)
    assert changes.redo() is None
    assert [step.name for step in changes.done] == ["0V1.override"]


def test_many_small_steps_of_one_drag_are_one(changes: Changes) -> None:
    for k in range(1, 9):
        changes.set("0V1.setting", (50 - k) * BAR, going_on=k > 1)
    assert changes.done == [Step("0V1.setting", 50 * BAR, 42 * BAR)]
    changes.set("0V1.setting", 41 * BAR)
    assert len(changes.done) == 2
    changes.set("0V1.setting", 42 * BAR, going_on=True)  # back where the step began: nothing is left of it
    assert changes.done == [Step("0V1.setting", 50 * BAR, 42 * BAR)]
    changes.undo()
    assert changes.now("0V1.setting") == 50 * BAR


@pytest.mark.parametrize("value", [1e9, math.nan, math.inf, -5.0, "much"])
def test_what_cannot_be_set_leaves_all_as_it_was(changes: Changes, value: float | str) -> None:
    with pytest.raises(ValueError, match="out of reach; it goes from 5 to 450 bar"):
        changes.set("0V1.setting", value)
    assert changes.done == []
    assert changes.different() == []


def test_numbers_that_cannot_be_together_are_refused(changes: Changes) -> None:
    with pytest.raises(ValueError, match=r"Lift cylinder 1A1: the rod is as thick as the bore; give a rod"):
        changes.set("1A1.bore", 0.025)
    assert changes.different() == []


def test_after_a_rewind_undo_takes_back_what_is_in_effect(changes: Changes) -> None:
    changes.set("0V1.setting", 40 * BAR)
    pass_frames(changes, 30)
    changes.set("0V1.setting", 30 * BAR)
    changes.set("0V1.override", 0.2)
    pass_frames(changes, 30)
    changes.session.rewind(0.25)  # between the first change and the others
    assert changes.now("0V1.setting") == 40 * BAR
    assert changes.next_undo() == Step("0V1.setting", 50 * BAR, 40 * BAR)
    assert changes.next_redo() == Step("0V1.setting", 40 * BAR, 30 * BAR)
    changes.session.rewind(1.0)  # what came after is still there
    assert changes.next_undo() == Step("0V1.override", 0.1, 0.2)
    changes.session.rewind(0.25)
    changes.undo()
    assert changes.now("0V1.setting") == 50 * BAR
    for _ in range(3):
        changes.redo()
    assert changes.now("0V1.setting") == 30 * BAR
    assert changes.now("0V1.override") == 0.2


def test_a_reset_can_be_followed_by_redo(changes: Changes) -> None:
    changes.set("0V1.setting", 30 * BAR)
    pass_frames(changes, 3)
    changes.session.reset()
    assert changes.different() == []
    assert changes.next_undo() is None
    changes.redo()
    assert changes.now("0V1.setting") == 30 * BAR


def test_what_is_built_in_makes_a_session_at_its_start(changes: Changes) -> None:
    first = changes.session
    changes.set("0V1.setting", 30 * BAR)
    pass_frames(changes, 60)
    changes.set("1A1.bore", 0.050)
    session = changes.session
    assert session is not first
    assert not session.running
    assert session.time == 0.0
    live = session.readings
    assert live.parameter("0V1", "setting") == 30 * BAR  # all present numbers are in it
    assert live.value("1A1", "cap area") == pytest.approx(math.pi / 4 * 0.05**2)
    changes.undo()
    assert changes.session is not session
    assert changes.now("1A1.bore") == 0.040
    changes.undo()
    assert changes.changed_rig() == changes.original


def test_a_word_is_changed_and_undone(changes: Changes) -> None:
    changes.set("1V1.port_reliefs", "both")
    assert ("stream", "1V1", "A port relief") in changes.session.network.read_index
    assert [d.words(System.METRIC) for d in changes.different()] == [
        "Section 1V1: ports with a relief and an anti-cavitation check none → both"
    ]
    changes.undo()
    assert ("stream", "1V1", "A port relief") not in changes.session.network.read_index
    assert changes.changed_rig() == changes.original


def test_what_follows_from_a_change_is_not_told(loader: Rig) -> None:
    changes = Changes(Session(loader))
    changes.set("0P1.kind", "piston")  # with the data set of a piston pump
    assert [d.name for d in changes.different()] == ["0P1.kind"]


def test_a_rig_that_cannot_be_built_leaves_the_session(changes: Changes) -> None:
    def refuse(rig: Rig) -> Session:
        raise RigError([], rig.source)

    changes.build = refuse
    first = changes.session
    with pytest.raises(RigError):
        changes.set("1A1.bore", 0.050)
    assert changes.session is first
    assert changes.done == []


# -- loads and oil -------------------------------------------------------------------------------------------------


def test_a_load_is_hooked_on_in_three_tenths_of_model_time(loader: Rig) -> None:
    changes = Changes(Session(loader))
    assert changes.loads() == ["3W1.load"]
    changes.hook("3W1.load")
    assert changes.value("3W1.load") == 250.0  # what is asked for
    assert changes.now("3W1.load") == 0.0  # nothing while time stands
    changes.advance()
    assert changes.now("3W1.load") == 0.0
    pass_frames(changes, 9)
    assert changes.now("3W1.load") == pytest.approx(250.0 * 9 * FRAME / RAMP)
    pass_frames(changes, 9)
    assert changes.now("3W1.load") == 250.0
    assert not changes.on_the_way
    changes.drop("3W1.load")
    pass_frames(changes, 18)
    assert changes.now("3W1.load") == 0.0
    changes.undo()
    pass_frames(changes, 18)
    assert changes.now("3W1.load") == 250.0


def test_the_cylinder_bears_what_is_hooked_on(changes: Changes) -> None:
    """Force balance by hand: what hangs on the rod less friction stands in the cap end, p = m g / A."""
    changes.session.set_control("1V1.lever", 1.0)
    pass_frames(changes, 240)
    changes.session.set_control("1V1.lever", 0.0)
    changes.hook("1W1.mass", 400.0)
    pass_frames(changes, 240)
    assert changes.now("1W1.mass") == 400.0
    live = changes.session.readings
    area, annulus = math.pi / 4 * 0.040**2, math.pi / 4 * (0.040**2 - 0.025**2)
    force = live.pressure("A1") * area - live.pressure("B1") * annulus
    assert force == pytest.approx(400 * 9.80665, abs=200 + 0.015 * 50e5 * area)  # static and seal friction
    changes.drop("1W1.mass")
    assert changes.value("1W1.mass") == 0.5  # the least there can be on the rod


def test_a_ramp_ends_where_time_jumps(changes: Changes) -> None:
    pass_frames(changes, 60)
    changes.hook("1W1.mass", 400.0)
    pass_frames(changes, 6)
    changes.session.rewind(0.5)
    changes.advance()
    assert not changes.on_the_way
    assert changes.now("1W1.mass") == 255.0
    assert changes.next_undo() is None
    assert changes.next_redo() == Step("1W1.mass", 255.0, 400.0)


def test_oil_cold_warm_hot(changes: Changes) -> None:
    viscosity = {}
    for word, celsius in OILS.items():
        changes.oil_temperature(celsius)
        pass_frames(changes, 20)
        assert changes.session.temperature == pytest.approx(celsius, abs=0.1)
        pu, index = changes.session.pu, changes.session.network.pu_index
        viscosity[word] = float(pu[index["oil.viscosity"]] / pu[index["oil.density"]]) * 1e6
        told = [d.words(System.METRIC) for d in changes.different()]
        assert told == ([] if celsius == 45 else [f"Oil: temperature 45 → {celsius:g} °C"])
    # VG 46 by the straight line of ASTM D341 through 46 mm2/s at 40 C and 6.76 mm2/s at 100 C (ISO 3448, D2270)
    assert viscosity["warm"] == pytest.approx(36.4, rel=0.02)
    assert viscosity["hot"] == pytest.approx(11.1, rel=0.02)
    assert viscosity["cold"] > 300
    changes.undo()
    pass_frames(changes, 20)
    assert changes.session.temperature == pytest.approx(45.0, abs=0.1)


def test_oil_that_warms_by_itself_is_no_change(changes: Changes) -> None:
    changes.session.set_control("0M1.speed_asked", 9.0)
    pass_frames(changes, 120)
    assert changes.session.temperature != 45.0
    assert changes.different() == []
