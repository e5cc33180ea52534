"""What rounds become when stuffed."""
