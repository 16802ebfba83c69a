"""The stopwatch against the engine's own cycle time, and how it is handled."""

from __future__ import annotations

import pytest

from trainer import resources
from trainer.engine.session import Session
from trainer.measuring.stopwatch import Stopwatch, Trigger, triggers
from trainer.rig import file as rig_file

BENCH_TEXT = resources.rigs()["one-spool-bench"].read_text("utf-8")
BENCH = rig_file.loads(BENCH_TEXT)
# the bench with a drive that keeps its speed, and a cylinder in which no weight bounces: a flow as in the books
STEADY = rig_file.loads(
    BENCH_TEXT.partition("\n[drawing]")[0]
    .replace('{ is = "HandCrank" }', '{ is = "SteadyDrive" }')
    .replace("0M1.speed_asked", "0M1.setting")
    .replace('stroke = "200 mm"', 'stroke = "200 mm", viscous_friction = "1e5 N s/m"')
)
LEAVES, ARRIVES = Trigger("leaves", "1A1"), Trigger("arrives", "1A1")


def run(session: Session, watches: dict[int, Stopwatch], seconds: float) -> None:
    """Move on in frames of 1/60 s; each watch sees every so many of them."""
    for k in range(round(seconds * 60)):
        session.advance(1 / 60)
        for every, watch in watches.items():
            if k % every == every - 1:
                watch.feed(session.readings)


@pytest.mark.soak
def test_the_cycle_time_is_area_times_stroke_over_flow() -> None:
    """Hand calculation with the engine's flow: 12.57 cm2 x 199.8 mm between the triggers; frames of 1/60 to 1/3 s."""
    session = Session(STEADY)
    watches = {every: Stopwatch(STEADY, LEAVES, ARRIVES) for every in (1, 2, 3, 5, 10, 20)}
    for watch in watches.values():
        watch.press(session.readings)
        assert watch.state == "waiting"
    session.set_control("1V1.lever", 1.0)
    run(session, watches, 12.0)
    flow = session.readings.flow("1A1", "A")
    area = session.readings.value("1A1", "cap_area")
    run(session, watches, 16.0)
    exact = area * 0.200 * (1 - 2 * 5e-4) / flow
    assert 24.0 < exact < 28.0  # 25.1 s at 0.6 L/min, and a few percent of slip
    for watch in watches.values():
        (taken,) = watch.runs
        assert exact < taken < 1.005 * exact  # a tenth of a second until it moves at full speed
        assert taken == pytest.approx(watches[1].runs[0], abs=0.012)


def test_the_lever_starts_it() -> None:
    session = Session(BENCH)
    watch = Stopwatch(BENCH, Trigger("lever", "1V1.lever"), Trigger("arrives", "1A1", "out"))
    watch.press(session.readings)
    run(session, {1: watch}, 0.5)
    assert watch.state == "waiting"
    assert watch.elapsed == 0.0
    session.set_control("1V1.lever", 0.5)
    run(session, {1: watch}, 1.0)
    assert watch.state == "running"
    assert watch.elapsed == pytest.approx(1.0, abs=0.01)
    watch.press(session.readings)
    assert watch.state == "still"
    assert watch.runs == [pytest.approx(1.0, abs=0.01)]


def test_by_hand_it_takes_the_time_between_two_presses() -> None:
    session = Session(BENCH)
    watch = Stopwatch(BENCH)
    for seconds in (1.0, 1.5, 2.0):
        watch.press(session.readings)
        run(session, {1: watch}, seconds)
        watch.press(session.readings)
        run(session, {1: watch}, 0.5)
    assert watch.runs == pytest.approx([1.0, 1.5, 2.0])
    assert watch.mean == pytest.approx(1.5)
    assert watch.spread == pytest.approx(1.0)
    watch.press(session.readings)
    run(session, {1: watch}, 3.0)
    watch.press(session.readings)
    assert watch.runs == pytest.approx([1.5, 2.0, 3.0])  # the last three
    assert watch.elapsed == pytest.approx(3.0)
    watch.reset()
    assert (watch.runs, watch.mean, watch.spread, watch.elapsed) == ([], None, None, 0.0)


@pytest.mark.soak
def test_it_waits_again_until_there_are_three_runs() -> None:
    """A short stroke three times over: each run is waited for without another press."""
    text = BENCH_TEXT.partition("\n[drawing]")[0].replace('stroke = "200 mm"', 'stroke = "20 mm"')
    rig = rig_file.loads(text)
    session = Session(rig)
    watch = Stopwatch(rig, Trigger("leaves", "1A1", "in"), Trigger("arrives", "1A1", "out"))
    watch.press(session.readings)
    for k in range(3):
        assert watch.state == "waiting"
        session.set_control("1V1.lever", 1.0)
        run(session, {1: watch}, 4.0)
        assert len(watch.runs) == k + 1
        session.set_control("1V1.lever", -0.7)
        run(session, {1: watch}, 4.0)
    assert watch.state == "still"
    assert watch.spread is not None
    assert watch.spread < 0.2


def test_when_time_goes_back_the_run_is_dropped_with_a_word() -> None:
    session = Session(BENCH)
    watch = Stopwatch(BENCH, Trigger(), ARRIVES)
    watch.press(session.readings)
    run(session, {1: watch}, 1.0)
    watch.press(session.readings)
    watch.press(session.readings)
    run(session, {1: watch}, 1.0)
    session.rewind(0.5)
    assert watch.feed(session.readings)
    assert watch.state == "still"
    assert watch.note == "Time went back: the run under way is dropped."
    assert watch.runs == [pytest.approx(1.0)]  # what is written down stays
    watch.press(session.readings)
    assert watch.note == ""


def test_a_waiting_watch_goes_on_waiting_when_time_goes_back() -> None:
    session = Session(BENCH)
    watch = Stopwatch(BENCH, LEAVES, ARRIVES)
    watch.press(session.readings)
    run(session, {1: watch}, 1.0)
    session.rewind(0.5)
    assert not watch.feed(session.readings)
    assert watch.state == "waiting"
    assert watch.note == ""


def test_other_triggers_drop_the_run_and_keep_the_others() -> None:
    session = Session(BENCH)
    watch = Stopwatch(BENCH)
    watch.press(session.readings)
    run(session, {1: watch}, 0.5)
    watch.press(session.readings)
    watch.press(session.readings)
    watch.set_triggers(LEAVES, ARRIVES)
    assert (watch.state, len(watch.runs)) == ("still", 1)
    watch.press(session.readings)
    watch.press(session.readings)
    assert watch.state == "still"
    with pytest.raises(KeyError):
        watch.set_triggers(Trigger("leaves", "9A9"), ARRIVES)


def test_triggers_are_told_in_words() -> None:
    assert [trigger.words(BENCH) for trigger in triggers(BENCH, stop=False)] == [
        "by hand", "lift lever leaves neutral", "lift cylinder leaves its end",
        "lift cylinder leaves its outer end", "lift cylinder leaves its inner end"]  # fmt: skip
    assert [trigger.words(BENCH) for trigger in triggers(BENCH, stop=True)] == [
        "by hand", "lift cylinder at its end",
        "lift cylinder all the way out", "lift cylinder all the way in"]  # fmt: skip
    loader = rig_file.load(resources.rigs()["timber-trailer-loader"])
    starts = [trigger.words(loader) for trigger in triggers(loader, stop=False)]
    assert "boom lever leaves neutral" in starts
    assert "left leg cylinder leaves its end" in starts
    assert len(starts) == 1 + 5 + 3 * 5
    for stop in (False, True):
        for trigger in triggers(loader, stop):
            Stopwatch(loader, trigger, Trigger())
