"""Rounds: what is worked, stitch by stitch, whoever wrote them."""

from solver.rounds.piece import Begin, Finish, Increases, Legs, Piece, Round, Start
from solver.rounds.stitch import HEIGHTS, Heights, Stitch

__all__ = ["HEIGHTS", "Begin", "Finish", "Heights", "Increases", "Legs", "Piece", "Round", "Start", "Stitch"]
