"""The wheel holds all that an installed booklet needs, and the set-up program keeps its promises."""

from __future__ import annotations

import importlib.util
import os
import re
import subprocess
import sys
import tarfile
import tomllib
import venv
import zipfile
from pathlib import Path
from types import ModuleType

import pytest

import booklet
from booklet import data
from booklet.errors import Refused

ROOT = Path(__file__).resolve().parent.parent
LOCK = ROOT / "requirements.lock"
PINNED = re.compile(r"^([A-Za-z0-9._-]+)==(\S+)", re.MULTILINE)


def build(kind: str, source: Path, target: Path) -> Path:
    """Build an "sdist" or a "wheel" as a packager does, with the backend that pyproject.toml names."""
    call = [sys.executable, "-m", "hatchling", "build", "-t", kind, "-d", str(target)]
    subprocess.run(call, cwd=source, check=True, capture_output=True)
    (made,) = target.iterdir()
    return made


def unpack(source: Path, target: Path) -> None:
    """Unpack an archive of our own; early 3.11 knows no filter, 3.12 warns without one."""
    with tarfile.open(source) as archive:
        if hasattr(tarfile, "data_filter"):
            archive.extractall(target, filter="data")
        else:
            archive.extractall(target)


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel that is built from the unpacked source archive, the longest way round."""
    folder = tmp_path_factory.mktemp("packaging")
    source = build("sdist", ROOT, folder / "sdist")
    unpack(source, folder / "source")
    (top,) = (folder / "source").iterdir()
    return build("wheel", top, folder / "wheel")


def names(wheel: Path) -> set[str]:
    with zipfile.ZipFile(wheel) as archive:
        return set(archive.namelist())


def shipped(folder: str) -> set[str]:
    """The files of a folder of the checkout, as paths within the checkout."""
    return {str(path.relative_to(ROOT)) for path in (ROOT / folder).rglob("*") if path.is_file() and "__pycache__" not in path.parts}


def test_the_wheel_holds_every_file_of_layouts_inside_the_package(wheel: Path) -> None:
    layouts = {name for name in names(wheel) if name.startswith("booklet/layouts/")}
    assert layouts == {f"booklet/{path}" for path in shipped("layouts")}
    assert "booklet/layouts/fonts/NotoSans-Regular.ttf" in layouts


def test_the_wheel_holds_every_module_and_nothing_at_its_top_but_the_package(wheel: Path) -> None:
    assert shipped("booklet") <= names(wheel)
    assert {name.split("/")[0].split("-")[0] for name in names(wheel)} == {"booklet", "card_box_booklet"}


def test_the_wheel_carries_both_licences_and_the_command(wheel: Path) -> None:
    with zipfile.ZipFile(wheel) as archive:
        texts = {name.split("/", 1)[1]: archive.read(name).decode() for name in archive.namelist() if ".dist-info/" in name}
    assert "MIT License" in texts["licenses/LICENSE"]
    assert "SIL OPEN FONT LICENSE" in texts["licenses/layouts/fonts/OFL.txt"]
    assert "booklet = booklet.cli:main" in texts["entry_points.txt"]
    assert f"Version: {booklet.__version__}" in texts["METADATA"]


def test_what_is_installed_finds_its_own_layouts_from_any_folder(wheel: Path, tmp_path: Path) -> None:
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(tmp_path / "site")
    ask = "import booklet.data; print(booklet.data.layouts_folder())"
    found = subprocess.run(
        [sys.executable, "-P", "-c", ask],
        cwd=tmp_path,
        env=os.environ | {"PYTHONPATH": str(tmp_path / "site")},
        check=True,
        capture_output=True,
        text=True,
    )
    assert Path(found.stdout.strip()) == (tmp_path / "site" / "booklet" / "layouts").resolve()


def test_a_checkout_finds_the_layouts_at_its_top() -> None:
    assert data.layouts_folder() == ROOT / "layouts"


def test_a_package_without_its_layouts_is_told_in_a_sentence(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(data, "PACKAGE", tmp_path / "booklet")
    data.layouts_folder.cache_clear()
    with pytest.raises(Refused, match="install the program again"):
        data.layouts_folder()


def test_every_package_asked_for_is_locked_once_with_hashes() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    asked = [*project["project"]["dependencies"], *project["dependency-groups"]["test"]]
    wanted = {re.split(r"[<>=]", one)[0] for one in asked}
    locked = [name for name, _ in PINNED.findall(LOCK.read_text(encoding="utf-8"))]
    assert wanted <= set(locked)
    assert len(locked) == len(set(locked))
    for entry in re.split(PINNED, LOCK.read_text(encoding="utf-8"))[3::3]:
        assert "--hash=sha256:" in entry


def test_the_lock_names_no_place_to_fetch_from() -> None:
    lines = [line for line in LOCK.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    assert not [line for line in lines if "://" in line or "-url" in line or "find-links" in line]


@pytest.fixture
def ready(tmp_path: Path) -> ModuleType:
    """The set-up program, looking at an empty checkout in a folder whose name has a space."""
    spec = importlib.util.spec_from_file_location("ready", ROOT / ".ci" / "ready.py")
    assert spec and spec.loader
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    module.ROOT = tmp_path / "a checkout"
    module.VENV = module.ROOT / ".venv"
    module.BIN, module.STAMP = module.VENV / "bin", module.VENV / "ready.txt"
    module.PYTHON = module.BIN / "python3"
    module.LOCK, module.PROJECT = module.ROOT / "requirements.lock", module.ROOT / "pyproject.toml"
    module.ROOT.mkdir()
    module.LOCK.write_text("# nothing\n")
    module.PROJECT.write_text("")
    return module


def test_the_packed_pip_runs_where_python_has_none_and_carries_its_licence(ready: ModuleType, tmp_path: Path) -> None:
    unpack(ready.PIP, tmp_path / "pip")
    assert (tmp_path / "pip" / "pip-26.3.dist-info" / "licenses" / "LICENSE.txt").is_file()
    venv.EnvBuilder(symlinks=True, with_pip=False).create(ready.VENV)
    assert ready.pip(str(tmp_path / "pip"), "--no-index", "-r", str(ready.LOCK))
    assert not ready.pip(str(tmp_path / "pip"), "--no-index", "no-such-package-as-this==1")


def test_a_set_up_is_made_once_and_again_when_the_lock_changes(ready: ModuleType, monkeypatch: pytest.MonkeyPatch) -> None:
    made = []
    monkeypatch.setattr(ready, "install", made.append)
    for _ in range(2):
        ready.set_up()
    assert ready.is_ready() and len(made) == 1
    ready.LOCK.write_text("# something else\n")
    ready.set_up()
    assert len(made) == 2


def test_a_set_up_that_was_broken_off_is_made_again(ready: ModuleType, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(_: str) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(ready, "install", broken)
    with pytest.raises(KeyboardInterrupt):
        ready.set_up()
    assert not ready.is_ready()
    monkeypatch.setattr(ready, "install", lambda _: None)
    ready.set_up()
    assert ready.is_ready()


def test_a_virtual_environment_of_somebody_else_is_left_alone(ready: ModuleType, capsys: pytest.CaptureFixture[str]) -> None:
    theirs = ready.VENV / "bin" / "python3"
    theirs.parent.mkdir(parents=True)
    theirs.write_text("theirs")
    with pytest.raises(SystemExit) as stopped:
        ready.set_up()
    assert stopped.value.code == 3 and theirs.read_text() == "theirs"
    assert "move it away or delete it" in capsys.readouterr().err


def test_no_network_is_told_with_what_to_do(ready: ModuleType, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setattr(ready, "pip", lambda *_: False)
    with pytest.raises(SystemExit):
        ready.set_up()
    assert "connect and run this again" in capsys.readouterr().err
    assert not ready.is_ready()


def test_an_older_python_is_told_which_one_it_takes(
    ready: ModuleType, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(ready.sys, "version_info", (3, 10, 1))
    with pytest.raises(SystemExit):
        ready.main(["pytest"])
    assert "needs Python 3.11 or later" in capsys.readouterr().err


def test_the_commands_own_exit_code_is_passed_on(tmp_path: Path) -> None:
    program = tmp_path / "program.py"
    program.write_text(
        f"import runpy\nready = runpy.run_path({str(ROOT / '.ci' / 'ready.py')!r})\n"
        f"ready['run']([{sys.executable!r}, '-c', 'raise SystemExit(7)'])\n"
    )
    assert subprocess.run([sys.executable, program]).returncode == 7
