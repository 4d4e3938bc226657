"""How a car is started: what the build template says, before any of it is written to the database."""
