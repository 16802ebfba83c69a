"""Workings of what comes to a place and where it goes: the oil of a line."""

from __future__ import annotations

from trainer.formula import Term, Working
from trainer.language import tr
from trainer.parts.sheet import balance
from trainer.rig.names import port_name
from trainer.working.sheet import Sheet

__all__ = ["comes_in", "spread", "through"]


def _flows(at: Sheet, line: str) -> tuple[dict[tuple[str, str], float], float]:
    """Return what goes into each part on a line, what moves aside counted in, and what the line itself takes up."""
    now = at.now
    joins = now.network.lines[line].joins
    flows = {pair: now["enters", *pair] + now["swells", *pair] for pair in joins}
    if line in now.network.carrier:
        return flows, 0.0
    return flows, now["fills", line] - sum(now["swells", *pair] for pair in joins)


def through(at: Sheet, part: str, port: str) -> Working | None:
    """Return the flow into a part at a port as what comes into its line less what goes elsewhere."""
    line = at.line(part, port)
    flows, taken = _flows(at, line)
    found = flows.pop((part, port))
    terms = [
        at.term(f"q{k}", -flow, "flow", _port(at, *pair, flow < 0), (("flow", ".".join(pair)),))
        for k, (pair, flow) in enumerate(flows.items(), 1) if flow != 0
    ]  # fmt: skip
    terms.append(at.term("qs", -taken, "flow", tr("taken up by the line")))
    terms = _few(terms, found)
    if not terms or line in at.now.network.carrier:
        return None
    return balance(
        part,
        tr("Oil that comes to {part}").format(part=part),
        at.flow_at(part, port, found, "q", tr("comes to it")),
        terms,
    )


def _few(terms: list[Term], total: float) -> list[Term]:
    """Return terms of a flow without those that nobody would see."""
    least = 1e-4 * abs(total)
    return [term for term in terms if abs(term.value) >= least]


def _port(at: Sheet, id_: str, port: str, comes: bool) -> str:
    words = tr("from {part}, {port}") if comes else tr("to {part}, {port}")
    return words.format(part=at.called(id_), port=port_name(at.rig, id_, port))


def spread(at: Sheet, line: str) -> Working | None:
    """Return what comes into a line as the sum of where it goes."""
    flows, taken = _flows(at, line)
    comes, sources = comes_in(at, line)
    if comes < at.moves or line in at.now.network.carrier:
        return None
    terms = [
        at.term(f"q{k}", flow, "flow", _port(at, *pair, False), (("flow", ".".join(pair)),))
        for k, (pair, flow) in enumerate(flows.items(), 1) if flow > 0
    ]  # fmt: skip
    kept = _few([*terms, at.term("qs", taken, "flow", tr("taken up by oil and hose"))], comes)
    source = (
        _port(at, *sources[0], True)
        if len(sources) == 1
        else tr("comes in from {count} sides").format(count=len(sources))
    )
    result = at.term("q", comes, "flow", source, tuple(("flow", ".".join(pair)) for pair in sources))
    return balance(line, tr("Where its oil goes"), result, kept) if kept else None


def comes_in(at: Sheet, line: str) -> tuple[float, tuple[tuple[str, str], ...]]:
    """Return how much comes into a line [m3/s at tank density] and through which ports."""
    flows, _ = _flows(at, line)
    sources = tuple(pair for pair, flow in flows.items() if flow < 0)
    return -sum(flows[pair] for pair in sources), sources
