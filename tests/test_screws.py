"""Set screws: eighths of a turn, the lock-nut, the spring's ends; and that a relief holds what its screw says."""

from __future__ import annotations

import pytest
from cases import shipped
from change_moves import pass_frames

from trainer.changing.changes import Changes, Step
from trainer.changing.screws import SAFETY, Screw, screws
from trainer.engine.session import Session
from trainer.rig.rig import Rig
from trainer.units import System

BAR = 1e5


def test_where_there_are_screws(bench: Rig, loader: Rig) -> None:
    assert screws(bench) == {"0V1": ("setting",)}
    assert screws(loader) == {
        "0V1": ("setting",),
        "2V0": ("setting",),
        "2V1": ("port_setting",),
        "3V1": ("port_setting",),
        "4V1": ("port_setting",),
    }


def test_a_screw_turns_in_eighths_with_its_nut_loose(loader: Rig) -> None:
    changes = Changes(Session(loader))
    screw = Screw(changes, "0V1", "setting")
    with pytest.raises(ValueError, match=r"Loosen the lock-nut of 0V1 first\."):
        screw.turn(-1)
    assert screw.notice == ""
    screw.loosen()
    assert screw.notice == "The lock-nut of 0V1 is loose: its setting can creep. Tighten it."
    assert screw.per_turn == 40 * BAR  # 180 bar wants the spring up to 200 bar, five turns
    for k in range(4):
        screw.turn(-1, going_on=k > 0)
    assert screw.present == 160 * BAR
    assert screw.turns == 4.0
    assert changes.done == [Step("0V1.setting", 180 * BAR, 160 * BAR)]
    screw.tighten()
    assert screw.present == 160 * BAR  # tightening adds nothing
    assert screw.notice == ""
    assert screw.rule(System.METRIC) == "a turn is 40 bar, clockwise raises; the spring reaches 200 bar"


def test_a_load_sensing_pump_has_a_screw_for_each_of_its_springs() -> None:
    """Cut-off and margin, each by its own spring: 180 bar by one up to 200 bar, 21 bar by one up to 50 bar."""
    changes = Changes(Session(shipped("load-sensing")))
    assert screws(changes.session.rig)["0P1"] == ("cut_off", "margin")
    turns = {own: Screw(changes, "0P1", own).per_turn for own in ("cut_off", "margin")}
    assert turns == {"cut_off": 40 * BAR, "margin": 10 * BAR}
    margin = Screw(changes, "0P1", "margin")
    margin.loosen()
    margin.turn(-4)
    assert margin.present == 16 * BAR
    assert Screw(changes, "0P1", "cut_off").present == 180 * BAR


def test_a_screw_has_its_ends(changes: Changes) -> None:
    screw = Screw(changes, "0V1", "setting")
    assert (screw.spring, screw.per_turn) == (100 * BAR, 20 * BAR)
    screw.loosen()
    screw.turn(400)
    assert screw.present == 100 * BAR
    with pytest.raises(ValueError, match="all the way in: a higher setting wants a stronger spring"):
        screw.turn(1)
    screw.turn(-400)
    assert screw.present == 1 * BAR
    with pytest.raises(ValueError, match="all the way out: the spring is slack"):
        screw.turn(-1)


def test_a_setting_beyond_its_spring_puts_in_another_that_stays(changes: Changes) -> None:
    """A screw at its end goes no further: who writes more has changed the spring, and a turn is another one then."""
    screw = Screw(changes, "0V1", "setting")
    assert screw.wants(100 * BAR, System.METRIC) == ""
    told = "The spring of 0V1 reaches 100 bar: one up to 200 bar is put in."
    assert screw.wants(150 * BAR, System.METRIC) == told
    assert told in screw.question(150 * BAR, System.METRIC)
    changes.set("0V1.setting", 150 * BAR)
    assert screw.rule(System.METRIC) == (
        "a turn is 40 bar, clockwise raises; the spring, not the file's, reaches 200 bar"
    )
    screw.loosen()
    for _ in range(3):
        screw.turn(-8)
    assert (screw.present, screw.spring, screw.per_turn) == (30 * BAR, 200 * BAR, 40 * BAR)
    changes.as_in_file()
    assert (screw.present, screw.spring, screw.per_turn) == (50 * BAR, 100 * BAR, 20 * BAR)
    changes.undo()
    assert screw.spring == 200 * BAR


def test_a_spring_given_as_such_is_turned_by_its_thread(changes: Changes) -> None:
    changes.set("0V1.given_by", "spring")
    assert screws(changes.session.rig) == {"0V1": ("preload",)}
    screw = Screw(changes, "0V1", "preload")
    # by hand: 100 N/mm * (15 + 2) mm / 1 cm2 = 1700 N / 1 cm2 = 170 bar
    assert screw.pressure == pytest.approx(170 * BAR)
    screw.loosen()
    screw.turn(8)
    assert screw.present == pytest.approx(16e-3)
    assert screw.pressure == pytest.approx(180 * BAR)


def test_the_relief_holds_what_its_screw_says(changes: Changes) -> None:
    """At its end stop the pump's oil goes over the relief, which passes its rated flow at its setting."""
    screw = Screw(changes, "0V1", "setting")
    screw.loosen()
    screw.turn(-8)
    assert screw.present == 30 * BAR
    changes.session.set_control("1V1.lever", 1.0)
    changes.drop("1W1.mass")
    pass_frames(changes, 60 * 40)
    assert changes.session.readings.state("1W1", "x") == pytest.approx(0.2, abs=0.002)
    assert 0.9 * 30 * BAR < changes.session.readings.pressure("P1") < 1.05 * 30 * BAR


def test_safety_is_said() -> None:
    for words in ("maker's figures", "Back it off first", "weakest part"):
        assert words in SAFETY
