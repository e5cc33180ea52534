"""From a sketch, a drawing or a model to an outline.

In this order: `reading` (a picture file), `sheet` and `ink` (which pixels count), `shape` (the closed line),
`axis` and `half` (radius against height), `smoothing` (what stitches can follow), `trace` (the result);
`sketch`, `drawing` and `model` put them together for a picture, a vector drawing and a mesh.
"""
