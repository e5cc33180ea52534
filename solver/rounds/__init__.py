"""Rounds: what is worked, stitch by stitch, whoever wrote them."""

from solver.rounds.piece import Begin, Finish, Increases, Piece, Round, Start, Stitch

__all__ = ["Begin", "Finish", "Increases", "Piece", "Round", "Start", "Stitch"]
