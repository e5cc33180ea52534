"""Pictures of parts: functions that take values, draw them and return the axes; nothing is solved here.

A command draws and saves in two steps::

    axes = draw_comparison(part.outline, form, deviation, title=part.title)     # viz.comparison
    axes = draw_stuffed(fabric, positions, stretch=..., title=part.title)       # viz.stuffed
    axes = draw_shape(shape)                                                    # viz.shapes
    save_figure(axes.figure, path)                                              # viz.figure

No function opens a window, keeps state between calls or writes a file, `save_figure` aside.
"""
