"""What every page shows in the same way: the caution, a picture, a number with its u, how it was computed."""
