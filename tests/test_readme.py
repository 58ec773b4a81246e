"""What the README shows works as it is shown."""

from __future__ import annotations

import re
from pathlib import Path

from click.testing import CliRunner

from booklet.cli import main
from booklet.planning import plan_of
from booklet.spec import load
from tests import samples

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text()


def blocks(kind: str) -> list[str]:
    return re.findall(rf"```{kind}\n(.*?)```", README, re.DOTALL)


def test_the_spec_in_the_readme_makes_a_sound_box(tmp_path: Path) -> None:
    (text,) = blocks("toml")
    path = tmp_path / "box.toml"
    path.write_text(text)
    plan = plan_of(load(path, samples.OPTIONS))
    assert all(check.ok for check in plan.checks)


def test_the_commands_in_the_readme_are_there() -> None:
    named = {words.split()[1] for block in blocks("sh") for words in block.splitlines() if words.startswith("booklet ")}
    assert named == {"styles", "new", "check", "make", "range", "export", "measure", "testprint"}
    for name in named:
        assert CliRunner().invoke(main, [name, "--help"]).exit_code == 0


def test_files_that_the_readme_names_are_there() -> None:
    for name in re.findall(r"\]\(([\w./-]+)\)", README):
        assert (ROOT / name).exists(), name
    assert "samples/mug.toml" in README
    assert (ROOT / ".ci" / "ready.py").exists()
