"""What the home is: its tables as frozen models, its file, the interview, its calendar.

    home.toml, answers, tables ──> Site

The door is `file.sitefile.load_site`; `model.Site` is what all later stages take. `kinds/` holds
the kinds of value that a key takes, `rules/` what has to hold between tables, `file/` reads TOML
and says what is wrong and where, `tape/` turns what a tape measures into positions, `interview/`
asks for it, `calendar/` reads the household's own.
"""
