"""Two rigs beside each other, without a window: in step, moved by the same hands, their figures in pairs."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from cases import shipped

from trainer import resources
from trainer.engine.session import FRAME, Session
from trainer.errors import SpoolroomError
from trainer.operating.operator import Operator
from trainer.pairing import sides
from trainer.pairing.figures import QUANTITIES, Gauge, PassingScales, Scales
from trainer.pairing.hands import SECOND, Shared, SharedHands, alike, shared
from trainer.pairing.pair import Pair
from trainer.pairing.sides import Otherwise
from trainer.rig.rig import Rig
from trainer.units import System

LOADER, TWIN = "timber-trailer-loader", "timber-trailer-loader-load-sensing"
BAR = 1e5


@pytest.fixture(scope="module", name="bench_session")
def _bench_session() -> Session:
    """A session that the tests only look at or begin anew from."""
    return Session(shipped("one-spool-bench"))


def pair_of(session: Session, **values: float) -> Pair:
    """Return a rig beside itself with other numbers."""
    return Pair(sides.at_start(session), sides.changed(session, session.rig, Otherwise(values)).session)


# -- one clock --------------------------------------------------------------------------------------------------


def test_both_make_the_same_calls_and_each_runs_as_it_would_alone(bench_session: Session) -> None:
    less = 0.8 * bench_session.machine["0P1.displacement"]
    pair = pair_of(bench_session, **{"0P1.displacement": less})
    pair.run()
    for session in pair.both:
        session.set_control("0M1.speed_asked", 6.0)
        session.set_control("1V1.lever", 0.5)
    for seconds in (FRAME, 0.031, 0.4 * FRAME, 0.05):
        pair.tick(seconds)
    pair.speed = 2.0
    pair.tick(4 * FRAME)
    first, second = pair.both
    assert [*first.history.times] == [*second.history.times]
    assert pair.time == first.time == second.time > 0.1
    assert {call.length for call in first.record} == {FRAME}
    alone = sides.at_start(bench_session)
    alone.machine["0P1.displacement"] = less
    alone.reset()
    for call in second.record:
        alone.set_control("0M1.speed_asked", 6.0)
        alone.set_control("1V1.lever", 0.5)
        alone.advance(call.length, call.length)
    assert alone.x.tolist() == second.x.tolist()
    assert first.x.tolist() != second.x.tolist()


def test_both_go_back_to_one_instant_and_on_from_there(bench_session: Session) -> None:
    pair = pair_of(bench_session)
    pair.run()
    pair.tick(6 * FRAME)
    pair.rewind(2.5 * FRAME)
    assert not pair.running
    assert [round(session.time / FRAME) for session in pair.both] == [2, 2]
    assert round(pair.end / FRAME) == 6
    pair.step()
    assert [round(session.time / FRAME) for session in pair.both] == [3, 3]
    assert round(pair.end / FRAME) == 3
    pair.reset()
    assert pair.time == pair.end == 0.0


class Faulty(Session):
    """A session that has no time to end some of its calls, or fails in them: told by ``does`` for each."""

    does: list[bool]
    lengths: list[float]

    def __init__(self, like: Session, does: list[bool]) -> None:
        vars(self).update(vars(like.ahead()))
        self.does, self.lengths = does, []

    def try_call(self, length: float, clock: Callable[[], float] | None = None) -> bool:
        """Make a call, or not."""
        self.lengths.append(length)
        return self.does.pop(0) and super().try_call(length, clock)


def test_the_one_waits_for_a_call_that_the_other_had_no_time_to_end(bench_session: Session) -> None:
    first, second = Faulty(bench_session, [True] * 3), Faulty(bench_session, [False, True, True, True])
    pair = Pair(first, second)
    pair.run()
    assert pair.tick(FRAME) == 0
    assert (round(first.time / FRAME), second.time, pair.time) == (1, 0.0, 0.0)
    pair.speed = 0.5
    assert pair.tick(FRAME) == 1
    assert first.time == second.time == pytest.approx(FRAME)  # it ends what is begun, with the length of then
    assert second.lengths == [FRAME, FRAME]
    pair.tick(FRAME)
    assert first.time == second.time == pytest.approx(1.5 * FRAME)


def test_a_call_that_fails_in_one_freezes_both(bench_session: Session) -> None:
    first, second = Faulty(bench_session, [True]), Faulty(bench_session, [False])
    second.trouble = "It cannot be solved."
    pair = Pair(first, second)
    pair.run()
    assert pair.tick(FRAME) == 0
    assert not pair.running
    assert pair.notices == ("", "It cannot be solved.")


# -- one set of hands -------------------------------------------------------------------------------------------


def named(first: str | Rig, second: str | Rig) -> dict[str, str]:
    rigs = [shipped(rig) if isinstance(rig, str) else rig for rig in (first, second)]
    return {row.first or row.name: row.second for row in shared(rigs[0], rigs[1]) if row.first or row.second}


def test_levers_are_paired_by_what_they_move() -> None:
    found = named(LOADER, TWIN)
    assert found["3V1.lever"] == "3V1.lever"
    assert found["0M1.speed_asked"] == "0M1.speed_asked"
    assert found["3W1.load"] == "3W1.load"
    levers = {k: v for k, v in named("two-lifts", "bank-parallel").items() if k.endswith("lever")}
    assert levers == {"1V1.lever": "", f"{SECOND}1V1.lever": "1V1.lever", f"{SECOND}2V1.lever": "2V1.lever"}
    levers = {k: v for k, v in named("constant-pressure", "bank-parallel").items() if k.endswith("lever")}
    assert levers == {"1V1.lever": "1V1.lever", "2V1.lever": "2V1.lever"}  # wide and lift, narrow and tilt: in order


def test_an_engine_and_a_motor_are_turned_by_one_speed_and_a_lone_lever_by_the_lone_one() -> None:
    found = named("one-spool-bench", "two-lifts")
    assert found["0M1.speed_asked"] == "0M1.setting"
    assert found["1V1.lever"] == "1V1.lever"  # what they lift is called otherwise


def test_a_lever_that_lies_the_other_way_round_is_turned() -> None:
    rig = shipped("one-spool-bench")
    section = rig.parts["1V1"]
    other = replace(rig, parts={**rig.parts, "1V1": replace(section, ends=rig.controls()["1V1.lever"].ends[::-1])})
    row = next(row for row in shared(rig, other) if row.first == "1V1.lever")
    assert row == Shared("1V1.lever", "1V1.lever", turned=True)


def test_hands_move_both_within_their_own_limits(bench_session: Session) -> None:
    pair = pair_of(bench_session)
    hands = SharedHands(shared(pair.first.rig, pair.second.rig), *pair.both)
    operator = Operator(bench_session.rig, hands.control)
    operator.levers["1V1.lever"].set_exactly(0.4)
    operator.speeds["0M1.speed_asked"].set_exactly(1e6)
    assert set(operator.move(FRAME, hands)) == {"1V1.lever", "0M1.speed_asked"}
    most = bench_session.rig.controls()["0M1.speed_asked"].high
    for session in pair.both:
        assert (session.control("1V1.lever"), session.control("0M1.speed_asked")) == (0.4, most)
    assert bench_session.control("1V1.lever") == 0.0  # the one that they were made from is left alone
    turned = SharedHands([Shared("1V1.lever", "1V1.lever", turned=True)], *pair.both)
    turned.set_control("1V1.lever", -0.3)
    assert [session.control("1V1.lever") for session in pair.both] == [-0.3, 0.3]
    assert turned.control("1V1.lever") == -0.3


def test_the_other_rig_starts_with_the_hands_and_the_oil_of_the_first() -> None:
    bench, lifts = shipped("one-spool-bench"), shipped("two-lifts")
    now = {"0M1.speed_asked": 1e6, "1V1.lever": 0.2}
    started = alike(bench, lifts, lambda name: now.get(name, 0.0), 60.0)
    most = lifts.controls()["0M1.setting"].high
    assert dict(started.start) == {**lifts.start, "0M1.setting": most, "1V1.lever": 0.2}
    assert (started.oil.temperature, started.parts) == (60.0, lifts.parts)


@pytest.mark.soak
def test_another_rig_stands_beside_with_no_number_changed(bench_session: Session) -> None:
    first = sides.at_start(bench_session)
    first.set_control("0M1.speed_asked", 6.0)
    first.set_temperature(60.0)
    first.advance(FRAME)
    side = sides.another(resources.rigs()["two-lifts"], first)
    assert side.session.control("0M1.setting") == 6.0
    assert side.session.temperature == pytest.approx(60.0, abs=1e-3)
    assert side.differs(System.METRIC) == ()


# -- itself, worn, changed, as in its file ----------------------------------------------------------------------


def test_the_same_rig_worn_or_changed_leaves_the_board_alone(bench_session: Session) -> None:
    worn = sides.wrongs(bench_session.rig)["0P1.slip"]
    assert [*worn.degrees] == ["mild", "marginal", "failed"]
    side = sides.changed(bench_session, bench_session.rig, Otherwise(wrong=("0P1.slip = failed",)))
    assert side.session.machine["0P1.slip"] == worn.degrees["failed"]
    assert bench_session.machine.changed() == {}
    assert (side.session.time, side.title) == (0.0, bench_session.rig.title)
    title, _, meaning = worn.words.partition(": ")
    assert side.differs(System.METRIC) == (f"{title}, failed: {meaning}",)
    assert sides.set_number(bench_session.rig, "0V1.setting = 30 bar") == ("0V1.setting", 30 * BAR)


@pytest.mark.soak
def test_what_a_repair_put_back_wrong_stands_beside(bench_session: Session) -> None:
    side = sides.changed(bench_session, bench_session.rig, Otherwise({"0V1.setting": 40 * BAR}, ("1V1.A <> 1V1.B",)))
    assert side.session.machine["0V1.setting"] == 40 * BAR
    assert side.differs(System.METRIC)[0].startswith("1V1.A <> 1V1.B: put back")
    assert side.session.rig.line_of("1V1", "A").name == bench_session.rig.line_of("1V1", "B").name
    with pytest.raises(SpoolroomError, match="nothing can be wrong at"):
        sides.changed(bench_session, bench_session.rig, Otherwise(wrong=("0P1.slop = failed",)))


@pytest.mark.parametrize(("words", "told"), [
    ("0V1.seting=30 bar", "0V1.seting is no number of .*0V1.setting"), ("0V1.setting=30000 bar", "out of reach"),
    ("0V1.setting", "That is not a number"),
])  # fmt: skip
def test_a_number_that_cannot_be_is_told(words: str, told: str) -> None:
    with pytest.raises(SpoolroomError, match=told):
        sides.set_number(shipped("one-spool-bench"), words)


@pytest.mark.soak
def test_before_and_after_a_change(bench_session: Session) -> None:
    changed = sides.changed(bench_session, bench_session.rig, Otherwise({"0V1.setting": 30 * BAR})).session
    before = sides.as_in_file(changed, bench_session.rig)
    assert before.session.machine["0V1.setting"] == bench_session.machine["0V1.setting"]
    assert before.differs(System.METRIC) == ()


# -- figures in pairs -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("system", System)
def test_what_is_printed_of_the_power_sums_to_what_is_paid_in(bench_session: Session, system: System) -> None:
    session = sides.at_start(bench_session)
    session.set_control("0M1.speed_asked", 6.0)
    session.set_control("1V1.lever", 1.0)
    session.advance(0.5)
    gauge = Gauge(session.network)
    live = session.readings
    found = gauge.figures(live, system)
    printed = [round(100 * float(text.replace("−", "-"))) for text in found.share_texts.values()]
    assert sum(printed) == round(100 * float(found.total_text))
    ledger = gauge.book.power.ledger(live)
    assert found.total == pytest.approx(ledger.total)
    assert sum(found.shares.values()) == pytest.approx(ledger.total)
    stored = found.shares["stored"]
    assert found.values["load"] + found.values["heat"] + stored == pytest.approx(ledger.total)
    assert found.values["pressure"] == live.pressure("P1")
    assert found.values["delivery"] == -live.flow("0P1", "P")
    assert [*found.texts] == [*QUANTITIES]


def test_scales_are_round_and_only_grow(bench_session: Session) -> None:
    scales, found = Scales(), Gauge(bench_session.network).figures(bench_session.readings, System.METRIC)
    assert scales.end_text("pressure", System.METRIC) == "100"
    for pressure, end in ((161 * BAR, 200.0), (20 * BAR, 200.0), (201 * BAR, 250.0)):
        scales.take([replace(found, values={**found.values, "pressure": pressure})])
        assert scales.ends("pressure", System.METRIC)[1] == pytest.approx(end * BAR)
    assert scales.end_text("pressure", System.US) == "3000"  # 201 bar are 2915 psi
    assert scales.end_text("temperature", System.US) == "212"
    scales.forget()
    assert scales.end_text("pressure", System.METRIC) == "100"


@pytest.mark.soak
def test_a_pump_over_centre_delivers_at_either_of_its_ports() -> None:
    session = Session(shipped("hydrostatic-loop"))
    gauge = Gauge(session.network)
    found = []
    for lever in (0.5, -0.5):
        session.set_control("0P1.lever", lever)
        session.advance(2.0)
        values = gauge.figures(session.readings, System.METRIC).values
        found.append((values["pressure"], values["delivery"]))
    assert found[1] == pytest.approx(found[0], rel=0.02)
    assert found[0][1] > 1e-4


@pytest.mark.soak
def test_fixed_against_variable_at_standby_part_load_and_stall() -> None:
    """A fixed pump pays for all of its flow at the relief's pressure, one that strokes back for its leaks alone.

    P = p Q: 27 L/min less slip over a relief at 180 bar are 7.5 kW; textbook.
    """
    first = sides.at_start(Session(shipped("open-centre")))
    pair = Pair(first, sides.another(resources.rigs()["load-sensing"], first).session)
    hands = SharedHands(shared(pair.first.rig, pair.second.rig), *pair.both)
    gauges = [Gauge(session.network) for session in pair.both]
    pair.run()

    def after(seconds: float) -> list[dict[str, float]]:
        for _ in range(round(seconds / FRAME)):
            pair.tick(FRAME)
        return [
            dict(gauge.figures(session.readings, System.METRIC).values)
            for gauge, session in zip(gauges, pair.both, strict=True)
        ]

    fixed, variable = after(0.5)  # standby: full flow at hardly any pressure, a margin without flow
    assert fixed["delivery"] > 50 * variable["delivery"]
    assert fixed["pressure"] < 10 * BAR < 18 * BAR < variable["pressure"]
    assert variable["input"] < 0.6 * fixed["input"]
    hands.set_control("1V1.lever", 0.4)
    fixed, variable = after(1.5)  # part load: not yet enough past the spool for the load, and what the lever asks for
    assert (fixed["load"] < 1.0, variable["load"] > 100.0) == (True, True)
    assert variable["input"] < 0.4 * fixed["input"]
    hands.set_control("1V1.lever", 1.0)
    fixed, variable = after(7.0)  # the lift stands at its end
    for one in (fixed, variable):
        assert one["pressure"] == pytest.approx(180 * BAR, rel=0.03)
        assert one["load"] < 10.0
    assert fixed["heat"] > fixed["pressure"] * fixed["delivery"] > 7000.0
    assert variable["heat"] < 0.12 * fixed["heat"]
    assert fixed["temperature"] > variable["temperature"]


def test_scales_of_an_instant_come_back_once_at_rest(bench_session: Session) -> None:
    """Four seconds below half of what was reached; a reading between the half and the whole moves nothing."""
    scales, found = PassingScales(), Gauge(bench_session.network).figures(bench_session.readings, System.METRIC)

    def end(power: float, time: float) -> float:
        scales.pass_on([replace(found, total=power)], time)
        return scales.ends("power", System.METRIC)[1]

    assert end(5200.0, 0.0) == pytest.approx(6000.0)
    ends = [end(power, 0.1 * k) for k, power in enumerate((440.0, 3000.0) * 50)]  # swings for ten seconds
    assert (min(ends), max(ends)) == pytest.approx((6000.0, 6000.0))
    at_rest = [end(440.0, 10.0 + 0.1 * k) for k in range(100)]
    assert at_rest[38] == pytest.approx(6000.0)
    assert at_rest[-1] == pytest.approx(1000.0)
    assert len({round(one) for one in at_rest}) == 2
    assert end(5200.0, 21.0) == pytest.approx(6000.0)
    assert end(440.0, 0.0) == pytest.approx(6000.0)  # gone back
