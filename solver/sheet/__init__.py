"""The sheet: a pattern to print, to sell, to read with the fingers; what is on it, and its writers."""
