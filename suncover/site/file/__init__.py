"""The site file: read, judged, written. The door is `sitefile.load_site`.

Every fault is found at once, each with its line, what is wrong and what would be right.
"""
