"""What stands around the house: obstacles, trees, and what they hide of the sky."""
