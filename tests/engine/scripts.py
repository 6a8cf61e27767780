"""The scripts of the fixtures folder, as modules to test."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"


def script_named(name: str) -> ModuleType:
    """The script of that name, loaded and not run."""
    spec = importlib.util.spec_from_file_location(name, FIXTURES / f"{name}.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module  # its dataclasses look their own module up
    spec.loader.exec_module(module)
    return module
