"""Questions to a person at home, and the site file that the answers make.

`questions` asks, in the order of `house` (place and walls), `panes` (windows), `motors` (shades),
`around` and `once` (the rest); a `question` has its words, its check and what is written of it,
most of it by the key that the answer becomes in a `sheet` of the file.
`kinds`, `phrases` and `values` judge answers and put them into other words, `talk` knows what has
been named, `compose` writes the file, `answers` takes them all from a file instead.
"""
