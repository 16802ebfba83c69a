"""All lessons there are: those of an instructor's folder beside the shipped ones, faults told and never hidden."""

from __future__ import annotations

import csv
import io
import os
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from bench_lessons import LIFT, shipped

from trainer import resources
from trainer.lessons import answers
from trainer.lessons import file as lesson_file
from trainer.lessons.attempts import Attempt, AttemptFile
from trainer.lessons.lesson import Lesson
from trainer.lessons.readiness import next_task, progress
from trainer.lessons.shelf import Shelf, own_folder, shelf
from trainer.window.lessons_list.words import note, why_next

WHEN = datetime(2024, 3, 1, 9, 0, tzinfo=UTC)


@pytest.fixture(autouse=True)
def shipped_ones_are_read_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Give each shelf the shipped lessons as they were read before; all other files are read."""
    known, load = {path: shipped()[name] for name, path in resources.lessons().items()}, lesson_file.load

    def quick(path: Path) -> Lesson:
        return known[path] if path in known else load(path)

    monkeypatch.setattr(lesson_file, "load", quick)


def kinds(found: Shelf) -> dict[str, list[str]]:
    return {one.path.name: [fault.kind for fault in one.error.faults] for one in found.faulty}


def test_the_shipped_ones_are_there_and_sound() -> None:
    found = shelf(None)
    assert [lesson.id for lesson in found.lessons] == [*resources.lessons()]
    assert not found.own
    assert not found.faulty
    assert {id_ for lesson in found.lessons for id_ in lesson.outcomes} <= found.outcomes.keys()


def test_the_own_folder_lies_beside_the_attempts(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    assert own_folder() == tmp_path / "spoolroom" / "lessons"
    assert not own_folder().exists()


def test_own_lessons_codes_and_files_with_faults(tmp_path: Path) -> None:
    """Rigs beside them are no lessons; a shipped lesson's name would mix up the answers."""
    (tmp_path / "yard.toml").write_text(LIFT, "utf-8")
    (tmp_path / "broken.toml").write_text(LIFT.replace('"one-spool-bench"', '"no-such-rig"') + "[[[", "utf-8")
    (tmp_path / "empty.toml").write_text("", "utf-8")
    (tmp_path / "odd.toml").write_bytes(b"[exercises\xff\xfe")
    (tmp_path / "01-five-minutes-at-the-bench.toml").write_text(LIFT, "utf-8")
    (tmp_path / "rig.toml").write_text(resources.path("rigs/one-spool-bench.toml").read_text("utf-8"), "utf-8")
    (tmp_path / "notes.txt").write_text("no lesson", "utf-8")
    (tmp_path / "outcomes.toml").write_text('format = 1\n[outcomes]\nO4 = { code = "K7" }\n', "utf-8")
    found = shelf(tmp_path)
    assert found.own == {"yard"}
    assert found.outcomes["O4"].code == "K7"
    assert kinds(found).keys() == {
        "broken.toml", "empty.toml", "odd.toml", "01-five-minutes-at-the-bench.toml"
    }  # fmt: skip
    assert kinds(found)["01-five-minutes-at-the-bench.toml"] == ["same name"]
    assert len(found.lessons) == len(resources.lessons()) + 1
    (tmp_path / "outcomes.toml").write_text("[[[", "utf-8")
    assert "outcomes.toml" in kinds(shelf(tmp_path))
    assert shelf(tmp_path).outcomes["O4"].code == ""


def test_a_folder_that_may_not_be_read_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refused(_: Path) -> Iterator[Path]:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "iterdir", refused)
    assert [*kinds(shelf(tmp_path)).values()] == [["no folder"]]
    assert "Permission denied" in str(shelf(tmp_path).faulty[0].error)


@pytest.mark.soak
def test_a_file_in_the_place_of_the_folder_is_told(tmp_path: Path) -> None:
    place = tmp_path / "lessons"
    place.write_text("", "utf-8")
    assert [*kinds(shelf(place)).values()] == [["no folder"]]


def tried(lesson: str, exercise: str, right: bool = True, seat: int = 3, **more: object) -> Attempt:
    return Attempt(WHEN, lesson, exercise, seat, 0, right=right, **more)  # type: ignore[arg-type] # what is given by name


@pytest.mark.soak
def test_how_far_a_seat_is_in_a_lesson() -> None:
    lesson = shelf(None).lessons[0]
    first, second, *_ = lesson.exercises
    new = progress([lesson], [], 3, WHEN)[0]
    assert (new.state, new.tried, new.due) == ("new", 0, None)
    assert new.minutes == sum(one.minutes for one in lesson.exercises.values())
    begun = progress([lesson], [tried(lesson.id, first)], 3, WHEN)[0]
    assert (begun.state, begun.tried, begun.depths[1]) == ("begun", 1, "begun")
    assert begun.next is not None
    assert begun.next.exercise == second
    assert begun.minutes == new.minutes - lesson.exercises[first].minutes
    assert begun.due is not None
    later = progress([lesson], [tried(lesson.id, first)], 3, begun.due)[0]
    assert (later.state, later.next and later.next.exercise) == ("due", first)
    assert progress([lesson], [tried(lesson.id, first, seat=4)], 3, WHEN)[0].state == "new"


def test_the_next_of_a_depth() -> None:
    lessons = shelf(None).lessons
    for depth in (1, 2, 3):
        found = next_task(lessons, [], 3, WHEN, depth)
        assert found is not None
        lesson = next(one for one in lessons if one.id == found.lesson)
        assert lesson.exercises[found.exercise].depth == depth


def test_the_table_of_answers_names_its_units_and_numbers() -> None:
    found = shelf(None)
    lesson = found.lessons[0]
    exercise = next(id_ for id_, one in lesson.exercises.items() if one.vary)
    name = lesson.exercises[exercise].vary[0].name
    attempts = [
        tried(lesson.id, exercise, False, numbers={name: 1.0}, slip="S1", seconds=12.4, answer="=1+1"),
        tried("gone", "gone", numbers={"1W1.mass": 255.0}, reason="own", reason_words="=my idea"),
    ]
    table = list(csv.DictReader(io.StringIO(answers.csv_text(attempts, found))))
    assert len(table) == 2
    row = next(row for row in table if row["lesson"] == lesson.title)
    assert row["time [s]"] == "12"
    assert row["answer"] == "'=1+1"  # no spreadsheet takes it for a formula
    assert row["right"] == "no"
    assert row["idea"] == found.idea("S1") != ""
    assert row["numbers"].startswith(f"{name} = ")
    assert "(SI)" not in row["numbers"]
    other = next(row for row in table if row["lesson"] == "gone")
    assert other["numbers"] == "1W1.mass = 255 (SI)"
    assert (other["reason"], other["reason right"]) == ("'=my idea", "to be judged")
    assert other["idea"] == "own words: =my idea"


def test_answers_of_a_seat_are_forgotten_and_no_others(tmp_path: Path) -> None:
    file = AttemptFile(tmp_path / "attempts.jsonl")
    assert file.forget(3) == 0
    for seat in (3, 4, 3):
        file.add(tried("a", "b", seat=seat))
    with file.path.open("ab") as out:
        out.write(b"no attempt\n")
    assert file.forget(3) == 2
    assert [one.seat for one in file.all()] == [4]
    assert b"no attempt\n" in file.path.read_bytes()


def test_what_cannot_be_deleted_is_all_there(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = AttemptFile(tmp_path / "attempts.jsonl")
    file.add(tried("a", "b"))

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space"):
        file.forget(3)
    assert len(list(file.all())) == 1


def test_a_lesson_that_is_begun_is_told_by_how_much_of_it_is_done() -> None:
    """The list says the same of it: it is no lesson that was not tried."""
    lesson = shelf(None).lessons[0]
    new = progress([lesson], [], 3, WHEN)[0]
    begun = progress([lesson], [tried(lesson.id, next(iter(lesson.exercises)))], 3, WHEN)[0]
    assert begun.next is not None
    assert new.next is not None
    assert why_next(new.next, new) == "not tried"
    assert why_next(begun.next, begun) == note(begun, WHEN) == f"1 of {len(lesson.exercises)} done"
