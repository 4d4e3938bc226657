"""The server looks seldom for memory that only points at itself."""

import gc

from config.memory import NEW_VALUES, collect_seldom


def test_it_looks_seldom_and_not_at_what_is_loaded_for_good():
    before = gc.get_threshold()
    try:
        collect_seldom()
        assert gc.get_threshold()[0] == NEW_VALUES
        assert gc.get_freeze_count() > 0
        assert gc.isenabled()
    finally:
        gc.set_threshold(*before)
        gc.unfreeze()
