"""Finding out which way a window faces from what was seen of the sun on it.

around      the sun of a day about each of some instants, and when it comes and leaves
expected    what each sighting should have read, if the window faced this way or that
likelihood  how well that agrees with what was seen, errors of all sizes allowed for
estimate    the azimuth that follows, with its uncertainty, and what disagrees with it
overhang    the same for an overhang's depth and gap, which take several numbers at once
skyline     points of the skyline, from sightings that it delayed
watch       which moment to watch next
effect      what an uncertain azimuth means for the hours of sun
"""
