"""Boxes that several files of tests look at, each made once; nets are frozen, so that nobody can change them."""

from __future__ import annotations

import os
import shutil
import tempfile

import pytest

from booklet.net import Net
from tests import boxes
from tests.shared import FOLDER


def pytest_configure(config: pytest.Config) -> None:
    """The process that starts the others makes the folder that they share."""
    if not hasattr(config, "workerinput"):
        os.environ[FOLDER] = tempfile.mkdtemp(prefix="booklet-tests-")


def pytest_unconfigure(config: pytest.Config) -> None:
    if not hasattr(config, "workerinput"):
        shutil.rmtree(os.environ.pop(FOLDER, ""), ignore_errors=True)


@pytest.fixture(scope="session")
def lidded() -> Net:
    return boxes.whole("lidded-box")


@pytest.fixture(scope="session")
def carton() -> Net:
    return boxes.whole("tuck-carton")


@pytest.fixture(scope="session")
def tray() -> Net:
    return boxes.whole("tray")


@pytest.fixture(scope="session")
def web() -> Net:
    return boxes.whole("web-tray")
