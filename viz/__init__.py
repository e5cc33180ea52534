"""Pictures of parts: functions that take values, draw them and return the axes; nothing is solved here.

A command draws and saves in two steps::

    axes = draw_comparison(wanted, form, worst=..., title=part.title)     # viz.outlines
    axes = draw_stuffed(fabric, positions, title=part.title)              # viz.stuffed
    axes = draw_shape(outline, sizes, title="egg")                        # viz.shapes
    save_figure(axes.figure, path)                                        # viz.figure

No function opens a window, keeps state between calls or writes a file, `save_figure` aside.
"""
