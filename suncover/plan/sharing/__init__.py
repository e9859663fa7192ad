"""What several shades share: a supply runs so many motors at once."""
