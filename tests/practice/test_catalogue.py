"""Measures as a task has them: which can be found, of which samples, and of several laps."""

from __future__ import annotations

import numpy as np
import pytest

from trainer.lessons.lesson import Run
from trainer.practice.catalogue import MEASURES, found, joined
from trainer.practice.signals import Numbers
from trainer.practice.task import Lap, Roles
from trainer.practice.trace import Trace

TIMES = np.arange(0, 8, 1 / 60)


def points(*pairs: tuple[float, float]) -> Numbers:
    return np.asarray(np.interp(TIMES, [time for time, _ in pairs], [value for _, value in pairs]))


def lap(roles: Roles) -> Lap:
    return Lap("", "", Run(), roles)


def test_what_has_no_roles_is_not_measured() -> None:
    trace = Trace("", TIMES, {"x": TIMES}, {"3V1.lever": points((0, 0.1), (2, 0.6), (4, 0), (8, 0))}, {"x": "length"})
    assert found(lap(Roles()), trace, 3.0).keys() == {"reversals", "effort", "fine", "functions", "time"}
    more = found(lap(Roles(place="x", target=(7.0, "length"))), trace, 3.0)
    assert more["overshoot"] == pytest.approx(TIMES[-1] - 7.0)
    assert more["time"] == 3.0
    assert not {"settling", "sway", "contact"} & more.keys()


def test_sway_is_that_at_the_end_of_the_swing_and_not_after_a_tap() -> None:
    """The lever is tapped, centred, and moved again; what counts is the centring beyond half of the way."""
    roles = Roles(place="z", target=(1.0, "angle"), sway=("a", "b"), link=(1.35, "length"))
    lever = points((0, 0.3), (0.3, 0), (1, 0), (1.5, 0.6), (4, 0.6), (4.1, 0), (8, 0))
    swing = np.where(TIMES < 2, 0.0, 0.1) * np.sin(2.695 * TIMES)
    trace = Trace(
        "", TIMES, {"z": points((0, 0), (1, 0), (4, 1), (8, 1)), "a": swing, "b": 0 * TIMES}, {"2V1.lever": lever},
        {"z": "angle", "a": "angle", "b": "angle"},
    )  # fmt: skip
    assert found(lap(roles), trace, 4.0)["sway"] == pytest.approx(0.1, rel=0.02)


def test_in_a_whole_cycle_the_worst_stop_counts_and_what_lies_on_the_ground_does_not_swing() -> None:
    """Two stops of the swing, a tap, and links that hang slack on the ground: 1.0 rad is no sway."""
    roles = Roles(sway=("a", "b"), link=(1.35, "length"), contact="f")
    lever = points((0, 0), (0.5, 0.5), (1.5, 0.5), (1.6, 0), (3, 0), (3.1, 0.3), (3.2, 0), (3.3, -0.5), (4.5, -0.5),
                   (4.6, 0), (8, 0))  # fmt: skip
    size = np.where(TIMES < 2.5, 0.05, np.where(TIMES < 6, 0.08, 1.0))
    values = {"a": size * np.sin(2.695 * TIMES), "b": size * np.cos(2.695 * TIMES)}
    trace = Trace(
        "", TIMES, {**values, "f": np.where(TIMES < 5.7, 0.0, 500.0)}, {"2V1.lever": lever},
        {"a": "angle", "b": "angle", "f": "force"},
    )  # fmt: skip
    measured = found(lap(roles), trace, 8.0)
    # both axes swing a quarter apart, so the amplitude is √2 of the one, 0.08 rad
    assert measured["sway"] == pytest.approx(0.08 * 2**0.5, rel=0.02)
    assert 0.11 < measured["greatest_sway"] < 0.5


def test_of_several_laps_times_are_added_shares_averaged_and_the_worst_error_counts() -> None:
    laps = [
        {"time": 2.0, "in_band": 0.9, "jump": 1e-3, "behind": 3e5},
        {"time": 3.0, "in_band": 0.5, "jump": 2e-3, "behind": 1e5},
    ]
    whole = joined([*laps, {"time": 1.0, "in_band": 0.7, "jump": 1e-3, "behind": 2e5, "work": 5.0}])
    assert whole == {"time": 6.0, "in_band": pytest.approx(0.7), "jump": 2e-3, "behind": 1e5}
    assert joined([]) == {}


def test_nearer_to_nothing_is_better_but_for_shares_and_pressures_behind() -> None:
    more = {id_ for id_, one in MEASURES.items() if not one.less}
    assert more == {"in_band", "behind", "fine", "functions", "log_jerk", "arc"}
