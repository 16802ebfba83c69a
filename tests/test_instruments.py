"""Instruments against EN 837-1, textbook formulas, hand calculation and the engine."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import cast

import numpy as np
import pytest

from trainer import resources, units
from trainer.engine.session import Session
from trainer.measuring.instruments import (
    CLASSES,
    DAMPINGS,
    RANGES,
    Pointer,
    division,
    fitting_range,
    new_instrument,
    places,
    read_off,
    suits,
    true_reading,
)
from trainer.measuring.needles import STILL, Needle
from trainer.measuring.pulsation import Pulse, pulse, ripple, uneven_pistons, uneven_teeth
from trainer.parts.part import Kind
from trainer.rig import file as rig_file
from trainer.rig.instrument_faults import ERRORS
from trainer.rig.live import Live
from trainer.rig.rig import Instrument
from trainer.rig.tables import SCALES
from trainer.units import System

BENCH = rig_file.load(resources.rigs()["one-spool-bench"])
LOADER = rig_file.load(resources.rigs()["timber-trailer-loader"])
BAR = 1e5
GAUGE = Instrument("P1", "gauge", "P1", 250 * BAR, accuracy=0.016)
IDEAL = replace(GAUGE, accuracy=0.0)


class Moment:
    """An instant with one pressure [Pa] everywhere."""

    def __init__(self, pressure: float) -> None:
        self.p, self.time = pressure, 0.0

    def pressure(self, line: str) -> float:
        return self.p

    @property
    def live(self) -> Live:
        """As much of an instant as a gauge asks for."""
        return cast("Live", self)


@pytest.fixture(scope="module")
def lifting() -> Session:
    """The bench while it lifts."""
    session = Session(BENCH)
    session.set_control("1V1.lever", 1.0)
    session.advance(2.0)
    return session


# -- ranges, classes, places ------------------------------------------------------------------------------------


def test_ranges_and_classes_are_those_of_the_standard() -> None:
    """EN 837-1:1996: ranges in bar and classes of accuracy (the list of bar ranges from memory)."""
    bars = [end / BAR for end in RANGES["gauge"]]
    assert bars == pytest.approx([1, 1.6, 2.5, 4, 6, 10, 16, 25, 40, 60, 100, 160, 250, 400, 600, 1000])
    assert CLASSES == (0.1, 0.25, 0.6, 1.0, 1.6, 2.5, 4.0)


@pytest.mark.parametrize("kind", RANGES)
def test_every_range_can_be_written_into_a_rig_file(kind: str) -> None:
    quantity, low, high = SCALES[kind]
    assert list(RANGES[kind]) == sorted(RANGES[kind])
    assert units.read(low, quantity) <= RANGES[kind][0] < RANGES[kind][-1] <= units.read(high, quantity)
    assert DAMPINGS[kind] > 0


def test_there_is_a_place_on_every_line_port_shaft_and_body() -> None:
    """Counted from the rig itself: nothing that can be measured is left out."""
    oil = [line.name for line in LOADER.lines_of_kind(Kind.OIL)]
    shafts = [line.name for line in LOADER.lines_of_kind(Kind.SHAFT)]
    ports = {f"{id_}.{port}" for line in LOADER.lines_of_kind(Kind.OIL) for id_, port in line.joins}
    assert [place.on for place in places(LOADER, "gauge")] == oil
    assert [place.on for place in places(LOADER, "tachometer")] == shafts
    assert {place.on for place in places(LOADER, "flow meter")} == ports
    bodies = [place.on for place in places(LOADER, "thermometer")]
    assert bodies[0] == "0Z1"
    assert set(bodies) == {port.partition(".")[0] for port in ports}


def test_a_differential_gauge_goes_over_what_has_one_way_through_it() -> None:
    """Filters, valves of two ports, cylinders and motors; no tank, no section, no pump with a drain."""
    over = {place.on for place in places(LOADER, "differential gauge")}
    kinds = {LOADER.parts[on].part.__name__ for on in over}
    assert {"ReturnFilter", "Cylinder", "HydraulicMotor"} <= kinds
    assert not kinds & {"Reservoir", "OpenCentreSection", "Crane"}
    assert [place.on for place in places(LOADER, "vacuum gauge")] == [place.on for place in places(LOADER, "gauge")]


def test_a_vacuum_gauge_shows_what_is_missing_and_a_differential_one_what_a_part_costs(lifting: Session) -> None:
    """Before the pump a gauge's reading with its sign turned, over the filter the difference of two, to the digit."""
    live, rig = lifting.readings, lifting.rig
    suction = rig.line_of("0P1", "S").name
    vacuum = new_instrument(rig, "vacuum gauge", suction, 1e5)
    assert true_reading(vacuum, live) == -live.pressure(suction)
    over = new_instrument(rig, "differential gauge", "0Z2", 1e5)
    before, behind = (rig.line_of("0Z2", port).name for port in ("1", "2"))
    assert over.between == (before, behind)
    assert true_reading(over, live) == live.pressure(before) - live.pressure(behind)
    assert "take a gauge" in suits(vacuum, -0.5e5)
    assert "wrong way round" in suits(over, -0.5e5)
    assert not suits(over, 0.5e5)


def test_places_are_told_in_words() -> None:
    words = {place.on: place.words for kind in RANGES for place in places(LOADER, kind)}
    assert words["A3"] == "boom, cap end: boom section A to boom cylinder cap end"
    assert words["3A1.B"] == "boom cylinder, rod end (boom, rod end)"
    assert words["0P1.P"] == "pump 0P1, port P (pump outlet)"
    assert words["engine"] == "diesel engine shaft: diesel engine 0M1 to pump 0P1"
    assert words["0Z1"] == "tank 0Z1, in the oil"
    assert words["3V1"] == "boom section, on its skin"
    with pytest.raises(KeyError):
        places(LOADER, "voltmeter")


@pytest.mark.soak
@pytest.mark.parametrize("name", resources.rigs())
@pytest.mark.parametrize("kind", RANGES)
def test_what_is_fitted_anywhere_reads_there_and_is_written_back(name: str, kind: str) -> None:
    rig = rig_file.load(resources.rigs()[name])
    session = Session(rig)
    for place in places(rig, kind):
        item = new_instrument(rig, kind, place.on, RANGES[kind][-1])
        assert math.isfinite(true_reading(item, session.readings))
        with_it = replace(rig, instruments={**rig.instruments, item.name: item})
        assert rig_file.loads(rig_file.dump(with_it)).instruments == with_it.instruments


def test_a_new_instrument_has_a_free_name() -> None:
    assert new_instrument(LOADER, "gauge", "A3", 250 * BAR).name == "P2"  # the loader's own gauge is P1
    assert new_instrument(LOADER, "thermometer", "3V1", 100.0).name == "T1"
    two = replace(LOADER, instruments={**LOADER.instruments, "P2": GAUGE})
    assert new_instrument(two, "gauge", "A3", 250 * BAR).name == "P3"


def test_true_readings_are_those_of_the_engine(lifting: Session) -> None:
    now = lifting.readings
    assert true_reading(BENCH.instruments["P1"], now) == now.pressure("P1")
    assert true_reading(BENCH.instruments["n1"], now) == now.speed("crank")
    assert true_reading(BENCH.instruments["T1"], now) == now.temperature
    # 10 cm3 a turn at 57 r/min with a few percent of slip; leaving the pump counts forward
    assert true_reading(BENCH.instruments["Q1"], now) == pytest.approx(0.56e-3 / 60, rel=0.02)
    skin = Instrument("T2", "thermometer", "0V1", 100.0)
    assert true_reading(skin, now) == now.skin("0V1") != now.temperature


# -- pulsation --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("z", "percent"), [(3, 14.0), (5, 5.0), (7, 2.5), (9, 1.5)])
def test_pistons_deliver_as_unevenly_as_textbooks_say(z: int, percent: float) -> None:
    """Tables of 3, 5, 7, 9 pistons: 14, 5, 2.5, 1.5 % (from memory); and the sum of the pistons' own sines."""
    assert round(100 * uneven_pistons(z), 1) == percent
    turn = np.linspace(0, 2 * math.pi, 200_001)
    flow = np.sum([np.maximum(np.sin(turn + 2 * math.pi * k / z), 0.0) for k in range(z)], axis=0)
    mean = z / math.pi
    assert (flow.max() - flow.min()) / mean == pytest.approx(uneven_pistons(z), rel=1e-4)


def test_teeth_deliver_as_unevenly_as_their_geometry_says() -> None:
    """Integrated from b w (ra2 - r2 - s2) along the line of contact, module 1, 12 teeth, 20 degrees; 17 to 18 %."""
    radius, pitch = 6.0, math.pi * math.cos(math.radians(20))
    s = np.linspace(-pitch / 2, pitch / 2, 200_001)
    flow = (radius + 1) ** 2 - radius**2 - s**2
    assert (flow.max() - flow.min()) / flow.mean() == pytest.approx(uneven_teeth(12), rel=1e-4)
    assert 0.17 < uneven_teeth(12) < 0.18


def test_the_frequency_is_that_of_pistons_and_teeth() -> None:
    """Hand calculation: 3 pistons beat 2 x 3 times a turn, 12 teeth 12 times."""
    assert ripple("piston", 2 * math.pi).frequency == pytest.approx(6.0)  # 60 r/min
    assert ripple("gear", 1800 * 2 * math.pi / 60).frequency == pytest.approx(360.0)
    assert ripple("gear", 0.0).frequency == 0.0


def test_the_pump_line_beats_by_its_resistance_and_capacity(lifting: Session) -> None:
    """Hand calculation 14 % / sqrt(1 + (w p/q C)2); C is how the engine's pressure answers to a drop of oil."""
    now = lifting.readings
    entry = lifting.network.state_index["P1.content"]
    drop = 1e-9  # m3
    moved = lifting.x.copy()
    moved[entry] += drop
    reads = lifting.network.read(moved, lifting.pu)
    capacity = drop / (reads[lifting.network.read_index["pressure", "P1"]] - now.pressure("P1"))
    turns = now.speed("crank") / (2 * math.pi)
    lag = 2 * math.pi * 6 * turns * now.pressure("P1") / -now.flow("0P1", "P") * capacity
    found = pulse(BENCH, now, "P1")
    assert found.frequency == pytest.approx(6 * turns)
    assert found.share == pytest.approx(0.1403 / math.hypot(1, lag), rel=0.02)


def test_the_beat_fades_on_its_way_and_comes_only_from_the_pump(lifting: Session) -> None:
    now = lifting.readings
    shares = [pulse(BENCH, now, line).share for line in ("P1", "A1")]
    assert 0.14 > shares[0] > shares[1] > 0.01
    assert pulse(BENCH, now, "B1") == Pulse()  # pushed out by the piston
    assert pulse(BENCH, now, "S") == Pulse()
    stopped = Session(BENCH)
    stopped.set_control("0M1.speed_asked", 0.0)
    stopped.advance(5.0)
    assert all(pulse(BENCH, stopped.readings, line.name) == Pulse() for line in BENCH.lines_of_kind(Kind.OIL))


# -- the pointer ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("frames", [1, 9, 90, 9000])
def test_the_needle_lags_as_a_first_order_element(frames: int) -> None:
    """Textbook: 63.2 % after one time constant, 95.0 % after three; however long the frames are."""
    pointer = Pointer(IDEAL)
    for part, share in ((1, 0.632), (2, 0.950)):
        for _ in range(frames):
            pointer.take(100 * BAR, part * 0.15 / frames)
        assert pointer.needle / (100 * BAR) == pytest.approx(share, abs=1e-3)


def test_the_class_bounds_the_error() -> None:
    """EN 837-1: class 1.6 of 250 bar is 4 bar at most; the same gauge errs by the same each time."""
    errors = []
    for k in range(200):
        pointer = Pointer(replace(GAUGE, name=f"P{k}"))
        pointer.settle(120 * BAR)
        errors.append((pointer.needle - 120 * BAR) / BAR)
        again = Pointer(replace(GAUGE, name=f"P{k}", on="A1"))
        again.settle(120 * BAR)
        assert again.needle == pointer.needle
    assert max(errors) <= 4.0
    assert min(errors) >= -4.0
    assert max(errors) > 3.0  # and it is used, to both sides
    assert min(errors) < -3.0
    assert Pointer(IDEAL).error == 0.0


def test_a_zero_error_is_there_all_over_the_scale() -> None:
    pointer = Pointer(replace(IDEAL, zero=6 * BAR))
    assert pointer.needle == pytest.approx(6 * BAR)
    pointer.settle(100 * BAR)
    assert pointer.needle == pytest.approx(106 * BAR)
    assert pointer.note == ""
    pointer.settle(0.0)
    assert pointer.note == "The needle does not return to zero."


def test_a_slow_beat_moves_the_needle_and_a_fast_one_makes_it_tremble() -> None:
    """Hand calculation: half the swing over sqrt(1 + (w T)2) of the damping T."""
    slow, fast = Pointer(IDEAL), Pointer(IDEAL)
    slow.settle(50 * BAR)
    fast.settle(50 * BAR)
    seen = []
    for _ in range(240):
        slow.take(50 * BAR, 1 / 60, Pulse(0.10, 6.0))
        fast.take(50 * BAR, 1 / 60, Pulse(0.10, 360.0))
        seen.append(slow.needle)
        assert slow.tremble == 0.0
        assert fast.needle == pytest.approx(50 * BAR)
        assert slow.read_off() == pytest.approx(50 * BAR)  # the middle is read
    half = 2.5 * BAR / math.hypot(1, 2 * math.pi * 6 * 0.15)
    assert max(seen) - 50 * BAR == pytest.approx(half, rel=0.02)
    assert 50 * BAR - min(seen) == pytest.approx(half, rel=0.02)
    assert fast.tremble == pytest.approx(2.5 * BAR / math.hypot(1, 2 * math.pi * 360 * 0.15))


def test_in_slow_motion_the_eye_follows_a_fast_beat() -> None:
    """360 Hz at a hundredth of the speed is 3.6 Hz."""
    pointer = Pointer(IDEAL)
    pointer.settle(50 * BAR)
    pointer.take(50 * BAR, 1 / 6000, Pulse(0.10, 360.0), pace=0.01)
    assert pointer.tremble == 0.0
    assert pointer.needle != 50 * BAR


def test_the_needle_rests_on_its_stops() -> None:
    pointer = Pointer(IDEAL)
    pointer.settle(320 * BAR)
    assert pointer.needle == pytest.approx(1.03 * 250 * BAR)
    assert "stop beyond the end" in pointer.note
    pointer.take(320 * BAR, 0.01, Pulse(0.1, 300.0))
    assert pointer.tremble == 0.0
    pointer.settle(-0.9 * BAR)
    assert pointer.needle == pytest.approx(-0.9 * BAR)  # 0.4 % below: it hangs just under zero
    vacuum = Pointer(replace(IDEAL, range_=10 * BAR))
    vacuum.settle(-0.9 * BAR)
    assert vacuum.needle == pytest.approx(-0.2 * BAR)
    assert "stop below" in vacuum.note


def test_a_gauge_far_over_its_range_stays_bent() -> None:
    """Common practice, no source: 1.3 times the range is too much; the needle stands too high ever after."""
    pointer = Pointer(replace(IDEAL, range_=60 * BAR))
    for _ in range(300):
        pointer.take(75 * BAR, 1 / 60)  # 1.25 times
    assert pointer.state == "sound"
    for _ in range(300):
        pointer.take(90 * BAR, 1 / 60)
    assert pointer.state == "bent"
    pointer.settle(0.0)
    assert pointer.needle == pytest.approx(0.07 * 60 * BAR)
    assert pointer.note == "The needle does not return to zero."
    pointer.settle(30 * BAR)
    assert pointer.needle == pytest.approx(34.2 * BAR)


def test_a_spike_that_the_damping_swallows_bends_nothing() -> None:
    """Hand calculation: 1.5 times the range for 10 ms behind 0.15 s raises it by 6.4 % of that."""
    pointer = Pointer(replace(IDEAL, range_=60 * BAR))
    pointer.take(90 * BAR, 0.01)
    assert pointer.needle == pytest.approx(90 * BAR * 0.0645, rel=0.01)
    assert pointer.state == "sound"


def test_a_plugged_gauge_keeps_what_it_held() -> None:
    """Its time constant is minutes: 5 s move it by less than 2 %, a quarter of an hour by 95 %."""
    pointer = Pointer(replace(IDEAL, state="plugged"))
    for _ in range(300):
        pointer.take(100 * BAR, 1 / 60)
    assert pointer.needle < 2 * BAR
    assert pointer.note == ""  # what is hidden is not told
    pointer.take(100 * BAR, 900.0)
    assert pointer.needle == pytest.approx(95 * BAR, rel=0.01)
    pointer.take(0.0, 1.0)
    assert pointer.needle > 94 * BAR
    assert pointer.note == "The needle does not return to zero."


def test_a_tired_spring_shows_a_share_too_much() -> None:
    """Right at zero, 110 at 100 bar, 220 at 200; put where it stood it goes on from there."""
    pointer = Pointer(replace(IDEAL, gain=0.1))
    for true in (0.0, 100.0, 200.0):
        pointer.settle(true * BAR)
        assert pointer.needle == pytest.approx(1.1 * true * BAR)
        assert pointer.note == ""
    pointer.put(110 * BAR)
    assert pointer.needle == pytest.approx(110 * BAR)
    pointer.take(100 * BAR, 1.0)
    assert pointer.needle == pytest.approx(110 * BAR)


def test_a_snubber_that_plugs_makes_the_needle_late() -> None:
    """63 % after its time constant, 3 or 30 s; from ten seconds on it counts as one that is plugged."""
    for degree, creeps in (("mild", False), ("marginal", True), ("failed", True)):
        time = ERRORS["snubber"].shares[degree]
        pointer = Pointer(replace(IDEAL, snubber=time))
        for _ in range(60):
            pointer.take(100 * BAR, time / 60)
        assert pointer.needle == pytest.approx(63.2 * BAR, rel=1e-3)
        assert pointer.creeps == creeps
        pointer.settle(0.0)
        assert (pointer.needle > 60 * BAR) == creeps


def test_a_seized_needle_stays() -> None:
    pointer = Pointer(replace(IDEAL, state="seized"))
    stands = pointer.needle
    assert 0.1 * 250 * BAR < stands < 0.9 * 250 * BAR
    pointer.take(100 * BAR, 60.0)
    pointer.settle(0.0)
    assert pointer.needle == stands


def test_what_is_no_number_moves_nothing() -> None:
    pointer = Pointer(IDEAL)
    pointer.settle(100 * BAR)
    pointer.take(math.nan, 1.0)
    pointer.settle(math.inf)
    assert pointer.needle == 100 * BAR


# -- what is read off, what suits -------------------------------------------------------------------------------


@pytest.mark.parametrize(("end", "bars"), [(1, 0.02), (16, 0.5), (40, 1), (60, 1), (100, 2), (250, 5), (400, 10)])
def test_scales_are_divided_as_usual(end: float, bars: float) -> None:
    """Divisions of class 1.6 in EN 837-1, from memory."""
    assert division(end * BAR, "pressure") == pytest.approx(bars * BAR)


def test_a_coarse_gauge_does_not_show_tenths() -> None:
    gauge = replace(GAUGE, range_=400 * BAR)
    pointer = Pointer(gauge)
    figures = set()
    for k in range(30):
        pointer.settle((100 + k / 100) * BAR - pointer.rest)
        figures.add(pointer.figure)
    assert len(figures) == 1  # 0.3 bar more cannot be seen
    assert figures.pop() == pytest.approx(100 * BAR)
    pointer.settle(103 * BAR - pointer.rest)
    assert pointer.figure == pytest.approx(105 * BAR)
    psi = units.UNITS["psi"].factor
    assert pointer.read_off(System.US) / psi % 50 == pytest.approx(0.0, abs=1e-6)  # divided by 100 psi
    ideal = Pointer(replace(IDEAL, range_=400 * BAR))
    ideal.settle(100.3 * BAR)
    assert ideal.figure == 100.3 * BAR


def test_a_thermometer_is_read_in_either_scale() -> None:
    item = Instrument("T1", "thermometer", "0Z1", 100.0, accuracy=0.01)
    pointer = Pointer(item)
    pointer.settle(45.3 - pointer.rest)
    assert pointer.figure == pytest.approx(45.0)  # divided by 2 C
    fahrenheit = pointer.read_off(System.US) * 9 / 5 + 32
    assert fahrenheit == pytest.approx(112.5)  # 113.5 F on a scale divided by 5 F
    pointer.settle(-40.0)
    assert pointer.needle == -20.0


def test_a_range_that_does_not_suit_is_told() -> None:
    assert suits(GAUGE, 120 * BAR) == ""
    assert "lowest tenth" in suits(GAUGE, 20 * BAR)
    assert "250 bar" in suits(GAUGE, 20 * BAR)
    assert "psi" in suits(GAUGE, 20 * BAR, System.US)
    assert "next larger" in suits(GAUGE, 251 * BAR)
    assert "vacuum" in suits(replace(GAUGE, range_=10 * BAR), -0.4 * BAR)
    meter = Instrument("Q1", "flow meter", "1A1.A", 1e-3 / 60)
    assert "wrong way" in suits(meter, -0.5e-3 / 60)
    assert suits(Instrument("T1", "thermometer", "0Z1", 100.0), 5.0) == ""


@pytest.mark.parametrize(("bars", "range_"), [(5.3, 10), (96, 160), (120, 160), (121, 250), (2000, 1000)])
def test_the_range_is_chosen_with_a_quarter_to_spare(bars: float, range_: float) -> None:
    """EN 837-2, from memory: steady pressure up to three quarters of the scale."""
    assert fitting_range("gauge", bars * BAR) == pytest.approx(range_ * BAR)


@pytest.mark.parametrize("damping", [0.05, 0.15, 0.6])
def test_a_needle_rests_when_it_has_stood_and_lags_no_more(damping: float) -> None:
    """After a jump D the lag is D·exp(−t/τ): by hand a quarter of a division, 5 bar, is left after τ·ln(4·D/5 bar).

    The needle rests no sooner than that, and no later than two of STILL after it.
    """
    needle = Needle(replace(GAUGE, damping=damping))
    moment = Moment(pressure=0.0)
    needle.take(moment.live, rest=True)
    assert needle.resting
    moment.p, took = 150 * BAR, 0.0
    while took == 0.0 or not needle.resting:
        moment.time += 1 / 60
        took += 1 / 60
        needle.take(moment.live)
        assert took < 10.0
    through = damping * math.log(4 * 150 / 5)
    assert through <= took <= through + 2 * STILL + 2 / 60
    needle.take(moment.live)  # a clock that stands
    assert needle.resting


def test_a_needle_that_creeps_rests_and_one_that_swings_does_not() -> None:
    """Creeping by 2 bar a second on a scale in 5 bar; swinging by 4 bar either way, twice a second."""
    for series, rests in ((lambda t: 50 + 2 * t, True), (lambda t: 50 + 4 * math.sin(4 * math.pi * t), False)):
        needle, moment, found = Needle(GAUGE), Moment(50 * BAR), set()
        needle.take(moment.live, rest=True)
        for k in range(1, 300):
            moment.time, moment.p = k / 60, series(k / 60) * BAR
            needle.take(moment.live)
            if k > 60:
                found.add(needle.resting)
        assert found == {rests}


def test_every_instrument_of_a_shipped_rig_has_a_class_and_a_calibrated_one_reads_as_it_should() -> None:
    """What a class allows counts where readings are told apart; a calibrated needle stands where one without did."""
    calibrated = set()
    for name, path in resources.rigs().items():
        for item in rig_file.load(path).instruments.values():
            assert item.accuracy > 0, f"{name}, {item.name}"
            if item.calibrated:
                calibrated.add(name)
                assert Pointer(item).error == Pointer(replace(item, accuracy=0.0)).error == 0.0
                assert read_off(item, 0.4137 * item.range_, item.range_) == 0.4137 * item.range_
    assert calibrated == {"one-spool-bench", "timber-trailer-loader"}
