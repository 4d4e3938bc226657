"""Acts on cars, jobs, decisions and people: each one either happens whole or not at all."""
