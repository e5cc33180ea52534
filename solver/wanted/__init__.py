"""What is wanted: the drawing, the gauge, the stuffing, how a part is worked."""
