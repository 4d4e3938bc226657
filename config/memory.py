"""How often Python looks for memory that only points at itself.

Every page makes tens of thousands of small values, and by default Python looks through all that is alive
again and again while it does: measured, a third of the time of a page of a large workshop. Here it looks
seldom, and not at what has been loaded for good; memory grows by some tens of MB.
"""

import gc

NEW_VALUES = 50_000  # made and not thrown away, before the newest are looked through


def collect_seldom() -> None:
    """For the server, once everything is imported."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(NEW_VALUES, 10, 10)
