"""Parts joined to a rig: the faults it names, and the balance of the whole at any state."""

from __future__ import annotations

import numpy as np
import pytest

from trainer.engine.network import Network
from trainer.engine.session import Session
from trainer.errors import RigError
from trainer.rig import file as rig_file
from trainer.rig.rig import Rig

HEAD = 'format = 1\ntitle = "a check"\n'
JACK = """
[parts]
0Z1 = { is = "Reservoir" }
0V1 = { is = "Throttle" }
1A1 = { is = "Cylinder" }
1W1 = { is = "Weight" }
[lines]
A = ["0V1.1", "1A1.A"]
B = ["1A1.B"]
T = ["0V1.2", "0Z1.T"]
S = ["0Z1.S"]
rod = ["1A1.rod", "1W1.rod"]
"""


def kinds(text: str) -> set[str]:
    """Return the short names of the faults that a rig file, or the network of it, has."""
    with pytest.raises(RigError) as caught:
        Network(rig_file.loads(HEAD + text))
    assert all(fault.where and fault.problem for fault in caught.value.faults)
    return {fault.kind for fault in caught.value.faults}


def test_the_jack_itself_is_sound() -> None:
    network = Network(rig_file.loads(HEAD + JACK))
    assert {line.name for line in network.content_lines} == {"A", "B"}
    assert network.carrier == {"T": ("0Z1", "T"), "S": ("0Z1", "S"), "rod": ("1W1", "rod")}


@pytest.mark.parametrize(
    ("changes", "kind"),
    [
        ({'1W1 = { is = "Weight" }': '1W1 = { is = "Weight" }\n1W2 = { is = "Weight" }',
          '"1A1.rod", "1W1.rod"': '"1A1.rod", "1W1.rod", "1W2.rod"'}, "two carriers"),
        ({'S = ["0Z1.S"]': 'S = ["0Z1.S", "0Z1.T"]', '"0V1.2", "0Z1.T"': '"0V1.2"'}, "two carriers"),
        ({'B = ["1A1.B"]\n': ""}, "port on no line"),
        ({'B = ["1A1.B"]': 'B = ["1A1.B", "1W1.rod"]', ', "1W1.rod"]\n': "]\n"}, "mixed line"),
        ({'B = ["1A1.B"]': 'B = ["1A1.B", "0V1.1"]'}, "port joined twice"),
    ],
)  # fmt: skip
def test_a_wrong_join_is_a_named_error(changes: dict[str, str], kind: str) -> None:
    text = JACK
    for old, new in reversed(changes.items()):
        text = text.replace(old, new)
    assert kind in kinds(text)


def test_a_part_that_would_meet_itself_is_a_named_error() -> None:
    text = '[parts]\n3W1 = { is = "Crane" }\n[lines]\nrod = ["3W1.stick", "3W1.heave"]\n'
    assert "joined to itself" in kinds(text)


def test_a_line_that_stores_nothing_is_a_named_error() -> None:
    """Nothing but a wall on a rod: it has no mass; and a force between two shafts would have no inertia."""
    text = '[parts]\n1W1 = { is = "Wall" }\n[lines]\nrod = ["1W1.rod"]\n'
    assert kinds(text) == {"no storage"}


def test_the_whole_balances_at_any_state(bench: Rig) -> None:
    """supply - heat - gain of the assembled rig, far from any state that a run would visit, to 1e-9."""
    session = Session(bench)
    network, random = session.network, np.random.default_rng(7)
    contents = [network.state_index[f"{line.name}.content"] for line in network.content_lines]
    starts = [network.pu_index[f"{line.name}.start content"] for line in network.content_lines]
    for _ in range(300):
        x = session.x + network.nominal * 10 * random.uniform(-1, 1, len(session.x))
        x[contents] = session.pu[starts] * random.choice([-0.5, -0.01, 0.001, 0.02], len(contents))
        x[network.state_index["1W1.x"]] = random.uniform(-0.003, 0.203)
        residual, size = (float(value) for value in network.balance(x, session.pu))
        assert abs(residual) <= 1e-9 * size
        assert np.isfinite(network.derivative(x, session.pu)).all()


def test_every_reading_has_a_name_and_a_number(bench: Rig) -> None:
    session = Session(bench)
    assert len(session.readings.values) == len(session.network.read_index)
    assert np.isfinite(session.readings.values).all()
    for id_, fitted in bench.parts.items():
        for node in fitted.part.ports:
            kind = "flow" if fitted.part.ports[node].value == "oil" else "load"
            assert (kind, id_, node) in session.network.read_index
