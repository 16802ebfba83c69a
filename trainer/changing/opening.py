"""The one way of opening a rig, for every verb and for the window: read, built at its start, drawn once.

What comes back can run and can be shown; everything else is an error that says all that is wrong.
"""

from __future__ import annotations

from pathlib import Path

from trainer.drawing.scene import Scene
from trainer.engine.kept import Kept
from trainer.engine.session import Session
from trainer.engine.solver import LIVE
from trainer.errors import SpoolroomError
from trainer.language import tr
from trainer.rig import file as rig_file
from trainer.rig.rig import Rig

__all__ = ["opened", "running", "session_of", "unforeseen"]


def session_of(path: Path, tolerance: float = LIVE, kept: Kept | None = None) -> Session:
    """Return a session of the rig in a file at its start; ``kept`` as for a session.

    Raises SpoolroomError with every fault found; what nobody foresaw is told as one, too.
    """
    try:
        return opened(rig_file.load(path), tolerance, kept)
    except SpoolroomError:
        raise
    except OSError as error:
        raise SpoolroomError(
            tr("{name} cannot be read: {strerror}.").format(name=path.name, strerror=error.strerror or error)
        ) from error
    except Exception as error:
        raise unforeseen(path.name, error) from error


def opened(rig: Rig, tolerance: float = LIVE, kept: Kept | None = None) -> Session:
    """Return a session of a rig that can run and be drawn; ``kept`` as for a session. Raises SpoolroomError."""
    session = running(rig, tolerance, kept)
    try:
        Scene(rig)
    except SpoolroomError:
        raise
    except Exception as error:
        raise unforeseen(rig.source or rig.title, error) from error
    return session


def running(rig: Rig, tolerance: float = LIVE, kept: Kept | None = None) -> Session:
    """Return a session of a rig that can run, for who draws it and sees then whether that can be.

    ``kept`` as for a session. Raises SpoolroomError.
    """
    try:
        return Session(rig, tolerance, kept=kept)
    except SpoolroomError:
        raise
    except Exception as error:
        raise unforeseen(rig.source or rig.title, error) from error


def unforeseen(name: str, error: Exception) -> SpoolroomError:
    """Return in words that a rig cannot be used for a reason that nobody foresaw."""
    return SpoolroomError(
        tr("{name} cannot be built: {name2}: {error}. Compare it with a shipped rig.").format(
            name=name, name2=type(error).__name__, error=error
        )
    )
