"""Rounds searched for a wanted form."""
