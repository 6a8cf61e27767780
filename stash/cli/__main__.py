"""`python -m stash.cli` is the command `starcover`."""

from __future__ import annotations

import sys

from stash.cli import main

sys.exit(main())
