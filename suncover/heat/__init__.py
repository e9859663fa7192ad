"""What comes through the glass, in watts: glass, shades, sky, ground.

Site, weather, lit share ──> W/m² of glass, and what a shade leaves of it
"""
