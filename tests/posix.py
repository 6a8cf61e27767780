"""Tests of what only a system like POSIX has."""

from __future__ import annotations

import os

import pytest

POSIX = pytest.mark.skipif(os.name != "posix", reason="signals, links, devices, rights and terminals as on POSIX")
