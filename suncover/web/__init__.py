"""The site in a browser: one page, and the JSON interface through which it asks for everything.

    text of the site file ──> judge     its tables, its faults with their places, what it draws
      │                       change    other values and tables in it, comments and layout kept
      ├─> look (day, moment), sun       what is lit, of a day and of a year, unsaved as it is
      ├─> weigh, plan, report           the comparison, the closings, the report
      ├─> begin (outline), bay, around  walls and neighbours, from measures or a map
      ├─> ask (start)                   the interview, for a file that is not there yet
      └─> save (disk)                   the file, unless somebody else has changed it meanwhile

The door is `serve.serve_site`. The text is all the state there is, and the page keeps it; every
answer is a function of what was asked. Nothing about the sun is computed in the page's script.
"""
