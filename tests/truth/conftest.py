"""What a truth test found goes with its report, whichever process ran it; the table closes the run."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from .printed import ROWS


@pytest.fixture(autouse=True)
def rows_with_the_report(request: pytest.FixtureRequest) -> Iterator[None]:
    """Hand the rows that a test compared to its report."""
    ROWS.clear()
    yield
    request.node.user_properties += [("found and printed", str(row)) for row in ROWS]
