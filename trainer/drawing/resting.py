"""What of a drawing has looked the same for a while: a view keeps it with the pipes instead of painting it anew."""

from __future__ import annotations

from collections.abc import Hashable, Mapping

__all__ = ["AFTER", "Looks", "settled"]

AFTER = 15  # instants that something must have looked the same
Looks = Mapping[str, Hashable]  # by part: whatever differs where the part looks different


def settled(seen: dict[str, tuple[Hashable, int]], looks: Looks, awake: frozenset[str]) -> Looks:
    """Return the looks that have been the same for ``AFTER`` instants; ``seen`` counts them from one to the next.

    What is ``awake`` is never settled.
    """
    found: dict[str, Hashable] = {}
    for id_, look in looks.items():
        before, count = seen.get(id_, (None, 0))
        count = count + 1 if before == look and id_ not in awake else 0
        seen[id_] = (look, count)
        if count >= AFTER:
            found[id_] = look
    return found
