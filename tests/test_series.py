"""A course against plain numpy on the same samples."""

from __future__ import annotations

import math
import time
from functools import partial

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lines_of_python import lines_of_python

from trainer.energy.series import TimeSeries

RATE = 60.0


def filled(count: int, columns: int = 3, seed: int = 7) -> tuple[TimeSeries, np.ndarray, np.ndarray]:
    """Return a time series of unevenly spaced samples of a random walk, its times and its rows."""
    numbers = np.random.default_rng(seed)
    times = np.cumsum(numbers.uniform(0.004, 0.03, count))
    rows = np.cumsum(numbers.normal(0, 1, (count, columns)), axis=0).astype(np.float32).astype(np.float64)
    series = TimeSeries([f"c{k}" for k in range(columns)])
    for stamp, row in zip(times, rows, strict=True):
        series.push(float(stamp), row)
    return series, times, rows


def test_an_empty_course() -> None:
    series = TimeSeries(["p"])
    assert len(series) == 0
    assert math.isnan(series.begin)
    assert math.isnan(series.end)
    assert series.at(1.0) is None
    assert math.isnan(series.value("p", 0.0))
    assert math.isnan(series.mean("p", 0.0, 1.0))
    assert [len(part) for part in (*series.column("p", 0, 9), *series.drawn("p", 0, 9))] == [0, 0, 0, 0]
    series.cut(3.0)
    series.keep_newest(3)
    assert len(series) == 0


def test_what_it_does_not_take() -> None:
    with pytest.raises(ValueError, match="a name of its own"):
        TimeSeries(["p", "p"])
    series = TimeSeries(["p", "q"])
    with pytest.raises(ValueError, match="2 values, not 1"):
        series.push(0.0, [1.0])
    with pytest.raises(ValueError, match="time"):
        series.push(math.nan, [1.0, 2.0])
    with pytest.raises(KeyError):
        series.column("r", 0.0, 1.0)
    assert len(series) == 0


def test_every_sample_comes_back() -> None:
    series, times, rows = filled(9000)
    assert len(series) == 9000
    assert (series.begin, series.end) == (times[0], times[-1])
    stamps, values = series.column("c1", times[0], times[-1])
    assert np.array_equal(stamps, times)
    assert np.array_equal(values, rows[:, 1])
    stamps, values = series.column("c2", times[4000], times[4200])
    assert np.array_equal(stamps, times[4000:4201])
    assert np.array_equal(values, rows[4000:4201, 2])


def test_values_at_a_time() -> None:
    series, times, rows = filled(5000)
    for k in (0, 17, 4095, 4096, 4999):
        found = series.at(float(times[k]) + 1e-4)
        assert found is not None
        assert np.array_equal(found, rows[k])
    assert series.at(float(times[0]) - 1e-4) is None
    for moment in np.linspace(times[0], times[-1], 97):
        assert series.value("c0", float(moment)) == pytest.approx(np.interp(moment, times, rows[:, 0]), abs=1e-9)
    assert math.isnan(series.value("c0", float(times[-1]) + 1.0))


@pytest.mark.parametrize("most", [40, 300, 800])
@pytest.mark.parametrize("count", [30, 900, 5000, 40000])
def test_what_is_drawn_has_the_extremes_of_every_stretch(count: int, most: int) -> None:
    series, times, rows = filled(count, 1)
    for begin, end in ((times[0], times[-1]), (times[count // 5], times[count // 2]), (-9.0, times[count // 3])):
        stamps, values = series.drawn("c0", float(begin), float(end), most)
        assert len(stamps) == len(values) <= most
        assert np.all(np.diff(stamps) >= 0)
        first = max(int(np.searchsorted(times, begin)) - 1, 0)
        last = min(int(np.searchsorted(times, end, "right")) + 1, count)
        assert (stamps[0], stamps[-1]) == (times[first], times[last - 1])
        assert (values[0], values[-1]) == (rows[first, 0], rows[last - 1, 0])
        assert values.min() == rows[first:last, 0].min()
        assert values.max() == rows[first:last, 0].max()
        assert np.isin(values, rows[first:last, 0]).all()
        gap = 2.5 * (times[last - 1] - times[first]) / len(stamps) + 0.03  # every peak stands near its own time
        for k in range(first, last, max((last - first) // 25, 1)):
            near = values[np.abs(stamps - times[k]) <= 4 * gap]
            assert near.min() <= rows[k, 0] <= near.max()


@pytest.mark.soak
def test_one_odd_sample_of_an_hour_is_seen() -> None:
    series = TimeSeries(["p"])
    for k in range(216_000):
        series.push(k / RATE, [9.0 if k == 123_457 else 1.0])
    stamps, values = series.drawn("p", 0.0, 3600.0, 800)
    assert values.max() == 9.0
    assert stamps[values.argmax()] == pytest.approx(123_457 / RATE, abs=3600 / 200)


def test_peaks_do_not_shimmer_while_time_goes_on() -> None:
    series, times, _ = filled(20_000, 1)
    seen = series.drawn("c0", float(times[100]), float(times[16_000]), 200)
    later = series.drawn("c0", float(times[130]), float(times[16_030]), 200)
    inner = {(t, v) for t, v in zip(*seen, strict=True) if times[900] < t < times[15_000]}
    assert inner
    assert inner <= set(zip(*later, strict=True))


def test_no_number_among_numbers_is_left_out_of_the_extremes() -> None:
    series = TimeSeries(["p"])
    for k in range(4000):
        series.push(float(k), [math.nan if k % 3 else float(k)])
    _, values = series.drawn("p", 0.0, 4000.0, 100)
    assert np.nanmax(values) == 3999.0


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(st.integers(0, 400), st.integers(1, 600)), min_size=1, max_size=12))
def test_cutting_and_going_on_is_as_if_never_recorded(turns: list[tuple[int, int]]) -> None:
    series = TimeSeries(["p"])
    times: list[float] = []
    values: list[float] = []
    now = 0
    for number, (back, ahead) in enumerate(turns):
        now = max(now - back, 0)
        if number % 2:
            series.cut(now / RATE)
            keep = [k for k, stamp in enumerate(times) if stamp <= now / RATE]
        else:  # the next sample cuts
            keep = [k for k, stamp in enumerate(times) if stamp < now / RATE]
        times, values = [times[k] for k in keep], [values[k] for k in keep]
        for _ in range(ahead):
            if times and now / RATE == times[-1]:
                times.pop(), values.pop()
            value = float(np.float32(math.sin(now * (number + 1))))
            series.push(now / RATE, [value])
            times.append(now / RATE)
            values.append(value)
            now += 1
    plain = TimeSeries(["p"])
    for stamp, value in zip(times, values, strict=True):
        plain.push(stamp, [value])
    for begin, end in ((0.0, 1e9), (times[len(times) // 3], times[-1])):
        for one, other in zip(series.column("p", begin, end), plain.column("p", begin, end), strict=True):
            assert np.array_equal(one, other)
        for one, other in zip(series.drawn("p", begin, end, 90), plain.drawn("p", begin, end, 90), strict=True):
            assert np.array_equal(one, other)
    assert series.end == times[-1]
    assert series.column("p", 0.0, 1e9)[1].tolist() == values


@settings(max_examples=60, deadline=None)
@given(st.floats(-5, 130), st.floats(-5, 130))
def test_mean_is_the_integral_by_the_length(one: float, other: float) -> None:
    series, times, rows = SHARED
    begin, end = max(min(one, other), times[0]), min(max(one, other), times[-1])
    found = series.mean("c1", one, other)
    if begin > end:
        assert math.isnan(found)
        return
    inner = (times > begin) & (times < end)
    stamps = np.concatenate(([begin], times[inner], [end]))
    values = np.interp(stamps, times, rows[:, 1])
    area = float(np.sum(np.diff(stamps) * (values[1:] + values[:-1])) / 2)
    assert found == pytest.approx(area / (end - begin) if end > begin else values[0], rel=1e-9, abs=1e-7)


def test_mean_of_a_step_counts_time_and_not_samples() -> None:
    series = TimeSeries(["p"])
    for stamp, value in ((0.0, 2.0), (1.0, 2.0), (1.0001, 10.0), (1.1, 10.0), (1.2, 10.0), (4.0001, 10.0)):
        series.push(stamp, [value])
    assert series.mean("p", 0.0, 4.0) == pytest.approx((1 * 2 + 3 * 10) / 4, abs=1e-3)  # by hand


def test_mean_after_a_cut_is_of_what_is_there_now() -> None:
    series = TimeSeries(["p"])
    for k in range(12_000):
        series.push(k / RATE, [1.0])
    assert series.mean("p", 0.0, 200.0) == 1.0
    for k in range(6_000, 12_000):
        series.push(k / RATE, [3.0])
    assert series.mean("p", 0.0, 11_999 / RATE) == pytest.approx(2.0, abs=1e-3)


def test_a_copy_and_its_original_go_separate_ways() -> None:
    series, times, rows = filled(9000)
    kept = series.copy()
    series.cut(float(times[2000]))
    for k in range(8000):
        series.push(float(times[2000]) + (k + 1) / RATE, [5.0, 5.0, 5.0])
    kept.push(float(times[-1]) + 1.0, [7.0, 7.0, 7.0])
    assert np.array_equal(kept.column("c0", 0.0, float(times[-1]))[1], rows[:, 0])
    assert kept.column("c0", float(times[-1]) + 0.5, 1e9)[1].tolist() == [7.0]
    assert np.array_equal(series.column("c0", 0.0, float(times[2000]))[1], rows[:2001, 0])
    assert set(series.column("c0", float(times[2000]) + 1e-6, 1e9)[1]) == {5.0}
    assert kept.drawn("c0", 0.0, 1e9, 100)[1].max() == max(rows[:, 0].max(), 7.0)


def test_a_wider_course_has_the_same_samples_and_nothing_where_nothing_was_measured() -> None:
    series, times, rows = filled(5000)
    wide = series.wider(["c2", "new", "c0"])
    wide.push(float(times[-1]) + 1.0, [1.0, 2.0, 3.0])
    assert wide.names == ("c2", "new", "c0")
    assert np.array_equal(wide.column("c2", 0.0, float(times[-1]))[1], rows[:, 2])
    assert np.isnan(wide.column("new", 0.0, float(times[-1]))[1]).all()
    assert wide.value("new", float(times[-1]) + 1.0) == 2.0
    assert np.nanmax(wide.drawn("new", 0.0, 1e9, 100)[1]) == 2.0
    assert wide.drawn("c0", 0.0, float(times[-1]), 100)[1].max() == rows[:, 0].max()
    assert series.names == ("c0", "c1", "c2")
    assert len(series) == 5000


def test_the_newest_are_kept_by_whole_blocks() -> None:
    series, times, rows = filled(30_000)
    series.keep_newest(10_000)
    first = int(np.searchsorted(times, series.begin))
    assert 20_000 - 4096 <= first <= 20_000
    assert len(series) == 30_000 - first
    assert series.at(float(times[first]) - 1e-3) is None
    stamps, values = series.column("c1", 0.0, 1e9)
    assert np.array_equal(stamps, times[first:])
    assert np.array_equal(values, rows[first:, 1])
    _, seen = series.drawn("c1", 0.0, 1e9, 200)
    assert (seen.min(), seen.max()) == (rows[first:, 1].min(), rows[first:, 1].max())
    series.cut(0.0)
    assert len(series) == 0
    series.push(1.0, [1.0, 2.0, 3.0])
    assert (series.begin, series.end, len(series)) == (1.0, 1.0, 1)


@pytest.mark.soak
def test_an_hour_costs_what_half_a_minute_costs() -> None:
    series = TimeSeries(["p", "q"])
    for k in range(216_000):
        series.push(k / RATE, [math.sin(k / 40), k % 977])
    end, points, lines, seconds = series.end, [], [], []
    for span in (30.0, 300.0, 3600.0):
        points.append(len(series.drawn("q", end - span, end)[0]))
        lines.append(lines_of_python(partial(series.drawn, "q", end - span, end)))
        begun = time.perf_counter()
        for _ in range(200):
            series.drawn("q", end - span, end)
        seconds.append((time.perf_counter() - begun) / 200)
    print(f"drawn: points {points}, lines of Python {lines}, {[f'{1e6 * s:.0f} µs' for s in seconds]}")
    assert max(points) <= 800
    assert max(lines) <= 2.5 * lines[0]
    assert max(lines) < 900


SHARED = filled(7000)


def test_between_samples_too_far_apart_is_a_gap() -> None:
    """y = t from 0 s to 10 s and from 20 s to 30 s, ten samples a second: nothing is known in between."""
    series = TimeSeries(["y"], 0.15)
    for t in [*np.arange(0, 10.05, 0.1), *np.arange(20, 30.05, 0.1)]:
        series.push(float(t), [t])
    assert series.gaps(0.0, 30.0) == [pytest.approx((10.0, 20.0))]
    assert series.gaps(0.0, 9.0) == series.gaps(21.0, 30.0) == []
    assert math.isnan(series.value("y", 15.0))
    assert series.value("y", 5.05) == pytest.approx(5.05)
    assert series.mean("y", 0.0, 30.0) == pytest.approx((5.0 * 10 + 25.0 * 10) / 20)  # 10 s of each, by hand
    assert series.mean("y", 8.0, 25.0) == pytest.approx((9.0 * 2 + 22.5 * 5) / 7)
    for most in (16, 64, 1000):
        times, values = series.drawn("y", 0.0, 30.0, most)
        assert not ((times > 10.001) & (times < 19.999)).any()
        at = np.flatnonzero(np.isnan(values))
        assert times[at] == pytest.approx([10.0, 20.0])
        assert len(times) <= most + 4
    kept = series.copy()
    series.cut(12.0)
    assert series.gaps(0.0, 30.0) == []
    assert len(kept.gaps(0.0, 30.0)) == 1
