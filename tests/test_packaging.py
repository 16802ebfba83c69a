"""The package: a wheel that carries its resources, and dependencies that keep known-bad versions out."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path

import pytest
from packaging.requirements import Requirement

from trainer import __version__, resources
from trainer.errors import SpoolroomError

ROOT = Path(__file__).parent.parent
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the wheel built from this checkout."""
    folder = tmp_path_factory.mktemp("wheel")
    subprocess.run(
        [sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", folder, ROOT],
        check=True,
        capture_output=True,
    )
    (built,) = folder.glob("spoolroom-*.whl")
    return built


def test_the_wheel_holds_the_package_the_resources_and_the_licence(wheel: Path) -> None:
    names = zipfile.ZipFile(wheel).namelist()
    assert f"spoolroom-{__version__}-" in wheel.name
    assert "trainer/_resources/rigs/one-spool-bench.toml" in names
    assert "trainer/_resources/levers/one-spool-bench.csv" in names
    assert any(name.endswith("/LICENSE") for name in names)
    assert not [name for name in names if name.startswith(("tests/", "resources/", "."))]


def test_an_installed_wheel_works_anywhere(wheel: Path, tmp_path: Path) -> None:
    site = tmp_path / "site"
    pip = [
        sys.executable,
        "-m",
        "pip",
        "install",
        "--quiet",
        "--no-deps",
        "--no-index",
        "--disable-pip-version-check",
    ]
    subprocess.run([*pip, "--target", site, wheel], check=True, capture_output=True)
    script = """
import trainer
from trainer import resources
from trainer.rig import file as rig_file
rig = rig_file.load(resources.rigs()["one-spool-bench"])
print(trainer.__file__)
print(resources.path("levers/one-spool-bench.csv"))
print(rig.title)
"""
    done = subprocess.run(
        [sys.executable, "-c", script],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(site)},
        capture_output=True,
        text=True,
        check=True,
    )
    package, script_path, title = done.stdout.splitlines()
    assert Path(package).is_relative_to(site)
    assert Path(script_path).is_relative_to(site)
    assert title == "One-spool bench"


@pytest.mark.parametrize(
    ("python", "version", "fits"),
    [("3.11", "6.12.0", False), ("3.11", "6.11.3", True), ("3.12", "6.12.0", True), ("3.12", "6.9.1", False)],
)
def test_qt_versions_that_lose_references_are_kept_out(python: str, version: str, fits: bool) -> None:
    needs = [Requirement(text) for text in PROJECT["dependencies"]]
    qt = [need for need in needs if need.name == "PySide6-Essentials"]
    meant = [need for need in qt if need.marker is None or need.marker.evaluate({"python_version": python})]
    assert len(meant) == 1
    assert meant[0].specifier.contains(version) is fits


def test_every_dependency_has_a_lower_bound() -> None:
    texts = [
        *PROJECT["dependencies"],
        *(text for group in PROJECT["optional-dependencies"].values() for text in group),
    ]
    for need in map(Requirement, texts):
        assert any(bound.operator == ">=" for bound in need.specifier), need


def test_a_missing_resource_is_said() -> None:
    with pytest.raises(SpoolroomError, match="Install Spoolroom again"):
        resources.path("rigs/none.toml")


def test_the_readme_has_the_same_two_commands_for_both_shells() -> None:
    text = (ROOT / "README.md").read_text("utf-8")
    unix = re.findall(r"^```sh\n(python3 .*)\n```$", text, re.MULTILINE)
    windows = re.findall(r"^```powershell\n(.*)\n```$", text, re.MULTILINE)
    assert len(unix) == len(windows) == 2
    translated = [line.replace("python3 ", "python ").replace(" &&", ";") for line in unix]
    assert [line.replace(".venv/bin/", ".venv\\Scripts\\") for line in translated] == windows
    assert unix[1].endswith("-m pytest")
