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


@pytest.mark.soak
@pytest.mark.parametrize("rig", ["two-paths", "pilot-joystick"])
def test_a_rig_without_a_usual_lever_is_pictured_too(
    rig: str, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One has valves to turn by hand alone, the lever of the other is that of a pilot valve."""
    monkeypatch.setattr(gallery, "SIZES", ((1280, 720),))
    monkeypatch.setattr(gallery, "_THEMES", ("light",))
    screens = ["board", "question", "fit-steps", "runs"]
    assert gallery.make(tmp_path, [rig], screens) == 2 * len(screens)
    assert len({file.read_bytes() for file in tmp_path.iterdir()}) == 2 * len(screens), "each shows something else"
