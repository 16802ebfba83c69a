"""Pictures of every screen are made by one command, each different from the plain board."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtGui import QImage
from pytestqt.qtbot import QtBot

from trainer.errors import SpoolroomError
from trainer.window import gallery


@pytest.mark.soak
def test_a_screen_in_every_look_and_size(qtbot: QtBot, tmp_path: Path) -> None:
    assert gallery.make(tmp_path, ["one-spool-bench"], ["keys"]) == 12
    sizes = {QImage(str(file)).size().toTuple() for file in tmp_path.iterdir()}
    assert sizes == set(gallery.SIZES)
    assert len({file.read_bytes() for file in tmp_path.iterdir()}) >= 6  # the page of keys knows no units


@pytest.mark.soak
def test_an_unknown_screen_and_a_folder_that_is_a_file_are_told(qtbot: QtBot, tmp_path: Path) -> None:
    with pytest.raises(SpoolroomError, match=r"'bord' is no screen\. Write one of answers, beside, "):
        gallery.make(tmp_path / "a", ["one-spool-bench"], ["bord"])
    (tmp_path / "file").write_text("")
    with pytest.raises(SpoolroomError, match="cannot be written to"):
        gallery.make(tmp_path / "file" / "b")
