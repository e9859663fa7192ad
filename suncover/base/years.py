"""The years known here, our own bounds: within them all libraries used here count alike."""

FIRST_YEAR, LAST_YEAR = 1900, 2199
FIRST_SECOND = -2_208_988_800  # 1900-01-01T00:00:00Z, unix seconds
END_SECOND = 7_258_118_400  # 2200-01-01T00:00:00Z
