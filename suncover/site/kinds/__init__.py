"""The kinds of value that a key of the site file takes: lengths, bearings, clock times, zones."""
