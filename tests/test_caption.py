"""What stands below pictures: rig, date, speed, oil and what was changed, in lines that fit."""

from __future__ import annotations

from dataclasses import replace

from trainer.changing.caption import caption, caption_height, caption_shapes
from trainer.changing.changes import Changes
from trainer.drawing.type_widths import text_width
from trainer.rig.rig import Instrument
from trainer.units import System

DAY = "5 Nov 2026"


def test_it_says_which_rig_when_at_what_speed_and_oil_and_what_was_changed(changes: Changes) -> None:
    session = changes.session
    session.advance(1.0)
    told = caption(session, DAY, [], System.METRIC).split(" · ")
    assert told[:3] == ["One-spool bench", "5 Nov 2026", "at 1.0 s"]
    speed = session.readings.speed("crank") * 30 / 3.141592653589793  # r/min
    assert abs(float(told[3].split()[-2]) - speed) <= 0.51
    assert told[3].endswith("r/min")
    assert told[4:] == ["oil 45 °C", "as in its file"]
    changes.set("0V1.setting", 40e5)
    words = caption(session, DAY, [found.words(System.METRIC) for found in changes.different()])
    assert "changed: " in words
    assert "50 → 40 bar" in words
    assert "oil 113 °F" in caption(session, DAY, [], System.US)


def test_what_a_covered_instrument_reads_is_not_told(changes: Changes) -> None:
    rig = changes.session.rig
    tachometer = next(name for name, instrument in rig.instruments.items() if instrument.kind == "tachometer")
    assert "r/min" in caption(changes.session, DAY, [])
    assert "r/min" not in caption(changes.session, DAY, [], covered={tachometer})
    changes.session.refit(replace(rig, instruments={"T1": Instrument("T1", "thermometer", "0Z1", 120.0)}))
    assert "°C" in caption(changes.session, DAY, [])
    assert "°C" not in caption(changes.session, DAY, [], covered={"T1"})


def test_its_lines_fit() -> None:
    text = "a rig of some length · changed: " + "; ".join(f"0V{k}: 100 → 120 bar" for k in range(30))
    shapes = caption_shapes(text, 20.0, 100.0, 448.0)
    assert len(shapes) > 3
    assert all(text_width(shape.text, shape.size) <= 448.0 for shape in shapes)
    assert " ".join(shape.text for shape in shapes) == text
    assert shapes[-1].y < 100.0 + caption_height(text, 448.0)
    assert caption_shapes("", 0.0, 0.0, 448.0) == []
    assert caption_height("", 448.0) == 0.0
