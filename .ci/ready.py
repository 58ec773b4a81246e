"""Set the checkout up, once, and run a command in it.

    python3 .ci/ready.py booklet make samples/mug.toml
    python3 .ci/ready.py pytest

Makes .venv in the checkout, with the packages of requirements.lock and this project itself, and makes it anew when the
lock, pyproject.toml, the Python or the place of the checkout has changed. It needs Python 3.11 or later and nothing
else: Debian's python3 comes without pip and without ensurepip, so pip lies beside this file as pip.tar.xz (pip 26.3 as
published, less its launchers for Windows; its licences are inside).

The command runs where you are, with your environment and its own exit code; pytest runs in the checkout. Exit 3 means that the
set-up failed. This file keeps to words that an older Python can read, so that it can say what is wrong.
"""

import hashlib
import os
import shutil
import subprocess
import sys
import tarfile
import tempfile
import venv
from pathlib import Path
from typing import Any, NoReturn

ROOT = Path(__file__).resolve().parent.parent
VENV = ROOT / ".venv"
BIN = VENV / "bin"
PYTHON = BIN / "python3"
STAMP = VENV / "ready.txt"
LOCK = ROOT / "requirements.lock"
PROJECT = ROOT / "pyproject.toml"
PIP = ROOT / ".ci" / "pip.tar.xz"

# What would send the packages elsewhere than into .venv, or make pip believe that they are there already.
MISLEADING = ("PYTHONHOME", "PYTHONPATH", "PIP_PREFIX", "PIP_ROOT", "PIP_TARGET", "PIP_USER")

# Early 3.11 has no filters yet; the archive is our own.
FILTER: "dict[str, Any]" = {"filter": "data"} if hasattr(tarfile, "data_filter") else {}


def fail(sentence: str) -> NoReturn:
    """Tell what is wrong and what to do, and stop with 3."""
    print(f"ready.py: {sentence}", file=sys.stderr)
    raise SystemExit(3)


def wanted() -> str:
    """The stamp of a set-up that fits: it changes with all that a set-up depends on."""
    parts = [LOCK.read_bytes(), PROJECT.read_bytes(), str(ROOT).encode(), sys.base_prefix.encode(), b"%d.%d" % sys.version_info[:2]]
    return hashlib.sha256(b"\0".join(parts)).hexdigest()


def is_ready() -> bool:
    """Whether .venv is finished, fits, and its Python is still there."""
    return PYTHON.exists() and STAMP.is_file() and STAMP.read_text() == wanted()


def clear() -> None:
    """Leave an empty .venv that bears our stamp, but never sweep away one that somebody else made."""
    if VENV.exists() and any(VENV.iterdir()) and not STAMP.exists():
        fail(f"{VENV} was not made by this program; move it away or delete it, then run this again.")
    shutil.rmtree(VENV, ignore_errors=True)
    VENV.mkdir(exist_ok=True)
    STAMP.write_text("unfinished")


def pip(unpacked: str, *arguments: str) -> bool:
    """Run `pip install` of the packed pip in .venv, deaf to what would mislead it; True when it succeeded."""
    environment = {name: value for name, value in os.environ.items() if name not in MISLEADING}
    environment.update(PYTHONPATH=unpacked, PIP_USER="0", PIP_DISABLE_PIP_VERSION_CHECK="1")
    # Compiling what is never imported takes longer than the rest: Python compiles the others at their first use.
    call = [str(PYTHON), "-P", "-m", "pip", "install", "-qq", "--no-input", "--no-compile", "--no-deps", *arguments]
    return subprocess.run(call, cwd=str(ROOT), env=environment, stdin=subprocess.DEVNULL).returncode == 0


def install(unpacked: str) -> None:
    """Put the locked packages, then the checkout itself, into .venv."""
    if not pip(unpacked, "--require-hashes", "--only-binary", ":all:", "-r", str(LOCK)):
        fail(
            "the packages could not be installed, for the reason above; with no network, connect and run this again, or name a "
            "mirror in PIP_INDEX_URL or a folder of wheels in PIP_FIND_LINKS with PIP_NO_INDEX=1."
        )
    if not pip(unpacked, "--no-index", "--no-build-isolation", "--editable", str(ROOT)):
        fail("the project itself could not be installed, for the reason above; see whether pyproject.toml is whole.")


def make() -> None:
    """Make .venv from nothing; the stamp comes last, so that what was broken off is never taken for finished."""
    print(f"Setting up {VENV}: once, a minute or two ...", file=sys.stderr)
    clear()
    venv.EnvBuilder(symlinks=True, with_pip=False).create(str(VENV))
    with tempfile.TemporaryDirectory() as unpacked, tarfile.open(str(PIP)) as archive:
        archive.extractall(unpacked, **FILTER)
        install(unpacked)
    STAMP.write_text(wanted())


def set_up() -> None:
    """Make .venv unless it is ready; a second run at the same time waits for the first and uses what it made."""
    import fcntl  # not on Windows, which main() refuses before

    if is_ready():
        return
    with LOCK.open("rb") as held:
        fcntl.flock(held, fcntl.LOCK_EX)
        if not is_ready():
            make()


def run(command: "list[str]") -> None:
    """Become the command, as if .venv were activated."""
    environment = {name: value for name, value in os.environ.items() if name != "PYTHONHOME"}
    environment.update(VIRTUAL_ENV=str(VENV), PATH=str(BIN) + os.pathsep + os.environ.get("PATH", os.defpath))
    if command[0] == "pytest":
        os.chdir(str(ROOT))
    sys.stdout.flush()
    try:
        os.execvpe(command[0], command, environment)
    except OSError as error:
        fail(f"{command[0]} cannot be run ({error.strerror}); name a command such as booklet, pytest or python.")


def main(command: "list[str]") -> None:
    """Refuse what cannot work, set up, run."""
    if sys.version_info < (3, 11):  # noqa: UP036 - pip would say so too, but at length
        fail(f"this needs Python 3.11 or later, and this is {sys.version.split()[0]}; run it with a newer one.")
    if os.name != "posix":
        fail("this sets up Linux and macOS only; elsewhere make a virtual environment and run `pip install .` in it.")
    if not command:
        fail("say what to run: python3 .ci/ready.py booklet make samples/mug.toml, or python3 .ci/ready.py pytest.")
    try:
        set_up()
    except (OSError, tarfile.TarError, subprocess.SubprocessError) as error:
        fail(f"{VENV} could not be set up: {error}.")
    except KeyboardInterrupt:
        fail(f"stopped before {VENV} was ready; run this again to begin anew.")
    run(command)


if __name__ == "__main__":
    main(sys.argv[1:])
