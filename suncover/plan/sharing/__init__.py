"""What several shades share: a group moves together, a supply runs so many motors at once."""
