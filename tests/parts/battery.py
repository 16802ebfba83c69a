"""The checks that every part meets by existing, as functions of a part class, so that mutants can be run too.

Each check raises AssertionError with the numbers that disagree. ``Subject`` turns a part into one function of one
column of numbers; enthalpy and specific volume come from the oil law of the program, for random oils.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping
from typing import Any

import casadi as ca
import numpy as np
from battery_sheet import PartAlone

from trainer.formula import Working, parse
from trainer.parts import oil
from trainer.parts.model import OIL_NUMBERS, PartModel
from trainer.parts.part import Choice, Control, Kind, Parameter, Part, State, Wear
from trainer.rig.rig import Fitted
from trainer.units import System, quantity_of, read, symbols_of

Array = np.ndarray[Any, np.dtype[np.float64]]
Words = Mapping[str, str]

CONTINUOUS = {  # operations that cannot jump; everything else is refused
    "CONST", "INPUT", "OUTPUT", "PARAMETER", "ASSIGN", "ADD", "SUB", "MUL", "DIV", "NEG", "SQ", "SQRT", "TWICE",
    "INV", "POW", "CONSTPOW", "EXP", "LOG", "LOG1P", "EXPM1", "SIN", "COS", "TAN", "ASIN", "ACOS", "ATAN", "ATAN2",
    "SINH", "COSH", "TANH", "ASINH", "ACOSH", "ATANH", "ERF", "HYPOT", "FMIN", "FMAX",
}  # fmt: skip
_OPERATIONS = {getattr(ca, name): name.removeprefix("OP_") for name in dir(ca) if name.startswith("OP_")}
_LOWEST, _HIGHEST = -0.95e5, 400e5  # gauge pressures of the samples [Pa]


def worded(part: type[Part]) -> Iterator[dict[str, str]]:
    """Yield every combination of a part's choices."""
    choices: dict[str, Choice] = part.declared(Choice)
    for words in itertools.product(*(choice.options for choice in choices.values())):
        yield dict(zip(choices, words, strict=True))


class Subject:
    """A part with its words as functions of one column z of numbers.

    z holds states, controls, parameters, oil numbers, then pressures and speeds and places of the nodes that the
    part does not carry, then what is given to those it carries and the inertia of the others there.
    ``rows`` says which rows hold what. ``power`` returns the terms of the power balance.
    """

    def __init__(self, part: type[Part], words: Words | None = None) -> None:
        self.part = part
        model = self.model = PartModel(part, words)
        self.free_oil = [node for node in model.oil if node not in model.carried]
        self.free_moving = [node for node in model.moving if node not in model.carried]
        groups = {
            "x": [*model.states], "u": [*model.controls], "q": [*model.numbers], "oil": [*OIL_NUMBERS],
            "p": self.free_oil, "speed": self.free_moving, "place": self.free_moving,
            "given": model.carried, "inertia": model.carried,
        }  # fmt: skip
        self.names = [(group, name) for group, names in groups.items() for name in names]
        self.row = {pair: i for i, pair in enumerate(self.names)}
        z = ca.SX.sym("z", len(self.names))
        column = {group: ca.vertcat(*[z[self.row[group, n]] for n in names]) for group, names in groups.items()}
        value = {pair: z[i] for pair, i in self.row.items()}
        x, q = column["x"], column["q"]
        places, values = model.across(x, q)
        for i, node in enumerate(model.carried):
            if model.nodes[node] is Kind.OIL:
                value["p", node] = values[i]
            else:
                value["speed", node], value["place", node] = values[i], places[i]
        numbers: dict[str, Any] = {name: value["oil", name] for name in OIL_NUMBERS}
        now = oil.Properties(**numbers)
        level = {node: oil.of_pressure(value["p", node], now) for node in model.oil}
        enthalpy = {node: oil.enthalpy(level[node], now) for node in model.oil}

        def over(group: str, nodes: list[str]) -> Any:
            return ca.vertcat(*[value[group, node] for node in nodes])

        speed, place = over("speed", model.moving), over("place", model.moving)
        results = model.law(
            x, column["u"], q, column["oil"], over("p", model.oil), ca.vertcat(*enthalpy.values()),
            ca.vertcat(*[oil.specific_volume(level[node], now) for node in model.oil]),
            speed, place, column["given"], column["inertia"],
        )  # fmt: skip
        into, rate, heat, supply, stored, read, _ = results
        through = {node: into[i] for i, node in enumerate(model.nodes)}
        for node in model.carried:
            if model.nodes[node] is Kind.OIL:
                through[node] = through[node] + value["given", node]
            else:
                faster = ca.jtimes(value["speed", node], z, self._flow(z, rate, {}))
                through[node] = through[node] + value["given", node] - value["inertia", node] * faster
        across = {node: enthalpy[node] if node in enthalpy else value["speed", node] for node in model.nodes}
        moved = self._flow(z, rate, {node: value["speed", node] for node in self.free_moving})
        volume = model.volume(x, q, place)
        swept = ca.jtimes(volume, z, moved) * over("p", model.oil) if model.oil else ca.SX(0, 1)
        gain = ca.jtimes(stored, z, moved) if stored.shape[0] else ca.SX(0, 1)
        self.stored_rows = ca.which_depends(stored, z, 1, False) if stored.shape[0] else [False] * z.shape[0]
        work = ca.vertcat(*[through[node] * across[node] for node in model.nodes])
        self.power = ca.Function("power", [z], [work, swept, supply, heat, gain])
        contents = [i for i, state in enumerate(model.states.values()) if state.quantity == "volume"]
        inside = ca.vertcat(*[rate[i] for i in contents]) if self._carries_oil() else ca.SX(0, 1)
        lost = [i for i, name in enumerate(model.reads) if name in part.spills.values()]
        inside = ca.vertcat(inside, *[read[i] for i in lost])
        self.oil_flows = ca.Function("oil", [z], [ca.vertcat(*[through[n] for n in model.oil]), inside])
        self.outputs = ca.Function("outputs", [z], [ca.vertcat(*results, volume, places, values)])
        first = len(model.nodes) + len(model.states)
        self.heat_rows = slice(first, first + len(model.heats))
        self.carried_rates = ca.Function("carried", [z], [
            ca.vertcat(*[ca.jtimes(value["place", n], z, moved) - value["speed", n] for n in model.carried
                         if model.nodes[n] is Kind.ROD])])  # fmt: skip

    def _carries_oil(self) -> bool:
        return any(self.model.nodes[node] is Kind.OIL for node in self.model.carried)

    def _flow(self, z: Any, rate: Any, speeds: Mapping[str, Any]) -> Any:
        """Return dz/dt as far as the part knows it."""
        flow = ca.SX.zeros(z.shape[0], 1)
        for i, name in enumerate(self.model.states):
            flow[self.row["x", name]] = rate[i]
        for node, speed in speeds.items():
            flow[self.row["place", node]] = speed
        return flow

    def columns(self, function: Any, z: Array) -> list[Array]:
        """Return the outputs of a function for every column of z."""
        if z.shape[1] > 1:
            function = function.map(z.shape[1])
        found = function(z)
        return [item.full() for item in (found if isinstance(found, tuple) else (found,))]

    def samples(self, random: np.random.Generator, count: int, *, corners: str = "") -> Array:
        """Return random columns; ``corners`` "low", "high" or "mixed" puts every parameter at an end."""
        return np.column_stack([self._sample(random, corners) for _ in range(count)])

    def _sample(self, random: np.random.Generator, corners: str) -> Array:
        model = self.model
        q = {name: _parameter(random, parameter, corners) for name, parameter in model.parameters.items()}
        value: dict[tuple[str, str], float] = {("q", name): number for name, number in q.items()}
        value |= {("q", name): random.choice([one.start, 1.0, 2.0, 3.0]) for name, one in model.latched.items()}
        for name, control in model.controls.items():
            value["u", name] = random.choice([control.low, control.high, random.uniform(control.low, control.high)])
        for name, state in model.states.items():
            away = random.choice([0.0, 1.0, 10.0, 30.0]) * random.uniform(-1, 1)
            value["x", name] = state.start + state.nominal * away
        if self._carries_oil() and "volume" in q:
            for name, state in model.states.items():
                if state.quantity == "volume":
                    value["x", name] = random.uniform(-1.0, 0.1) * q["volume"]
        grade = random.choice([*oil.GRADES])
        now = oil.properties(grade, random.uniform(-20, 95), 10 ** random.uniform(-5, -0.8))
        value.update({("oil", name): float(getattr(now, name)) for name in OIL_NUMBERS})
        for node, pressure in zip(self.free_oil, _pressures(random, len(self.free_oil)), strict=True):
            value["p", node] = pressure
        lengths = [0.0] + [q[n] for n, p in model.parameters.items() if p.quantity == "length"]
        for node in self.free_moving:
            shaft = model.nodes[node] is Kind.SHAFT
            value["speed", node] = (400 if shaft else 2) * random.uniform(-1, 1) * random.choice([1, 1e-2, 1e-4, 0])
            value["place", node] = random.choice([
                random.uniform(-0.02, 1.02 * max(lengths) + 0.02), random.choice(lengths) + 5e-4 * random.normal(),
            ])  # fmt: skip
        for node in model.carried:
            kind = model.nodes[node]
            value["given", node] = {Kind.OIL: 1e-3, Kind.SHAFT: 100.0, Kind.ROD: 1e5}[kind] * random.uniform(-1, 1)
            value["inertia", node] = 10 ** random.uniform(*((-5, 0) if kind is Kind.SHAFT else (0, 3)))
        return np.array([value[pair] for pair in self.names])


def _parameter(random: np.random.Generator, parameter: Parameter, corners: str) -> float:
    low, high = parameter.low, parameter.high
    if corners == "mixed":
        return float(random.choice([low, high]))
    if corners:
        return low if corners == "low" else high
    if random.random() < 0.3:
        return float(random.choice([low, high, parameter.start]))
    if low > 0 and high > 10 * low:
        return float(low * (high / low) ** random.random())
    return float(random.uniform(low, high))


def _pressures(random: np.random.Generator, count: int) -> Array:
    kind = random.integers(4)
    if kind == 0:
        found = random.uniform(_LOWEST, _HIGHEST, count)
    elif kind == 1:
        found = random.uniform(_LOWEST, 3e5, count)
    else:
        drops = random.choice([-1, 1], count) * 10 ** random.uniform(1, 7, count)
        found = random.choice([random.uniform(_LOWEST, 3e5), random.uniform(0, _HIGHEST)]) + drops
    return np.clip(found, _LOWEST, _HIGHEST)


TRADE_OIL = oil.Properties(870.0, 0.035, 1.5e9, 10.0, 1e-4, 45.0)  # for characteristics that a hand can check


def evaluate(
    part: type[Part], words: Words | None = None, *, model: PartModel | None = None, now: oil.Properties = TRADE_OIL,
    p: Mapping[str, float] = {}, speed: Mapping[str, float] = {}, place: Mapping[str, float] = {},
    given: Mapping[str, float] = {}, inertia: Mapping[str, float] = {}, **own: Any,
) -> dict[str, dict[str, float]]:  # fmt: skip
    """Return what a part answers, by group and name [SI]: into, rate, heat, supply, stored, value, stream, volume.

    ``own`` gives states, controls and parameters, in SI or as written; the rest stands at its start.
    """
    model = model or PartModel(part, words)
    fitted = Fitted("1Z1", part, {}, dict(words or {}))
    declared: dict[str, Any] = {**model.states, **model.controls, **model.numbers}
    number = {n: fitted.value(n) if n in model.parameters else d.start for n, d in declared.items()}
    number |= {n: read(v, declared[n].quantity) if isinstance(v, str) else v for n, v in own.items()}
    level = {node: float(oil.of_pressure(p.get(node, 0.0), now)) for node in model.oil}
    x, u, q = ([number[n] for n in names] for names in (model.states, model.controls, model.numbers))
    places = [place.get(node, 0.0) for node in model.moving]
    found: Any = model.law(
        x, u, q, [getattr(now, n) for n in OIL_NUMBERS], [p.get(node, 0.0) for node in model.oil],
        [float(oil.enthalpy(y, now)) for y in level.values()],
        [float(oil.specific_volume(y, now)) for y in level.values()],
        [speed.get(node, 0.0) for node in model.moving], places,
        [given.get(node, 0.0) for node in model.carried], [inertia.get(node, 0.0) for node in model.carried],
    )  # fmt: skip
    volumes: Any = model.volume(x, q, places)
    called: dict[str, Any] = {
        "into": model.nodes, "rate": model.states, "heat": model.heats, "supply": model.supplies,
        "stored": model.stores, "value": model.reads, "stream": model.streams, "volume": model.oil,
    }  # fmt: skip
    return {
        group: dict(zip(names, column.full().ravel().tolist(), strict=True))
        for (group, names), column in zip(called.items(), (*found, volumes), strict=True)
    }


# -- the checks ---------------------------------------------------------------------------------------------------


def check_explained(part: type[Part], words: Words | None = None) -> None:
    """Everything declared has words, a known unit, a default within its range; a wear has three severities."""
    assert (part.__doc__ or "").strip(), "no docstring"
    assert part.symbol, "no symbol"
    assert part.letter in set("PAMSVZW"), "a letter that is neither of ISO 1219-2 nor ours"
    for name, parameter in part.declared(Parameter).items():
        assert parameter.meaning.strip(), f"{name} has no meaning"
        assert quantity_of(parameter.written) == parameter.quantity
        assert parameter.quantity == "ratio" or symbols_of(parameter.quantity), f"{name}: unit unknown"
        assert parameter.low <= parameter.start <= parameter.high, f"{name}: default out of range"
        assert parameter.low < parameter.high, f"{name}: no range"
    for name, wear in part.declared(Wear).items():
        assert [*wear.severities] == ["mild", "marginal", "failed"], name
        healthy_up = [wear.start, *wear.severities.values()]
        assert healthy_up == sorted(set(healthy_up)), f"{name}: severities do not grow"
        assert wear.low <= wear.severities["failed"] <= wear.high, name
        assert wear.notice.strip(), f"{name}: nothing that the operator would notice"
    for name, control in part.declared(Control).items():
        assert control.meaning.strip(), f"{name} has no meaning"
        assert control.low <= control.start <= control.high, name
        assert control.low < control.high, name
    for name, state in part.declared(State).items():
        assert state.nominal > 0, name
    for name, choice in part.declared(Choice).items():
        assert choice.meaning.strip(), f"{name} has no meaning"
        assert len(set(choice.options)) == len(choice.options) > 1, name
    for name, sets in part.presets.items():
        assert set(sets) == set(part.declared(Choice)[name].options), f"{name}: data sets and words differ"
        for written in sets.values():
            for key, number in written.items():
                parameter = part.declared(Parameter)[key]
                assert parameter.low <= read(number, parameter.quantity) <= parameter.high, f"{name}: {key}"
    assert set(part.port_names) <= set(part.ports)
    assert set(part.carries) <= set(part.ports)


def check_ids(part: type[Part], words: Words | None = None) -> None:
    """What its law is read by are ids; what is told of it stands beside them, and nothing else does."""
    model = PartModel(part, words)
    told = {*model.heats, *model.streams, *model.supplies, *model.stores}
    assert [name for name in (*told, *model.reads) if not name.isidentifier()] == []
    assert told <= set(part.words), f"no words for {sorted(told - set(part.words))}"
    assert all(text.strip() for text in part.words.values())


def check_anchors(part: type[Part], words: Words | None = None) -> None:
    """The symbol has one anchor per port with the same letter (a tank may have further drops)."""
    from trainer.drawing.symbols import SYMBOLS

    anchors = set(SYMBOLS[part.symbol].anchors)
    extra = anchors - set(part.ports)
    assert set(part.ports) <= anchors, f"no anchor for {sorted(set(part.ports) - anchors)}"
    assert not extra or (part.symbol == "reservoir"), f"anchors without ports: {sorted(extra)}"


def check_oil_kept(part: type[Part], words: Words | None = None, seed: int = 1) -> None:
    """What flows in stays in: the sum of inflows is the rate of the tank's content and of what is lost."""
    subject = Subject(part, words)
    if not subject.model.oil:
        return
    flows, inside = subject.columns(subject.oil_flows, subject.samples(np.random.default_rng(seed), 300))
    error = np.abs(flows.sum(axis=0) - inside.sum(axis=0))
    assert (error <= 1e-12 * np.abs(flows).sum(axis=0) + 1e-30).all(), f"oil made: {error.max():.3g} m3/s"


def power_books(part: type[Part], words: Words | None, seed: int, count: int = 300) -> tuple[Array, Array, Array]:
    """Return (residual, throughput) [W] and heats [W] at random states, parameters at random and at corners."""
    subject = Subject(part, words)
    fast = [
        pair for pair, i in subject.row.items() if subject.stored_rows[i] and pair[0] not in ("x", "u", "q", "place")
    ]
    assert not fast, f"stored energy may be made of states, places and numbers, not of {fast}"
    random = np.random.default_rng(seed)
    z = np.hstack([subject.samples(random, count), subject.samples(random, 60, corners="mixed")])
    work, swept, supply, heat, gain = subject.columns(subject.power, z)
    residual = work.sum(0) + swept.sum(0) + supply.sum(0) - heat.sum(0) - gain.sum(0)
    throughput = sum(np.abs(term).sum(0) for term in (work, swept, supply, heat, gain))
    return residual, throughput, heat


def check_power_kept(part: type[Part], words: Words | None = None) -> None:
    """through * across + p dV/dt + supply = heat + d(stored)/dt to 1e-9 of the part's own throughput."""
    residual, throughput, _ = power_books(part, words, seed=2)
    assert np.isfinite(residual).all(), "not finite"
    share = np.abs(residual) / np.maximum(throughput, 1e-12)
    assert share.max() <= 1e-9, f"power made: {share.max():.3g} of the throughput"


def check_heat_positive(part: type[Part], words: Words | None = None) -> None:
    """No loss gives power back, turning and flowing both ways."""
    _, throughput, heat = power_books(part, words, seed=3)
    names = [*PartModel(part, words).heats]
    for name, row in zip(names, heat, strict=True):
        low = (row / np.maximum(throughput, 1e-12)).min()
        assert low >= -1e-9, f"heat '{name}' is {low:.3g} of the throughput"


def check_finite(part: type[Part], words: Words | None = None) -> None:
    """Every output is a number with all parameters low, all high, at random corners, spools far out, tank empty."""
    subject = Subject(part, words)
    random = np.random.default_rng(4)
    spools = [i for (group, name), i in subject.row.items() if group == "x"]
    for corners, count in (("low", 40), ("high", 40), ("mixed", 200), ("", 40)):
        z = subject.samples(random, count, corners=corners)
        for end in (None, -1, 1):
            if end is not None:
                z[spools] = end * 30 * np.array([[s.nominal] for s in subject.model.states.values()]).reshape(-1, 1)
            for found in subject.columns(subject.outputs, z) + subject.columns(subject.power, z):
                assert np.isfinite(found).all(), f"not finite with parameters {corners or 'at random'}"


def check_no_jump_operation(part: type[Part], words: Words | None = None) -> None:
    """Only operations that cannot jump stand in the part's functions."""
    model = PartModel(part, words)
    for function in (model.law, model.volume, model.across, model.inertia, model.compliance):
        body: Any = function
        used = {_OPERATIONS[body.instruction_id(k)] for k in range(body.n_instructions())}
        assert used <= CONTINUOUS, f"operations that jump: {sorted(used - CONTINUOUS)}"


def check_continuous(part: type[Part], words: Words | None = None, lines: int = 40) -> None:
    """Along lines through thresholds the largest change is followed with shrinking steps: it shrinks as well."""
    subject = Subject(part, words)
    random = np.random.default_rng(5)
    walked = [i for i, (group, _) in enumerate(subject.names) if group in ("x", "u", "p", "speed", "place")]
    pressures = [subject.row["p", node] for node in subject.free_oil]
    middles, steps = (np.zeros((len(subject.names), lines)) for _ in range(2))
    for line in range(lines):
        middles[:, line] = _at_threshold(subject, random)
        ends = subject.samples(random, 2)
        steps[walked, line] = (ends[walked, 1] - ends[walked, 0]) * 10 ** random.uniform(-5, 0)

    def on(function: Any, t: Array) -> list[Array]:
        """Return a function's outputs at places t (line, place): (output, line, place)."""
        z = middles[:, :, None] + steps[:, :, None] * t
        z[pressures] = np.clip(z[pressures], _LOWEST, _HIGHEST)
        found = subject.columns(function, z.reshape(len(z), -1))
        return [values.reshape(len(values), *t.shape) for values in found]

    t = np.tile(np.linspace(-0.5, 0.5, 65), (lines, 1))
    values = on(subject.outputs, t)[0]
    scale = np.abs(values).max(axis=2)
    passing = np.max([np.abs(term).sum(0).max(1) for term in on(subject.power, t) if term.size], axis=0)
    scale[subject.heat_rows] = np.maximum(scale[subject.heat_rows], passing)  # a heat may be a difference
    widest = np.abs(np.diff(values)).argmax(axis=2)  # (output, line): each output has its own way from here
    own = np.arange(len(values))

    def of_its_own(t: Array) -> Array:
        """Return each output where it is followed: t and what is returned (output, line)."""
        return on(subject.outputs, t.T)[0][own, :, own]

    left, right = (t[np.arange(lines), at] for at in (widest, widest + 1))
    low, high = (np.take_along_axis(values, at[:, :, None], axis=2)[:, :, 0] for at in (widest, widest + 1))
    for _ in range(28):  # steps shrink to 2^-28 of the first
        centre = (left + right) / 2
        mid = of_its_own(centre)
        first = np.abs(mid - low) > np.abs(high - mid)
        left, right = np.where(first, left, centre), np.where(first, centre, right)
        low, high = np.where(first, low, mid), np.where(first, mid, high)
    jump = np.abs(high - low)
    share = (jump / np.maximum(scale, 1e-300)).max()
    assert (jump <= 1e-5 * scale + 1e-300).all(), f"jumps by {share:.2g} of its size"


def _at_threshold(subject: Subject, random: np.random.Generator) -> Array:
    """Return a sample put on a place where something opens, shuts, touches or turns round."""
    z = subject.samples(random, 1)[:, 0]
    pressures = [parameter for parameter in subject.model.parameters.values() if parameter.quantity == "pressure"]
    if len(subject.free_oil) > 1:
        one, other = random.choice(len(subject.free_oil), 2, replace=False)
        drops = [0.0, *(z[subject.row["q", parameter.name]] for parameter in pressures)]
        low = z[subject.row["p", subject.free_oil[other]]]
        z[subject.row["p", subject.free_oil[one]]] = min(low + random.choice(drops), _HIGHEST)
    for node in subject.free_moving:
        lengths = [z[subject.row["q", n]] for n, p in subject.model.parameters.items() if p.quantity == "length"]
        z[subject.row["place", node]] = random.choice([0.0, *lengths])
        z[subject.row["speed", node]] *= random.choice([0.0, 1.0])
    return z


def _alone(part: type[Part], words: Words, model: PartModel, random: np.random.Generator) -> PartAlone:
    """Return a part at a state, controls, parameters and lines by chance."""
    own = {name: state.start + state.nominal * random.normal() for name, state in model.states.items()}
    own |= {name: float(random.uniform(one.low, one.high)) for name, one in model.controls.items()}
    own |= {name: _parameter(random, parameter, "") for name, parameter in model.parameters.items()}
    own |= {name: one.start for name, one in model.latched.items()}
    p = dict(zip(model.oil, _pressures(random, len(model.oil)).tolist(), strict=True))
    speed, place = ({n: float(random.normal() * k) for n in model.moving} for k in (5.0, 0.3))
    others = dict.fromkeys(model.carried, 1.0)
    answers = evaluate(
        part, words, model=model, now=TRADE_OIL, p=p, speed=speed, place=place, given=others, inertia=others, **own
    )
    return PartAlone(model, words, TRADE_OIL, answers, own, p, speed, place)


def check_workings(part: type[Part], words: Words | None = None) -> None:
    """It has workings; they name what it declares, and have a formula of their terms.

    That the results are the engine's is held by the tests of the workings, with states that a rig can have.
    """
    random, model = np.random.default_rng(6), PartModel(part, words)
    found: list[Working] = []
    for _ in range(12):
        found += part.workings(_alone(part, words or {}, model, random))
    assert found, "no workings"
    for working in found:
        assert working.part == "1Z1", working.name
        assert all(term.source for term in (*working.terms, working.result)), working.name
        letters = {term.letter for term in working.terms}
        assert len(letters) == len(working.terms), working.name
        assert working.result.letter not in letters, working.name
        for system in System:
            left, _ = parse(working.words(system))
            assert left == working.result.letter, working.name
            assert isinstance(working.value(system), float), working.name


CHECKS = (
    check_explained, check_ids, check_anchors, check_oil_kept, check_power_kept, check_heat_positive, check_finite,
    check_no_jump_operation, check_continuous, check_workings,
)  # fmt: skip
