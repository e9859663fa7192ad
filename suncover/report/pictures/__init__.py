"""The report's pictures: one module a picture, arrays in, SVG out."""
