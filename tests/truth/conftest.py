"""The table of the truth tests: with -v it closes the run."""

from __future__ import annotations

import pytest

from .printed import ROWS


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter, config: pytest.Config) -> None:
    """Print what was found beside what is printed."""
    if ROWS and config.get_verbosity() > 0:
        terminalreporter.section("found and printed")
        for row in sorted(ROWS, key=lambda row: row.id):
            terminalreporter.write_line(str(row))
