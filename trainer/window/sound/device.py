"""A device that plays: what is made for it waits in a queue of its own, so that no picture waits for a sound."""

from __future__ import annotations

import ctypes

from trainer.language import tr
from trainer.operating.sdl import ExtraMissing, load
from trainer.sounding.hearing import Heard
from trainer.sounding.synthesis import RATE, Synthesiser

__all__ = ["Device"]

_AHEAD = round(0.07 * RATE)  # samples that wait, as many as a few slow frames take
_BUFFER = 512  # samples that the device takes at once
_BYTES = 4  # of a sample


class Device:
    """The device that this computer plays by. Raises ExtraMissing where there is none, or nothing to play with.

    ``played`` counts the samples that were given to it.
    """

    def __init__(self) -> None:
        self._sdl = sdl = load("sound")
        if sdl.SDL_InitSubSystem(sdl.SDL_INIT_AUDIO):
            raise ExtraMissing(self._why())
        wanted = sdl.SDL_AudioSpec(RATE, sdl.AUDIO_F32SYS, 1, _BUFFER)
        self._device = sdl.SDL_OpenAudioDevice(None, 0, ctypes.byref(wanted), None, 0)
        if not self._device:
            why = self._why()
            sdl.SDL_QuitSubSystem(sdl.SDL_INIT_AUDIO)
            raise ExtraMissing(why)
        self._made = Synthesiser()
        self.played = 0
        sdl.SDL_PauseAudioDevice(self._device, 0)

    def _why(self) -> str:
        why = bytes(self._sdl.SDL_GetError()).decode("utf-8", "replace").rstrip(".")
        return tr("Sound cannot be played here: {why}.").format(why=why or tr("there is no device"))

    def feed(self, heard: Heard) -> None:
        """Give it as much as it lacks of what is heard now. Raises ExtraMissing where the device has gone."""
        sdl = self._sdl
        if sdl.SDL_GetAudioDeviceStatus(self._device) == sdl.SDL_AUDIO_STOPPED:
            raise ExtraMissing(self._why())
        waits = int(sdl.SDL_GetQueuedAudioSize(self._device)) // _BYTES
        if not waits:
            self._made.fade_in()
        lacks = _AHEAD - waits
        if lacks <= 0:
            return
        block = self._made.block(heard, lacks)
        if sdl.SDL_QueueAudio(self._device, block.tobytes(), block.nbytes):
            raise ExtraMissing(self._why())
        self.played += lacks

    @property
    def silent(self) -> bool:
        """Whether what was given last ends in silence."""
        return self._made.silent

    def close(self) -> None:
        """Give the device back."""
        self._sdl.SDL_CloseAudioDevice(self._device)
        self._sdl.SDL_QuitSubSystem(self._sdl.SDL_INIT_AUDIO)
