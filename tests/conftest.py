"""Boxes that several files of tests look at, each made once; nets are frozen, so that nobody can change them."""

from __future__ import annotations

import pytest

from booklet.net import Net
from tests import boxes


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
