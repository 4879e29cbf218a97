"""What an eye would notice."""
