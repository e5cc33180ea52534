"""The page: what is drawn in a browser is read, solved and told by this machine alone.

It holds no physics: a draft is the tables of a part file, and goes the way that the commands go.
"""
