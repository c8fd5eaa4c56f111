"""Labels and sheets: layout in millimetres as plain values first, then drawing.

Nothing heavy is imported until something is printed.
"""
