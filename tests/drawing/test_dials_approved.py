"""Dials as approved: at rest and in pressure, trembling, beyond the end, on the stop, half uncovered, covered."""

from __future__ import annotations

import itertools

import pytest
from approved_lists import check

from trainer import units
from trainer.drawing.instruments import Dial, dial_live, dial_still, scale_of
from trainer.drawing.legend import legend
from trainer.drawing.meters import read_figures
from trainer.drawing.shapes import Path, Words
from trainer.drawing.theme import THEMES
from trainer.drawing.type_widths import text_width
from trainer.measuring.instruments import RANGES
from trainer.rig.rig import Instrument, Rig
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


@pytest.mark.parametrize("system", System)
@pytest.mark.parametrize("kind", ["differential gauge", "flow meter", "tachometer"])
def test_on_a_stop_dial_and_drawing_say_the_same(kind: str, system: System) -> None:
    """What the drawing writes at an instrument is never a number that the needle of its dial cannot show."""
    ranges = {"differential gauge": 250 * BAR, "flow meter": 60 / 60e3, "tachometer": 30.0}
    dial = Dial(Instrument("X1", kind, "P", ranges[kind]), system)
    for share, begins in ((-0.5, "< 0"), (-0.03, "< 0"), (-0.01, "0"), (0.0, "0"), (1.01, ""), (1.03, "> ")):
        drawn, _ = read_figures(dial.instrument, share * dial.end, system)
        for told in (dial.figures(share * dial.end), drawn):
            assert told.startswith(begins), (share, told)
            assert begins or told[0].isdigit(), (share, told)


@pytest.mark.parametrize("width", [75.0, 112.0, 149.0])
@pytest.mark.parametrize("lines", [0, 1])
def test_the_mark_of_a_setting_is_whole_and_off_the_numerals(width: float, lines: int) -> None:
    """Wherever it stands on the scale; at the end of the scale the numeral of the end is right below it."""
    dial = Dial(GAUGE.instrument, System.METRIC, width, lines=lines)
    numerals = []
    for shape in dial_still(dial):
        if isinstance(shape, Words) and shape.y > dial.y:
            half = text_width(shape.text, shape.size) / 2
            left = shape.x - (half if shape.align == "centre" else 0.0)
            numerals.append((left, shape.y - 0.66 * shape.size, left + 2 * half, shape.y))  # as high as a figure
    for share in (0.0, 0.2, 0.5, 0.83, 0.9, 0.96, 0.98, 1.0):
        mark = next(shape for shape in dial_live(dial, 0.0, 0.0, 0.0, share * dial.end) if isinstance(shape, Path))
        assert all(0.0 <= x <= width for x, _ in mark.points), share
        if share < 0.9:
            continue
        for low, high in itertools.pairwise((*mark.points, mark.points[0])):
            for k in range(9):
                x, y = (a + (b - a) * k / 8 for a, b in zip(low, high, strict=True))
                inside = [box for box in numerals if box[0] < x < box[2] and box[1] + 1.0 < y < box[3]]
                assert not inside, (share, x, y)


def test_a_covered_dial_tells_no_figure_and_no_needle() -> None:
    told = "".join(repr(shape) for shape in dial_live(GAUGE, *STATES["covered"]))
    assert "96" not in told
    assert "cover-hatch" in told


@pytest.mark.parametrize("kind", RANGES)
def test_every_number_on_a_scale_in_us_units_is_round(kind: str, bench: Rig, loader: Rig) -> None:
    """Of every range that is to be had and of both rigs' own: numbered by 1, 2, 2.5, 4 or 5 of a power of ten.

    So trade faces are (common practice, no source); a 250 bar gauge ends at 4000 psi.
    """
    own = {item.range_ for rig in (bench, loader) for item in rig.instruments.values() if item.kind == kind}
    for end in (*RANGES[kind], *own):
        dial = Dial(Instrument("X1", kind, "P", end), System.US)
        scale = dial.scale
        digits = {float(f"{scale.major:.6e}".partition("e")[0])}
        assert digits <= {1.0, 2.0, 2.5, 4.0, 5.0}, (kind, end, scale)
        assert scale.end / scale.major == pytest.approx(round(scale.end / scale.major))
        printed = [s.text for s in dial_still(dial) if isinstance(s, Words) and _number(s.text) is not None]
        assert len(printed) >= 2  # its ends at least, where the face is small
        for text in printed:
            times = (_number(text) or 0.0) / scale.major
            assert times == pytest.approx(round(times), abs=1e-9), (kind, end, text)
    if kind == "gauge":
        assert (scale_of(250 * BAR, "pressure", System.US).end, scale_of(60 * BAR, "pressure", System.US).end) == (
            4000.0,
            1000.0,
        )


def test_the_legends_steps_are_round_in_psi(bench: Rig, loader: Rig) -> None:
    """Both rigs' colours change at round numbers: 30 bar is 500 psi, not 435, and 10 bar 150, not 145."""
    for rig in (bench, loader):
        step = units.read(rig.drawing["step"], "pressure")
        texts = [s.text for s in legend(THEMES["print"], System.US, step) if isinstance(s, Words)]
        numbers = [number for text in texts if (number := _number(text.removeprefix("over "))) is not None]
        assert len(numbers) >= 7
        assert all(number % 50 == 0 for number in numbers), numbers
        assert numbers[1] in (50, 100, 150, 200, 250, 300, 500, 1000)


def _number(text: str) -> float | None:
    try:
        return float(text.replace("−", "-"))
    except ValueError:
        return None
