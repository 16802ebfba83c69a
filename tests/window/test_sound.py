"""Sound as it is switched, supplied and written; the library's own device takes it and plays it to nobody."""

from __future__ import annotations

from pathlib import Path

import pytest
from board_moves import MakeBoard, pass_time
from cases import shipped
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

pytest.importorskip("sdl2", reason="the extra is not installed", exc_type=ImportError)

from trainer.operating.sdl import ExtraMissing
from trainer.sounding.hearing import Heard
from trainer.window.shell.settings import recall
from trainer.window.shell.window import BoardWindow
from trainer.window.sound.device import Device
from trainer.window.sound.presenter import SoundPresenter


@pytest.fixture(autouse=True)
def nobody_hears(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SDL_AUDIODRIVER", "dummy")


@pytest.fixture
def loud(make_board: MakeBoard) -> BoardWindow:
    """The small rig at the end of its way: the relief is open."""
    window = make_board(shipped("drift"))
    window.run()
    name, lever = next(iter(window.rack.levers.items()))
    lever.motion.set_exactly(1.0)
    window.session.set_control(name, 1.0)
    window.session.advance(2.0, 0.1)
    pass_time(window, 0.3)
    return window


def notice(window: BoardWindow) -> str:
    return str(window.snapshot()["notice"])


def test_sound_is_off_at_first_and_its_words_are_there_all_the_same(loud: BoardWindow) -> None:
    sound = loud.presenter(SoundPresenter)
    assert not sound.on
    assert "relief hisses" in sound.caption
    assert "hisses" not in notice(loud)


def test_alt_s_switches_it_and_the_next_start_remembers(loud: BoardWindow, qtbot: QtBot, tmp_path: Path) -> None:
    sound = loud.presenter(SoundPresenter)
    qtbot.keyClick(loud, Qt.Key.Key_S, Qt.KeyboardModifier.AltModifier)
    assert sound.on
    assert sound.device is not None
    sound.supply()
    assert sound.device.played > 1000
    assert not sound.device.silent
    loud.stage.say(7.0)  # the message has been read
    pass_time(loud, 0.3)
    assert "relief hisses" in notice(loud)
    loud.run(False)
    loud.print_figures()
    assert "hisses" not in notice(loud)
    loud.close()
    assert not sound.on
    assert recall(tmp_path / "window.ini").remembered.sound


def test_a_frozen_machine_falls_silent(loud: BoardWindow, monkeypatch: pytest.MonkeyPatch) -> None:
    sound = loud.presenter(SoundPresenter)
    sound.change()
    given: list[Heard] = []
    assert sound.device is not None
    sound._supply.stop()
    feed = sound.device.feed
    monkeypatch.setattr(sound.device._sdl, "SDL_GetQueuedAudioSize", lambda device: 0)  # it plays on

    def watched(heard: Heard) -> None:
        given.append(heard)
        feed(heard)

    monkeypatch.setattr(sound.device, "feed", watched)
    sound.supply()
    assert given[-1].hiss > 0.5
    loud.run(False)
    for _ in range(5):
        sound.supply()
    assert given[1:] == [Heard()]  # once, to let it die away
    sound.change()


def test_a_device_that_is_not_there_or_fails_is_one_line_and_nothing_dies(
    loud: BoardWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    sound = loud.presenter(SoundPresenter)
    with monkeypatch.context() as patch:
        patch.setenv("SDL_AUDIODRIVER", "none such")
        sound.change()
    assert not sound.on
    assert notice(loud).startswith("Sound cannot be played here: ")
    assert "\n" not in notice(loud)
    sound.change()
    assert sound.on
    assert sound.device is not None
    monkeypatch.setattr(sound.device._sdl, "SDL_GetAudioDeviceStatus", lambda device: 0)  # unplugged
    sound.supply()
    assert not sound.on
    assert notice(loud).startswith("Sound cannot be played here: ")
    pass_time(loud, 0.1)

    def missing() -> Device:
        raise ExtraMissing("This needs one more package.")

    sound.change(missing)
    assert notice(loud) == "This needs one more package."
