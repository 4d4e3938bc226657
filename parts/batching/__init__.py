"""Finishing batches: which parts may share one, and what it waits for.

The core is pure: it knows no Django, reads no clock, no file and no setting, and never changes
what it is given.
"""
