"""The site in a browser: one page, and the JSON interface through which it asks for everything.

    text of the site file ──> judge     its tables, its faults with their places, what it draws
      │                       change    other values in it, comments and layout kept
      ├─> sun, day, trial, weigh, plan  what the library makes of it, unsaved as it is
      ├─> ask                           the interview, for a file that is not there yet
      └─> save (disk)                   the file, unless somebody else has changed it meanwhile

The door is `serve.serve_site`. The text is all the state there is, and the page keeps it; every
answer is a function of what was asked. Nothing about the sun is computed in the page's script.
"""
