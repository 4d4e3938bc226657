"""The demo workshop: a day in its life, invented from end to end and always set on today."""
