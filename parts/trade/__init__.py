"""Rules of the trade for a route card: the right order, what a finish spoils, what a coat adds.

Nothing here imports Django or reads a file. Rules, verdicts and the card come in as plain values; what is
found comes out in words with its source.
"""
