"""A loom at the bench: which revision is cut, what is done to each wire, and what the meter showed."""
