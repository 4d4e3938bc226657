"""What one page or print shows, read for it: plain values from the facts and a known number of queries."""
