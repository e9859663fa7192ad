"""The household's own calendar (RFC 5545): events, and the days on which they recur.

.ics ──> events ──> spells of time that say what shades do meanwhile
"""
