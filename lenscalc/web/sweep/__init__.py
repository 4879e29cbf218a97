"""A sweep of designs."""
