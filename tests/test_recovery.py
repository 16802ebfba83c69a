"""What a crash must not take: kept, read back with care, taken up again at the very instant."""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from cases import first

from trainer.changing import recovery
from trainer.changing.changes import Changes, Step
from trainer.changing.recovery import CallLines, UnsavedRun, found, pack, read, set_aside, take_up, texts_kept
from trainer.engine.session import FRAME, Session
from trainer.errors import SpoolroomError
from trainer.rig import file as rig_file
from trainer.rig.rig import Rig
from trainer.units import System

BAR = 1e5


def still() -> float:
    """A clock on which nothing takes time."""
    return 0.0


def pass_frames(changes: Changes, lines: CallLines, count: int) -> None:
    for _ in range(count):
        changes.session.advance(FRAME)

        lines.follow(changes.session)


def unsaved_run_of(changes: Changes, lines: CallLines) -> UnsavedRun:
    session = changes.session
    run = (*session.rig.controls(), *(name for name, about in changes.known.items() if about.run))
    controls = {name: session.asked(name) for name in run}
    return UnsavedRun(
        "12:31",
        changes.original,
        session.rig,
        changes.changed_rig(),
        session.time,
        controls,
        ((0.5, "A"),),
        lines.lines(),
        numbers=session.record.numbers,
        done=tuple(changes.done),
        undone=tuple(changes.undone),
        loose=tuple(sorted(changes.loose)),
    )


def shown(changes: Changes, name: str) -> float:
    """Return a number as it is at the instant that is shown."""
    return float(changes.session.pu[changes.session.network.pu_index[name]])


def lift(bench: Rig) -> tuple[Changes, CallLines]:
    """Lift the weight with two changes on the way, rewind a little, and go on otherwise."""
    changes, lines = Changes(Session(bench)), CallLines()
    changes.session.set_control("1V1.lever", 0.7)
    pass_frames(changes, lines, 40)
    changes.set("0V1.setting", 40 * BAR)
    changes.hook("1W1.mass", 300.0)
    pass_frames(changes, lines, 60)
    changes.session.rewind(1.2)
    lines.follow(changes.session)
    changes.session.set_control("1V1.lever", -0.4)
    pass_frames(changes, lines, 50)
    return changes, lines


def test_what_was_kept_is_read_back(bench: Rig, tmp_path: Path) -> None:
    changes, lines = lift(bench)
    unsaved = unsaved_run_of(changes, lines)
    file = tmp_path / f"a{recovery.SUFFIX}"
    file.write_text(pack(unsaved, texts_kept()), "utf-8")
    again = read(file)
    assert again == unsaved
    assert [d.words(System.METRIC) for d in again.differences()] == [
        "Relief valve 0V1: pressure at rated flow 50 → 40 bar",
    ]
    assert again.controls["1W1.mass"] == 300.0
    assert len(again.calls()) == changes.session.place


def test_taken_up_at_the_very_instant(bench: Rig, tmp_path: Path) -> None:
    """Bit for bit: states, parameters, controls, totals and time; and the past can be rewound."""
    changes, lines = lift(bench)
    file = tmp_path / f"a{recovery.SUFFIX}"
    file.write_text(pack(unsaved_run_of(changes, lines)), "utf-8")
    taken, exact = take_up(read(file), still)
    assert exact
    one, other = changes.session, taken.session
    assert other.time == one.time
    for before, after in ((one.x, other.x), (one.pu, other.pu), (one.totals, other.totals)):
        assert np.array_equal(before, after)
    assert other.temperature == one.temperature
    assert not other.running
    assert taken.original == bench
    other.rewind(0.5)
    assert shown(taken, "0V1.setting") == 50 * BAR
    assert taken.value("0V1.setting") == 40 * BAR


def test_taken_up_at_a_rewound_instant_with_all_that_came_after(bench: Rig, tmp_path: Path) -> None:
    """What a recovery file holds of the run is no matter of where the time line stands."""
    changes, lines = lift(bench)
    before, end = unsaved_run_of(changes, lines), changes.session.time
    changes.session.rewind(0.5)
    lines.follow(changes.session)
    kept = unsaved_run_of(changes, lines)
    assert (kept.changed, kept.lines, kept.done) == (before.changed, before.lines, before.done)
    file = tmp_path / f"a{recovery.SUFFIX}"
    file.write_text(pack(kept), "utf-8")
    taken, exact = take_up(read(file), still)
    assert exact
    assert taken.session.time == changes.session.time
    assert np.array_equal(taken.session.x, changes.session.x)
    assert taken.then(System.METRIC) == changes.then(System.METRIC) == ["0V1 was 50 bar then; it is 40 bar now"]
    taken.session.rewind(end)
    changes.session.rewind(end)
    assert taken.session.time == end
    assert np.array_equal(taken.session.x, changes.session.x)


@pytest.mark.soak
def test_steps_and_loose_nuts_are_kept(bench: Rig, tmp_path: Path) -> None:
    changes, lines = lift(bench)
    changes.set("0V1.override", 0.2)
    changes.set("1V1.port_reliefs", "both")
    changes.as_in_file()
    changes.undo()
    changes.loose.add("0V1.setting")
    file = tmp_path / f"a{recovery.SUFFIX}"
    file.write_text(pack(unsaved_run_of(changes, lines)), "utf-8")
    taken, _ = take_up(read(file), still)
    assert (taken.done, taken.undone, taken.loose) == (changes.done, changes.undone, changes.loose)
    assert taken.redo() is not None
    assert taken.changed_rig() == bench
    for _ in range(4):
        taken.undo()
    assert taken.changed_rig() == bench
    assert taken.undo() is None


def test_steps_of_nonsense_are_left_out(bench: Rig, tmp_path: Path) -> None:
    changes, lines = lift(bench)
    good = pack(unsaved_run_of(changes, lines))
    head, _, rest = good.partition("\n")
    table, file = json.loads(head), tmp_path / f"a{recovery.SUFFIX}"
    for bad in (None, [1], ["9V9.setting", 1.0, 2.0, [], ""], ["0V1.setting", 1e99, 2e6, [], ""], "much"):
        done = [*table["done"], bad, ["0V1.override", 0.1, 0.2, [], ""]]
        file.write_text(json.dumps({**table, "done": done}) + "\n" + rest, "utf-8")
        assert read(file).done == (Step("0V1.override", 0.1, 0.2),)


def test_a_run_from_a_start_with_other_numbers_is_repeated_from_there(bench: Rig, tmp_path: Path) -> None:
    changes, lines = lift(bench)
    changes.set("0P1.slip", 3e-9)
    changes.set("1W1.mass@start", 300.0)
    changes.session.reset()
    changes.session.set_control("1V1.lever", 0.7)
    pass_frames(changes, lines, 70)
    file = tmp_path / f"a{recovery.SUFFIX}"
    file.write_text(pack(unsaved_run_of(changes, lines)), "utf-8")
    taken, exact = take_up(read(file), still)
    assert exact
    assert np.array_equal(taken.session.x, changes.session.x)
    assert taken.changed_rig() == changes.changed_rig()


def test_a_load_on_its_way_arrives(bench: Rig) -> None:
    changes, lines = lift(bench)
    changes.hook("1W1.mass", 500.0)
    pass_frames(changes, lines, 5)
    taken, exact = take_up(unsaved_run_of(changes, lines), still)
    assert exact
    assert shown(taken, "1W1.mass") == shown(changes, "1W1.mass") < 400.0
    assert taken.value("1W1.mass") == 500.0
    pass_frames(taken, lines, 20)
    assert shown(taken, "1W1.mass") == 500.0


def test_what_was_changed_while_frozen_is_kept_too(bench: Rig) -> None:
    changes, lines = lift(bench)
    changes.set("0V1.setting", 35 * BAR)
    changes.set("oil.temperature", 5.0)
    changes.session.set_control("0M1.speed_asked", 3.0)
    taken, exact = take_up(unsaved_run_of(changes, lines), still)
    assert exact
    assert taken.value("0V1.setting") == 35 * BAR
    assert taken.value("oil.temperature") == 5.0
    assert taken.session.control("0M1.speed_asked") == 3.0
    assert taken.changed_rig() == changes.changed_rig()


def test_a_rig_built_anew_is_taken_up_as_built(bench: Rig) -> None:
    changes, lines = Changes(Session(bench)), CallLines()
    changes.set("1A1.bore", 0.050)
    pass_frames(changes, lines, 20)
    taken, exact = take_up(unsaved_run_of(changes, lines), still)
    assert exact
    assert np.array_equal(taken.session.x, changes.session.x)
    assert [d.name for d in taken.different()] == ["1A1.bore"]


def test_what_takes_too_long_begins_at_the_start(bench: Rig) -> None:
    changes, lines = lift(bench)
    changes.session.set_control("0M1.speed_asked", 3.0)
    times = iter([0.0, 0.8 * recovery.PATIENCE])  # for sixty calls of more than a hundred
    taken, exact = take_up(unsaved_run_of(changes, lines), lambda: next(times))
    assert not exact
    assert taken.session.time == 0.0
    assert taken.session.control("1V1.lever") == 0.0  # a lever springs back
    assert taken.session.control("0M1.speed_asked") == 3.0  # a setting stays
    assert taken.changed_rig() == changes.changed_rig()


def test_a_record_that_does_not_fit_begins_at_the_start(bench: Rig) -> None:
    changes, lines = lift(bench)
    unsaved = unsaved_run_of(changes, lines)
    bad = json.dumps([FRAME, None, [["9V9.setting", 1.0]]])
    taken, exact = take_up(replace(unsaved, lines=(*unsaved.lines, bad)), still)
    assert not exact
    assert taken.value("0V1.setting") == 40 * BAR


def test_too_many_calls_are_not_kept(bench: Rig, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(recovery, "MOST_CALLS", 50)
    changes, lines = Changes(Session(bench)), CallLines()
    pass_frames(changes, lines, 50)
    assert len(lines.lines()) == 50
    pass_frames(changes, lines, 1)
    assert lines.lines() == ()
    changes.session.rewind(0.5)
    lines.follow(changes.session)
    assert lines.lines() == ()
    pass_frames(changes, lines, 1)
    assert len(lines.lines()) == 31
    changes.session.reset()
    lines.follow(changes.session)
    assert lines.lines() == ()


def broken_files(good: str) -> dict[str, str]:
    head, _, rest = good.partition("\n")
    table = json.loads(head)

    def with_(**entries: object) -> str:
        return json.dumps({**table, **entries}) + "\n" + rest

    return {
        "empty": "",
        "half": good[: len(head) // 2],
        "no object": "[1, 2]\n",
        "another format": with_(format=2),
        "no rig": with_(changed="format = 1"),
        "a rig of nonsense": with_(original="[[[["),
        "no time": with_(time="soon"),
        "time without end": with_(time=float("nan")),
        "controls of words": with_(controls={"1V1.lever": "up"}),
        "marks of nothing": with_(marks=[1, 2]),
        "nested without end": "[" * 100_000,
        "a number without end": '{"format": ' + "1" * 10_000 + "}\n",
    }


@pytest.mark.parametrize("name", [*broken_files('{"format": 1}\n')])
def test_a_broken_file_is_told_and_set_aside(bench: Rig, tmp_path: Path, name: str) -> None:
    changes, lines = Changes(Session(bench)), CallLines()
    pass_frames(changes, lines, 3)
    file = tmp_path / f"a{recovery.SUFFIX}"
    file.write_text(broken_files(pack(unsaved_run_of(changes, lines)))[name], "utf-8")
    with pytest.raises(SpoolroomError, match=r"the recovery file a\.rescue cannot be used \(.+\)"):
        read(file)
    aside = set_aside(file)
    assert found(tmp_path) == []
    assert aside.exists()  # nothing is deleted


@pytest.mark.parametrize(
    "damage", first(2, ['[0.016,null,[["0V1.se', "\xff\0", "much", "[1e9,null,null]", "[0.01,[1.0],null]"])
)
def test_a_damaged_end_gives_back_what_is_whole(bench: Rig, tmp_path: Path, damage: str) -> None:
    """The end of the run is lost and told, the changes of the rig are not."""
    changes, lines = lift(bench)
    file = tmp_path / f"a{recovery.SUFFIX}"
    head, *calls = pack(unsaved_run_of(changes, lines)).splitlines()
    for end in (f"{damage}\n", damage):
        file.write_text("\n".join((head, *calls[:-6], end)), "utf-8")
        again = read(file)
        assert again.lines == tuple(calls[:-6])
        assert again.lost == pytest.approx(6 * FRAME)
        taken, exact = take_up(again, still)
        assert exact
        assert taken.session.time == pytest.approx(changes.session.time - 6 * FRAME)
        assert taken.changed_rig() == changes.changed_rig()
    file.write_text("\n".join((head, *calls, damage)), "utf-8")
    assert read(file) == unsaved_run_of(changes, lines)


def test_a_file_too_large_or_of_bytes_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / f"a{recovery.SUFFIX}"
    file.write_bytes(b"\xff\xfe\x00" * 10)
    with pytest.raises(SpoolroomError, match="cannot be used"):
        read(file)
    monkeypatch.setattr(recovery, "_LARGEST", 20)
    file.write_text('{"format": 1, "when": "now"}')
    with pytest.raises(SpoolroomError, match="too large"):
        read(file)
    with pytest.raises(SpoolroomError, match="cannot be used"):
        read(tmp_path / "none.rescue")


def test_the_newest_comes_first(tmp_path: Path) -> None:
    for k, name in enumerate(("old", "new", "middle")):
        file = tmp_path / f"{name}{recovery.SUFFIX}"
        file.write_text("x")
        os.utime(file, (0, {0: 100, 1: 300, 2: 200}[k]))
    (tmp_path / "other.txt").write_text("x")
    assert [path.stem for path in found(tmp_path)] == ["new", "middle", "old"]
    assert found(tmp_path / "none") == []


@pytest.mark.skipif(os.name != "posix", reason="pipes of POSIX")
def test_what_is_no_file_is_passed_over(tmp_path: Path) -> None:
    (tmp_path / "folder.rescue").mkdir()
    os.mkfifo(tmp_path / "pipe.rescue")
    assert found(tmp_path) == []
    assert recovery.passed_over(tmp_path) == ["folder.rescue", "pipe.rescue"]
    with pytest.raises(SpoolroomError, match=r"cannot be used \(it is no ordinary file\)"):
        read(tmp_path / "pipe.rescue")


def test_texts_of_rigs_are_made_once(bench: Rig) -> None:
    text: Callable[[Rig], str] = texts_kept()
    assert text(bench) is text(bench)
    assert text(bench) == rig_file.dump(bench)
