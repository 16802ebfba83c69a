"""What a lever moves, through whatever stands between its valve and the cylinder."""

from __future__ import annotations

import pytest
from cases import shipped

from trainer.rig.moving import actuators_of
from trainer.window.strip.sources import find_traces


@pytest.mark.parametrize(
    ("name", "section", "moved"),
    [
        ("one-spool-bench", "1V1", ("1A1",)),
        ("quick-couplings", "1V1", ("1A1",)),  # couplings on both lines
        ("three-throttles", "1V1", ("1A1",)),  # a throttle on each line
        ("clamp-and-feed", "1V1", ("1A1", "2A1")),  # through valves that open one after the other
        ("hydrostatic-loop", "0P1", ("1A1",)),  # a pump with a lever
        ("open-centre", "2V1", ("2A1",)),  # and not what the section before it moves
        ("suction-line", "1V1", ()),  # a spare section
    ],
)
def test_what_a_lever_moves_is_found_through_couplings_throttles_and_valves(
    name: str, section: str, moved: tuple[str, ...]
) -> None:
    rig = shipped(name)
    assert actuators_of(rig, section) == moved
    speeds = {control: speed is not None for control, _, speed in find_traces(rig).pairs}
    assert speeds[f"{section}.lever"] == bool(moved)  # the strip's first choice has its speed
