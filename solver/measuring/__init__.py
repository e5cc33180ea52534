"""Tension and firmness from what was measured."""
