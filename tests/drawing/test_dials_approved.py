"""Dials as approved: at rest and in pressure, trembling, beyond the end, on the stop, half uncovered, covered."""

from __future__ import annotations

import pytest
from approved_lists import check

from trainer.drawing.instruments import Dial, dial_live, dial_still
from trainer.rig import Instrument
from trainer.units import System

BAR = 1e5
GAUGE = Dial(Instrument("P1", "gauge", "P", 250 * BAR, "between banks"), System.METRIC)
STATES = {
    "under pressure": (96 * BAR, 96 * BAR, 0.0, 180 * BAR, 0.0),
    "trembling": (96 * BAR, 96 * BAR, 0.0, None, 6 * BAR),
    "beyond its end": (257 * BAR, 300 * BAR, 0.0, None, 0.0),
    "on its stop": (-5 * BAR, -8 * BAR, 0.0, None, 0.0),
    "half uncovered": (96 * BAR, 96 * BAR, 0.5, 180 * BAR, 0.0),
    "covered": (0.0, 96 * BAR, 1.0, 180 * BAR, 0.0),
}


def test_the_face_is_as_approved() -> None:
    check("dial_face", dial_still(GAUGE))


@pytest.mark.parametrize("state", STATES)
def test_what_moves_is_as_approved(state: str) -> None:
    check(f"dial_{state.replace(' ', '_')}", dial_live(GAUGE, *STATES[state]))


def test_a_covered_dial_tells_no_figure_and_no_needle() -> None:
    told = "".join(repr(shape) for shape in dial_live(GAUGE, *STATES["covered"]))
    assert "96" not in told
    assert "cover-hatch" in told
