"""Rounds: what is worked, stitch by stitch, whoever wrote them."""

from solver.rounds.piece import Finish, Piece, Round, Start, Stitch

__all__ = ["Finish", "Piece", "Round", "Start", "Stitch"]
