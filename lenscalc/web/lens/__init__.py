"""A lens by its dimensions, and its image."""
