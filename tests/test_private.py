"""What is left in folders of this user alone: there whole all the time, and only as it was left."""

from __future__ import annotations

import hashlib
import itertools
import os
from pathlib import Path

import pytest

from trainer import private

PAIRS = [(b"the same", b"the same"), (b"of one", b"of the other"), (b"", b"of the other")]


@pytest.mark.parametrize(("one", "other"), PAIRS)
def test_programs_that_write_at_once(one: bytes, other: bytes, tmp_path: Path) -> None:
    """Wherever one is when another writes all of its own under the same name, there is one of both, whole."""
    for strokes in itertools.count():
        path = tmp_path / str(strokes) / "a.built"
        private.keep(path, one, most=3)
        found, interrupted = while_interrupted(path, one, other, strokes)
        assert {*found, private.read(path)} <= {one, other}
        if not interrupted:
            break
    assert strokes > 0


def while_interrupted(path: Path, one: bytes, other: bytes, strokes: int) -> tuple[list[bytes | None], bool]:
    """Return what is read around each stroke of a program that writes, and whether there was a stroke of a number.

    After that another one writes.
    """
    found, left, put = list[bytes | None](), [strokes], os.replace

    def stroke(source: str, place: str) -> None:
        found.append(private.read(path))
        put(source, place)
        found.append(private.read(path))
        left[0] -= 1
        if left[0] == -1:
            private.keep(path, other, most=3)
            found.append(private.read(path))

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(os, "replace", stroke)
        private.keep(path, one, most=3)
    return found, left[0] < 0


def test_a_place_that_is_taken_in_the_meantime(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What another program leaves just after one has seen that nothing was there is not taken away again."""
    path = private.require(tmp_path / "kept") / "a.built"
    there, put, found = os.path.lexists, os.replace, list[bytes | None]()

    def lexists(place: Path) -> bool:
        was = there(place)
        with monkeypatch.context() as patch:
            patch.setattr(os.path, "lexists", there)
            private.write(path, b"of the other")
        return was

    def stroke(source: str, place: str) -> None:
        found.append(private.read(path))
        put(source, place)

    monkeypatch.setattr(os.path, "lexists", lexists)
    monkeypatch.setattr(os, "replace", stroke)
    private.write(path, b"of one")
    assert found == [None, b"of the other"]
    assert private.read(path) == b"of one"


def test_what_an_earlier_version_left_is_still_there(tmp_path: Path) -> None:
    """It had the checksum in a file beside, which goes with it."""
    path = private.require(tmp_path / "kept") / "1-E1-x.trace"
    path.write_bytes(b"the best one's traces")
    beside = path.with_suffix(".sha256")
    beside.write_text(hashlib.sha256(b"the best one's traces").hexdigest())
    assert private.read(path) == b"the best one's traces"
    beside.write_text(hashlib.sha256(b"another one's traces").hexdigest())
    assert private.read(path) is None
    private.remove(path)
    assert not [*path.parent.iterdir()]
