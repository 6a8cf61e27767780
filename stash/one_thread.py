"""Libraries of arithmetic keep to one thread: what is multiplied here is small, and threads for it take longer.

On two cores, measuring a photograph of 12 megapixels took a quarter more time with them, and more still beside others.
"""

from __future__ import annotations

import os

VARIABLES = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS")


def keep_to_one_thread() -> None:
    """Ask for it, where the user has not asked for another number. Call it before numpy is loaded."""
    for name in VARIABLES:
        os.environ.setdefault(name, "1")
