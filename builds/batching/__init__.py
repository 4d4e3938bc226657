"""The batch calculation's adapter: what the network and the price lists say, in the core's plain values.

Time is the number of a working day of the workshop, today or the next one being 0; goods leave as such a
day begins and are back by the end of one.
"""
