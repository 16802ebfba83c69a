"""Every number and word of a rig from its declaration: as the shop writes it, read in any unit, or refused."""

from __future__ import annotations

import pytest

from trainer.changing.adjustables import adjustables
from trainer.parts.part import Choice, Parameter
from trainer.rig.rig import Rig
from trainer.units import System


def test_every_declared_number_and_word_can_be_changed(loader: Rig) -> None:
    known = adjustables(loader)
    for id_, fitted in loader.parts.items():
        for own, parameter in fitted.part.declared(Parameter).items():
            about = known[f"{id_}.{own}"]
            assert (about.meaning, about.low, about.high) == (parameter.meaning, parameter.low, parameter.high)
            assert (about.usual, about.at_rest) == (parameter.start, parameter.at_rest)
        for own, choice in fitted.part.declared(Choice).items():
            assert known[f"{id_}.{own}"].options == choice.options
            assert known[f"{id_}.{own}"].at_rest
    assert known["3W1.load"].control
    run = [name for name, about in known.items() if about.run]
    assert run == ["oil.temperature", "3W1.load"]
    assert [known[f"{name}@start"].started for name in run] == run
    assert [name for name, about in known.items() if about.part == "oil"] == [
        "oil.temperature",
        "oil.temperature@start",
        "oil.grade",
        "oil.air",
        "oil.air_index",
    ]


@pytest.mark.parametrize(
    ("name", "value", "metric", "us"),
    [  # by hand: 1 bar = 14.50377 psi, 1 in = 25.4 mm, 1 lb = 0.45359237 kg, F = 1.8 C + 32
        ("0V1.setting", 180e5, "180 bar", "2611 psi"),
        ("1A1.bore", 0.063, "63 mm", "2.48 in"),
        ("3W1.boom_mass", 255.0, "255 kg", "562 lb"),
        ("oil.temperature", 45.0, "45 °C", "113 °F"),
        ("0P1.slip", 1.5e-8, "1.5e-8", "1.5e-8"),
        ("1V1.lag", 0.030, "30 ms", "30 ms"),
        ("1V1.leakage", 3e-14, "0.18 cm³/(min·bar)", "0.18 cm³/(min·bar)"),
        ("0V1.spring", 1e5, "100 N/mm", "571 lbf/in"),
        ("1W1.ground1", -0.1, "−100 mm", "−3.937 in"),
        ("1V1.port_reliefs", "both", "both", "both"),
    ],
)
def test_numbers_as_the_shop_writes_them(loader: Rig, name: str, value: float | str, metric: str, us: str) -> None:
    about = adjustables(loader)[name]
    assert about.shown(value, System.METRIC) == metric
    assert about.shown(value, System.US) == us
    for system in System:
        read = about.read(about.shown(value, system), system)
        assert read == value if isinstance(value, str) else read == pytest.approx(value, rel=6e-4)


@pytest.mark.parametrize(
    ("written", "value"),
    [("160", 160e5), ("160,5 bar", 160.5e5), (" 16 MPa ", 160e5), ("2321 psi", 160.03e5), ("1.6e2", 160e5)],
)
def test_a_number_is_read_in_any_unit_of_its_kind(loader: Rig, written: str, value: float) -> None:
    assert adjustables(loader)["0V1.setting"].read(written, System.METRIC) == pytest.approx(value, rel=1e-4)


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("", "That is not a number. Write one from 1 to 450 bar."),
        ("much", "That is not a number. Write one from 1 to 450 bar."),
        ("160 mm", "Write the number in bar, from 1 to 450 bar."),
        ("700", "700 is out of reach. Write a number from 1 to 450 bar."),
        ("-3 bar", "-3 bar is out of reach. Write a number from 1 to 450 bar."),
        ("1" * 400, "That is not a number. Write one from 1 to 450 bar."),
        ("nan", "That is not a number. Write one from 1 to 450 bar."),
    ],
)
def test_what_is_no_number_gets_a_sentence(loader: Rig, written: str, said: str) -> None:
    with pytest.raises(ValueError, match="from 1 to 450 bar") as caught:
        adjustables(loader)["0V1.setting"].read(written, System.METRIC)
    assert str(caught.value) == said


def test_a_limit_as_it_is_printed_may_be_written(loader: Rig) -> None:
    about = adjustables(loader)["0V1.setting"]
    assert about.span(System.US) == "15 to 6500 psi"  # 1 and 450 bar are 14.5 and 6526.7 psi: round, inside them
    assert about.read("6527", System.US) == 450e5
    with pytest.raises(ValueError, match="out of reach"):
        about.read("6540", System.US)
