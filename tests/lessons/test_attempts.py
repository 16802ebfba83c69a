"""Attempts are kept: each in one stroke, whatever a crash has left is put aside, and none before it is lost."""

from __future__ import annotations

import os
from datetime import UTC, datetime
from pathlib import Path

import pytest
from bench_lessons import opener, the_lesson

from trainer.lessons.attempts import AttemptFile, attempt_of
from trainer.lessons.flow import Task
from trainer.lessons.posing import RIGHT

WHEN = datetime(2024, 3, 1, 9, 30, tzinfo=UTC)


@pytest.fixture(scope="module")
def done() -> Task:
    task = Task(opener().open(the_lesson(), "lift", 7))
    task.hint()
    task.commit("S1", RIGHT, 31.4)
    task.ran()
    task.saw("down")
    return task


def test_all_of_an_attempt_is_kept(tmp_path: Path, done: Task) -> None:
    book = AttemptFile(tmp_path / "new" / "attempts.jsonl")
    book.add(attempt_of(done, WHEN))
    (found,) = AttemptFile(book.path).all()
    assert found == attempt_of(done, WHEN)
    assert (found.when, found.seat, found.exercise, found.hints) == (WHEN, 7, "lift", 1)
    assert (found.right, found.reasoned, found.slip, found.seconds) == (False, True, "S1", 31.4)
    assert (found.seen, found.did) == ("down", "up")
    assert found.numbers == dict(done.posed.numbers)


@pytest.mark.parametrize("left", [1, 30, -2], ids=["one letter", "half", "all but the end"])
def test_what_a_crash_left_is_put_aside_and_told(tmp_path: Path, done: Task, left: int) -> None:
    book = AttemptFile(tmp_path / "attempts.jsonl")
    book.add(attempt_of(done, WHEN))
    whole = book.path.read_bytes()
    book.path.write_bytes(whole + whole[:left])
    again = AttemptFile(book.path)
    again.add(attempt_of(done, WHEN))
    assert again.path.read_bytes() == whole + whole
    assert "was not written to its end" in again.notices[0]
    assert (tmp_path / "attempts.jsonl.damaged").read_bytes() == whole[:left] + b"\n"


def test_a_last_line_that_is_whole_but_for_its_end_is_kept(tmp_path: Path, done: Task) -> None:
    book = AttemptFile(tmp_path / "attempts.jsonl")
    book.add(attempt_of(done, WHEN))
    book.path.write_bytes(book.path.read_bytes().rstrip(b"\n"))
    again = AttemptFile(book.path)
    again.add(attempt_of(done, WHEN))
    assert len([*again.all()]) == 2
    assert again.notices == []


def test_a_damaged_line_between_is_passed_over_and_told(tmp_path: Path, done: Task) -> None:
    book = AttemptFile(tmp_path / "attempts.jsonl")
    book.add(attempt_of(done, WHEN))
    book.path.write_bytes(book.path.read_bytes() + b"{ no line\n\xff\xfe\n" + book.path.read_bytes())
    again = AttemptFile(book.path)
    assert len([*again.all()]) == 2
    assert "2 lines cannot be read" in again.notices[0]


def test_none_are_there_at_first(tmp_path: Path) -> None:
    assert [*AttemptFile(tmp_path / "attempts.jsonl").all()] == []


def test_what_cannot_be_kept_is_an_error(tmp_path: Path, done: Task) -> None:
    (tmp_path / "file").write_text("no folder", "utf-8")
    with pytest.raises(OSError, match="file"):
        AttemptFile(tmp_path / "file" / "attempts.jsonl").add(attempt_of(done, WHEN))


@pytest.mark.skipif(os.name != "posix", reason="only there files say who may read them")
def test_only_their_owner_reads_them(tmp_path: Path, done: Task) -> None:
    book = AttemptFile(tmp_path / "own" / "attempts.jsonl")
    book.add(attempt_of(done, WHEN))
    assert book.path.stat().st_mode & 0o077 == 0
