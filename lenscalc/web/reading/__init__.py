"""One reading, all the way: the sheet as fields and tables."""
