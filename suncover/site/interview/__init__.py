"""Questions to a person at home, and the site file that the answers make.

`questions` asks, `kinds` judges an answer, `compose` writes the file, `answers` takes them all from
a file instead.
"""
