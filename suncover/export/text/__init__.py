"""Results as text for people, at most 80 columns wide."""
