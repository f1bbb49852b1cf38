"""The studies' modules, for what they must hold: `python -m pytest docs/studies`."""

import os
import sys
from importlib import import_module
from pathlib import Path
from types import ModuleType

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # as the command line does, before numpy loads

import pytest


@pytest.fixture(scope="module")
def study(request: pytest.FixtureRequest) -> ModuleType:
    """Load the module that a file of tests is named after."""
    sys.path.insert(0, str(Path(__file__).parent))
    try:
        return import_module(request.path.stem.removeprefix("test_"))
    finally:
        del sys.path[0]
