"""``python -m trainer`` is the command ``spoolroom``."""

from __future__ import annotations

import sys

from trainer.cli import main

if __name__ == "__main__":
    sys.exit(main())
