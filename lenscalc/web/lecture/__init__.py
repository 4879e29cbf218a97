"""Pages to show to a class."""
