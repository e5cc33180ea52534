"""Which stitch is worked in which colour: patches laid on the stuffed form, and what each stitch shows of them."""
