"""The pages: thin; every number on them comes from the chain."""
