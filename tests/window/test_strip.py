"""The strip: what it records and shows, the list of traces, rewinding, covers, its cost and its picture."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
from approved_lists import check
from board_moves import FRAME, MakeBoard, pass_time, there
from lines_of_python import lines_of_python
from PySide6.QtCore import QPoint, Qt
from pytestqt.qtbot import QtBot
from strip_moves import A1, LEVER, P1, drag, place, recorded, texts, work

from trainer.energy.series import TimeSeries
from trainer.engine.session import Session
from trainer.parts.part import Kind
from trainer.parts.roles import Actuator
from trainer.rig.rig import Instrument, Rig
from trainer.window.shell.window import BoardWindow
from trainer.window.strip.figures import whole
from trainer.window.strip.picture import Before, StripPicture
from trainer.window.strip.presenter import StripPresenter
from trainer.window.strip.record import StripRecord
from trainer.window.strip.sources import find_traces
from trainer.window.strip.trace_list import TracesPane

CRANK = "0M1.speed_asked"


# -- what is recorded -------------------------------------------------------------------------------------------


def test_sixty_samples_a_second_of_everything(make_board: MakeBoard) -> None:
    window = make_board()
    strip, session = window.strip, window.session
    window.run()
    work(window)
    live, now = session.readings, strip.record.series.at(session.time)
    assert len(strip.record.series) == pytest.approx(60 * session.time, abs=2)
    values = dict(zip(strip.record.series.names, there(now), strict=True))
    heats = [key for key in session.network.read_index if key[0] == "heat"]
    wanted = {
        f"control {LEVER}": 0.8, "pressure P1": live.pressure("P1"), A1: live.pressure("A1"),
        "speed rod1": live.speed("rod1"),
        "place rod1": live.place("rod1"), "speed crank": live.speed("crank"), "flow 0P1.P": -live.flow("0P1", "P"),
        "power 0P1": live.value("0P1", "power"), "temperature tank": live.temperature,
        f"control {CRANK}": live.control("0M1", "speed_asked"), "heat": sum(live[key] for key in heats),
    }  # fmt: skip
    for column, value in wanted.items():
        assert values[column] == pytest.approx(value, rel=1e-6), column  # single precision
    for name in live.network.rig.instruments:  # needles lag, and the strip shows them as they stand
        assert values[f"dial {name}"] == pytest.approx(window.board.needles.stands(name), rel=1e-6)
    for line in ("S", "T", "R", "B1"):
        assert values[f"pressure {line}"] == pytest.approx(live.pressure(line), rel=1e-6, abs=1e-6)


def test_a_slow_clock_gives_every_frame(make_board: MakeBoard) -> None:
    window = make_board()
    window.run()
    window.set_speed(1 / 100)
    before = len(window.strip.record.series)
    pass_time(window, 1.0)
    assert len(window.strip.record.series) - before == pytest.approx(60, abs=2)


def test_the_loader_records_every_lever_line_rod_and_shaft(loader: Rig) -> None:
    session = Session(loader)
    traces = find_traces(loader, session.network.read_index)
    columns = {trace.column for trace in traces.all}
    assert {f"control {k}V1.lever" for k in range(1, 6)} <= columns
    unmoved = [line.name for line in loader.lines_of_kind(Kind.ROD) if not loader.at_ports(line.name, Actuator)]
    assert unmoved == ["heave"]  # no cylinder moves the trailer under the crane
    for line in loader.lines.values():
        if line.name in unmoved:
            continue
        kinds = {"oil": ("pressure",), "rod": ("speed", "place"), "shaft": ("speed",)}[line.kind.value]
        assert {f"{kind} {line.name}" for kind in kinds} <= columns
    assert {"flow 0P1.P", "power 0M1", "power 0P1", "power 2A1", "heat", "temperature tank"} <= columns
    assert len({trace.name for trace in traces.all}) == len(traces.all)  # no two are called the same
    groups = {trace.column: trace.group for trace in traces.all}
    assert groups["pressure A3"] == groups["place boom"] == groups["control 3V1.lever"] == "Boom"


@pytest.mark.soak
def test_an_hour_is_kept_and_no_more(bench: Rig) -> None:
    session = Session(bench)
    record = StripRecord(bench, session.readings)
    row = record.row(session.readings).copy()
    for k in range(245_000):
        record.series.push(k / 60, row)
    session.state.time = 245_000 / 60
    session.state._readings = None
    record.take(session.readings, session.time)
    assert len(record.series) >= 216_000  # 60 min of 60 samples a second
    assert len(record.series) < 245_000


# -- which traces -----------------------------------------------------------------------------------------------


def test_the_first_choice_is_as_ever(board: BoardWindow) -> None:
    assert [trace.name for trace in board.strip.traces] == ["Lift cylinder lever", "P1", "Lift cylinder speed"]
    assert board.strip.record.traces.wanted is None


def test_the_users_choice_stays_until_the_first_is_asked_for(make_board: MakeBoard, loader: Rig) -> None:
    window = make_board(loader)
    window.run()
    strip = window.strip
    strip.change("place boom")
    first = [trace.name for trace in strip.traces]
    assert first == ["Stabilisers lever", "P1", "Left leg speed", "Boom rod"]
    window.rack.levers["2V1.lever"].motion.set_exactly(0.6)
    pass_time(window, 0.3)
    assert [trace.name for trace in strip.traces] == first
    strip.change("pressure A3")
    assert window.snapshot()["notice"].startswith("The strip has room for four traces.")
    for column in ("control 1V1.lever", "dial P1", "speed leg1"):
        strip.change(column)
    strip.change("place boom")
    assert window.snapshot()["notice"].startswith("One trace stays on the strip.")
    assert [trace.name for trace in strip.traces] == ["Boom rod"]
    pass_time(window, 0.2)
    assert len(strip.curves) == len(strip.plots) == 1
    strip.draw_curves()
    assert strip.curves[0].yData[-1] == pytest.approx(1e3 * window.session.readings.place("boom"), rel=1e-4)
    strip.want(None)
    assert [trace.name for trace in strip.traces] == ["Slew lever", "P1", "Slew motor"]


def test_the_list_follows_instruments_that_are_taken_off_and_fitted(board: BoardWindow) -> None:
    board.presenter(StripPresenter).show_traces()
    pane = there(board.findChild(TracesPane))

    def listed() -> list[str]:
        return [item.words for item in pane.list.items.items]

    instruments = dict(board.session.rig.instruments)
    assert "n1" in listed()
    board.refit({name: instrument for name, instrument in instruments.items() if name != "n1"})
    assert "n1" not in listed()
    board.refit(instruments)
    assert "n1" in listed()


def test_the_list_by_keyboard(board: BoardWindow, qtbot: QtBot) -> None:
    board.activateWindow()
    qtbot.keyClick(board, Qt.Key.Key_F2)
    pane = there(board.findChild(TracesPane))
    assert pane.isVisible()
    assert pane.list.hasFocus()
    names = [item.words for item in pane.list.items.items]
    assert {"Lift cylinder", "Lift cap end", "Oil lines", "Tank oil"} - {"Tank oil"} <= set(names)
    model = pane.list.model()
    rows = [model.index(row, 0) for row in range(model.rowCount())]
    ticked = [index.data() for index in rows
              if index.data(Qt.ItemDataRole.CheckStateRole) == Qt.CheckState.Checked]  # fmt: skip
    assert set(ticked) == {"Lift cylinder lever", "P1", "Lift cylinder speed"}
    pane.list.setCurrentIndex(rows[names.index("Lift cap end")])
    running = board.session.running
    qtbot.keyClick(pane.list, Qt.Key.Key_Space)
    assert board.session.running is not running  # Space is the clock's here too
    qtbot.keyClick(pane.list, Qt.Key.Key_Return)
    assert [trace.name for trace in board.strip.traces][-1] == "Lift cap end"
    qtbot.keyClick(pane.list, Qt.Key.Key_Return)
    assert len(board.strip.traces) == 3
    assert not pane.first.isChecked()
    qtbot.mouseClick(pane.first, Qt.MouseButton.LeftButton)
    assert board.strip.record.traces.wanted is None
    assert pane.first.isChecked()
    qtbot.keyClick(pane.list, Qt.Key.Key_Escape)
    assert not pane.isVisible()


def test_the_list_by_mouse(board: BoardWindow, qtbot: QtBot) -> None:
    qtbot.mouseClick(board.strip.buttons[0], Qt.MouseButton.LeftButton)
    pane = there(board.findChild(TracesPane))
    row = [item.words for item in pane.list.items.items].index("Lift rod end")
    pane.list.scrollTo(pane.list.items.index(row))
    middle = pane.list.visualRect(pane.list.items.index(row)).center()
    qtbot.mouseClick(pane.list.viewport(), Qt.MouseButton.LeftButton, pos=middle)
    assert "Lift rod end" in [trace.name for trace in board.strip.traces]
    heading = pane.list.visualRect(pane.list.items.index(0)).center()
    qtbot.mouseClick(pane.list.viewport(), Qt.MouseButton.LeftButton, pos=heading)
    assert len(board.strip.traces) == 4


def test_a_dial_let_go_on_the_strip_joins_the_traces(board: BoardWindow) -> None:
    presenter, strip = board.presenter(StripPresenter), board.strip
    elsewhere = board.drawing.mapToGlobal(QPoint(20, 20))
    on_it = strip.mapToGlobal(strip.rect().center())
    presenter.drop("Q1", elsewhere)
    assert len(strip.traces) == 3
    presenter.drop("Q1", on_it)
    assert [trace.name for trace in strip.traces][-1] == "Q1"
    presenter.drop("Q1", on_it)
    assert "already" in board.snapshot()["notice"]
    presenter.drop("nothing of that name", on_it)
    assert len(strip.traces) == 4


def test_it_survives_other_instruments(board: BoardWindow) -> None:
    work(board)
    strip, rig = board.strip, board.session.rig
    strip.want([P1, A1])
    before, columns = recorded(strip, A1), len(strip.record.series.names)
    gauges = {
        "P9": Instrument("P9", "gauge", "A1", 10e6, "cap end"),
        "Q9": Instrument("Q9", "flow meter", "1V1.A", 1e-4),
    }
    board.refit({**rig.instruments, **gauges})
    assert [trace.name for trace in strip.traces] == ["P1", "Lift cap end"]  # whatever a needle shows
    assert len(strip.record.series.names) == columns + 3  # two needles, and the flow that one of them measures
    pass_time(board, 0.5)
    times, values = recorded(strip, A1)
    assert np.array_equal(values[: len(before[1])], before[1])
    assert len(times) == len(before[0]) + 30
    flows = recorded(strip, "flow 1V1.A")[1]
    assert np.isnan(flows[: len(before[0])]).all()  # it was not measured then
    assert flows[-1] == pytest.approx(-board.session.readings.flow("1V1", "A"), rel=1e-6)
    strip.want(["flow 1V1.A"])
    pass_time(board, 0.2)
    assert board.strip.grab().width() > 0


def test_a_gauge_with_an_error_is_recorded_as_it_shows(board: BoardWindow) -> None:
    """A plugged gauge on the line of a good one: the strip shows both, and they differ as the dials do."""
    work(board)
    rig = board.session.rig
    plugged = Instrument("P9", "gauge", "P1", 6e6, "plugged", state="plugged")
    board.refit({**rig.instruments, "P9": plugged})
    board.presenter(StripPresenter).drop("P9", board.strip.mapToGlobal(board.strip.rect().center()))
    assert [trace.name for trace in board.strip.traces][1:] == ["P1", "Lift cylinder speed", "P9"]
    work(board, 1.0, -0.5)
    shown = board.dials.dials[-1].pointer.needle
    told = recorded(board.strip, "dial P9")[1][-1]
    assert told == pytest.approx(shown, abs=25e5 * FRAME / 300)  # as it stood a frame before: 300 s, 25 bar at most
    assert recorded(board.strip, "pressure P1")[1][-1] == pytest.approx(
        board.session.readings.pressure("P1"), rel=1e-6
    )
    assert abs(shown - board.session.readings.pressure("P1")) > 1e5
    board.dials.toggle(len(board.dials.dials))
    hidden = [trace.name for k, trace in enumerate(board.strip.traces) if board.strip.picture.places[k]
              in board.strip.picture.hidden]  # fmt: skip
    assert hidden == ["P1", "P9"]  # the line that it hides is not told by another name


# -- time at hand ------------------------------------------------------------------------------------------------


def test_rewound_it_shows_up_to_that_instant_and_going_on_cuts(board: BoardWindow) -> None:
    work(board, 2.0)
    strip, end = board.strip, board.session.time
    whole_of_it = recorded(strip, P1)
    board.rewind(1.0)
    now = board.session.time
    assert strip.record.now == now
    assert strip.curves[1].yData[-1] == pytest.approx(board.board.needles.stands("P1") / 1e5, rel=1e-5)
    assert board.dials.dials[0].pointer.middle == pytest.approx(whole_of_it[1][59], rel=1e-6)  # as it stood then
    assert len(strip.record.series) == len(whole_of_it[0])  # what came later waits
    strip.freeze(True)
    strip.picture.time.held = end
    strip.lay_out()
    lines = strip.picture.lines(1)
    assert [line.ink for line in lines] == ["hairline", "ink"]  # later: pale
    assert lines[0].times[0] == pytest.approx(now)
    board.rewind(1.5)
    assert strip.record.now == pytest.approx(1.5, abs=FRAME)
    board.rewind(1.0)
    board.run()
    work(board, 0.5, 0.2)
    times, values = recorded(strip, P1)
    assert times[-1] == board.session.time == pytest.approx(now + 0.5, abs=2 * FRAME)
    kept = int(np.searchsorted(whole_of_it[0], now, "right"))
    assert np.array_equal(values[:kept], whole_of_it[1][:kept])
    assert np.all(np.diff(times) > 0)


def test_reset_begins_anew(board: BoardWindow) -> None:
    work(board)
    board.strip.freeze(True)
    board.strip.picture.cursors.times[:] = [0.5, 1.0]
    board.reset()
    assert len(board.strip.record.series) <= 1
    assert not board.strip.freeze_button.isChecked()
    assert board.strip.picture.cursors.times == []


# -- covers ------------------------------------------------------------------------------------------------------


def test_a_covered_gauge_hides_its_trace_value_and_figures(board: BoardWindow, qtbot: QtBot) -> None:
    work(board, 3.0)
    board.run(False)
    strip = board.strip
    strip.want([P1, A1, "power 0P1", "speed rod1"])
    drag(qtbot, strip, place(strip, 0.92), place(strip, 0.98))
    assert all(curve.yData.size for curve in strip.curves)
    board.dials.toggle([dial.instrument.name for dial in board.dials.dials].index("P1") + 1)
    hidden = [trace.column for k, trace in enumerate(strip.traces) if strip.picture.places[k] in strip.picture.hidden]
    assert hidden == [P1, A1, "power 0P1"]  # the line behind the check valve tells the same
    assert [bool(curve.yData.size) for curve in strip.curves] == [False, False, False, True]
    written = texts(strip)
    assert written[written.index("P1, bar") + 1] == "Lift cap end, bar"  # no figures between
    qtbot.mouseMove(strip, place(strip, 0.95))
    assert not any(re.match(r".*\d bar$", words) for words in texts(strip))
    strip.picture.cursors.times.clear()
    assert not any(re.match(r".*\d bar$", words) for words in texts(strip))
    board.dials.toggle_all()  # uncovers what is covered
    assert any(re.match(r".*\d bar$", words) for words in texts(strip))


# -- what it costs -----------------------------------------------------------------------------------------------


@pytest.mark.soak
def test_sixty_minutes_cost_what_one_costs(make_board: MakeBoard) -> None:
    """Points, and lines of Python, of what is done 30 times a second; the same on every machine."""
    window = make_board()
    strip = window.strip
    row = strip.record.row(window.session.readings).copy()
    noise = np.random.default_rng(3).normal(1.0, 0.2, (499, len(row)))
    cost: dict[tuple[int, float], tuple[int, int]] = {}
    for minutes in (1, 60):
        series = TimeSeries(strip.record.series.names)
        for k in range(round((60 - minutes) * 3600), 216_000):
            series.push(k / 60, row * noise[k % 499])
        strip.record.series, strip.record.now = series, series.end
        for span in (5.0, 30.0, 3600.0):
            strip.picture.time.span = span
            strip.lay_out()
            strip._drawn_for = None
            lines = lines_of_python(strip.draw_curves)
            cost[minutes, span] = lines, sum(len(curve.xData) for curve in strip.curves)
    print(cost)
    for span in (5.0, 30.0):
        assert cost[60, span][1] == cost[1, span][1]
        assert cost[60, span][0] <= 1.2 * cost[1, span][0]
    assert cost[60, 3600.0][1] <= 3 * 620  # two points a pixel
    assert cost[60, 3600.0][0] <= 1.6 * cost[1, 30.0][0]


def test_nothing_is_drawn_again_where_nothing_changed(board: BoardWindow) -> None:
    work(board)
    board.run(False)
    board.strip.draw_curves()
    lines = [curve.lines for curve in board.strip.curves]
    pass_time(board, 0.2)
    assert all(curve.lines is before for curve, before in zip(board.strip.curves, lines, strict=True))


# -- the picture -------------------------------------------------------------------------------------------------


def test_the_picture_is_the_approved_one(bench: Rig) -> None:
    """A prescribed run, so that the last digits of no solver count: lever 60 %, a pressure that rings, a speed."""
    session = Session(bench)
    record = StripRecord(bench, session.readings)
    row = record.row(session.readings).copy()
    at = {name: record.traces.place(name) for name in (f"control {LEVER}", P1, "speed rod1")}
    before = TimeSeries(record.series.names)
    for series, size in ((before, 0.6), (record.series, 1.0)):
        for k in range(201):
            time = k / 10
            moved = 0.6 if 4.0 <= time < 14.0 else 0.0
            row[at[f"control {LEVER}"]] = moved
            row[at[P1]] = 1e5 * (1.2 + size * moved * (30 + 20 * np.exp(time - 8.0) * (4.0 <= time < 8.0) / 30))
            row[at["speed rod1"]] = 0.011 * moved * size * (1 - np.exp(4.0 - time))
            series.push(time, row)
            np.fmax(record.highs, row, out=record.highs)
            np.fmin(record.lows, row, out=record.lows)
    record.now = 20.0
    picture = StripPicture(record)
    picture.height, picture.latest = 352.0, row.tolist()
    picture.before = Before(before)
    picture.cursors.times[:] = [3.5, 9.25]
    check("strip", whole(picture))


def test_a_rig_without_levers_and_gauges(make_board: MakeBoard, bench: Rig) -> None:
    window = make_board(replace(bench, instruments={}))
    window.run()
    pass_time(window, 0.2)
    assert [trace.name for trace in window.strip.traces] == ["Lift cylinder lever", "Lift cylinder speed"]
