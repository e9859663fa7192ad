"""What stands about a home, from a map of its neighbours and a raster of its hills.

geojson     a map's features: buildings with their heights, trees, one by one
local       metres east and north of the site
neighbours  obstacles and trees of a site, by a map; own house and what can never shade left out
tables      the tables of a site file for them
terrain     the horizon by a raster of heights
"""
