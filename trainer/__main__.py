"""``python -m trainer`` is the command ``spoolroom``."""

from __future__ import annotations

import sys

from trainer import garbage
from trainer.console import stop

__all__ = ["start"]


def start() -> int:
    """Run the command line and return its exit code; Ctrl-C is listened to before the rest is loaded."""
    with stop.listening():
        with garbage.unsought():
            from trainer.cli import main

        return main()


if __name__ == "__main__":
    sys.exit(start())
