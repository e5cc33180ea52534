"""Which stitch is worked in which colour: patches laid on the stuffed form, stitch by stitch."""
