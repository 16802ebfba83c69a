"""Reading a rig for the window: a session, or the error that says all that is wrong; never anything else."""

from __future__ import annotations

from pathlib import Path

from trainer import rig_file
from trainer.engine.session import Session
from trainer.errors import SpoolroomError

__all__ = ["session_of"]


def session_of(path: Path) -> Session:
    """Return a session of the rig in a file at its settled start.

    Raises SpoolroomError with every fault found; what nobody foresaw is told as one, too.
    """
    try:
        return Session(rig_file.load(path))
    except SpoolroomError:
        raise
    except OSError as error:
        raise SpoolroomError(f"{path.name} cannot be read: {error.strerror or error}.") from error
    except Exception as error:
        raise SpoolroomError(
            f"{path.name} cannot be built: {type(error).__name__}: {error}. Compare it with a shipped rig."
        ) from error
