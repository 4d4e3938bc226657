"""Handing everything out again: sheets of rows, and the files they are written to."""
