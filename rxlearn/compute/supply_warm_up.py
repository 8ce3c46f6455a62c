"""How emission and load grow while cathodes warm up: an assumed smooth curve."""

from __future__ import annotations

import numpy as np

WARM_UP_BEGINS = 0.4
"""Part of a warm-up time after which the first current flows (assumed, no source)."""


def warm_up_share(time: float | np.ndarray, warm_up: float) -> float | np.ndarray:
    """Share (0 to 1) of full emission ``time`` s after switching on.

    Nothing until :data:`WARM_UP_BEGINS` of ``warm_up``, then 3x² − 2x³ up to
    the whole at ``warm_up``: an assumed curve, good for the order of events.
    Less than a millisecond means at once.
    """
    if warm_up < 1e-3:
        return np.ones_like(time, dtype=float) if np.ndim(time) else 1.0
    part = np.clip((np.asarray(time) / warm_up - WARM_UP_BEGINS) / (1 - WARM_UP_BEGINS), 0, 1)
    share = part * part * (3 - 2 * part)
    return share if np.ndim(time) else float(share)
